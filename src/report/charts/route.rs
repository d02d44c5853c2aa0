//! The stops in the order of the trip: elevation, temperatures, volts.

use super::drawing::{Across, Drawing, Stroke, fitting, text_width};
use super::frame::{Frame, widened};
use super::style::{self, Ink};
use super::voltages::{self, Look};
use super::{Chart, ChartError, Role, paint, ratings};
use crate::report::{clean, show, view};
use crate::study::results::{ArrayAtStop, Assessment, StopResult};

/// The strip of one array, or `None` with fewer than two stops.
///
/// # Errors
/// Where the plotting crate or the encoder refuses; see [`ChartError`].
pub fn route(assessment: &Assessment, array: &str) -> Result<Option<Chart>, ChartError> {
    let stops: Vec<(&StopResult, &ArrayAtStop)> = assessment
        .stops
        .iter()
        .filter_map(|stop| stop.arrays.iter().find(|at| at.name == array).map(|at| (stop, at)))
        .collect();
    if stops.len() < 2 {
        return Ok(None);
    }
    let title = if assessment.arrays.len() > 1 {
        format!("The stops in order, array {}", clean::short(array, 30))
    } else {
        "The stops in order".to_owned()
    };
    let key = Key::of(&stops);
    let mut drawing = Drawing::new(486.0 + key.height(), &title);
    #[expect(clippy::cast_precision_loss, reason = "a few stops")]
    let span = (0.0, stops.len() as f64);
    let frame = |top: f64, bottom: f64, y: (f64, f64)| Frame {
        left: 64.0,
        right: style::WIDTH - ratings::NAMES,
        top,
        bottom,
        x: span,
        y,
    };
    let volts = frame(72.0, 250.0, voltages::range(assessment, array));
    let air = frame(268.0, 368.0, air_range(&stops));
    let height = frame(386.0, 440.0, height_range(&stops));
    volts.upright(&mut drawing, "string volts, V", 6);
    air.temperatures(&mut drawing, "air, °C", 4);
    height.upright(&mut drawing, "m a.s.l.", 3);
    legend(&mut drawing, &stops);

    let width = (volts.right - volts.left) / span.1;
    for (index, (stop, at)) in stops.iter().enumerate() {
        #[expect(clippy::cast_precision_loss, reason = "a few stops")]
        let x = index as f64 + 0.5;
        if index > 0 {
            let edge = volts.across(x - 0.5);
            for frame in [volts, air, height] {
                drawing.line(vec![(edge, frame.top), (edge, frame.bottom)], Ink::Grid, 1.0, Stroke::Solid);
            }
        }
        four(&mut drawing, &volts, x, at, width);
        if let Some(decides) = beyond_seen(at) {
            drawing.ring(volts.at(x, decides), 4.2, Ink::Limit);
        }
        lows(&mut drawing, &air, x, stop, at);
        if let Some(elevation) = stop.elevation_m {
            let left = height.at(x - 0.3, height.y.0.max(0.0));
            drawing.rect(left, height.at(x + 0.3, elevation), Ink::Step2, 1.0);
        }
        number(&mut drawing, &height, (x, index, width), stop);
    }
    key.draw(&mut drawing, &height);
    if stops.iter().any(|(_, at)| beyond_seen(at).is_some()) {
        // Beside the lowest plot the margin is free.
        let (x, y) = (height.right + 16.0, height.top + 12.0);
        drawing.entry("worst case expected there", |drawing| drawing.ring((x + 5.0, y), 4.2, Ink::Limit));
        drawing.text((x + 16.0, y), "worst case", Ink::Text, style::SMALL, Across::Start);
        drawing.text((x + 16.0, y + 16.0), "expected there", Ink::Text, style::SMALL, Across::Start);
    }
    let all: Vec<(&str, f64)> = distinct(&stops);
    let remark = ratings::lines(&mut drawing, &volts, &all, "V");
    drawing.text((volts.left, volts.top - 9.0), &remark, Ink::Limit, style::SMALL, Across::Start);
    for frame in [volts, air, height] {
        frame.border(&mut drawing);
    }
    let id = match assessment.arrays.iter().position(|facts| facts.name == array) {
        Some(index) => format!("route-{}", index + 1),
        None => "route".to_owned(),
    };
    paint::chart(&id, &title, &finding(&stops), Role::Whole, &drawing.signed(assessment)).map(Some)
}

