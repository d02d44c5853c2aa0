//! The four voltages of an array at a stop, and the figures that decide its limits.

use crate::assumptions::Assumptions;
use crate::extreme::{self, Side};
use crate::hourly::{Block, PeakMoment, ReadyGroup, Seen, Spot, Voltage};
use crate::limits::voltage::{ALLOWANCE_K, LEVEL_SEASONS, VoltageFigures};
use crate::module::{self, CodeSum, StringCurve};
use crate::study::OpenStop;
use crate::study::results::{FourVoltages, NotHeld, Peak};
use crate::study::temperatures::{LEVEL_WINTERS, counted_values};
use crate::units::{Celsius, Volts, at_least};

/// Full sun of a label, W/m2.
pub const FULL_SUN_W_M2: f64 = 1000.0;
/// Kelvin below the lowest air of the record at which a rating that still holds is out of reach.
const OUT_OF_REACH_K: f64 = 15.0;
/// Cells below which no temperature is printed, C: some 10 K below the lowest air ever read on earth, -89.2 C at Vostok
/// (from memory), as deep as night cooling goes.
pub const COLDEST_C: f64 = -100.0;

/// What the weather and the label together say about one array.
#[derive(Clone, Debug)]
pub struct ArrayFigures {
    /// The four voltages as printed.
    pub voltage: FourVoltages,
    /// The figures that decide.
    pub decide: VoltageFigures,
    /// Complete voltage seasons (or windows).
    pub complete: usize,
}

