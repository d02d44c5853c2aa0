//! For what volts to buy: one figure for all devices of an array, above every figure of this analysis and what lies outside it.

use crate::limits::Verdict;
use crate::limits::mistakes::MADE_TO_BREAK_DC;
use crate::study::classes::{class_condition, class_that_holds};
use crate::study::needed::VoltsNeeded;
use crate::study::outside::{is_short, outside};
use crate::study::planned::Planned;
use crate::study::results::{ArrayFacts, Assessment, CodeBasis, LimitLine};
use crate::study::summary::counted;

/// The volts by which an array's devices are bought.
#[derive(Clone, Debug, PartialEq)]
pub struct VoltsToBuy {
    /// The smallest class that is sold, V; `None` where none is that large.
    pub class_v: Option<f64>,
    /// The largest figure that decides, V.
    pub decides_v: f64,
    /// The worst case with what lies outside it, V, where that is larger.
    pub reaches_v: Option<f64>,
    /// The code sum by the table of factors, V, where that is larger than all others.
    pub table_v: Option<f64>,
    /// What is to be bought for them: names of the plan's parts, or the kind of one that it lacks.
    pub parts: Vec<String>,
    /// What has to stand on such a switch or breaker besides, where the class is a battery system's name too.
    pub only_if: Option<&'static str>,
}

/// Kinds that are sold in the classes of dc devices.
const DEVICES: [&str; 4] = ["disconnect", "breaker", "switch", "controller"];

/// `None` where no device has to be bought for its volts, or where buying would not do.
#[must_use]
pub fn volts_to_buy(assessment: &Assessment, facts: &ArrayFacts) -> Option<VoltsToBuy> {
    let at_stops = || {
        let all = assessment.stops.iter().flat_map(|stop| &stop.arrays);
        all.filter(|at| at.name == facts.name)
    };
    let alone = facts.code_alone.as_ref();
    let needed = match VoltsNeeded::at(&assessment.stops, &facts.name, |_| true) {
        needed if needed.largest().is_some() => needed,
        _ => VoltsNeeded::of_sum(Some(alone?.code), None),
    };
    let decides_v = needed.largest()?;
    let lines = || {
        let alone = alone.into_iter().flat_map(|alone| &alone.limits);
        at_stops().flat_map(|at| &at.limits).chain(alone).filter(|line| line.unit == "V")
    };
    let is_exceeded = |line: &&LimitLine| counted(line) == Verdict::Exceeded;
    // A panel's own volts, or those that may be touched, are not raised by a larger device.
    if lines().any(|line| matches!(line.kind.as_str(), "module" | "touch") && is_exceeded(&line)) {
        return None;
    }
    let is_device = |line: &&LimitLine| DEVICES.contains(&line.kind.as_str());
    let lacking = || {
        let needs = facts.needs.components.iter();
        needs.filter(|need| need.in_plan == Planned::Needed && DEVICES.contains(&need.component.as_str()))
    };
    let mut parts: Vec<String> = Vec::new();
    let broken = lines().filter(is_device).filter(is_exceeded);
    broken.for_each(|line| add_once(&mut parts, &line.component));
    lacking().for_each(|need| add_once(&mut parts, &format!("a {}", need.component)));
    if parts.is_empty() {
        return None;
    }
    // What only just holds is bought for the same volts, if it is bought.
    for at in at_stops() {
        let little = |line: &&LimitLine| counted(line) == Verdict::Close || is_short(line, &at.voltage_v);
        let own = at.limits.iter().filter(|line| line.unit == "V").filter(is_device).filter(little);
        own.for_each(|line| add_once(&mut parts, &line.component));
    }
    let reaches_v = at_stops().filter_map(|at| Some(outside(&at.voltage_v)?.reaches_v)).reduce(f64::max);
    let reaches_v = reaches_v.filter(|&volts| volts > decides_v);
    let table_v = at_stops()
        .filter(|at| at.voltage_v.code_basis != Some(CodeBasis::Table))
        .filter_map(|at| at.voltage_v.table)
        .reduce(f64::max)
        .filter(|&volts| volts > reaches_v.unwrap_or(decides_v));
    let top = table_v.or(reaches_v).unwrap_or(decides_v);
    let class_v = class_that_holds("controller", &needed, top);
    let is_opening = |kind: &str| class_v.is_some_and(|class_v| !class_condition(kind, class_v).is_empty());
    let opens = lines().filter(is_device).filter(is_exceeded).any(|line| is_opening(&line.kind))
        || lacking().any(|need| is_opening(&need.component));
    Some(VoltsToBuy {
        class_v,
        decides_v,
        reaches_v,
        table_v,
        parts,
        only_if: opens.then_some(MADE_TO_BREAK_DC),
    })
}

fn add_once(parts: &mut Vec<String>, name: &str) {
    if !parts.iter().any(|part| part == name) {
        parts.push(name.to_owned());
    }
}
