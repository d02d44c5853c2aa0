//! Fewer panels in series: what becomes of the volts, of the amps, and of the start in the heat.

use super::{Way, listed};
use crate::array::{Array, StringGroup};
use crate::limits::Verdict;
use crate::limits::rules::fuse::{StringFuses, string_fuses};
use crate::study::classes::next_class_a_words;
use crate::study::lines::other_lines;
use crate::study::low_side::{FewerInSeries, GUESSED, SUN_W_M2};
use crate::study::words::tidy;
use crate::units::at_least;

/// Share of the harvest, per cent, whose loss is more than a nuisance: that of `series`.
const STARVES_PERCENT: f64 = 2.0;

impl Way<'_> {
    /// Volts are in proportion: every figure of a string is a sum over its panels.
    pub(super) fn fewer_in_series(&self, rating: f64) -> Option<String> {
        let planned = self.facts.modules_in_series;
        if planned < 2 || !is_uniform(self.array) {
            return None;
        }
        let volts = self.needed.largest()?;
        let share = |count: usize| count as f64 / planned as f64;
        let holds = |count: usize| {
            volts * share(count) <= rating
                && matches!(self.needed.times(share(count)).verdict(rating), Verdict::Within | Verdict::Close)
        };
        let Some(most) = (1..planned).rev().find(|&count| holds(count)) else {
            return Some(format!("not even one panel of these alone stays below {rating} V."));
        };
        let close = match self.needed.times(share(most)).verdict(rating) {
            Verdict::Close => ", which is close",
            _ => "",
        };
        let new = volts * share(most);
        Some(format!(
            "{most} in series instead of {planned}: the largest voltage falls to {:.1} V, {:.0} % below {rating} V{close}; {}. {}",
            new,
            ((rating - new) / rating * 100.0).floor(),
            self.amps_of(most),
            self.cost_of(most)
        ))
    }

    /// The panels in strings of `count`, and what is then too small for the amps.
    fn amps_of(&self, count: usize) -> String {
        let panels: usize =
            self.array.groups.iter().map(|group| group.modules.len() * group.in_parallel as usize).sum();
        let changed = rearranged(self.array, count);
        let strings = changed.strings();
        let over = panels - strings as usize * count;
        let left = match over {
            0 => String::new(),
            1 => " (one panel left over)".to_owned(),
            several => format!(" ({several} panels left over)"),
        };
        let broken: Vec<String> = other_lines(&changed, &self.plan.assumptions)
            .into_iter()
            .filter(|line| line.unit == "A" && line.verdict == Verdict::Exceeded)
            .filter_map(|line| {
                let (worst, rating) = (line.worst?, line.rating?);
                let class = next_class_a_words(&line.kind, worst)
                    .map_or_else(String::new, |class| format!("; next class {class}"));
                Some(format!("{} ({:.1} A on {rating:.1} A{class})", line.component, at_least(worst)))
            })
            .collect();
        let small = match broken.as_slice() {
            [] => String::new(),
            names => format!(", too much for {}", listed(names)),
        };
        let fuses = match string_fuses(&changed) {
            StringFuses::Needed { window, label_a, .. } if window.common_a.is_none() => format!(
                ", and each string then needs a fuse, of which none fits below the label's {label_a} A: not without panels whose \
                 label allows more"
            ),
            StringFuses::Needed { .. } => ", and each string then needs a fuse".to_owned(),
            StringFuses::Unknown { .. } if strings > 2 => {
                ", and whether each string then needs a fuse depends on max_series_fuse_a".to_owned()
            }
            _ => String::new(),
        };
        let (word, give) = if strings == 1 { ("string", "gives") } else { ("strings", "give") };
        format!(
            "{strings} {word} of {count}{left} {give} {:.1} A short circuit in all{small}{fuses}",
            changed.label_isc_a()
        )
    }

    /// What it costs in the heat, at the stop where it costs most.
    fn cost_of(&self, count: usize) -> String {
        let of = |wanted: usize| {
            let same = self
                .found
                .fewer
                .iter()
                .filter(move |one| one.array == self.facts.name && one.in_series == wanted);
            same.max_by(|a, b| rank(a).total_cmp(&rank(b)))
        };
        let Some(cost) = of(count) else {
            return match self.array.battery {
                None => "Whether it then still starts in the heat was not checked: name the [battery].".to_owned(),
                Some(_) => "Whether it then still starts in the heat was not checked: that takes the weather of a [[stop]].".to_owned(),
            };
        };
        let today = of(self.facts.modules_in_series);
        let FewerInSeries { battery_v, hot, cool, sun_hours, .. } = cost;
        let span = if cost.dated { "stay" } else { "year" };
        let mut text = if hot.hours < 0.5 && hot.harvest_percent < 0.05 {
            let span = if cost.dated { " of every stay" } else { "" };
            format!(
                "Over the {battery_v} V battery it still runs in all hours of sun{span} ({SUN_W_M2:.0} W/m2 or more on the panels)"
            )
        } else {
            let hours = band(cool.hours, hot.hours);
            let harvest = band(cool.harvest_percent, hot.harvest_percent);
            let mut text = format!(
                "Over the {battery_v} V battery it then does not run in {hours} of {sun_hours:.0} hours of sun a {span} at {}, and {harvest} % \
                 of the harvest is lost to low volts",
                cost.place
            );
            if let Some(today) = today {
                let harvest = band(today.cool.harvest_percent, today.hot.harvest_percent);
                text.push_str(&format!(" (today {harvest} %)"));
            }
            if hot.harvest_percent >= STARVES_PERCENT {
                text.push_str(": it starves, so rather take the larger rating");
            }
            text
        };
        if cost.guessed {
            text.push_str(&format!("; {GUESSED}"));
        }
        text.push('.');
        text
    }
}

fn rank(cost: &FewerInSeries) -> f64 {
    cost.hot.harvest_percent * 1e6 + cost.hot.hours
}

fn band(low: f64, high: f64) -> String {
    let (low, high) = (tidy(low), tidy(high));
    if low == high { low } else { format!("{low} to {high}") }
}

/// Whether all strings are of as many panels, all alike.
fn is_uniform(array: &Array) -> bool {
    let first = array.groups.first().and_then(|group| group.modules.first());
    let Some(first) = first else { return false };
    let count = array.modules_in_series();
    let alike = |group: &StringGroup| {
        group.modules.len() == count && group.modules.iter().all(|label| label.id == first.id)
    };
    array.groups.iter().all(alike)
}

/// The same panels in strings of `count`, group by group, those that fill no string left over.
fn rearranged(array: &Array, count: usize) -> Array {
    let groups = array.groups.iter().map(|group| {
        let panels = group.modules.len() * group.in_parallel as usize;
        StringGroup {
            modules: group.modules.iter().take(count).cloned().collect(),
            in_parallel: u32::try_from(panels / count).unwrap_or(u32::MAX),
            ..group.clone()
        }
    });
    Array { groups: groups.collect(), ..array.clone() }
}