/// Dotted, so that it stays apart from the worst case without colour, and both are seen where they meet.
const CODE: Look = Look { ink: Ink::Code, width: 2.4, stroke: Stroke::Dotted };

/// What is drawn and nothing else.
fn legend(drawing: &mut Drawing, stops: &[(&StopResult, &ArrayAtStop)]) {
    let any = |value: fn(&ArrayAtStop) -> Option<f64>| stops.iter().any(|(_, at)| value(at).is_some());
    let lines = [
        ("code sum", CODE, any(|at| at.voltage_v.code)),
        ("worst case", voltages::WORST_CASE, any(|at| at.voltage_v.worst_case.max)),
        ("sudden sun", voltages::SUDDEN_SUN, any(|at| at.voltage_v.sudden_sun.max)),
        ("parked (steady)", voltages::STEADY, any(|at| at.voltage_v.steady.max)),
    ];
    let drawn: Vec<(&str, Look)> =
        lines.into_iter().filter(|(.., drawn)| *drawn).map(|(name, look, _)| (name, look)).collect();
    let mut x = voltages::entries(drawing, 40.0, &drawn);
    if any(|at| at.voltage_v.code_temperature_c) {
        let text = "code temperature";
        drawing.entry(text, |drawing| drawing.dot((x + 5.0, 39.0), 4.2, Ink::Air));
        drawing.text((x + 14.0, 39.0), text, Ink::Text, style::SMALL, Across::Start);
        x += 14.0 + text_width(text, style::SMALL) + 12.0;
    }
    if stops.iter().any(|(stop, _)| stop.design_temperature_c.record_low.is_some()) {
        drawing.entry("record low", |drawing| drawing.ring((x + 5.0, 39.0), 4.2, Ink::Air));
        drawing.text((x + 14.0, 39.0), "record low", Ink::Text, style::SMALL, Across::Start);
    }
}

fn four(drawing: &mut Drawing, frame: &Frame, x: f64, at: &ArrayAtStop, width: f64) {
    let four = &at.voltage_v;
    // As wide as three quarters of a stop, and no wider than reads well.
    let half = (0.375_f64).min(90.0 / width);
    for (value, look) in [
        (four.worst_case.max, voltages::WORST_CASE),
        (four.sudden_sun.max, voltages::SUDDEN_SUN),
        (four.steady.max, voltages::STEADY),
        (four.code, CODE),
    ] {
        if let Some(value) = value {
            let ends = [frame.at(x - half, value), frame.at(x + half, value)];
            drawing.line(ends.to_vec(), look.ink, look.width + 1.0, look.stroke);
        }
    }
}

/// The worst case that decides, where it lies above the largest one seen.
fn beyond_seen(at: &ArrayAtStop) -> Option<f64> {
    let four = &at.voltage_v;
    let decides = four.worst_case.predictive_level.or(four.allowance)?;
    (decides > four.worst_case.max?).then_some(decides)
}

fn lows(drawing: &mut Drawing, frame: &Frame, x: f64, stop: &StopResult, at: &ArrayAtStop) {
    if let Some(low) = stop.design_temperature_c.record_low {
        drawing.ring(frame.at(x, low), 4.2, Ink::Air);
    }
    if let Some(code) = at.voltage_v.code_temperature_c {
        drawing.dot(frame.at(x, code), 4.2, Ink::Air);
        if frame.x.1 <= 6.0 {
            let (cx, cy) = frame.at(x, code);
            let text = super::minus(&format!("{} °C", show::fixed(code, 1)));
            drawing.text((cx + 9.0, cy), &text, Ink::Text, style::SMALL, Across::Start);
        }
    }
}

