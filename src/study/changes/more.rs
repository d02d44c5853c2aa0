//! More panels in series, fewer strings: what it does where the amps of an array are too many for a part of it.

use super::Way;
use super::fewer::{Rearranged, is_uniform};
use crate::array::{Array, Carries, ComponentKind, ControllerType};
use crate::extreme::number_in_words;
use crate::limits::Verdict;
use crate::limits::current::CIRCUIT_FACTOR;
use crate::limits::rules::fuse::{StringFuses, string_fuses};
use crate::limits::rules::touch::TouchClass;
use crate::study::counted;
use crate::study::lines::voltage_ratings;
use crate::study::not_given::not_given;
use crate::study::results::LimitLine;
use crate::study::words::percent_left;
use crate::units::{at_least, listed};

/// What more in series do.
pub(super) enum More {
    /// Every rating of the plan then holds: the number in series, and the sentence.
    Holds(usize, String),
    /// It is no way out: the clause, as a sentence.
    NoWay(String),
}

/// A count in series with what is too small for it.
struct Tried {
    count: usize,
    strings: u32,
    too_small: Vec<String>,
}

impl Way<'_> {
    /// Whether a limit of amps is of that kind which fewer strings relieve.
    pub(super) fn is_too_much_for_the_array(&self, line: &LimitLine) -> bool {
        line.unit == "A"
            && counted(line) == Verdict::Exceeded
            && self.component_of(line).is_some_and(|part| part.carries == Carries::Array)
    }

    /// All panels in longer and fewer strings, the shortest that hold: volts in proportion, amps and leads as in shorter strings.
    /// `None` where amps are not what breaks, where volts are too many already, and where it is no question of amps alone: unlike
    /// strings, or a pwm controller, that wastes the volts.
    pub(super) fn more_in_series(&self, lines: &[&LimitLine]) -> Option<More> {
        let is_over = |line: &&&LimitLine| line.unit == "V" && counted(line) == Verdict::Exceeded;
        let [group] = self.array.groups.as_slice() else { return None };
        let planned = self.facts.modules_in_series;
        if !lines.iter().any(|line| self.is_too_much_for_the_array(line))
            || lines.iter().any(|line| is_over(&line))
            || group.in_parallel < 2
            || planned == 0
            || !is_uniform(self.array)
            || has_pwm(self.array)
        {
            return None;
        }
        let volts = self.needed.largest()?;
        let panels = planned * group.in_parallel as usize;
        let counts = (planned + 1..=panels).filter(|count| panels.is_multiple_of(*count));
        let mut tried: Vec<Tried> = Vec::new();
        for count in counts {
            let share = count as f64 / planned as f64;
            let needed = self.needed.times(share);
            let changed = self.rearranged(count);
            let ratings = voltage_ratings(&changed.array, &self.plan.assumptions).0;
            let passed = ratings
                .iter()
                .filter(|rating| !matches!(needed.verdict(rating.volts), Verdict::Within | Verdict::Close))
                .min_by(|a, b| a.volts.total_cmp(&b.volts));
            if let Some(passed) = passed {
                let own = format!(
                    "{count} in series reach {:.1} V, above the {} V of {}",
                    at_least(volts * share),
                    passed.volts,
                    passed.component
                );
                return Some(More::NoWay(no_way(&tried, &own)));
            }
            if changed.too_small.is_empty() {
                let close = ratings
                    .iter()
                    .filter(|rating| needed.verdict(rating.volts) == Verdict::Close)
                    .map(|rating| {
                        (rating.component.as_str(), needed.spare_percent(rating.volts).unwrap_or(0.0))
                    });
                let close: Vec<(&str, f64)> = close.collect();
                let sentence = self.longer_strings(count, &changed, share, &close);
                return Some(More::Holds(count, sentence));
            }
            tried.push(Tried { count, strings: changed.array.strings(), too_small: changed.too_small });
        }
        let own = if tried.is_empty() {
            format!("no other number in series uses all {} panels", number_in_words(panels as u64))
        } else {
            String::new()
        };
        Some(More::NoWay(no_way(&tried, &own)))
    }

    /// That longer strings hold, and what they cost. `close`: the ratings that then hold by little, each with what is left of it.
    fn longer_strings(
        &self,
        count: usize,
        changed: &Rearranged,
        share: f64,
        close: &[(&str, f64)],
    ) -> String {
        let (array, parts) = (&changed.array, self.parts_of(changed, share));
        let (planned, strings, today) = (self.facts.modules_in_series, array.strings(), self.array.strings());
        let panels = number_in_words((planned * today as usize) as u64);
        let mut catches: Vec<String> = Vec::new();
        let volts = self.needed.largest().unwrap_or(0.0);
        let new_v = volts * share;
        let (class, was) = (TouchClass::of(new_v), TouchClass::of(volts));
        if class != was {
            catches.push(format!("{} to touch, not {} ({})", class.word(), was.word(), class.meaning()));
        }
        for part in &self.array.components {
            if let ComponentKind::Controller { max_operating: Some(most), .. } = part.kind
                && new_v > most.0
                && volts <= most.0
            {
                catches.push(format!("above {} V {} does not charge", most.0, part.name));
            }
        }
        let lacks = not_given(array, Some(new_v)).into_iter();
        let mut unknown: Vec<String> = Vec::new();
        for row in lacks {
            let figure =
                row.least.map_or_else(String::new, |least| format!(" {:.1} {}", at_least(least), row.unit));
            let text = format!("{} for{figure}", row.component);
            if !unknown.contains(&text) {
                unknown.push(text);
            }
        }
        if !unknown.is_empty() {
            catches.push(format!("look first whether these are made for it: {}", listed(&unknown)));
        }
        let price = match catches.as_slice() {
            [] => String::new(),
            catches => format!(" The price: {}.", catches.join("; ")),
        };
        let mut by_little: Vec<String> = Vec::new();
        for (component, spare) in close {
            let text = format!("{component} by {} only, which is close", percent_left(*spare));
            if !by_little.contains(&text) {
                by_little.push(text);
            }
        }
        let by_little = match by_little.as_slice() {
            [] => String::new(),
            parts => format!(" ({})", parts.join("; ")),
        };
        let fuses = match (string_fuses(self.array), string_fuses(array)) {
            (StringFuses::Needed { .. }, StringFuses::OneString | StringFuses::NotNeeded { .. }) => {
                "; its strings then need no fuses"
            }
            _ => "",
        };
        format!(
            "{count} in series and {strings} in parallel (today {planned} and {today}) hold every rating that the plan gives{by_little}, \
             without a larger part: all {panels} panels give {:.1} A (1.25 x Isc, today {:.1} A) and {:.1} V at most (today {:.1} \
             V){fuses}.{price} {parts}",
            at_least(array.label_isc_a() * CIRCUIT_FACTOR),
            at_least(self.array.label_isc_a() * CIRCUIT_FACTOR),
            new_v,
            volts
        )
    }
}

/// Why more in series are no way out.
fn no_way(tried: &[Tried], own: &str) -> String {
    let amps = tried.iter().map(|tried| {
        let parallel = match tried.strings {
            1 => "one string".to_owned(),
            several => format!("{several} in parallel"),
        };
        format!(
            "{} in series and {parallel} are still too much for {}",
            tried.count,
            listed(&tried.too_small)
        )
    });
    let all: Vec<String> = amps.chain((!own.is_empty()).then(|| own.to_owned())).collect();
    format!("More in series is no way out: {}.", all.join("; "))
}

fn has_pwm(array: &Array) -> bool {
    let is_pwm = |kind: &ComponentKind| matches!(kind, ComponentKind::Controller { kind, .. } if *kind == ControllerType::Pwm);
    array.components.iter().any(|part| is_pwm(&part.kind))
}
