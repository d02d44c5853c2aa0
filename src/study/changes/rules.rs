//! Rules that are not met, and what was not judged for want of a figure: then the change is to give it.

use super::Way;
use crate::array::Component;
use crate::limits::current;
use crate::limits::poles;
use crate::limits::rules::lead;
use crate::study::classes::{class_v, class_v_words, next_class_a_words};
use crate::study::results::LimitLine;
use crate::units::at_least;

/// How the sentence about ratings that the plan does not give begins.
pub(crate) const NOT_JUDGED: &str = "not judged for want of a figure";

impl Way<'_> {
    /// What was not assessed: its own reason says what to give.
    pub(super) fn not_assessed(&self, line: &LimitLine) -> String {
        let reason = line.reason.strip_prefix("not assessed: ").unwrap_or(&line.reason);
        let give = if line.unit == "V" {
            "; give the stop its lowest expected air (code_temperature), or weather with light"
        } else {
            ""
        };
        let volts = match (line.kind.as_str(), poles::DC_RATED.is(&line.rule)) {
            ("disconnect" | "breaker" | "switch" | "controller", true) => self
                .needed
                .largest()
                .map_or_else(String::new, |volts| format!(" ({:.1} V dc are needed)", at_least(volts))),
            _ => String::new(),
        };
        format!("{}: not assessed: {reason}{give}{volts}.", line.component)
    }

    /// A rule without a number: which kind of device meets it.
    pub(super) fn not_met(&self, line: &LimitLine) -> String {
        // What protects a lead is no part of its own kind: the reason itself says what would.
        if lead::RULE.is(&line.rule) {
            return format!("{}: {}.", line.component, line.reason);
        }
        let component = self.array.components.iter().find(|part| part.name == line.component);
        let conductors = poles::conductors_needed(self.plan.assumptions.array_earthed);
        let mut wants = Vec::new();
        if line.kind == "disconnect" {
            let word = if conductors == 1 { "conductor" } else { "conductors" };
            wants.push(format!("opens {conductors} {word} at once"));
        }
        if let Some(volts) = self.needed.largest() {
            let class = class_v(&line.kind, &self.needed).with_room;
            let class = class.map_or_else(String::new, |class| {
                format!(" (next common class {})", class_v_words(&line.kind, class))
            });
            wants.push(format!("has at least {:.1} V dc printed for it{class}", at_least(volts)));
        }
        if let Some((amps, class)) = component.and_then(|part| self.amps_asked(part)) {
            let class = class.map_or_else(String::new, |class| format!(" (next common class {class})"));
            wants.push(format!("carries at least {:.1} A{class}", at_least(amps)));
        }
        format!(
            "{}: {}. Take one that {}.",
            line.component,
            line.reason.trim_end_matches('.'),
            wants.join(", ")
        )
    }

    fn amps_asked(&self, component: &Component) -> Option<(f64, Option<String>)> {
        let demand = current::demand(component)?;
        let amps = demand.factor * self.array.carried_isc_a(component.carries);
        Some((amps, next_class_a_words(component.kind.word(), amps, self.plan.assumptions.rules)))
    }

    /// Ratings that the plan does not give, so that nothing was held against them: one sentence.
    pub(super) fn never_judged(&self) -> Option<String> {
        let mut wanting: Vec<(&str, Vec<String>)> = Vec::new();
        for row in &self.facts.not_given {
            let least = match (row.least, row.unit) {
                (Some(least), "V") => format!(": {:.1} V dc are needed", at_least(least)),
                (Some(least), _) => format!(": {:.1} A are needed", at_least(least)),
                (None, _) => String::new(),
            };
            let give = format!("{}{least}", row.key);
            match wanting.iter_mut().find(|(name, _)| *name == row.component) {
                Some((_, keys)) if keys.contains(&give) => {}
                Some((_, keys)) => keys.push(give),
                None => wanting.push((&row.component, vec![give])),
            }
        }
        let wanting: Vec<String> =
            wanting.iter().map(|(name, keys)| format!("{name} (give {})", keys.join(" and "))).collect();
        (!wanting.is_empty()).then(|| format!("{NOT_JUDGED}: {}.", wanting.join("; ")))
    }
}
