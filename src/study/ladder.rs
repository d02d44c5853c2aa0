//! The ladder of series counts for the report: the question of `series` about the arrays of a plan as they are.

use crate::array::{Array, Component, ComponentKind};
use crate::limits::Verdict;
use crate::study::counted;
use crate::study::pictures::{Ladder, Rung};
use crate::study::series::{Counts, SeriesOption, Starving};

/// The counts of each array, to be looked at stop by stop; `None` where there is no ladder: strings of unlike panels.
pub(super) fn begin(arrays: &[&Array]) -> Vec<Option<Counts>> {
    arrays.iter().map(|array| Counts::as_planned(array).ok()).collect()
}

/// The ladder of an array after all stops.
pub(super) fn ladder(array: &Array, counts: Counts) -> Option<Ladder> {
    let options = counts.trimmed();
    let planned = array.groups.iter().map(|group| group.modules.len()).max()?;
    // The picture shows the controller that the plan names, not one that is assumed to tell what starves.
    let is_controller = |part: &Component| matches!(part.kind, ComponentKind::Controller { .. });
    let named = array.components.iter().any(is_controller);
    let mut rungs: Vec<Rung> = Vec::new();
    for option in &options {
        // Strings in parallel share their volts.
        if rungs.iter().all(|rung| rung.in_series != option.in_series) {
            rungs.push(Rung {
                too_small_in_amps: too_small_in_amps(&options, option.in_series),
                ..rung(option, planned, named)
            });
        }
    }
    let first = options.first()?;
    let of_named = |volts: Option<f64>| volts.filter(|_| named);
    Some(Ladder { start_v: of_named(first.start_v), run_v: of_named(first.run_v), rungs })
}

/// What its amps pass, with as many strings of so many as the panels make.
fn too_small_in_amps(options: &[SeriesOption], in_series: usize) -> Vec<String> {
    let same = options.iter().filter(|option| option.in_series == in_series);
    let Some(full) = same.max_by_key(|option| option.in_parallel) else { return Vec::new() };
    let mut names: Vec<String> = Vec::new();
    for line in full.limits.iter().filter(|line| line.unit == "A" && counted(line) == Verdict::Exceeded) {
        if !names.contains(&line.component) {
            names.push(line.component.clone());
        }
    }
    names
}

fn rung(option: &SeriesOption, planned: usize, controller_is_named: bool) -> Rung {
    let volts = option.limits.iter().filter(|line| line.unit == "V").map(counted);
    Rung {
        in_series: option.in_series,
        is_planned: option.in_series == planned,
        hot_v: option.hot_vmp_v,
        cold_v: option.decide_v,
        too_small_in_amps: Vec::new(),
        verdict: volts.reduce(Verdict::or_worse),
        starving: option.starving.filter(|_| controller_is_named).map(Starving::word),
    }
}