/// Number under a stop, and its elevation above.
fn number(drawing: &mut Drawing, frame: &Frame, (x, index, width): (f64, usize, f64), stop: &StopResult) {
    let middle = frame.across(x);
    // Where columns are narrow every second or fifth stop keeps its number.
    let every = [1, 2, 5, 10, 20, 50].into_iter().find(|every| width * f64::from(*every) > 24.0);
    if u32::try_from(index + 1).is_ok_and(|number| number == 1 || number % every.unwrap_or(100) == 0) {
        let number = (index + 1).to_string();
        drawing.text((middle, frame.bottom + 14.0), &number, Ink::Text, style::SMALL, Across::Middle);
    }
    if let Some(elevation) = stop.elevation_m.filter(|_| width > 70.0) {
        let at = frame.at(x, elevation);
        let text = show::elevation(elevation, show::Units::Si);
        let y = (at.1 - 9.0).max(frame.top + 9.0);
        drawing.text((at.0, y), &text, Ink::Text, style::SMALL, Across::Middle);
    }
}

/// What the numbers mean.
enum Key {
    /// Every name fits under its stop.
    Under(Vec<String>),
    /// Names stand in so many columns below, with their numbers.
    Below { names: Vec<String>, columns: usize },
}

/// Distance of two rows of names.
const KEY_ROW: f64 = 16.0;
/// Stops up to which the names stand in the chart; more fill a page, and the report lists them anyway.
const KEY_MOST: usize = 60;

impl Key {
    fn of(stops: &[(&StopResult, &ArrayAtStop)]) -> Self {
        #[expect(clippy::cast_precision_loss, reason = "a few stops")]
        let width = (style::WIDTH - ratings::NAMES - 64.0) / stops.len() as f64;
        let names = || stops.iter().map(|(stop, _)| clean::line(&stop.place));
        if names().all(|name| text_width(&name, style::SMALL) <= width - 6.0) {
            return Self::Under(names().collect());
        }
        let room = style::WIDTH - 64.0 - 14.0;
        let numbered = names().take(KEY_MOST).enumerate();
        let names: Vec<String> = numbered
            .map(|(index, name)| fitting(&format!("{}  {name}", index + 1), style::SMALL, room))
            .collect();
        let names = if stops.len() > KEY_MOST { Vec::new() } else { names };
        let widest = names.iter().map(|name| text_width(name, style::SMALL)).fold(1.0, f64::max);
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a handful")]
        let columns = ((room + 20.0) / (widest + 20.0)).floor().max(1.0) as usize;
        Self::Below { names, columns }
    }

    /// Room that it needs under the numbers.
    fn height(&self) -> f64 {
        match self {
            Self::Under(_) => KEY_ROW,
            #[expect(clippy::cast_precision_loss, reason = "a few rows")]
            Self::Below { names, columns } => names.len().div_ceil(*columns) as f64 * KEY_ROW + 8.0,
        }
    }

    /// Under the lowest frame.
    #[expect(clippy::cast_precision_loss, reason = "a few stops")]
    fn draw(&self, drawing: &mut Drawing, frame: &Frame) {
        match self {
            Self::Under(names) => {
                for (index, name) in names.iter().enumerate() {
                    let at = (frame.across(index as f64 + 0.5), frame.bottom + 30.0);
                    drawing.text(at, name, Ink::Text, style::SMALL, Across::Middle);
                }
            }
            Self::Below { names, columns } => {
                // Down the columns, as a list is read.
                let rows = names.len().div_ceil(*columns).max(1);
                let apart = (style::WIDTH - 14.0 - frame.left) / *columns as f64;
                for (index, name) in names.iter().enumerate() {
                    let (column, row) = ((index / rows) as f64, (index % rows) as f64);
                    let at = (frame.left + column * apart, frame.bottom + 38.0 + row * KEY_ROW);
                    drawing.text(at, name, Ink::Text, style::SMALL, Across::Start);
                }
            }
        }
    }
}