/// The code sum of the highest string.
#[must_use]
pub fn code_sum(groups: &[ReadyGroup<'_>], air: Celsius) -> Option<CodeSum> {
    groups
        .iter()
        .map(|ready| module::code_sum(&ready.group.modules, air))
        .max_by(|a, b| a.volts.0.total_cmp(&b.volts.0))
}

/// Puts the figures together.
#[must_use]
pub fn figures(
    open: &OpenStop<'_>,
    groups: &[ReadyGroup<'_>],
    seen: &Seen,
    code_temperature: (Option<Celsius>, String),
    window_low: Option<f64>,
    assumptions: &Assumptions,
) -> ArrayFigures {
    let complete = seen.blocks.iter().filter(|block| block.complete).count();
    let (code_air, code_from) = code_temperature;
    let code = code_air.and_then(|air| code_sum(groups, air));
    let worst = seen.peak.worst_case;
    let decide = VoltageFigures {
        code: code.as_ref().map(|sum| sum.volts.0),
        ..weather_figures(
            groups,
            worst.map(|peak| peak.spot),
            &block_maxima(seen, Voltage::WorstCase),
            complete,
            assumptions,
        )
    };
    let (level, allowance) = (decide.level, decide.allowance);
    let voltage = FourVoltages {
        code: decide.code,
        code_temperature_c: code_air.map(|air| air.0),
        code_temperature_from: code_from,
        code_volts_per_k: code_air.and_then(|air| {
            // Over ten kelvin, since the table moves by rows.
            let colder = code_sum(groups, air.colder_by(10.0))?.volts.0;
            Some((colder - code.as_ref()?.volts.0) / 10.0)
        }),
        allowance,
        decides: how_it_decides(&decide, &block_maxima(seen, Voltage::WorstCase), assumptions),
        code_basis: code.as_ref().map(|sum| sum.basis),
        table: code.as_ref().and_then(|sum| sum.table).map(|volts| volts.0),
        window_code: window_low.and_then(|low| code_sum(groups, Celsius(low))).map(|sum| sum.volts.0),
        steady: Peak {
            level_20_year: None,
            level_50_year: None,
            standard_errors: None,
            bounds_90: None,
            ..peak(open, seen, Voltage::Steady, complete)
        },
        sudden_sun: peak(open, seen, Voltage::SuddenSun, complete),
        worst_case: Peak { predictive_level: level, ..peak(open, seen, Voltage::WorstCase, complete) },
        not_held: worst.map(|peak| not_held(groups, &peak)).unwrap_or_default(),
    };
    ArrayFigures { voltage, decide, complete }
}

/// The figures of the weather: the largest worst case found, and from 5 complete blocks on its level, else the allowance.
/// `maxima`: of each block, with whether it is complete; `complete`: how many blocks are.
#[must_use]
pub fn weather_figures(
    groups: &[ReadyGroup<'_>],
    worst: Option<Spot>,
    maxima: &[(f64, bool)],
    complete: usize,
    assumptions: &Assumptions,
) -> VoltageFigures {
    let level = (complete >= LEVEL_SEASONS)
        .then(|| {
            let moments = extreme::moments(&counted_values(maxima, Side::High))?;
            extreme::predictive(&moments, assumptions.return_years, Side::High)
        })
        .flatten();
    let allowance = match (level, worst) {
        (None, Some(spot)) => raised(groups, spot),
        _ => None,
    };
    VoltageFigures { code: None, seen: worst.map(|spot| spot.volts), level, allowance }
}

/// The level, or the allowance in its place, as a sum that can be redone.
fn how_it_decides(
    decide: &VoltageFigures,
    maxima: &[(f64, bool)],
    assumptions: &Assumptions,
) -> Option<String> {
    if let Some(allowance) = decide.allowance {
        return Some(format!(
            "{allowance:.2} V: the worst hour's string at the same light in cells {ALLOWANCE_K:.0} K colder, because the record \
             is short or typical"
        ));
    }
    let level = decide.level?;
    let moments = extreme::moments(&counted_values(maxima, Side::High))?;
    let factor = extreme::predictive_factor(moments.n, assumptions.return_years)?;
    Some(format!(
        "{level:.2} V: the largest worst cases of {} seasons or stays have the mean {:.2} V and the standard deviation {:.3} V, \
         and {:.2} + {factor:.3} x {:.3} is what the next one passes with a chance of 1 in {:.0}",
        moments.n, moments.mean, moments.sd, moments.mean, moments.sd, assumptions.return_years
    ))
}

/// The largest of each block, with whether it is complete.
pub(super) fn block_maxima(seen: &Seen, voltage: Voltage) -> Vec<(f64, bool)> {
    let peak = |block: &Block| Some((block.peak.of(voltage).as_ref()?.spot.volts, block.complete));
    seen.blocks.iter().filter_map(peak).collect()
}

fn peak(open: &OpenStop<'_>, seen: &Seen, voltage: Voltage, complete: usize) -> Peak {
    let moments = extreme::moments(&counted_values(&block_maxima(seen, voltage), Side::High))
        .filter(|_| complete >= LEVEL_WINTERS);
    let level = |years| moments.and_then(|moments| extreme::level(&moments, years, Side::High));
    let (level_20, level_50) = (level(20.0), level(50.0));
    let both = level_20.zip(level_50);
    let best = seen.peak.of(voltage);
    Peak {
        max: best.map(|peak| peak.spot.volts),
        at: best.map(|peak| peak.start),
        cell_c: best.map(|peak| peak.spot.cell_c),
        irradiance_w_m2: best.map(|peak| peak.spot.irradiance_w_m2),
        level_20_year: level_20.map(|level| level.value),
        level_50_year: level_50.map(|level| level.value),
        standard_errors: both.map(|(a, b)| [a.standard_error, b.standard_error]),
        bounds_90: both.map(|(a, b)| [a.bound_90, b.bound_90]),
        predictive_level: None,
        source: best.map(|peak| open.opened.locate(peak.origin)),
        within_2_percent_s: None,
    }
}

/// The largest worst case, raised by the volts of 10 K colder air at the same light.
fn raised(groups: &[ReadyGroup<'_>], worst: Spot) -> Option<f64> {
    let colder = Celsius(worst.cell_c).colder_by(ALLOWANCE_K);
    highest(groups, |ready| ready.worst.volts(worst.irradiance_w_m2, colder))
}

/// The largest value of a function of the groups' curves.
pub fn highest(groups: &[ReadyGroup<'_>], volts: impl Fn(&ReadyGroup<'_>) -> Option<Volts>) -> Option<f64> {
    groups.iter().filter_map(volts).map(|volts| volts.0).max_by(f64::total_cmp)
}

/// What the worst case leaves out, each in volts at the worst moment: half as much light again at a cloud's edge;
/// the larger of the gains of a parking slope that turns a flat roof ten degrees to the sun; a module as cold as the
/// night's lowest air, taken as 3 K. Orders of magnitude, printed beside the bound and not added to it.
fn not_held(groups: &[ReadyGroup<'_>], peak: &PeakMoment) -> Vec<NotHeld> {
    const CLOUD_EDGE: f64 = 1.5;
    const SLOPE_GAIN: f64 = 1.3;
    const SOAKED_K: f64 = 3.0;
    let spot = peak.spot;
    let cell = Celsius(spot.cell_c);
    let more = |what: &str, irradiance: f64, cell: Celsius| {
        highest(groups, |ready| ready.worst.volts(irradiance, cell))
            .map(|volts| NotHeld { what: what.into(), volts: volts - spot.volts })
    };
    [
        more(
            "the edge of a bright cloud: seconds to minutes of half as much light again",
            spot.irradiance_w_m2 * CLOUD_EDGE,
            cell,
        ),
        more(
            "parking on a slope of 5 to 10 degrees towards a low sun",
            spot.irradiance_w_m2 * SLOPE_GAIN,
            cell,
        ),
        more(
            "a module still as cold as the night's lowest air, 3 K",
            spot.irradiance_w_m2,
            cell.colder_by(SOAKED_K),
        ),
    ]
    .into_iter()
    .flatten()
    .collect()
}

/// The sentence, where a rating lies beyond full sun on cells 15 K below the lowest air of the record.
#[must_use]
pub fn out_of_reach(
    groups: &[ReadyGroup<'_>],
    seen: &Seen,
    open: &OpenStop<'_>,
    decide: &VoltageFigures,
    rating_v: f64,
) -> Option<String> {
    // Nothing is out of reach that any figure reaches, nor by a record that never saw a winter.
    let reached_already = decide.largest().is_some_and(|(figure, _)| figure >= rating_v)
        || decide.seen.is_some_and(|seen| seen >= rating_v);
    let saw_winter = !open.is_chronological() || open.seasons.iter().any(|season| season.complete);
    if reached_already || !saw_winter {
        return None;
    }
    let (lowest, _) = seen.air_low?;
    // With the bound's fall of temperature with height: the lowest that the place can have had.
    let beyond_k = open.site.colder_bound_k() - open.site.colder_k();
    let lowest = lowest - beyond_k;
    let cell = Celsius(lowest).colder_by(OUT_OF_REACH_K);
    // Snow and turned panels can see more than full sun.
    let light =
        seen.peak.worst_case.map_or(FULL_SUN_W_M2, |peak| peak.spot.irradiance_w_m2.max(FULL_SUN_W_M2));
    let extreme = highest(groups, |ready| ready.worst.volts(light, cell))?;
    if extreme >= rating_v {
        return None;
    }
    let reached = groups
        .iter()
        .filter_map(|ready| ready.worst.cell_reaching(Volts(rating_v), FULL_SUN_W_M2))
        .map(|cell| cell.0)
        .max_by(f64::total_cmp)?;
    let how_cold = if reached < COLDEST_C {
        "no air seen comes near what it would take".to_owned()
    } else {
        // `reached_at_c` knows no tolerance, so it lies lower: both stand side by side, each with what it is.
        let as_labelled = reached_at_c(groups, rating_v).filter(|cell| *cell >= COLDEST_C);
        let as_labelled = as_labelled.map_or_else(String::new, |cell| {
            format!(" (of panels just as their label says, by the code sum: {cell:.0} °C)")
        });
        format!(
            "cells of the strongest panels would have to be below {reached:.0} °C in full sun{as_labelled}"
        )
    };
    let of = if beyond_k.abs() < 0.05 {
        "of this record".to_owned()
    } else {
        format!("that the place can have had ({lowest:.1} °C, if air cools with height as fast as it can)")
    };
    // What the worst case leaves out would come on top.
    let more: f64 =
        seen.peak.worst_case.map_or(0.0, |peak| not_held(groups, &peak).iter().map(|part| part.volts).sum());
    // Rounded as where these parts stand one by one.
    let together = format!("a cloud edge, a slope and a soaked module add {:.1} V together", at_least(more));
    let on_top = match more {
        0.0 => String::new(),
        more if extreme + more < rating_v => format!(", and {together}"),
        _ => format!("; but {together}, which in that trial would pass it"),
    };
    Some(format!(
        "out of reach: {how_cold}; even in a trial far beyond the figures here, full sun at {:.0} °C, {OUT_OF_REACH_K} K below the \
         lowest air {of}, the strongest panels give {extreme:.1} V{on_top}",
        cell.0
    ))
}

/// Cell temperature in full sun at which the code sum of the highest string meets a rating: for a roomy one a number that no
/// cell can have, which no text or table prints.
#[must_use]
pub fn reached_at_c(groups: &[ReadyGroup<'_>], rating_v: f64) -> Option<f64> {
    groups
        .iter()
        .filter_map(|ready| module::code_reaches(&ready.group.modules, Volts(rating_v)))
        .map(|cell| cell.0)
        .max_by(f64::total_cmp)
}

/// Curve of a group's worst case without its label tolerance, for the steps from label to figure.
#[must_use]
pub fn without_tolerance(ready: &ReadyGroup<'_>) -> StringCurve {
    let modules: Vec<_> = ready
        .group
        .modules
        .iter()
        .cloned()
        .map(|mut label| {
            label.tolerance = 0.0;
            label
        })
        .collect();
    StringCurve::worst(&modules)
}
