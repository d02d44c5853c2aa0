//! Whether the plan's own parts serve what an array needs, row by row.

use crate::limits::Verdict;
use crate::report::show;
use crate::report::view::{self, Need};
use crate::study::pictures::ComponentFacts;
use crate::study::results::{ArrayFacts, Assessment, ComponentNeed, LimitLine};
use crate::study::{serves, to_buy};

/// What stands where a class to buy would, when there is nothing to buy.
const NOTHING_TO_BUY: &str = "the plan's holds";
/// The word of a part that was judged in volts and in amps and holds both with room.
const HOLDS: &str = "holds";

/// The word of a device that holds both, and does not protect the cable behind it.
const RATINGS_HOLD: &str = "its ratings hold";

/// "roof disconnect: too small in volts", "roof cable: holds", "no: needed".
pub(crate) fn served(assessment: &Assessment, facts: &ArrayFacts, need: &Need<'_>) -> String {
    let own: Vec<String> = parts(assessment, facts, need)
        .map(|(part, word)| format!("{}: {word}", view::shown_name(assessment, &facts.name, &part.name)))
        .collect();
    if own.is_empty() { need.in_plan.to_owned() } else { own.join("; ") }
}

/// The class to buy; where every part that the plan has for it was judged whole and holds, that none is to be bought.
pub(crate) fn class_to_buy(assessment: &Assessment, facts: &ArrayFacts, need: &Need<'_>) -> String {
    let own = parts(assessment, facts, need);
    let words: Vec<String> = own.map(|(_, word)| word).collect();
    if !words.is_empty() && words.iter().all(|word| word == HOLDS) {
        return NOTHING_TO_BUY.to_owned();
    }
    if !words.is_empty() && words.iter().all(|word| word == HOLDS || word == RATINGS_HOLD) {
        return RATINGS_HOLD.to_owned();
    }
    // One figure for what is to be bought, here and in the first lines.
    let row = facts.needs.components.iter().find(|one| one.component == need.component);
    match row.and_then(|one| Some((one, class_v_to_buy(assessment, facts, one)?))) {
        Some((one, class_v)) => {
            let amps = one.next_class_a.map(|class_a| show::rating(class_a, "A"));
            let both: Vec<String> = std::iter::once(show::rating(class_v, "V")).chain(amps).collect();
            both.join(", ")
        }
        None => need.class.clone(),
    }
}

/// The class of volts to buy for a row of the needs, V: where something is to be bought one that holds what lies outside the
/// figures too.
pub(super) fn class_v_to_buy(
    assessment: &Assessment,
    facts: &ArrayFacts,
    need: &ComponentNeed,
) -> Option<f64> {
    match to_buy(assessment, facts) {
        Some(buy) if is_of_devices(&need.component) => buy.device_v,
        Some(buy) => buy.wiring_v,
        None => need.next_class_v,
    }
}

/// Whether a row is of parts that are sold in the classes of dc devices.
fn is_of_devices(row: &str) -> bool {
    row.starts_with("disconnect") || row.starts_with("breaker") || row == "controller"
}

/// The plan's parts for a row of the needs, each with what its limits come to.
fn parts<'a>(
    assessment: &'a Assessment,
    facts: &'a ArrayFacts,
    need: &'a Need<'_>,
) -> impl Iterator<Item = (&'a ComponentFacts, String)> {
    let own = facts.wiring.components.iter();
    own.filter(|part| serves(&part.kind, &part.name, part.carries, need.component, facts.strings)).map(
        |part| {
            let word = word(&limits(assessment, facts, part));
            let is_unprotecting = facts.unprotected.iter().any(|found| found.device == part.name);
            (part, if is_unprotecting && word == HOLDS { RATINGS_HOLD.to_owned() } else { word })
        },
    )
}

/// The limits of a part: at every stop, or by the code sum alone.
fn limits<'a>(
    assessment: &'a Assessment,
    facts: &'a ArrayFacts,
    part: &ComponentFacts,
) -> Vec<&'a LimitLine> {
    let at_stops = view::all_limits(assessment)
        .filter(|judged| judged.array.name == facts.name)
        .map(|judged| judged.limit);
    let alone = facts.code_alone.iter().flat_map(|alone| &alone.limits);
    at_stops.chain(alone).filter(|limit| limit.component == part.name && limit.kind == part.kind).collect()
}

/// What the limits of a part come to; what was not held against anything is not called good.
fn word(limits: &[&LimitLine]) -> String {
    let worst = |unit: &str| {
        let same = limits.iter().filter(|limit| limit.unit == unit && limit.rating.is_some());
        same.map(|limit| view::counting_verdict(limit)).max_by_key(|verdict| verdict.severity())
    };
    let (volts, amps) = (worst("V"), worst("A"));
    let over = |verdict: Option<Verdict>| verdict == Some(Verdict::Exceeded);
    let is_unmet = limits.iter().any(|limit| view::counting_verdict(limit) == Verdict::NotMet);
    let mut faults: Vec<&str> = Vec::new();
    match (over(volts), over(amps)) {
        (true, true) => faults.push("too small in volts and amps"),
        (true, false) => faults.push("too small in volts"),
        (false, true) => faults.push("too small in amps"),
        (false, false) => {}
    }
    if is_unmet {
        faults.push("does not meet a rule");
    }
    let judged = |verdict: Option<Verdict>| verdict.is_some_and(|verdict| verdict != Verdict::NotAssessed);
    let open = match (judged(volts), judged(amps)) {
        (true, true) => None,
        (true, false) => Some("amps not judged"),
        (false, true) => Some("volts not judged"),
        (false, false) => Some("not judged"),
    };
    if faults.is_empty() && (judged(volts) || judged(amps)) {
        let close = [volts, amps].contains(&Some(Verdict::Close));
        faults.push(if close { "holds by little" } else { HOLDS });
    }
    faults.extend(open);
    faults.join(", ")
}
