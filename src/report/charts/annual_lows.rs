//! Lows of air temperature, season by season, with their mean and n-year lines.

use super::drawing::{Across, Drawing, Stroke, spread, text_width};
use super::frame::{Frame, minus, widened};
use super::style::{self, Ink};
use super::{Chart, ChartError, Role, paint};
use crate::report::show::{self, Units, fixed};
use crate::study::results::{Assessment, SeasonLow, StopResult};

/// Where the names begin, right of the plot: behind the Fahrenheit ticks.
const NAMES_FROM: f64 = 82.0;

/// The chart of one stop, or `None` where no season has a low.
///
/// # Errors
/// Where the plotting crate or the encoder refuses; see [`ChartError`].
pub fn annual_lows(assessment: &Assessment, stop_index: usize) -> Result<Option<Chart>, ChartError> {
    let Some(stop) = assessment.stops.get(stop_index) else { return Ok(None) };
    let count = drawn(stop).len();
    if count == 0 {
        return Ok(None);
    }
    let title = format!("Lowest air temperature of each season at {}", super::place(assessment, stop, 48));
    let mut drawing = Drawing::new(400.0, &title);
    let lines = lines(stop);
    let frame = Frame {
        left: 64.0,
        right: style::WIDTH - names_room(&lines),
        top: 60.0,
        bottom: 356.0,
        #[expect(clippy::cast_precision_loss, reason = "at most a few hundred seasons")]
        x: (-0.5, count as f64 - 0.5),
        y: range(stop, &lines),
    };
    frame.temperatures(&mut drawing, "air at the place, °C", 7);
    legend(&mut drawing, stop);
    band(&mut drawing, &frame, stop);
    for line in &lines {
        frame.level(&mut drawing, line.value, line.ink, line.width, line.stroke);
    }
    dots(&mut drawing, &frame, stop, &lines);
    frame.border(&mut drawing);
    seasons(&mut drawing, &frame, stop);
    names(&mut drawing, &frame, &lines);

    paint::chart(&id(stop_index), &title, &finding(stop), Role::Stop(stop_index), &drawing.signed(assessment))
        .map(Some)
}

/// Name of the chart of a stop.
fn id(stop_index: usize) -> String {
    format!("annual-lows-{}", stop_index + 1)
}

/// The seasons that are drawn: an incomplete one only where it is no warmer than every complete one, since a season
/// that lacks its winter says nothing and would press the others flat.
fn drawn(stop: &StopResult) -> Vec<&SeasonLow> {
    let counted = stop.annual_low_c.iter().filter(|low| low.counted).map(|low| low.low);
    let warmest = counted.reduce(f64::max).unwrap_or(f64::INFINITY);
    stop.annual_low_c.iter().filter(|low| low.counted || low.low <= warmest).collect()
}

/// A horizontal line with its name.
struct Level {
    name: &'static str,
    value: f64,
    ink: Ink,
    width: f64,
    stroke: Stroke,
}

fn lines(stop: &StopResult) -> Vec<Level> {
    let design = &stop.design_temperature_c;
    let mut lines = Vec::new();
    let mut add = |name, value: Option<f64>, ink, width, stroke| {
        if let Some(value) = value {
            lines.push(Level { name, value, ink, width, stroke });
        }
    };
    add("mean of annual lows", design.mean_annual_low, Ink::Air, 2.0, Stroke::Solid);
    add("5-year low", design.low_5_year, Ink::Faint, 1.0, Stroke::Dashed);
    add("10-year low", design.low_10_year, Ink::Faint, 1.0, Stroke::Dashed);
    add("20-year low", design.low_20_year, Ink::Text, 1.6, Stroke::Dashed);
    add("50-year low", design.low_50_year, Ink::Faint, 1.0, Stroke::Dashed);
    let published = design.published.as_ref().map(|published| published.mean);
    add("published mean low", published, Ink::WorstCase, 1.4, Stroke::Dotted);
    lines
}

