//! Fewer panels in series: what becomes of the volts, of the amps, and of the start in the heat.

use super::Way;
use crate::array::{Array, Carries, Component, ComponentKind, StringGroup};
use crate::limits::Verdict;
use crate::limits::rules::fuse::{StringFuses, string_fuses};
use crate::limits::rules::lead;
use crate::study::classes::next_class_a_words;
use crate::study::lines::other_lines;
use crate::study::low_side::{FewerInSeries, GUESSED, SUN_W_M2};
use crate::study::not_given::{NotGiven, not_given};
use crate::study::words::spread;
use crate::units::at_least;

/// Share of the harvest, per cent, whose loss is more than a nuisance: that of `series`.
const STARVES_PERCENT: f64 = 2.0;

/// What is said of fuses that strings ask for and that fit.
const FUSES: &str = ", and each string then needs a fuse";

/// The panels in strings of another length.
pub(super) struct Rearranged {
    pub(super) array: Array,
    /// Panels that fill no string.
    over: usize,
    /// Parts that are too small for its amps, each with what it needs.
    pub(super) too_small: Vec<String>,
    /// What the strings then ask for in fuses; empty where they ask for none.
    fuses: String,
    /// That none of the fuses that its strings ask for fits: the same panels are no way then.
    pub(super) no_fuse_fits: bool,
    /// Parts whose amps the plan does not give, each with what its maker must allow.
    pub(super) unknown: Vec<(String, String)>,
    /// Whether strings are joined and the plan has no cable for it.
    lacks_cable: bool,
}

impl Rearranged {
    /// Whether the same panels do with the same parts.
    fn is_free(&self) -> bool {
        self.over == 0 && self.too_small.is_empty() && self.fuses.is_empty()
    }

    /// Whether everything that its amps go through was held against them.
    fn is_judged(&self) -> bool {
        self.unknown.is_empty() && !self.lacks_cable
    }

    /// Whether the plan does not give the amps of a part.
    pub(super) fn is_unknown(&self, name: &str) -> bool {
        self.unknown.iter().any(|(unknown, _)| unknown == name)
    }
}

/// What fewer in series do.
pub(super) struct Fewer {
    /// The sentence.
    pub sentence: String,
    /// Whether it costs no part, so that it comes before all that must be bought; nothing is free while a part of the plan lacks
    /// the amps that it would be judged by, or the cable of the array is not in the plan.
    pub is_free: bool,
    /// The number in series, where that is a way out: it starves no controller, and fuses fit where strings ask for them.
    pub in_series: Option<usize>,
}