fn air_range(stops: &[(&StopResult, &ArrayAtStop)]) -> (f64, f64) {
    let values = || {
        stops.iter().flat_map(|(stop, at)| {
            [stop.design_temperature_c.record_low, at.voltage_v.code_temperature_c].into_iter().flatten()
        })
    };
    let low = values().fold(f64::INFINITY, f64::min);
    let high = values().fold(f64::NEG_INFINITY, f64::max);
    if low > high { (-10.0, 10.0) } else { widened((low - 2.0, high + 2.0), 5.0) }
}

fn height_range(stops: &[(&StopResult, &ArrayAtStop)]) -> (f64, f64) {
    let heights = || stops.iter().filter_map(|(stop, _)| stop.elevation_m);
    let most = heights().fold(0.0, f64::max);
    let least = heights().fold(0.0, f64::min);
    widened((least * 1.1, most * 1.45 + 1.0), 500.0)
}

/// Ratings of all stops, each pair of component and rating once.
fn distinct<'a>(stops: &[(&'a StopResult, &'a ArrayAtStop)]) -> Vec<(&'a str, f64)> {
    let mut all: Vec<(&str, f64)> = Vec::new();
    for (_, at) in stops {
        for pair in view::volt_ratings(at) {
            if !all.contains(&pair) {
                all.push(pair);
            }
        }
    }
    all
}

/// What the figure beyond the largest seen is.
fn expected(at: &ArrayAtStop) -> &'static str {
    match at.voltage_v.worst_case.predictive_level {
        Some(_) => "expected",
        None => "for air 10 K colder",
    }
}

fn finding(stops: &[(&StopResult, &ArrayAtStop)]) -> String {
    let worst = |at: &ArrayAtStop| at.voltage_v.worst_case.max.or(at.voltage_v.code).unwrap_or(0.0);
    let decides = |at: &ArrayAtStop| at.voltage_v.worst_case.predictive_level.or(at.voltage_v.allowance);
    let Some((stop, at)) = stops.iter().max_by(|a, b| worst(a.1).total_cmp(&worst(b.1))) else {
        return String::new();
    };
    let mut text = format!(
        "Of {} stops the highest voltages{} belong to {}: worst case found {}",
        stops.len(),
        if stops.iter().any(|(stop, _)| stop.window.is_some()) {
            ", in the days there,"
        } else {
            " of the record"
        },
        stop.place,
        show::volts(worst(at))
    );
    // A level below the largest seen is no figure to go by.
    if let Some(volts) = decides(at).filter(|volts| *volts > worst(at)) {
        text.push_str(&format!(", worst case {} {}", expected(at), show::volts(volts)));
    }
    if let Some(code) = at.voltage_v.code {
        text.push_str(&format!(
            ", code sum {} (a test of its own; parts are bought by the largest)",
            show::volts(code)
        ));
    }
    if let Some(low) = stop.design_temperature_c.record_low {
        text.push_str(&format!(", record low {}", show::temperature(low, show::Units::Us)));
    }
    // An allowance on a short record can reach higher at another place than what was seen anywhere.
    let most = |at: &ArrayAtStop| worst(at).max(decides(at).unwrap_or(0.0));
    if let Some((other, beyond)) = stops.iter().max_by(|a, b| most(a.1).total_cmp(&most(b.1)))
        && most(beyond) > most(at)
    {
        text.push_str(&format!(
            ". Higher than these is the worst case {} at {}: {}, against {} in its record; parts are bought by it",
            expected(beyond),
            other.place,
            show::volts(most(beyond)),
            show::volts(worst(beyond))
        ));
    }
    if stops.iter().any(|(_, at)| beyond_seen(at).is_some()) {
        text.push_str(
            ". The ring above a stop's volts is the worst case expected there, larger than that of the record",
        );
    }
    text.push_str(". Dots are code temperatures, rings record lows of air. In order: ");
    let names: Vec<String> =
        stops.iter().enumerate().map(|(index, (stop, _))| format!("{} {}", index + 1, stop.place)).collect();
    text.push_str(&names.join(", "));
    text.push('.');
    text
}
