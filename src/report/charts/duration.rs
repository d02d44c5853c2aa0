//! How many hours a year lie above a value: volts of the string, amps of the array.

use super::drawing::{Across, Drawing, Stroke};
use super::frame::Frame;
use super::ratings::Upright;
use super::style::{self, Ink};
use super::voltages::{self, Look};
use super::{Chart, ChartError, Role, paint, ratings};
use crate::report::{glance, show, view};
use crate::study::pictures::Exceedance;
use crate::study::results::{ArrayAtStop, Assessment, ByVoltage, StopResult};
use crate::units::listed;

/// Bottom and top of the axis of hours, powers of ten: from six minutes a year to all hours.
const HOURS: (f64, f64) = (-1.0, 4.0);
/// Ticks of that axis.
const HOUR_TICKS: [(f64, &str); 6] =
    [(-1.0, "0.1"), (0.0, "1"), (1.0, "10"), (2.0, "100"), (3.0, "1000"), (4.0, "10 000")];

/// Width of the lines of the other stops.
const THIN: f64 = 0.7;
/// Of the other stops so many are named.
const NAMED: usize = 6;

/// One of three counts.
type Pick = fn(&ByVoltage<f64>) -> f64;

/// Hours a year above x volts: the three voltages of an array at a stop, and thinner those at the other stops.
///
/// # Errors
/// Where the plotting crate or the encoder refuses; see [`ChartError`].
pub fn volts_exceeded(
    assessment: &Assessment,
    stop_index: usize,
    array_index: usize,
) -> Result<Option<Chart>, ChartError> {
    let Some(stop) = assessment.stops.get(stop_index) else { return Ok(None) };
    let Some(array) = stop.arrays.get(array_index) else { return Ok(None) };
    let Some(curve) = &array.pictures.exceedance else { return Ok(None) };
    let title = title("voltage", assessment, stop, array);
    let range = voltages::range(assessment, &array.name);
    let (lines, remark) = ratings::uprights(&view::volt_ratings(array), range, "V");
    let (mut drawing, frame) = page(&title, range, &lines);
    let others = elsewhere(assessment, stop_index, &array.name);
    hours_axis(&mut drawing, &frame);
    values_axis(&mut drawing, &frame, "string volts, V");
    let mut drawn = [false; 3];
    let mut thin: Vec<Look> = Vec::new();
    for (drawn, (value, look)) in drawn.iter_mut().zip([
        ((|hours| hours.worst_case) as Pick, voltages::WORST_CASE),
        (|hours| hours.sudden_sun, voltages::SUDDEN_SUN),
        (|hours| hours.steady, voltages::STEADY),
    ]) {
        let look_elsewhere = Look { width: THIN, ..look };
        let mut any = false;
        for (_, other) in &others {
            any |= falling(&mut drawing, &frame, points(other, value), look_elsewhere);
        }
        thin.extend(any.then_some(look_elsewhere));
        *drawn = falling(&mut drawing, &frame, points(curve, value), look);
    }
    let x = voltages::legend(&mut drawing, 64.0, drawn);
    if !thin.is_empty() {
        // Which they are stands with the picture: their names have no room in it.
        drawing.entry("thin: other stops", |drawing| {
            for (look, at) in thin.iter().zip([34.0, 39.0, 44.0]) {
                drawing.line(vec![(x, at), (x + 24.0, at)], look.ink, THIN, Stroke::Solid);
            }
        });
        drawing.text((x + 30.0, 39.0), "thin: other stops", Ink::Text, style::SMALL, Across::Start);
    }
    finish(&mut drawing, &frame, lines, &remark);

    let above = |rating: f64| {
        let index = ((rating - curve.from_v) / curve.step_v).ceil().max(0.0);
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "saturates; bounded by get"
        )]
        curve.hours_per_year.get(index as usize).copied().unwrap_or_default()
    };
    let mut alt = String::new();
    if stop.window.is_some() {
        alt.push_str("Means over whole years, not of the stay. ");
    }
    let none_above: Vec<String> = view::volt_ratings(array)
        .into_iter()
        .filter(|(_, rating)| above(*rating).worst_case <= 0.0)
        .map(|(component, rating)| format!("{} ({component})", show::rating(rating, "V")))
        .collect();
    for (component, rating) in view::volt_ratings(array) {
        let hours = above(rating);
        if hours.worst_case <= 0.0 {
            continue;
        }
        alt.push_str(&format!(
            "Above {} ({component}): parked {} h a year, sudden sun {} h, worst case {} h if full clear sun fell then. ",
            show::rating(rating, "V"),
            show::count(hours.steady),
            show::count(hours.sudden_sun),
            show::count(hours.worst_case)
        ));
    }
    if !none_above.is_empty() {
        let none = match glance::too_few(stop.record.complete_winters, "year") {
            Some(few) => format!("Above {} {few}. ", none_above.join(", ")),
            None => format!("No hour counted above {}. ", none_above.join(", ")),
        };
        alt.push_str(&none);
    }
    if view::volt_ratings(array).is_empty() {
        alt.push_str("The plan names no rating in volts. ");
    }
    if !others.is_empty() {
        let mut names: Vec<String> = Vec::new();
        for place in others.iter().map(|(index, _)| &assessment.stops[*index].place) {
            if !names.contains(place) {
                names.push(place.clone());
            }
        }
        let more = names.len().saturating_sub(NAMED);
        names.truncate(NAMED);
        names.extend((more > 0).then(|| format!("{more} more")));
        alt.push_str(&format!("Thin lines: {}.", listed(&names)));
    }
    let id = format!("hours-above-volts-{}-{}", stop_index + 1, array_index + 1);
    paint::chart(&id, &title, alt.trim_end(), Role::Stop(stop_index), &drawing.signed(assessment)).map(Some)
}

