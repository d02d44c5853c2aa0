//! The largest voltage of each season on an axis of return periods, with the fitted lines.

use super::drawing::{Across, Drawing, Stroke, text_width};
use super::frame::Frame;
use super::style::{self, Ink};
use super::voltages::{self, Look};
use super::{Chart, ChartError, Role, paint, ratings};
use crate::report::{show, view};
use crate::study::results::{Assessment, FourVoltages, Peak, SeasonMaximum};

/// Return periods with a tick, years.
const YEARS: [(f64, &str); 8] = [
    (1.1, "1.1"),
    (1.5, "1.5"),
    (2.0, "2"),
    (5.0, "5"),
    (10.0, "10"),
    (20.0, "20"),
    (50.0, "50"),
    (100.0, "100"),
];

/// The chart of an array at a stop, or `None` under five complete seasons.
///
/// # Errors
/// Where the plotting crate or the encoder refuses; see [`ChartError`].
pub fn season_maxima(
    assessment: &Assessment,
    stop_index: usize,
    array_index: usize,
) -> Result<Option<Chart>, ChartError> {
    let Some(stop) = assessment.stops.get(stop_index) else { return Ok(None) };
    let Some(array) = stop.arrays.get(array_index) else { return Ok(None) };
    let sudden = sorted(&array.season_maxima_v, |season| season.sudden_sun);
    let worst = sorted(&array.season_maxima_v, |season| season.worst_case);
    if sudden.len() < 5 {
        return Ok(None);
    }
    let title = format!("Largest voltage of each season at {}", super::heading(assessment, stop, array));
    let mut drawing = Drawing::new(400.0, &title);
    legend(&mut drawing, [(&array.voltage_v.worst_case, &worst), (&array.voltage_v.sudden_sun, &sudden)]);
    let frame = Frame {
        left: 64.0,
        right: style::WIDTH - ratings::NAMES,
        top: 72.0,
        bottom: 348.0,
        x: (reduced(1.02), reduced(110.0)),
        y: voltages::range(assessment, &array.name),
    };
    frame.upright(&mut drawing, "string volts, V", 8);
    for (years, label) in YEARS {
        let x = frame.across(reduced(years));
        drawing.line(vec![(x, frame.top), (x, frame.bottom)], Ink::Grid, 1.0, Stroke::Solid);
        frame.under(&mut drawing, reduced(years), label);
    }
    for (maxima, peak, look) in [
        (&worst, &array.voltage_v.worst_case, voltages::WORST_CASE),
        (&sudden, &array.voltage_v.sudden_sun, voltages::SUDDEN_SUN),
    ] {
        fitted(&mut drawing, &frame, peak, look);
        points(&mut drawing, &frame, maxima, look);
    }
    let remark = ratings::lines(&mut drawing, &frame, &view::volt_ratings(array), "V");
    drawing.text((frame.left, frame.top - 9.0), &remark, Ink::Limit, style::SMALL, Across::Start);
    frame.border(&mut drawing);
    let at = (f64::midpoint(frame.left, frame.right), frame.bottom + 34.0);
    drawing.text(
        at,
        "reached or passed once in so many years, on average",
        Ink::Text,
        style::SMALL,
        Across::Middle,
    );

    let id = format!("season-maxima-{}-{}", stop_index + 1, array_index + 1);
    let alt = finding(&sudden, &worst, &array.voltage_v, stop.window.is_some());
    paint::chart(&id, &title, &alt, Role::Stop(stop_index), &drawing.signed(assessment)).map(Some)
}

/// The marks as they are drawn: a dot or ring a season, and the fitted line where there is one.
fn legend(drawing: &mut Drawing, of: [(&Peak, &[f64]); 2]) {
    let names = ["worst case, if full clear sun fell then", "sudden sun"];
    let mut x = 64.0;
    for ((name, (peak, maxima)), look) in
        names.into_iter().zip(of).zip([voltages::WORST_CASE, voltages::SUDDEN_SUN])
    {
        if maxima.is_empty() {
            continue;
        }
        drawing.entry(name, |drawing| {
            if peak.level_20_year.is_some() {
                drawing.line(vec![(x, 39.0), (x + 24.0, 39.0)], look.ink, look.width, Stroke::Solid);
            }
            season(drawing, (x + 12.0, 39.0), 3.6, look);
        });
        drawing.text((x + 30.0, 39.0), name, Ink::Text, style::SMALL, Across::Start);
        x += 30.0 + text_width(name, style::SMALL) + 22.0;
    }
}

