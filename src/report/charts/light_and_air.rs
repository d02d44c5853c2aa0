//! Air temperature against light: why the night's low is not the worst hour.

use super::drawing::{Across, Drawing, Stroke, fitting, spread, text_width};
use super::frame::{Frame, ticks};
use super::style::{self, Ink};
use super::{Chart, ChartError, Role, paint, ratings};
use crate::report::{clean, show, view};
use crate::study::pictures::LightAndAir;
use crate::study::results::Assessment;

/// Upper ends of the density steps, hours of the record in a cell, with their colours and names.
const STEPS: [(u32, Ink, &str); 4] = [
    (3, Ink::Step1, "1 to 3 h"),
    (30, Ink::Step2, "to 30 h"),
    (300, Ink::Step3, "to 300 h"),
    (u32::MAX, Ink::Step4, "more"),
];

/// A curve is shown down to so many kelvin below the coldest lit hour.
const NEAR_K: f64 = 15.0;

/// The chart of an array at a stop, or `None` where the results hold no such counts.
///
/// # Errors
/// Where the plotting crate or the encoder refuses; see [`ChartError`].
pub fn light_and_air(
    assessment: &Assessment,
    stop_index: usize,
    array_index: usize,
) -> Result<Option<Chart>, ChartError> {
    let Some(stop) = assessment.stops.get(stop_index) else { return Ok(None) };
    let Some(array) = stop.arrays.get(array_index) else { return Ok(None) };
    let Some(counts) = &array.pictures.light_and_air else { return Ok(None) };
    let columns = counts.hours.iter().map(Vec::len).max().unwrap_or(0);
    if columns == 0 {
        return Ok(None);
    }
    let title = format!("Every lit hour at {}: air against light", super::heading(assessment, stop, array));
    let mut drawing = Drawing::new(462.0, &title);
    #[expect(clippy::cast_precision_loss, reason = "a few dozen rows and columns")]
    let (width, height) =
        (columns as f64 * counts.light_step_w_m2, counts.hours.len() as f64 * counts.air_step_k);
    let top = counts.air_from_c + height;
    let frame = Frame {
        left: 64.0,
        right: style::WIDTH - 60.0 - ratings::NAMES,
        top: 72.0,
        bottom: 410.0,
        x: (0.0, width),
        y: (lowest(counts) - 2.0, top),
    };
    frame.temperatures(&mut drawing, "air, °C", TICKS);
    cells(&mut drawing, &frame, counts);
    legend(&mut drawing, counts);
    curves(&mut drawing, &frame, counts);
    frame.border(&mut drawing);
    for tick in ticks(frame.x, 8) {
        frame.under(&mut drawing, tick, &show::fixed(tick, 0));
    }
    let at = (f64::midpoint(frame.left, frame.right), frame.bottom + 34.0);
    drawing.text(at, "light on the plane in sudden sun, W/m²", Ink::Text, style::SMALL, Across::Middle);

    let id = format!("light-and-air-{}-{}", stop_index + 1, array_index + 1);
    let alt = finding(counts);
    paint::chart(&id, &title, &alt, Role::Stop(stop_index), &drawing.signed(assessment)).map(Some)
}

/// Lowest air that an hour or a curve in view reaches: a curve far below every hour is named, not drawn.
fn lowest(counts: &LightAndAir) -> f64 {
    let ends = counts.curves.iter().filter_map(|curve| curve.points.last()).map(|(_, air)| *air);
    ends.filter(|air| *air > counts.air_from_c - NEAR_K).fold(counts.air_from_c, f64::min)
}

fn step(hours: u32) -> Option<usize> {
    (hours > 0).then(|| STEPS.iter().position(|(end, _, _)| hours <= *end).unwrap_or(STEPS.len() - 1))
}

#[expect(clippy::cast_precision_loss, reason = "a few dozen rows and columns")]
fn cells(drawing: &mut Drawing, frame: &Frame, counts: &LightAndAir) {
    for (row, hours) in counts.hours.iter().enumerate() {
        let low = counts.air_from_c + row as f64 * counts.air_step_k;
        let mut column = 0;
        while column < hours.len() {
            let Some(step) = step(hours[column]) else {
                column += 1;
                continue;
            };
            let first = column;
            while column < hours.len() && self::step(hours[column]) == Some(step) {
                column += 1;
            }
            let from = frame.at(first as f64 * counts.light_step_w_m2, low);
            let to = frame.at(column as f64 * counts.light_step_w_m2, low + counts.air_step_k);
            drawing.rect(from, to, STEPS[step].1, 1.0);
        }
    }
}

/// Ticks of the air at most.
const TICKS: usize = 8;
/// How far a leader keeps from the middle of a Fahrenheit tick.
const CLEAR: f64 = 10.0;

/// The height nearest to a curve's end at which a leader passes between the Fahrenheit ticks.
fn free_lane(end: f64, ticks: &[f64]) -> f64 {
    match ticks.iter().find(|tick| (*tick - end).abs() < CLEAR) {
        Some(tick) if end < *tick => tick - CLEAR,
        Some(tick) => tick + CLEAR,
        None => end,
    }
}

