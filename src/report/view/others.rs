//! The ways beside the plan as it is: other dates, and the same panels in another arrangement.

use super::{decider, sentence};
use crate::study::results::{ArrayFacts, Assessment};

/// What other dates do at the stop that decides, in a sentence with its place; `None` where no dates break a limit in volts.
pub(crate) fn other_dates(assessment: &Assessment) -> Option<String> {
    let text = assessment.other_dates.as_deref()?;
    let place = &decider(assessment)?.stop.place;
    Some(match assessment.stops.len() {
        1 => sentence(text),
        _ => format!("At {place} {}", text.trim_end_matches('.')) + ".",
    })
}

/// That the parts listed are for the wiring as planned, and where the list of the other way stands; `None` without another way.
pub(crate) fn other_way(assessment: &Assessment, facts: &ArrayFacts) -> Option<String> {
    let in_series = in_series(assessment, facts)?;
    Some(format!(
        "This list is for the wiring as planned; the other way, {in_series} in series, has its own under what to change."
    ))
}

/// "the other way, 1 in series, has its own under what to change", beside a list of parts.
pub(crate) fn other_way_in_short(assessment: &Assessment, facts: &ArrayFacts) -> Option<String> {
    let in_series = in_series(assessment, facts)?;
    Some(format!("the other way, {in_series} in series, has its own under what to change"))
}

fn in_series(assessment: &Assessment, facts: &ArrayFacts) -> Option<usize> {
    assessment.other_ways.iter().find(|way| way.array == facts.name).map(|way| way.in_series)
}
