//! Rules that are not met, and what was not judged for want of a figure: then the change is to give it.

use super::Way;
use crate::array::{Component, ComponentKind};
use crate::limits::current::{self, CIRCUIT_FACTOR};
use crate::limits::poles;
use crate::study::classes::{class_v, next_class_a_words};
use crate::study::results::LimitLine;
use crate::units::at_least;

/// How the sentence about ratings that the plan does not give begins.
pub(crate) const NOT_JUDGED: &str = "not judged for want of a figure";

impl Way<'_> {
    /// What was not assessed: its own reason says what to give.
    pub(super) fn not_assessed(&self, line: &LimitLine) -> String {
        let reason = line.reason.strip_prefix("not assessed: ").unwrap_or(&line.reason);
        let give =
            if line.unit == "V" { "; give the stop a code_temperature, or weather with light" } else { "" };
        let volts = match (line.kind.as_str(), line.rule.contains("direct current")) {
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
        let component = self.array.components.iter().find(|part| part.name == line.component);
        let conductors = poles::conductors_needed(self.plan.assumptions.array_earthed);
        let mut wants = Vec::new();
        if line.kind == "disconnect" {
            let word = if conductors == 1 { "conductor" } else { "conductors" };
            wants.push(format!("opens {conductors} {word} at once"));
        }
        if let Some(volts) = self.needed.largest() {
            let class = class_v(&line.kind, &self.needed).with_room;
            let class = class.map_or_else(String::new, |class| format!(" (next common class {class} V)"));
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
        Some((amps, next_class_a_words(component.kind.word(), amps)))
    }

    /// Ratings that the plan does not give, so that nothing was held against them: one sentence.
    pub(super) fn never_judged(&self) -> Option<String> {
        let mut wanting: Vec<String> = Vec::new();
        for component in &self.array.components {
            let keys = self.keys_wanting(component);
            if !keys.is_empty() {
                wanting.push(format!("{} (give {})", component.name, keys.join(" and ")));
            }
        }
        (!wanting.is_empty()).then(|| format!("{NOT_JUDGED}: {}.", wanting.join("; ")))
    }

    fn keys_wanting(&self, component: &Component) -> Vec<String> {
        let isc_a = self.array.carried_isc_a(component.carries);
        let mut keys = Vec::new();
        match &component.kind {
            ComponentKind::Controller { max_isc: None, .. } => {
                keys.push(format!("max_isc_a: {:.1} A are needed", at_least(isc_a * CIRCUIT_FACTOR)));
            }
            ComponentKind::Controller { .. } | ComponentKind::Cable { .. } => {}
            _ if component.rated_a.is_none() => {
                if let Some((amps, _)) = self.amps_asked(component) {
                    keys.push(format!("rated_a: {:.1} A are needed", at_least(amps)));
                }
            }
            _ => {}
        }
        let silent = matches!(
            component.kind,
            ComponentKind::Connector | ComponentKind::Cable { .. } | ComponentKind::Fuse
        );
        if silent && component.max_v.is_none() {
            let needed = self.needed.largest();
            let volts =
                needed.map_or_else(String::new, |volts| format!(": {:.1} V dc are needed", at_least(volts)));
            keys.push(format!("max_v{volts}"));
        }
        keys
    }
}