/// Lines of equal volts, named beyond the Fahrenheit ticks.
fn curves(drawing: &mut Drawing, frame: &Frame, counts: &LightAndAir) {
    let inside = |air: f64| (frame.y.0..=frame.y.1).contains(&air);
    let ticks: Vec<f64> = ticks(frame.y, TICKS).into_iter().map(|tick| frame.up(tick)).collect();
    let mut ends = Vec::new();
    for curve in &counts.curves {
        let points: Vec<(f64, f64)> = curve
            .points
            .iter()
            .filter(|(light, air)| inside(*air) && *light <= frame.x.1)
            .map(|(light, air)| frame.at(*light, *air))
            .collect();
        if let Some(end) = points.last().copied().filter(|_| points.len() > 1) {
            ends.push((curve, end));
            drawing.line(points, Ink::Limit, 2.0, Stroke::Dashed);
        }
    }
    let mut heights: Vec<f64> = ends.iter().map(|(_, end)| end.1).collect();
    spread(&mut heights, 30.0, frame.top + 8.0, frame.bottom - 8.0);
    let x = frame.right + 66.0;
    for ((curve, end), height) in ends.iter().zip(&heights) {
        let lane = free_lane(end.1, &ticks);
        let leader =
            vec![(frame.right, end.1), (frame.right + 5.0, lane), (x - 12.0, lane), (x - 4.0, *height)];
        drawing.line(leader, Ink::Limit, 1.0, Stroke::Solid);
        let text = show::rating(curve.rating_v, "V");
        drawing.text((x, *height - 6.0), &text, Ink::Limit, style::NORMAL, Across::Start);
        let name = fitting(&curve.component, style::SMALL, style::WIDTH - x - 4.0);
        drawing.text((x, *height + 8.0), &name, Ink::Limit, style::SMALL, Across::Start);
        drawing.entry_of_line(&format!("{text} {}", curve.component), Ink::Limit, 2.0, Stroke::Dashed);
    }
    if !ends.is_empty() {
        below(drawing);
    }
    let missing: Vec<String> = counts
        .curves
        .iter()
        .filter(|curve| !ends.iter().any(|(seen, _)| std::ptr::eq(*seen, *curve)))
        .map(|curve| format!("{} {}", clean::short(&curve.component, 24), show::rating(curve.rating_v, "V")))
        .collect();
    if !missing.is_empty() {
        let text = clean::short(&format!("↓ below this axis: {}", missing.join("; ")), 100);
        drawing.text((frame.left, frame.top - 9.0), &text, Ink::Limit, style::SMALL, Across::Start);
    }
}

/// The steps that are drawn.
fn legend(drawing: &mut Drawing, counts: &LightAndAir) {
    let drawn: Vec<usize> = counts.hours.iter().flatten().filter_map(|hours| step(*hours)).collect();
    let text = "hours of the record in a cell:";
    drawing.text((64.0, 42.0), text, Ink::Text, style::SMALL, Across::Start);
    drawing.explain(text);
    let mut x = 64.0 + text_width(text, style::SMALL) + 14.0;
    for (_, (_, ink, text)) in STEPS.iter().enumerate().filter(|(index, _)| drawn.contains(index)) {
        drawing.entry(text, |drawing| drawing.rect((x, 36.0), (x + 16.0, 48.0), *ink, 1.0));
        drawing.text((x + 21.0, 42.0), text, Ink::Text, style::SMALL, Across::Start);
        x += 21.0 + text_width(text, style::SMALL) + 14.0;
    }
}

/// What the curves mean, at the right of the same line; on a narrow screen behind their names.
fn below(drawing: &mut Drawing) {
    let text = "below it: over that rating";
    let x = style::WIDTH - 14.0 - text_width(text, style::SMALL);
    drawing.line(vec![(x - 30.0, 42.0), (x - 6.0, 42.0)], Ink::Limit, 2.0, Stroke::Dashed);
    drawing.text((x, 42.0), text, Ink::Limit, style::SMALL, Across::Start);
    drawing.explain("below a line: over that rating");
}

#[expect(clippy::cast_precision_loss, reason = "a few dozen rows and columns")]
fn finding(counts: &LightAndAir) -> String {
    let mut text = String::new();
    let coldest = counts.hours.iter().find(|row| row.iter().any(|hours| *hours > 0));
    if let Some(hours) = coldest {
        let bright = hours.iter().rposition(|hours| *hours > 0).unwrap_or(0) + 1;
        text.push_str(&format!(
            "The coldest lit hours, down to {}, have at most {} W/m² of light.",
            show::temperature(counts.coldest_c, show::Units::Us),
            show::fixed(bright as f64 * counts.light_step_w_m2, 0)
        ));
    }
    for curve in &counts.curves {
        // Air that no place has says nothing.
        if let Some((light, air)) = curve.points.last().filter(|(_, air)| *air > counts.air_from_c - NEAR_K) {
            text.push_str(&format!(
                " {} ({}) is passed below {} in {} W/m².",
                view::capital(&curve.component),
                show::rating(curve.rating_v, "V"),
                show::temperature(*air, show::Units::Us),
                show::fixed(*light, 0)
            ));
        }
    }
    text
}