/// One season: filled for sudden sun, a ring for the worst case.
fn season(drawing: &mut Drawing, at: (f64, f64), radius: f64, look: Look) {
    if look.ink == Ink::SuddenSun {
        drawing.dot(at, radius, look.ink);
    } else {
        drawing.ring(at, radius, look.ink);
    }
}

/// Position of a return period on the axis: the reduced variate of Gumbel's law, on which that law is straight.
fn reduced(years: f64) -> f64 {
    -(-(1.0 - 1.0 / years).ln()).ln()
}

/// Maxima of complete seasons, from small to large.
fn sorted(seasons: &[SeasonMaximum], value: impl Fn(&SeasonMaximum) -> Option<f64>) -> Vec<f64> {
    let mut values: Vec<f64> = seasons.iter().filter(|season| season.counted).filter_map(value).collect();
    values.sort_by(f64::total_cmp);
    values
}

/// Each maximum at the return period (N + 1) / (N + 1 - rank) (common practice, no source).
#[expect(clippy::cast_precision_loss, reason = "at most a few hundred seasons")]
fn points(drawing: &mut Drawing, frame: &Frame, maxima: &[f64], look: Look) {
    let n = maxima.len() as f64;
    let radius = if maxima.len() > 45 { 2.8 } else { 3.6 };
    for (index, volts) in maxima.iter().enumerate() {
        let years = (n + 1.0) / (n - index as f64);
        season(drawing, frame.at(reduced(years), *volts), radius, look);
    }
}

/// The fitted line: on this axis a straight one through the 20-year and the 50-year level.
fn fitted(drawing: &mut Drawing, frame: &Frame, peak: &Peak, look: Look) {
    let (Some(twenty), Some(fifty)) = (peak.level_20_year, peak.level_50_year) else { return };
    let slope = (fifty - twenty) / (reduced(50.0) - reduced(20.0));
    let at = |x: f64| twenty + slope * (x - reduced(20.0));
    // Cut where the line leaves the frame, so that it keeps its slope.
    let ends = [frame.x.0, frame.x.1].map(|x| {
        let inside = at(x).clamp(frame.y.0, frame.y.1);
        if slope.abs() > 1e-12 { (reduced(20.0) + (inside - twenty) / slope, inside) } else { (x, inside) }
    });
    let line = ends.map(|(x, volts)| frame.at(x, volts));
    drawing.line(line.to_vec(), look.ink, look.width, Stroke::Solid);
}

fn finding(sudden: &[f64], of_worst: &[f64], four: &FourVoltages, has_stay: bool) -> String {
    let (peak, worst) = (&four.sudden_sun, &four.worst_case);
    let mut text = format!(
        "In {}{} complete seasons the largest sudden-sun voltage lay between {} and {}.",
        if has_stay { "the days of the stay, in " } else { "" },
        sudden.len(),
        show::volts(sudden.first().copied().unwrap_or_default()),
        show::volts(sudden.last().copied().unwrap_or_default())
    );
    match (peak.level_20_year, worst.level_20_year) {
        (Some(sudden), Some(worst)) => text.push_str(&format!(
            " Its 20-year level is {}, that of the worst case {}.",
            show::volts(sudden),
            show::volts(worst)
        )),
        _ => text.push_str(" There are too few complete seasons for a fitted line."),
    }
    if let (Some(twenty), Some(fifty), Some(&largest)) =
        (worst.level_20_year, worst.level_50_year, of_worst.last())
    {
        #[expect(clippy::cast_precision_loss, reason = "at most a few hundred seasons")]
        let years = of_worst.len() as f64 + 1.0;
        let slope = (fifty - twenty) / (reduced(50.0) - reduced(20.0));
        let above = largest - (twenty + slope * (reduced(years) - reduced(20.0)));
        if above >= 0.05 {
            text.push_str(&format!(
                " The largest season, with a worst case of {}, lies {} above the line.",
                show::volts(largest),
                show::volts(above)
            ));
        }
    }
    if let Some(level) = worst.predictive_level {
        let largest = worst.max.filter(|largest| *largest > level);
        text.push_str(&match largest {
            Some(largest) => format!(
                " With the doubt that so few seasons leave, the next one is expected to pass {} once in 20 times; the largest worst case found, \
                 {}, is above it, so the worst case goes by what was found.",
                show::volts(level),
                show::volts(largest)
            ),
            None => format!(" With the doubt that so few seasons leave, the worst case that counts is {}, passed once in 20 times.", show::volts(level)),
        });
    }
    text
}
