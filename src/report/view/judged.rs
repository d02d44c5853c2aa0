//! One line per limit over all stops, and which of them decides.

use crate::limits::{DecidedBy, Verdict};
use crate::study::results::{ArrayAtStop, Assessment, LimitLine, StopResult};
use crate::study::{counted, decisive};
use std::cmp::Ordering;

/// A limit with the stop and array where it was judged.
#[derive(Clone, Copy)]
pub(crate) struct Judged<'a> {
    /// Index of the stop.
    pub stop_index: usize,
    /// The stop.
    pub stop: &'a StopResult,
    /// The array there.
    pub array: &'a ArrayAtStop,
    /// The limit there.
    pub limit: &'a LimitLine,
}

impl Judged<'_> {
    /// Whether the limit rests on labels alone, so that it comes to the same wherever the vehicle stands.
    pub fn is_everywhere(&self) -> bool {
        self.limit.unit != "V"
    }

    fn order(&self, other: &Self) -> Ordering {
        worse_first(self.limit, other.limit)
    }
}

/// The worse verdict first, then the smaller margin; a tie keeps the order of the plan.
fn worse_first(one: &LimitLine, other: &LimitLine) -> Ordering {
    let margin = |limit: &LimitLine| limit.margin_percent.unwrap_or(f64::INFINITY);
    let severity = counting_verdict(other).severity().cmp(&counting_verdict(one).severity());
    severity.then(margin(one).total_cmp(&margin(other)))
}

/// Every limit of every array at every stop, in the order of the plan.
pub(crate) fn all_limits(assessment: &Assessment) -> impl Iterator<Item = Judged<'_>> {
    assessment.stops.iter().enumerate().flat_map(|(stop_index, stop)| {
        stop.arrays.iter().flat_map(move |array| {
            array.limits.iter().map(move |limit| Judged { stop_index, stop, array, limit })
        })
    })
}

/// One line a limit: at the stop where it fares worst. In the order of the plan.
pub(crate) fn worst_of_each(assessment: &Assessment) -> Vec<Judged<'_>> {
    let mut lines: Vec<Judged<'_>> = Vec::new();
    for judged in all_limits(assessment) {
        let same = lines.iter_mut().find(|line| {
            line.array.name == judged.array.name
                && line.limit.component == judged.limit.component
                && line.limit.kind == judged.limit.kind
                && line.limit.rule == judged.limit.rule
        });
        match same {
            Some(line) => {
                if judged.order(line) == Ordering::Less {
                    *line = judged;
                }
            }
            None => lines.push(judged),
        }
    }
    lines
}

/// The limit that decides the whole analysis.
pub(crate) fn decider(assessment: &Assessment) -> Option<Judged<'_>> {
    let (stop_index, array, limit) = decisive(assessment)?;
    let stop = &assessment.stops[stop_index];
    let array = &stop.arrays[array];
    Some(Judged { stop_index, stop, array, limit: &array.limits[limit] })
}

/// The other stops, in their order, at which the limit that decides is broken too.
pub(crate) fn broken_too<'a>(assessment: &'a Assessment, decider: &Judged<'_>) -> Vec<&'a str> {
    let is_broken =
        |limit: &LimitLine| matches!(counting_verdict(limit), Verdict::Exceeded | Verdict::NotMet);
    let others = all_limits(assessment).filter(|other| {
        other.stop_index != decider.stop_index
            && other.array.name == decider.array.name
            && other.limit.component == decider.limit.component
            && other.limit.kind == decider.limit.kind
            && other.limit.rule == decider.limit.rule
    });
    others.filter(|other| is_broken(other.limit)).map(|other| other.stop.place.as_str()).collect()
}

/// Of the limits in volts the one with the least room.
pub(crate) fn tightest_volts(assessment: &Assessment) -> Option<Judged<'_>> {
    let judged =
        all_limits(assessment).filter(|judged| judged.limit.unit == "V" && judged.limit.rating.is_some());
    judged.min_by(Judged::order)
}

/// The stop whose charts lead for an array: where its limit in volts with the least room has it, so that they show the place
/// that the answer names.
pub(crate) fn leading_stop(assessment: &Assessment, array: &str) -> Option<usize> {
    let decides = decider(assessment).filter(|judged| judged.array.name == array && judged.limit.unit == "V");
    let own = all_limits(assessment).filter(|judged| {
        judged.array.name == array && judged.limit.unit == "V" && judged.limit.rating.is_some()
    });
    let tightest = decides.or_else(|| own.min_by(Judged::order));
    tightest.map(|judged| judged.stop_index).or_else(|| coldest_stop(assessment, array))
}

/// The stop whose voltages are highest for an array: by the worst case, else sudden sun, else the code sum.
fn coldest_stop(assessment: &Assessment, array: &str) -> Option<usize> {
    let volts = |stop: &StopResult| {
        let at = stop.arrays.iter().find(|candidate| candidate.name == array)?;
        at.voltage_v.worst_case.max.or(at.voltage_v.sudden_sun.max).or(at.voltage_v.code)
    };
    let mut best: Option<(usize, f64)> = None;
    for (index, stop) in assessment.stops.iter().enumerate() {
        if let Some(volts) = volts(stop)
            && best.is_none_or(|(_, most)| volts > most)
        {
            best = Some((index, volts));
        }
    }
    best.map(|(index, _)| index)
}

/// Ratings in volts of an array's limits at a stop: component and rating, each pair once.
pub(crate) fn volt_ratings(array: &ArrayAtStop) -> Vec<(&str, f64)> {
    let mut ratings: Vec<(&str, f64)> = Vec::new();
    for limit in array.limits.iter().filter(|limit| limit.unit == "V") {
        if let Some(rating) = limit.rating
            && !ratings.contains(&(limit.component.as_str(), rating))
        {
            ratings.push((&limit.component, rating));
        }
    }
    ratings
}

/// The figure of the array's worst limit in volts at a stop, and who decided it.
pub(crate) fn volts_decider(array: &ArrayAtStop) -> Option<(f64, DecidedBy)> {
    let in_volts = array.limits.iter().filter(|limit| limit.unit == "V" && limit.rating.is_some());
    let worst = in_volts.min_by(|a, b| worse_first(a, b))?;
    Some((worst.worst?, worst.decided_by?))
}

/// The verdict that counts: the worse of the dated and the whole-year one.
pub(crate) fn counting_verdict(limit: &LimitLine) -> Verdict {
    counted(limit)
}
