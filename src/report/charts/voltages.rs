//! How the three weather voltages look, and the scale of volts that all charts of an array share.

use super::drawing::{Across, Drawing, Stroke, text_width};
use super::frame::widened;
use super::style::{self, Ink};
use crate::report::view;
use crate::study::results::{ArrayAtStop, Assessment, Peak};

/// Colour, width and stroke of one voltage.
#[derive(Clone, Copy)]
pub(super) struct Look {
    pub ink: Ink,
    pub width: f64,
    pub stroke: Stroke,
}

pub(super) const WORST_CASE: Look = Look { ink: Ink::WorstCase, width: 1.4, stroke: Stroke::Solid };
pub(super) const SUDDEN_SUN: Look = Look { ink: Ink::SuddenSun, width: 2.2, stroke: Stroke::Solid };
pub(super) const STEADY: Look = Look { ink: Ink::Steady, width: 1.6, stroke: Stroke::Dashed };

/// Those of the three lines that are drawn (worst case, sudden sun, steady) with their names, from `x` on; returns where the
/// next entry may begin.
pub(super) fn legend(drawing: &mut Drawing, x: f64, drawn: [bool; 3]) -> f64 {
    let all = [
        ("worst case, if full clear sun fell then", WORST_CASE),
        ("sudden sun", SUDDEN_SUN),
        ("parked (steady)", STEADY),
    ];
    let drawn: Vec<_> =
        all.into_iter().zip(drawn).filter(|(_, drawn)| *drawn).map(|(entry, _)| entry).collect();
    entries(drawing, x, &drawn)
}

/// Lines with names, side by side under the title.
pub(super) fn entries(drawing: &mut Drawing, mut x: f64, entries: &[(&str, Look)]) -> f64 {
    for (text, look) in entries {
        let ends = vec![(x, 39.0), (x + 24.0, 39.0)];
        drawing.entry(text, |drawing| drawing.line(ends, look.ink, look.width, look.stroke));
        drawing.text((x + 30.0, 39.0), text, Ink::Text, style::SMALL, Across::Start);
        x += 30.0 + text_width(text, style::SMALL) + 14.0;
    }
    x
}

/// Share of the label's volts below which the axis is cut: an open string in daylight stays above it.
const AXIS_FLOOR: f64 = 0.6;
/// Ratings up to so many times the largest volts are in view; farther ones are named beside the chart instead,
/// since they would press the curves flat.
const RATING_IN_VIEW: f64 = 1.3;
/// And those down to this share of the largest volts.
const RATING_BELOW_VIEW: f64 = 0.5;

/// Volts at the bottom and top of every chart of an array in one report, whatever the stop.
pub(super) fn range(assessment: &Assessment, name: &str) -> (f64, f64) {
    let same: Vec<&ArrayAtStop> =
        assessment.stops.iter().flat_map(|stop| &stop.arrays).filter(|array| array.name == name).collect();
    let most = same.iter().flat_map(|array| shown(array)).fold(1.0, f64::max);
    let ratings = || same.iter().flat_map(|array| view::volt_ratings(array)).map(|(_, rating)| rating);
    let top = ratings().filter(|rating| *rating <= most * RATING_IN_VIEW).fold(most, f64::max);
    let lit = same.iter().flat_map(|array| &array.worst_week).filter_map(|hour| hour.steady_v);
    let maxima = same.iter().flat_map(|array| &array.season_maxima_v).filter_map(|season| season.sudden_sun);
    let least = lit.filter(|volts| *volts > 0.0).chain(maxima).fold(most, f64::min);
    let label = assessment.arrays.iter().find(|facts| facts.name == name).map(|facts| facts.stc_v);
    let floor = least.max(label.unwrap_or(most) * AXIS_FLOOR);
    // A rating below the curves must stay in sight: it is the one that is passed all day. One far below is named.
    let floor = ratings().filter(|rating| *rating >= most * RATING_BELOW_VIEW).fold(floor, f64::min);
    widened((floor * 0.98, top * 1.02), if most > 30.0 { 5.0 } else { 1.0 })
}

/// Every voltage of an array that some chart shows.
fn shown(array: &ArrayAtStop) -> Vec<f64> {
    let four = &array.voltage_v;
    let peak = |peak: &Peak| [peak.max, peak.level_50_year, peak.predictive_level];
    let mut values: Vec<Option<f64>> = vec![four.code, four.allowance];
    values.extend([&four.steady, &four.sudden_sun, &four.worst_case].into_iter().flat_map(peak));
    values.extend(
        array.worst_week.iter().flat_map(|hour| [hour.steady_v, hour.sudden_sun_v, hour.worst_case_v]),
    );
    values.extend(array.season_maxima_v.iter().map(|season| season.worst_case));
    values.into_iter().flatten().collect()
}