fn range(stop: &StopResult, lines: &[Level]) -> (f64, f64) {
    let values = || {
        let bound = stop.design_temperature_c.bounds_90.map(|bounds| bounds[2]);
        drawn(stop).into_iter().map(|low| low.low).chain(lines.iter().map(|line| line.value)).chain(bound)
    };
    let low = values().fold(f64::INFINITY, f64::min);
    let high = values().fold(f64::NEG_INFINITY, f64::max);
    widened((low - 1.0, high + 1.0), 5.0)
}

/// From the 20-year low to its one-sided 90 % bound.
fn band(drawing: &mut Drawing, frame: &Frame, stop: &StopResult) {
    let design = &stop.design_temperature_c;
    if let (Some(low), Some(bounds)) = (design.low_20_year, design.bounds_90) {
        let (top, bottom) = (frame.up(low), frame.up(bounds[2]));
        drawing.rect((frame.left, top), (frame.right, bottom), Ink::Grid, 1.0);
    }
}

#[expect(clippy::cast_precision_loss, reason = "at most a few hundred seasons")]
fn dots(drawing: &mut Drawing, frame: &Frame, stop: &StopResult, lines: &[Level]) {
    let record = lowest(stop);
    // Many seasons get smaller dots.
    let radius = if drawn(stop).len() > 45 { 3.0 } else { 4.2 };
    for (index, low) in drawn(stop).iter().enumerate() {
        let at = frame.at(index as f64, low.low);
        if low.counted {
            drawing.dot(at, radius, Ink::Air);
        } else {
            drawing.ring(at, radius, Ink::Air);
        }
        if Some(index) == record {
            let text = format!("{} °C, {}", minus(&fixed(low.low, 1)), low.season);
            let half = text_width(&text, style::SMALL) / 2.0 + 4.0;
            let x = at.0.clamp(frame.left + half, frame.right - half);
            let y = quiet(frame, at.1, (x - half, x + half), stop, lines);
            // Where the edge of the plot or the lines push the label away, a line leads to its dot.
            if (x - at.0).abs() > 12.0 || (y - at.1).abs() > 18.0 {
                let near = at.0.clamp(x - half + 6.0, x + half - 6.0);
                drawing.line(vec![at, (near, y)], Ink::Text, 1.0, Stroke::Solid);
            }
            drawing.label((x, y), &text, Ink::Text, style::SMALL, Across::Middle);
        }
    }
}

/// The height near a dot where a label crosses the fewest lines and other dots.
#[expect(clippy::cast_precision_loss, reason = "at most a few hundred seasons")]
fn quiet(frame: &Frame, dot: f64, (left, right): (f64, f64), stop: &StopResult, lines: &[Level]) -> f64 {
    let crossed = |y: f64| {
        let lines = lines.iter().filter(|line| (frame.up(line.value) - y).abs() < 9.0).count();
        let seasons = drawn(stop);
        let dots = seasons.iter().enumerate().filter(|(index, low)| {
            let (x, other) = frame.at(*index as f64, low.low);
            (left..=right).contains(&x) && (other - y).abs() < 11.0
        });
        lines + dots.count()
    };
    let places = [15.0, -15.0, 24.0, -24.0].map(|away| dot + away);
    let inside = places.into_iter().filter(|y| (frame.top + 9.0..=frame.bottom - 9.0).contains(y));
    inside.min_by_key(|y| crossed(*y)).unwrap_or(dot - 15.0)
}

/// Index of the lowest season.
fn lowest(stop: &StopResult) -> Option<usize> {
    let lows = drawn(stop);
    lows.iter().enumerate().min_by(|a, b| a.1.low.total_cmp(&b.1.low)).map(|(index, _)| index)
}

