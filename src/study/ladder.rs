//! The ladder of series counts for the report: `series` asked about the arrays of a plan as they are.

use crate::array::Array;
use crate::limits::Verdict;
use crate::plan::Plan;
use crate::study::assess::Choice;
use crate::study::counted;
use crate::study::pictures::{Ladder, Rung};
use crate::study::series::{SeriesAsk, SeriesOption, series};

/// The ladder of each array, in their order; `None` where there is none, as for strings of unlike panels.
pub(super) fn ladders(plan: &Plan, choice: &Choice, arrays: &[&Array]) -> Vec<Option<Ladder>> {
    arrays.iter().map(|array| ladder(plan, choice, array)).collect()
}

fn ladder(plan: &Plan, choice: &Choice, array: &Array) -> Option<Ladder> {
    let choice = Choice { array: Some(array.name.clone()), ..choice.clone() };
    // What stands in the way of weather is said by the assessment; unlike panels have no ladder.
    let result = series(plan, &choice, &SeriesAsk::default()).ok()?;
    let planned = array.groups.iter().map(|group| group.modules.len()).max()?;
    let mut rungs: Vec<Rung> = Vec::new();
    for option in &result.options {
        // Strings in parallel share their volts.
        if rungs.iter().all(|rung| rung.in_series != option.in_series) {
            rungs.push(rung(option, planned));
        }
    }
    let first = result.options.first()?;
    Some(Ladder { start_v: first.start_v, run_v: first.run_v, rungs })
}

fn rung(option: &SeriesOption, planned: usize) -> Rung {
    let volts = option.limits.iter().filter(|line| line.unit == "V").map(counted);
    Rung {
        in_series: option.in_series,
        is_planned: option.in_series == planned,
        hot_v: option.hot_vmp_v,
        cold_v: option.decide_v,
        verdict: volts.reduce(Verdict::or_worse),
    }
}
