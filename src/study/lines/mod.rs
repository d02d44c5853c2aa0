//! The limit lines of an array at a stop: a rating of a component, or a rule, against what was found.

mod amps;
mod volts;

pub use amps::other_lines;
pub use volts::voltage_line;

use crate::array::{Array, ComponentKind};
use crate::assumptions::Assumptions;
use crate::cite::{Clause, Rule};
use crate::hourly::{Blocks, ReadyGroup, Seen};
use crate::limits::poles::{self, RuleJudgement};
use crate::limits::voltage::VoltageFigures;
use crate::study::OpenStop;
use crate::study::figures::{self, ArrayFigures};
use crate::study::results::LimitLine;
use crate::units::Celsius;

/// One voltage rating of an array.
#[derive(Clone, Debug)]
pub struct VoltageRating {
    /// The component's name.
    pub component: String,
    /// Its kind.
    pub kind: String,
    /// The rule.
    pub rule: String,
    /// Volts.
    pub volts: f64,
}

/// What belongs to one array at one stop.
pub struct ArrayAt<'a> {
    /// The stop.
    pub open: &'a OpenStop<'a>,
    /// Its groups.
    pub groups: &'a [ReadyGroup<'a>],
    /// What was seen.
    pub seen: &'a Seen,
    /// The figures.
    pub figures: &'a ArrayFigures,
    /// How the record is cut.
    pub blocks: Option<Blocks>,
    /// Whether trip dates narrow the weather lines.
    pub dated: bool,
    /// The plan's assumptions.
    pub assumptions: &'a Assumptions,
}

impl ArrayAt<'_> {
    /// What the record is cut into.
    pub fn season_noun(&self) -> &'static str {
        if self.dated { "stay" } else { "season" }
    }
}

const VOLTS_RULE: Rule =
    Rule { words: "largest open-circuit volts below its dc rating", clause: Clause::LargestVolts };
const CONTROLLER_RULE: Rule =
    Rule { words: "largest open-circuit volts below its absolute limit", clause: Clause::Manual };
const SYSTEM_RULE: Rule = Rule {
    words: "largest open-circuit volts below the panel's system voltage",
    clause: Clause::SystemVolts,
};
const TOUCH_RULE: &str = "touch voltage chosen in the plan";

/// The voltage ratings of an array, and the judgements where a component has none.
#[must_use]
pub fn voltage_ratings(
    array: &Array,
    assumptions: &Assumptions,
) -> (Vec<VoltageRating>, Vec<(String, String, RuleJudgement)>) {
    let mut ratings = Vec::new();
    let mut without = Vec::new();
    for component in &array.components {
        let named = |volts: f64, rule: Rule| VoltageRating {
            component: component.name.clone(),
            kind: component.kind.word().into(),
            rule: rule.under(assumptions.rules),
            volts,
        };
        match &component.kind {
            ComponentKind::Disconnect(_) | ComponentKind::Breaker(_) | ComponentKind::Switch(_) => {
                match poles::dc_volts(component) {
                    Ok(volts) => ratings.push(named(volts, VOLTS_RULE)),
                    Err(judged) => {
                        without.push((component.name.clone(), component.kind.word().into(), judged));
                    }
                }
            }
            ComponentKind::Controller { .. } => match component.max_v {
                Some(volts) => ratings.push(named(volts.0, CONTROLLER_RULE)),
                None => {
                    if let Err(judged) = poles::dc_volts(component) {
                        without.push((component.name.clone(), component.kind.word().into(), judged));
                    }
                }
            },
            ComponentKind::Connector | ComponentKind::Cable { .. } | ComponentKind::Fuse => {
                if let Some(volts) = component.max_v {
                    ratings.push(named(volts.0, VOLTS_RULE));
                }
            }
        }
    }
    let mut panels: Vec<(&str, f64)> = Vec::new();
    for label in array.groups.iter().flat_map(|group| &group.modules) {
        if let Some(volts) = label.max_system
            && !panels.iter().any(|(id, _)| *id == label.id)
        {
            panels.push((&label.id, volts.0));
        }
    }
    for (id, volts) in panels {
        ratings.push(VoltageRating {
            component: id.into(),
            kind: "module".into(),
            rule: SYSTEM_RULE.under(assumptions.rules),
            volts,
        });
    }
    if let Some(volts) = assumptions.touch_limit {
        ratings.push(VoltageRating {
            component: "touch voltage".into(),
            kind: "touch".into(),
            rule: TOUCH_RULE.into(),
            volts: volts.0,
        });
    }
    (ratings, without)
}

/// All lines of an array, in the order of the plan's components, each component's lines together. `seen.over` begins
/// with the counts over `ratings`, in their order.
#[must_use]
pub fn all(
    at: &ArrayAt<'_>,
    array: &Array,
    ratings: &[VoltageRating],
    without: &[(String, String, RuleJudgement)],
) -> Vec<LimitLine> {
    let mut lines: Vec<_> =
        ratings.iter().zip(&at.seen.over).map(|(rating, over)| voltage_line(at, rating, over)).collect();
    lines.extend(
        without.iter().map(|(name, kind, judged)| amps::rule_line(name, kind, judged, at.assumptions.rules)),
    );
    lines.extend(other_lines(array, at.assumptions));
    sort_by_component(&mut lines, array);
    lines
}

/// The lines of an array by the code sum alone, at one air temperature, without weather.
#[must_use]
pub fn code_alone(array: &Array, assumptions: &Assumptions, air: Celsius) -> Vec<LimitLine> {
    let groups: Vec<ReadyGroup<'_>> =
        array.groups.iter().map(|group| ReadyGroup::new(group, assumptions.sky_cooling_k)).collect();
    let code = figures::code_sum(&groups, air).map(|sum| sum.volts.0);
    let decide = VoltageFigures { code, ..VoltageFigures::default() };
    let (ratings, without) = voltage_ratings(array, assumptions);
    let mut lines: Vec<LimitLine> =
        ratings.iter().map(|rating| volts::code_line(rating, &decide, &groups, air)).collect();
    lines.extend(
        without.iter().map(|(name, kind, judged)| amps::rule_line(name, kind, judged, assumptions.rules)),
    );
    lines.extend(other_lines(array, assumptions));
    sort_by_component(&mut lines, array);
    lines
}

/// Lines in the order of the plan's components; what is no component (panels, touch voltage) last.
pub fn sort_by_component(lines: &mut [LimitLine], array: &Array) {
    let place = |name: &str| {
        array.components.iter().position(|component| component.name == name).unwrap_or(usize::MAX)
    };
    lines.sort_by_key(|line| place(&line.component));
}
