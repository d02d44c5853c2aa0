//! Small bar charts: the chance by day of departure, lost starting hours by month.

use super::drawing::{Across, Drawing, Stroke};
use super::frame::{Frame, ticks};
use super::style::{self, Ink};
use super::{Chart, ChartError, Role, paint};
use crate::report::{show, view};
use crate::study::results::{Assessment, TripOdds};
use crate::units::{listed, so_many};

/// The trip's chance against its departure, or `None` where no other departure was tried or none breaks a limit.
///
/// # Errors
/// Where the plotting crate or the encoder refuses; see [`ChartError`].
pub fn departure(assessment: &Assessment) -> Result<Option<Chart>, ChartError> {
    // Without a single broken season there is nothing to draw: the words on the trip say so, with their bound.
    let drawn = |odds: &&TripOdds| {
        odds.by_departure.len() > 1 && odds.by_departure.iter().any(|departure| departure.chance > 0.0)
    };
    let Some(odds) = assessment.trip.as_ref().filter(drawn) else { return Ok(None) };
    let title = "Chance that sudden sun breaks a voltage rating, by day of departure";
    let mut drawing = Drawing::new(304.0, title);
    let bars: Vec<Bar> = odds
        .by_departure
        .iter()
        .map(|departure| Bar {
            label: match departure.shift_days {
                0 => "as planned".to_owned(),
                days => super::minus(&format!("{days:+} d")),
            },
            value: departure.chance * 100.0,
            text: show::chance(departure.chance),
            ink: if departure.shift_days == 0 { Ink::SuddenSun } else { Ink::Step3 },
        })
        .collect();
    let below = format!(
        "day of departure; sudden sun alone. The plan's verdict is {}, and no date makes a part safe",
        show::verdict(view::headline(assessment).1)
    );
    draw(&mut drawing, &bars, ("seasons broken, %", &below), 100.0);
    let mut alt = String::new();
    if let Some(planned) = odds.by_departure.iter().find(|departure| departure.shift_days == 0) {
        alt.push_str(&format!(
            "As planned, sudden sun broke a limit in {} of the seasons common to all stops.",
            show::chance(planned.chance)
        ));
    }
    alt.push_str(&lowest(odds));
    alt.push_str(&format!(
        " Shares of {} are rough: neighbours that differ by a few seasons may be alike.",
        so_many(odds.common_seasons, "season")
    ));
    paint::chart("departure", title, &alt, Role::Whole, &drawing.signed(assessment)).map(Some)
}

/// The departures with the lowest share, all of them, and whether any clears the limits.
fn lowest(odds: &TripOdds) -> String {
    let Some(least) = odds.by_departure.iter().map(|departure| departure.chance).min_by(f64::total_cmp)
    else {
        return String::new();
    };
    // Shares are counts over the same seasons, so equal ones are equal to the last digit but for the division.
    let same = odds.by_departure.iter().filter(|departure| (departure.chance - least).abs() < 1e-9);
    let begun: Vec<String> = same.map(|departure| view::shift_words(departure.shift_days)).collect();
    let verb = if begun.len() == 1 { "belongs to the trip" } else { "is that of trips" };
    let mut text = format!(" The lowest share, {}, {verb} begun {}.", show::chance(least), listed(&begun));
    if least > 0.0 {
        text.push_str(" None of these departures clears the limit: parts are not made safe by a date.");
    } else {
        text.push_str(" None seen is not never, and codes know no travel dates.");
    }
    text
}

/// Lit hours in which the array is too low for the controller to start, by month; `None` where there are none.
///
/// # Errors
/// Where the plotting crate or the encoder refuses; see [`ChartError`].
pub fn lost_starts(
    assessment: &Assessment,
    stop_index: usize,
    array_index: usize,
) -> Result<Option<Chart>, ChartError> {
    let Some(stop) = assessment.stops.get(stop_index) else { return Ok(None) };
    let Some(array) = stop.arrays.get(array_index) else { return Ok(None) };
    let Some(months) = array.pictures.lost_start_h.as_ref().filter(|months| months.iter().any(|h| *h > 0.0))
    else {
        return Ok(None);
    };
    let title = format!("Hours too low to start at {}", super::heading(assessment, stop, array));
    let mut drawing = Drawing::new(304.0, &title);
    let names = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"];
    let bars: Vec<Bar> = names
        .iter()
        .zip(months)
        .map(|(name, hours)| Bar {
            label: (*name).to_owned(),
            value: *hours,
            text: show::count(*hours),
            ink: Ink::Step3,
        })
        .collect();
    draw(&mut drawing, &bars, ("hours a year", "month"), f64::INFINITY);
    let sum: f64 = months.iter().sum();
    let most = names.iter().zip(months).max_by(|a, b| a.1.total_cmp(b.1));
    let mut alt = format!(
        "The array is lit but too low for the controller to start in {} hours a year",
        show::count(sum)
    );
    if let Some((name, hours)) = most.filter(|(_, hours)| **hours > 0.0) {
        alt.push_str(&format!(", most of them in {name} ({} h)", show::count(*hours)));
    }
    alt.push('.');
    let id = format!("lost-starts-{}-{}", stop_index + 1, array_index + 1);
    paint::chart(&id, &title, &alt, Role::Stop(stop_index), &drawing.signed(assessment)).map(Some)
}

struct Bar {
    label: String,
    value: f64,
    text: String,
    ink: Ink,
}

#[expect(clippy::cast_precision_loss, reason = "a few bars")]
fn draw(drawing: &mut Drawing, bars: &[Bar], (upright, level): (&str, &str), most: f64) {
    let top = bars.iter().map(|bar| bar.value).fold(0.0, f64::max);
    let range = (0.0, (top * 1.18).max(1.0).min(most * 1.1));
    let frame = Frame {
        left: 64.0,
        right: style::WIDTH - 24.0,
        top: 40.0,
        bottom: 256.0,
        x: (0.0, bars.len() as f64),
        y: range,
    };
    for tick in ticks(range, 5) {
        frame.level(drawing, tick, Ink::Grid, 1.0, Stroke::Solid);
    }
    frame.upright(drawing, upright, 5);
    let middle = f64::midpoint(frame.left, frame.right);
    drawing.text((middle, frame.bottom + 32.0), level, Ink::Text, style::SMALL, Across::Middle);
    // A label needs about 60 units: with more bars every second or third keeps its own.
    let every = (bars.len() as f64 * 60.0 / (frame.right - frame.left)).ceil().max(1.0);
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a small whole number")]
    let every = every as usize;
    for (index, bar) in bars.iter().enumerate() {
        let x = index as f64 + 0.5;
        drawing.rect(frame.at(x - 0.34, 0.0), frame.at(x + 0.34, bar.value), bar.ink, 1.0);
        let planned = bar.ink == Ink::SuddenSun;
        if index % every == 0 || planned {
            let (cx, cy) = frame.at(x, bar.value);
            drawing.text((cx, cy - 9.0), &bar.text, Ink::Text, style::SMALL, Across::Middle);
            frame.under(drawing, x, &bar.label);
        }
    }
    frame.border(drawing);
}
