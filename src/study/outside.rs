//! What lies outside the worst case, in volts, and whether it would pass a rating that the figures leave standing: a cloud's
//! edge, a parking slope, a module still soaked with the night's cold. No verdict rests on it.

use crate::limits::Verdict;
use crate::study::beside::BASIN_K;
use crate::study::counted;
use crate::study::results::{Assessment, FourVoltages, LimitLine};
use crate::units::at_least;

/// What lies outside, before what it comes to.
pub(super) const WHAT_LIES_OUTSIDE: &str = "Outside these figures lie a bright cloud's edge, a parking slope and a module \
                                            as cold as the hours before, about 1 % each:";

/// The volts outside, and what the worst case comes to with them.
#[derive(Clone, Copy, Debug)]
pub(super) struct Outside {
    /// All parts together, V.
    pub adds_v: f64,
    /// The worst case, seen or expected, and the parts, V.
    pub reaches_v: f64,
}

/// `None` without weather.
pub(super) fn outside(four: &FourVoltages) -> Option<Outside> {
    let seen = four.worst_case.max?;
    let worst =
        four.worst_case.predictive_level.or(four.allowance).map_or(seen, |expected| expected.max(seen));
    let adds_v: f64 = four.not_held.iter().map(|part| part.volts).sum();
    (adds_v > 0.0).then_some(Outside { adds_v, reaches_v: worst + adds_v })
}

/// What the worst case, seen or expected, comes to with all that lies outside it, V; `None` without weather.
#[must_use]
pub fn reach_outside_v(four: &FourVoltages) -> Option<f64> {
    outside(four).map(|outside| outside.reaches_v)
}

/// Whether a limit in volts simply holds, and what lies outside would pass it.
pub(super) fn is_short(line: &LimitLine, four: &FourVoltages) -> bool {
    let passes = |rating: f64| outside(four).is_some_and(|outside| outside.reaches_v > rating);
    line.unit == "V" && counted(line) == Verdict::Within && line.rating.is_some_and(passes)
}

/// A limit in volts that holds by little, with what lies outside at the stop where that reaches highest.
struct Narrow<'a> {
    component: &'a str,
    place: &'a str,
    rating: f64,
    outside: Outside,
    basin_v: f64,
}

/// What lies outside the figures, where a limit in volts is close or has less room than that; `None` where none is.
#[must_use]
pub fn outside_in_words(assessment: &Assessment) -> Option<String> {
    let mut narrow: Vec<Narrow<'_>> = Vec::new();
    for stop in &assessment.stops {
        for array in &stop.arrays {
            let Some(outside) = outside(&array.voltage_v) else { continue };
            for line in &array.limits {
                let is_close = line.unit == "V" && counted(line) == Verdict::Close;
                let (Some(rating), true) = (line.rating, is_close || is_short(line, &array.voltage_v)) else {
                    continue;
                };
                let basin_v = array.voltage_v.code_volts_per_k.unwrap_or(0.0) * BASIN_K;
                let this =
                    Narrow { component: &line.component, place: &stop.place, rating, outside, basin_v };
                let same =
                    |other: &&mut Narrow<'_>| other.component == this.component && other.rating == rating;
                match narrow.iter_mut().find(same) {
                    Some(other) if other.outside.reaches_v >= outside.reaches_v => {}
                    Some(other) => *other = this,
                    None => narrow.push(this),
                }
            }
        }
    }
    let several = assessment.stops.len() > 1;
    let mut clauses: Vec<String> = Vec::new();
    let mut told: Option<(&str, f64)> = None;
    for one in &narrow {
        let Outside { adds_v, reaches_v } = one.outside;
        let reach = format!("{:.1} V", at_least(reaches_v));
        let word = match one.rating {
            rating if reaches_v > rating => "which passes",
            // As printed: 60.0 V are not below 60 V.
            rating if at_least(reaches_v) >= rating => "which reaches",
            _ => "still below",
        };
        let against = format!("{word} the {} V of {}", one.rating, one.component);
        if told == Some((one.place, reaches_v)) {
            clauses.push(format!("and {}", against.trim_start_matches("which ")));
            continue;
        }
        told = Some((one.place, reaches_v));
        let place = if several { format!(" at {}", one.place) } else { String::new() };
        clauses.push(format!(
            "together {:.1} V above the worst case{place}: {reach}, {against}",
            at_least(adds_v)
        ));
    }
    let basin_v = narrow.iter().map(|one| one.basin_v).fold(0.0, f64::max);
    let basin = if basin_v > 0.0 {
        format!(" A closed basin, {BASIN_K:.0} K colder, would add {:.1} V more.", at_least(basin_v))
    } else {
        String::new()
    };
    (!clauses.is_empty())
        .then(|| format!("{WHAT_LIES_OUTSIDE} {}.{basin}", clauses.join("; ").replace("; and ", " and ")))
}