/// Beside a dated stay the title says that it is not the stay that is counted.
fn title(of: &str, assessment: &Assessment, stop: &StopResult, array: &ArrayAtStop) -> String {
    let whole = if stop.window.is_some() { ", whole years" } else { "" };
    format!("Hours a year above a {of}{whole}: {}", super::heading(assessment, stop, array))
}

/// The curves of the array at the other stops.
fn elsewhere<'a>(assessment: &'a Assessment, here: usize, array: &str) -> Vec<(usize, &'a Exceedance)> {
    let stops = assessment.stops.iter().enumerate().filter(|(index, _)| *index != here);
    stops
        .filter_map(|(index, stop)| {
            let at = stop.arrays.iter().find(|at| at.name == array)?;
            Some((index, at.pictures.exceedance.as_ref()?))
        })
        .collect()
}

/// Volts and the hours a year above them.
fn points(curve: &Exceedance, value: Pick) -> impl Iterator<Item = (f64, f64)> {
    curve.hours_per_year.iter().enumerate().map(move |(index, hours)| {
        #[expect(clippy::cast_precision_loss, reason = "a few hundred steps")]
        let volts = curve.from_v + index as f64 * curve.step_v;
        (volts, value(hours))
    })
}

/// Hours a year above x amps, with 1, 1.25 and 1.5625 times the label's current and the ratings.
///
/// # Errors
/// Where the plotting crate or the encoder refuses; see [`ChartError`].
pub fn amps_exceeded(
    assessment: &Assessment,
    stop_index: usize,
    array_index: usize,
) -> Result<Option<Chart>, ChartError> {
    let Some(stop) = assessment.stops.get(stop_index) else { return Ok(None) };
    let Some(array) = stop.arrays.get(array_index) else { return Ok(None) };
    let Some(curve) = &array.pictures.current else { return Ok(None) };
    let Some(facts) = assessment.arrays.iter().find(|facts| facts.name == array.name) else {
        return Ok(None);
    };
    let title = title("current", assessment, stop, array);
    let most = array.current_a.max_hour.unwrap_or(0.0).max(facts.conductor_a);
    let range = (0.0, most * 1.15);
    let (mut lines, remark) = ratings::uprights(&amp_ratings(array), range, "A");
    for (name, amps) in
        [("1 x Isc", facts.isc_a), ("1.25 x Isc", facts.max_circuit_a), ("1.5625 x Isc", facts.conductor_a)]
    {
        let name = format!("{name} = {}", show::exact_amps(amps));
        lines.push(Upright { name, value: amps, ink: Ink::Code, stroke: Stroke::Dotted });
    }
    let (mut drawing, frame) = page(&title, range, &lines);
    hours_axis(&mut drawing, &frame);
    values_axis(&mut drawing, &frame, "short-circuit amps of the array, hour mean, A");
    let look = Look { ink: Ink::SuddenSun, width: 2.2, stroke: Stroke::Solid };
    let points = curve.hours_per_year.iter().enumerate().map(|(index, hours)| {
        #[expect(clippy::cast_precision_loss, reason = "a few hundred steps")]
        let amps = index as f64 * curve.step_a;
        (amps, *hours)
    });
    if falling(&mut drawing, &frame, points, look) {
        voltages::entries(&mut drawing, 64.0, &[("array short circuit", look)]);
    }
    finish(&mut drawing, &frame, lines, &remark);

    let mut alt = format!(
        "The label's short-circuit current is {}, the largest hour mean{} {}.",
        show::amps(facts.isc_a),
        if stop.window.is_some() { " in the days of the stay" } else { "" },
        array.current_a.max_hour.map_or_else(|| "unknown".to_owned(), show::amps)
    );
    if let Some(three) = array.current_a.highest_3_hour_mean {
        alt.push_str(&format!(" Highest mean of three hours in a row: {}.", show::amps(three)));
    }
    alt.push_str(" Bursts of light at cloud edges last seconds to minutes and lie outside hourly data");
    alt.push_str(&match array.current_a.burst {
        Some(burst) if burst > facts.max_circuit_a => format!(
            ": at most {}, above the {} of 1.25 x Isc. What a part takes for so short is in its manual.",
            show::amps(burst),
            show::exact_amps(facts.max_circuit_a)
        ),
        Some(burst) => format!(": at most {}, which the rules' factor of 1.25 covers.", show::amps(burst)),
        None => ".".to_owned(),
    });
    let id = format!("hours-above-amps-{}-{}", stop_index + 1, array_index + 1);
    paint::chart(&id, &title, &alt, Role::Stop(stop_index), &drawing.signed(assessment)).map(Some)
}