impl Way<'_> {
    /// Volts are in proportion: every figure of a string is a sum over its panels. Of the counts that hold the largest one that
    /// costs no part, else the largest.
    pub(super) fn fewer_in_series(&self, rating: f64) -> Option<Fewer> {
        let planned = self.facts.modules_in_series;
        if planned < 2 || !is_uniform(self.array) {
            return None;
        }
        let volts = self.needed.largest()?;
        let share = |count: usize| count as f64 / planned as f64;
        let holds = |count: &usize| {
            volts * share(*count) <= rating
                && matches!(
                    self.needed.times(share(*count)).verdict(rating),
                    Verdict::Within | Verdict::Close
                )
        };
        let held: Vec<usize> = (1..planned).rev().filter(holds).collect();
        let Some(&largest) = held.first() else {
            let sentence = format!("not even one panel of these alone stays below {rating} V.");
            return Some(Fewer { sentence, is_free: false, in_series: None });
        };
        let free = |count: &usize| self.rearranged(*count).is_free() && !self.starves(*count);
        let found = held.iter().copied().find(free);
        let most = found.unwrap_or(largest);
        let changed = self.rearranged(most);
        let is_free = found.is_some() && changed.is_judged();
        let close = match self.needed.times(share(most)).verdict(rating) {
            Verdict::Close => ", which is close",
            _ => "",
        };
        let new = volts * share(most);
        let parts = match is_free {
            true => String::new(),
            false => format!("{} ", self.parts_of(&changed, share(most))),
        };
        let sentence = format!(
            "{most} in series instead of {planned}{}: the largest voltage falls to {:.1} V, {:.0} % below {rating} V{close}; {}. {parts}{}",
            if is_free { " costs no part but the plugs that join the strings" } else { "" },
            new,
            ((rating - new) / rating * 100.0).floor(),
            self.amps_of(&changed, most),
            self.cost_of(most)
        );
        let is_way = !self.starves(most) && !changed.no_fuse_fits;
        Some(Fewer { sentence, is_free, in_series: is_way.then_some(most) })
    }

    /// The panels in strings of `count`, and what is then too small for the amps.
    pub(super) fn rearranged(&self, count: usize) -> Rearranged {
        let panels: usize =
            self.array.groups.iter().map(|group| group.modules.len() * group.in_parallel as usize).sum();
        let array = rearranged(self.array, count);
        let over = panels - array.strings() as usize * count;
        let mut too_small: Vec<String> = Vec::new();
        for line in other_lines(&array, &self.plan.assumptions) {
            let needs = match (line.verdict, line.worst) {
                (Verdict::Exceeded, Some(worst)) if line.unit == "A" => {
                    let class = next_class_a_words(&line.kind, worst, self.plan.assumptions.rules);
                    class.unwrap_or_else(|| format!("{:.1} A", at_least(worst)))
                }
                // A lead that its own string fuse then protects no more; others fare as before.
                (Verdict::NotMet, _) if lead::RULE.is(&line.rule) => {
                    "a smaller fuse or a thicker lead".to_owned()
                }
                _ => continue,
            };
            let text = format!("{} (needs {needs})", line.component);
            if !too_small.contains(&text) {
                too_small.push(text);
            }
        }
        let string_fuses = string_fuses(&array);
        let no_fuse_fits =
            matches!(&string_fuses, StringFuses::Needed { window, .. } if window.common_a.is_none());
        let fuses = match string_fuses {
            StringFuses::Needed { window, label_a, .. } if window.common_a.is_none() => format!(
                ", and each string then needs a fuse, of which none fits below the label's {label_a} A: not without panels whose \
                 label allows more"
            ),
            StringFuses::Needed { .. } => FUSES.to_owned(),
            StringFuses::Unknown { .. } if array.strings() > 2 => {
                ", and whether each string then needs a fuse depends on the label's largest series fuse (max_series_fuse_a)".to_owned()
            }
            _ => String::new(),
        };
        let lacks_cable = lacks_joining_cable(&array);
        let unknown = unknown(&array);
        Rearranged { array, over, too_small, fuses, no_fuse_fits, unknown, lacks_cable }
    }

    /// The amps in words.
    fn amps_of(&self, changed: &Rearranged, count: usize) -> String {
        let strings = changed.array.strings();
        let left = match changed.over {
            0 => String::new(),
            1 => " (one panel left over)".to_owned(),
            several => format!(" ({several} panels left over)"),
        };
        let small = match changed.too_small.as_slice() {
            [] if changed.is_free() && changed.is_judged() => {
                ", which every part of the plan carries".to_owned()
            }
            _ => String::new(),
        };
        // The list of its parts has them, with what they must be.
        let fuses = if changed.fuses == FUSES { "" } else { &changed.fuses };
        let (word, give) = if strings == 1 { ("string", "gives") } else { ("strings", "give") };
        format!(
            "{strings} {word} of {count}{left} {give} {:.1} A short circuit in all{small}{fuses}",
            changed.array.label_isc_a()
        )
    }

    /// Where a count in series costs most in the heat; `None` where that was not looked at.
    fn dearest(&self, count: usize) -> Option<&FewerInSeries> {
        let same =
            self.found.fewer.iter().filter(|one| one.array == self.facts.name && one.in_series == count);
        same.max_by(|a, b| rank(a).total_cmp(&rank(b)))
    }

    /// Whether so few in series lose more of the harvest than is a nuisance.
    fn starves(&self, count: usize) -> bool {
        self.dearest(count).is_some_and(|cost| cost.hot.harvest_percent >= STARVES_PERCENT)
    }

    /// What it costs in the heat, at the stop where it costs most.
    fn cost_of(&self, count: usize) -> String {
        let Some(cost) = self.dearest(count) else {
            return match self.array.battery {
                None => "Whether it then still starts in the heat was not checked: put the battery in the plan ([battery])."
                    .to_owned(),
                Some(_) => "Whether it then still starts in the heat was not checked: that takes the weather of a place ([[stop]])."
                    .to_owned(),
            };
        };
        let today = self.dearest(self.facts.modules_in_series);
        let FewerInSeries { battery_v, hot, cool, sun_hours, .. } = cost;
        let span = if cost.dated { "stay" } else { "year" };
        let mut text = if hot.hours < 0.5 && hot.harvest_percent < 0.05 {
            let span = if cost.dated { " of every stay" } else { "" };
            format!(
                "By volts it runs over the {battery_v} V battery in all hours of sun{span} (from {SUN_W_M2:.0} W/m2)"
            )
        } else {
            let hours = spread(cool.hours, hot.hours);
            let harvest = spread(cool.harvest_percent, hot.harvest_percent);
            let runs = match hours.as_str() {
                "0" => format!("it still runs in all {sun_hours:.0} hours of sun"),
                hours => format!("it then does not run in {hours} of {sun_hours:.0} hours of sun"),
            };
            let mut text = format!(
                "Over the {battery_v} V battery {runs} a {span} at {}, and {harvest} % of the harvest is lost to low volts",
                cost.place
            );
            if let Some(today) = today {
                let harvest = spread(today.cool.harvest_percent, today.hot.harvest_percent);
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

/// The parts of an array whose amps the plan does not give, each with what must be allowed there.
fn unknown(array: &Array) -> Vec<(String, String)> {
    let lacks = not_given(array, None).into_iter().filter(|row| row.unit == "A");
    let text = |row: NotGiven| {
        let least = at_least(row.least?);
        let text = match row.key {
            "max_isc_a" => format!("its manual allows {least:.1} A"),
            _ => format!("it is rated for {least:.1} A"),
        };
        Some((row.component, text))
    };
    let mut texts: Vec<(String, String)> = Vec::new();
    for text in lacks.filter_map(text) {
        if !texts.contains(&text) {
            texts.push(text);
        }
    }
    texts
}

/// Whether strings are joined and the plan has no cable of the array.
fn lacks_joining_cable(array: &Array) -> bool {
    let is_trunk =
        |part: &Component| matches!(part.kind, ComponentKind::Cable { .. }) && part.carries == Carries::Array;
    array.strings() > 1 && !array.components.iter().any(is_trunk)
}

fn rank(cost: &FewerInSeries) -> f64 {
    cost.hot.harvest_percent * 1e6 + cost.hot.hours
}

/// Whether all strings are of as many panels, all alike.
pub(super) fn is_uniform(array: &Array) -> bool {
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
            modules: group.modules.iter().cycle().take(count).cloned().collect(),
            in_parallel: u32::try_from(panels / count).unwrap_or(u32::MAX),
            ..group.clone()
        }
    });
    Array { groups: groups.collect(), ..array.clone() }
}