#[expect(clippy::cast_precision_loss, reason = "at most a few hundred seasons")]
fn seasons(drawing: &mut Drawing, frame: &Frame, stop: &StopResult) {
    let count = drawn(stop).len();
    let room = (frame.right - frame.left) / 62.0;
    let every = [1, 2, 5, 10, 20, 50].into_iter().find(|every| count as f64 / f64::from(*every) <= room);
    let every = usize::try_from(every.unwrap_or(100)).unwrap_or(100);
    for (index, low) in drawn(stop).iter().enumerate().step_by(every) {
        frame.under(drawing, index as f64, &low.season.to_string());
    }
    let middle = f64::midpoint(frame.left, frame.right);
    drawing.text((middle, frame.bottom + 32.0), "season", Ink::Text, style::SMALL, Across::Middle);
}

/// Room beside the plot for the Fahrenheit ticks and the names of the lines.
fn names_room(lines: &[Level]) -> f64 {
    let widest = lines.iter().map(|line| text_width(&name(line), style::SMALL)).fold(0.0, f64::max);
    NAMES_FROM + widest + 10.0
}

fn name(line: &Level) -> String {
    format!("{}: {} °C", line.name, minus(&fixed(line.value, 1)))
}

/// Names of the lines at their right ends, with both scales.
fn names(drawing: &mut Drawing, frame: &Frame, lines: &[Level]) {
    // The right edge carries the Fahrenheit ticks; names stand beyond them.
    let left = frame.right + NAMES_FROM;
    let mut heights: Vec<f64> = lines.iter().map(|line| frame.up(line.value)).collect();
    spread(&mut heights, 17.0, frame.top + 2.0, frame.bottom - 2.0);
    for (line, height) in lines.iter().zip(&heights) {
        let from = (left - 14.0, frame.up(line.value));
        drawing.line(vec![from, (left - 4.0, *height)], line.ink, 1.0, Stroke::Solid);
        drawing.text((left, *height), &name(line), line.ink, style::SMALL, Across::Start);
        drawing.entry_of_line(&name(line), line.ink, line.width, line.stroke);
    }
}

fn legend(drawing: &mut Drawing, stop: &StopResult) {
    let mut x = 64.0;
    let mut entry = |drawing: &mut Drawing, filled: bool, text: &str| {
        let at = (x + 5.0, 40.0);
        drawing.entry(text, |drawing| {
            if filled {
                drawing.dot(at, 4.2, Ink::Air);
            } else {
                drawing.ring(at, 4.2, Ink::Air);
            }
        });
        drawing.text((x + 14.0, 40.0), text, Ink::Text, style::SMALL, Across::Start);
        x += 14.0 + text_width(text, style::SMALL) + 20.0;
    };
    if drawn(stop).iter().any(|low| low.counted) {
        entry(drawing, true, "complete season");
    }
    if drawn(stop).iter().any(|low| !low.counted) {
        entry(drawing, false, "incomplete season");
    }
    if stop.design_temperature_c.bounds_90.is_some() && stop.design_temperature_c.low_20_year.is_some() {
        let text = "20-year low to its one-sided 90 % bound";
        drawing.entry(text, |drawing| drawing.rect((x, 34.0), (x + 16.0, 46.0), Ink::Grid, 1.0));
        drawing.text((x + 22.0, 40.0), text, Ink::Text, style::SMALL, Across::Start);
    }
}

fn finding(stop: &StopResult) -> String {
    let mut text = String::new();
    if let Some(low) = lowest(stop).map(|index| drawn(stop)[index]) {
        text = format!(
            "{} {} with {}.",
            match drawn(stop).len() {
                1 => "The only season is".to_owned(),
                seasons => format!("Of {seasons} seasons the coldest is"),
            },
            low.season,
            show::temperature(low.low, Units::Us)
        );
    }
    let design = &stop.design_temperature_c;
    match (design.mean_annual_low, design.low_20_year) {
        (Some(mean), Some(low)) => text.push_str(&format!(
            " The mean of annual lows is {}, the 20-year low {}.",
            show::temperature(mean, Units::Us),
            show::temperature(low, Units::Us)
        )),
        (Some(mean), None) => text.push_str(&format!(
            " The mean of annual lows is {}; there are too few complete seasons for n-year lows.",
            show::temperature(mean, Units::Us)
        )),
        _ => text.push_str(" There are too few complete seasons for a mean or n-year lows."),
    }
    text
}