/// Ratings in amps, each pair of component and rating once.
fn amp_ratings(array: &ArrayAtStop) -> Vec<(&str, f64)> {
    let mut ratings: Vec<(&str, f64)> = Vec::new();
    for limit in array.limits.iter().filter(|limit| limit.unit == "A") {
        if let Some(rating) = limit.rating
            && !ratings.contains(&(limit.component.as_str(), rating))
        {
            ratings.push((&limit.component, rating));
        }
    }
    ratings
}

/// A page with room for the names of upright lines, and its plot.
fn page(title: &str, x: (f64, f64), lines: &[Upright]) -> (Drawing, Frame) {
    let top = 72.0 + ratings::rows(lines);
    let bottom = top + 270.0;
    let frame = Frame { left: 74.0, right: style::WIDTH - ratings::NAMES, top, bottom, x, y: HOURS };
    (Drawing::new(bottom + 52.0, title), frame)
}

fn hours_axis(drawing: &mut Drawing, frame: &Frame) {
    for (power, label) in HOUR_TICKS {
        frame.level(drawing, power, Ink::Grid, 1.0, Stroke::Solid);
        drawing.text((frame.left - 6.0, frame.up(power)), label, Ink::Faint, style::SMALL, Across::End);
    }
    let middle = f64::midpoint(frame.top, frame.bottom);
    drawing.turned((11.0, middle), "hours a year above", Ink::Text, style::SMALL);
}

fn values_axis(drawing: &mut Drawing, frame: &Frame, title: &str) {
    for tick in super::frame::ticks(frame.x, 10) {
        frame.under(drawing, tick, &show::fixed(tick, usize::from(frame.x.1 < 5.0)));
    }
    let middle = f64::midpoint(frame.left, frame.right);
    drawing.text((middle, frame.bottom + 34.0), title, Ink::Text, style::SMALL, Across::Middle);
}

/// A curve that falls from the left to where nothing is left; returns whether any of it is in view.
fn falling(
    drawing: &mut Drawing,
    frame: &Frame,
    points: impl Iterator<Item = (f64, f64)>,
    look: Look,
) -> bool {
    let least = 10_f64.powf(HOURS.0);
    let mut line: Vec<(f64, f64)> = Vec::new();
    for (value, hours) in points.filter(|(value, _)| (frame.x.0..=frame.x.1).contains(value)) {
        line.push(frame.at(value, hours.max(least).log10()));
        if hours < least {
            break;
        }
    }
    let is_any = line.len() > 1;
    if is_any {
        drawing.line(line, look.ink, look.width, look.stroke);
    }
    is_any
}

fn finish(drawing: &mut Drawing, frame: &Frame, lines: Vec<Upright>, remark: &str) {
    let y = frame.top - ratings::rows(&lines) - 14.0;
    drawing.text((frame.left, y), remark, Ink::Limit, style::SMALL, Across::Start);
    ratings::draw_uprights(drawing, frame, lines);
    frame.border(drawing);
}
