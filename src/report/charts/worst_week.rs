//! The worst week, hour by hour: string volts with every rating, air temperature and sun beneath.

use super::drawing::{Across, Drawing, Stroke, text_width};
use super::frame::{Frame, minus, widened};
use super::style::{self, Ink};
use super::voltages::{self, Look};
use super::{Chart, ChartError, Role, paint, ratings};
use crate::limits::DecidedBy;
use crate::report::{glance, show, view};
use crate::study::reach_outside_v;
use crate::study::results::{ArrayAtStop, Assessment, StopResult, StripHour};
use crate::time::{DAY_S, HOUR_S, UtcOffset};
use crate::units::{at_least, so_many};

/// The chart for one array at one stop, or `None` where the results hold no such week.
///
/// # Errors
/// Where the plotting crate or the encoder refuses; see [`ChartError`].
pub fn worst_week(
    assessment: &Assessment,
    stop_index: usize,
    array_index: usize,
) -> Result<Option<Chart>, ChartError> {
    let Some(stop) = assessment.stops.get(stop_index) else { return Ok(None) };
    let Some(array) = stop.arrays.get(array_index) else { return Ok(None) };
    let hours = &array.worst_week;
    let (Some(first), Some(last)) = (hours.first(), hours.last()) else { return Ok(None) };

    // A stay shorter than a week is shown alone.
    let is_week = last.start.0 - first.start.0 >= 6 * DAY_S;
    let what = if is_week { "Worst week" } else { "Days around the worst" };
    let title = format!("{what} at {}", super::heading(assessment, stop, array));
    let range = voltages::range(assessment, &array.name);
    let mut drawing = Drawing::new(532.0, &title);
    legend(&mut drawing, hours, array, range.0);

    #[expect(clippy::cast_precision_loss, reason = "hours of one week")]
    let span = (0.0, ((last.start.0 - first.start.0) / HOUR_S) as f64 + held(hours));
    let frame = |top: f64, bottom: f64, y: (f64, f64)| Frame {
        left: 64.0,
        right: style::WIDTH - ratings::NAMES,
        top,
        bottom,
        x: span,
        y,
    };
    let volts = frame(64.0, 300.0, range);
    let air = frame(316.0, 408.0, air_range(hours));
    let sun = frame(424.0, 488.0, sun_range(hours));

    night(&mut drawing, hours, &[volts, air, sun]);
    volts.upright(&mut drawing, "string volts, V", 7);
    air.temperatures(&mut drawing, "air, °C", 4);
    sun.upright(&mut drawing, "sun, W/m²", 3);

    if let Some(rating) = over(&mut drawing, &volts, hours, array) {
        // Beside the lowest plot the margin is free.
        let (x, y) = (sun.right + 14.0, sun.top + 10.0);
        let text = format!("above {}", show::rating(rating, "V"));
        drawing.entry(&format!("sudden sun {text}"), |drawing| {
            drawing.rect((x, y - 6.0), (x + 16.0, y + 6.0), Ink::Over, 1.0);
        });
        drawing.text((x + 21.0, y), "sudden sun", Ink::Text, style::SMALL, Across::Start);
        drawing.text((x + 21.0, y + 16.0), &text, Ink::Text, style::SMALL, Across::Start);
    }
    for (value, look) in [
        (worst_case as fn(&StripHour) -> Option<f64>, voltages::WORST_CASE),
        (sudden_sun, voltages::SUDDEN_SUN),
        (steady, voltages::STEADY),
    ] {
        steps(&mut drawing, &volts, hours, value, look);
    }
    steps(
        &mut drawing,
        &air,
        hours,
        |hour| Some(hour.air_c),
        Look { ink: Ink::Air, width: 1.6, stroke: Stroke::Solid },
    );
    sunshine(&mut drawing, &sun, hours);

    let rank = rank(assessment, stop_index, array);
    let decides: Vec<ratings::Level> =
        view::volts_decider(array).map(|decides| level(decides, rank)).into_iter().collect();
    let remarks = ratings::lines_and(&mut drawing, &volts, &view::volt_ratings(array), "V", &decides);
    drawing.text((volts.left, volts.top - 9.0), &remarks, Ink::Limit, style::SMALL, Across::Start);
    peak(&mut drawing, &volts, hours, array);
    for frame in [volts, air, sun] {
        frame.border(&mut drawing);
    }
    days(&mut drawing, &sun, hours, stop.utc_offset);
    let zone = format!("local time of the place, UTC{}", stop.utc_offset);
    let middle = f64::midpoint(sun.left, sun.right);
    drawing.text((middle, 519.0), &minus(&zone), Ink::Text, style::SMALL, Across::Middle);

    let id = format!("worst-week-{}-{}", stop_index + 1, array_index + 1);
    let alt = finding(assessment, (stop, rank), array, hours);
    paint::chart(&id, &title, &alt, Role::Stop(stop_index), &drawing.signed(assessment)).map(Some)
}

/// What is drawn and nothing else.
fn legend(drawing: &mut Drawing, hours: &[StripHour], array: &ArrayAtStop, lowest: f64) {
    let drawn = [worst_case as fn(&StripHour) -> Option<f64>, sudden_sun, steady]
        .map(|value| hours.iter().filter_map(value).any(|volts| volts >= lowest));
    let mut x = voltages::legend(drawing, 40.0, drawn);
    if hours.iter().any(is_night) {
        drawing.entry("no sun", |drawing| drawing.rect((x, 33.0), (x + 16.0, 45.0), Ink::Night, 1.0));
        drawing.text((x + 22.0, 39.0), "no sun", Ink::Text, style::SMALL, Across::Start);
        x += 22.0 + text_width("no sun", style::SMALL) + 18.0;
    }
    if ringed(hours, array).is_some() {
        let text = "largest sudden sun";
        drawing.entry(text, |drawing| drawing.ring((x, 39.0), 4.0, Ink::SuddenSun));
        drawing.text((x + 10.0, 39.0), text, Ink::Text, style::SMALL, Across::Start);
    }
}

fn steady(hour: &StripHour) -> Option<f64> {
    hour.steady_v
}

fn sudden_sun(hour: &StripHour) -> Option<f64> {
    hour.sudden_sun_v
}

fn worst_case(hour: &StripHour) -> Option<f64> {
    hour.worst_case_v
}

fn air_range(hours: &[StripHour]) -> (f64, f64) {
    let low = hours.iter().map(|hour| hour.air_c).fold(f64::INFINITY, f64::min);
    let high = hours.iter().map(|hour| hour.air_c).fold(f64::NEG_INFINITY, f64::max);
    widened((low - 0.5, high + 0.5), 5.0)
}

fn sun_range(hours: &[StripHour]) -> (f64, f64) {
    let most = hours.iter().map(|hour| hour.plane_w_m2).fold(50.0, f64::max);
    (0.0, widened((0.0, most * 1.02), 100.0).1)
}

/// Position of an hour's start on the axis, hours after the first.
fn place_in(hours: &[StripHour], index: usize) -> f64 {
    #[expect(clippy::cast_precision_loss, reason = "hours of one week")]
    let position = ((hours[index].start.0 - hours[0].start.0) / HOUR_S) as f64;
    position
}

/// Hours from one report to the next, which a report stands for in the picture.
fn held(hours: &[StripHour]) -> f64 {
    let gaps = hours.windows(2).map(|pair| (pair[1].start.0 - pair[0].start.0) / HOUR_S);
    #[expect(clippy::cast_precision_loss, reason = "a few hours")]
    let step = gaps.min().unwrap_or(1).clamp(1, 6) as f64;
    step
}

fn is_night(hour: &StripHour) -> bool {
    hour.worst_case_v == Some(0.0) || (hour.worst_case_v.is_none() && hour.plane_w_m2 <= 0.0)
}

fn night(drawing: &mut Drawing, hours: &[StripHour], frames: &[Frame]) {
    let step = held(hours);
    let mut index = 0;
    while index < hours.len() {
        if !is_night(&hours[index]) {
            index += 1;
            continue;
        }
        let from = place_in(hours, index);
        let mut to = from + step;
        while index + 1 < hours.len() && is_night(&hours[index + 1]) {
            index += 1;
            to = place_in(hours, index) + step;
        }
        for frame in frames {
            let (left, right) = (frame.across(from), frame.across(to).min(frame.right));
            drawing.rect((left, frame.top), (right, frame.bottom), Ink::Night, 1.0);
        }
        index += 1;
    }
}

/// A line that holds each hour's value over the hour, broken where there is none and in the dark.
fn steps(
    drawing: &mut Drawing,
    frame: &Frame,
    hours: &[StripHour],
    value: impl Fn(&StripHour) -> Option<f64>,
    look: Look,
) {
    let step = held(hours);
    let mut points: Vec<(f64, f64)> = Vec::new();
    let mut end = f64::NAN;
    for (index, hour) in hours.iter().enumerate() {
        let from = place_in(hours, index);
        let shown = value(hour).filter(|value| *value >= frame.y.0);
        let joined = (from - end).abs() < 1e-9;
        if (shown.is_none() || !joined) && points.len() > 1 {
            drawing.line(std::mem::take(&mut points), look.ink, look.width, look.stroke);
        }
        if let Some(value) = shown {
            points.push(frame.at(from, value));
            points.push(frame.at(from + step, value));
            end = from + step;
        }
    }
    if points.len() > 1 {
        drawing.line(points, look.ink, look.width, look.stroke);
    }
}

/// Hours in which sudden sun passes the lowest rating in view; returns that rating where there are any.
fn over(drawing: &mut Drawing, frame: &Frame, hours: &[StripHour], array: &ArrayAtStop) -> Option<f64> {
    let lowest = view::volt_ratings(array).iter().map(|(_, rating)| *rating).fold(f64::INFINITY, f64::min);
    if lowest > frame.y.1 {
        return None;
    }
    let mut any = false;
    for (index, hour) in hours.iter().enumerate() {
        if let Some(volts) = hour.sudden_sun_v.filter(|volts| *volts > lowest) {
            let from = place_in(hours, index);
            drawing.rect(frame.at(from, lowest), frame.at(from + held(hours), volts), Ink::Over, 1.0);
            any = true;
        }
    }
    any.then_some(lowest)
}

fn sunshine(drawing: &mut Drawing, frame: &Frame, hours: &[StripHour]) {
    for (index, hour) in hours.iter().enumerate() {
        if hour.plane_w_m2 > 0.0 {
            let from = place_in(hours, index);
            drawing.rect(frame.at(from, 0.0), frame.at(from + held(hours), hour.plane_w_m2), Ink::Sun, 1.0);
        }
    }
}

/// What the volts of an array at a stop are to the verdict of the plan.
#[derive(Clone, Copy)]
enum Rank {
    /// It rests on them.
    Decide,
    /// It rests on volts elsewhere.
    DecideHere,
    /// It rests on amps or on a rule.
    DecideForVolts,
}

fn rank(assessment: &Assessment, stop_index: usize, array: &ArrayAtStop) -> Rank {
    match view::decider(assessment) {
        Some(decider) if decider.limit.unit != "V" => Rank::DecideForVolts,
        Some(decider) if (decider.stop_index, &decider.array.name) != (stop_index, &array.name) => {
            Rank::DecideHere
        }
        _ => Rank::Decide,
    }
}

/// The figure that volts are judged by: seldom the highest that this week shows.
fn level((value, by): (f64, DecidedBy), rank: Rank) -> ratings::Level {
    let ink = if by == DecidedBy::Code { Ink::Code } else { Ink::WorstCase };
    // Beside the plot there is room for two short words.
    let (short, whole) = match rank {
        Rank::Decide => ("decides:", "decides:"),
        Rank::DecideHere => ("here:", "decides here:"),
        Rank::DecideForVolts => ("for volts:", "decides for volts:"),
    };
    let volts = show::volts(value);
    let name = show::decided_by(by);
    ratings::Level {
        value,
        text: format!("{volts} {short}"),
        name: name.to_owned(),
        ink,
        key: format!("{volts} {whole} {name}"),
    }
}

/// The hour of the largest sudden-sun volts, where it is one of these, and its volts.
fn ringed(hours: &[StripHour], array: &ArrayAtStop) -> Option<(usize, f64)> {
    let at = array.voltage_v.sudden_sun.at?;
    let index = hours.iter().position(|hour| hour.start == at.floor_hour())?;
    Some((index, hours[index].sudden_sun_v?))
}

/// A ring around the largest sudden-sun volts, with its value.
fn peak(drawing: &mut Drawing, frame: &Frame, hours: &[StripHour], array: &ArrayAtStop) {
    let Some((index, volts)) = ringed(hours, array) else { return };
    let centre = frame.at(place_in(hours, index) + held(hours) / 2.0, volts);
    drawing.ring(centre, 4.0, Ink::SuddenSun);
    // The dark hours behind that day, or else before it, leave room for the value.
    let text = show::volts(volts);
    let width = text_width(&text, style::SMALL) + 8.0;
    let dusk = (index..hours.len()).find(|&hour| is_night(&hours[hour])).unwrap_or(hours.len() - 1);
    let dawn = (0..=index).rev().find(|&hour| is_night(&hours[hour])).unwrap_or(0);
    let (right, left) =
        (frame.across(place_in(hours, dusk)), frame.across(place_in(hours, dawn) + held(hours)));
    let (x, across) =
        if right + width < frame.right { (right + 5.0, Across::Start) } else { (left - 5.0, Across::End) };
    // Beside a rating line, not on it.
    let crossed =
        |y: f64| view::volt_ratings(array).iter().any(|(_, rating)| (frame.up(*rating) - y).abs() < 9.0);
    let away = [0.0, 12.0, -12.0, 24.0].into_iter().find(|away| !crossed(centre.1 + away));
    drawing.text((x, centre.1 + away.unwrap_or(0.0)), &text, Ink::Text, style::SMALL, across);
}

/// Local dates in the middle of their days, and a tick at each midnight.
fn days(drawing: &mut Drawing, frame: &Frame, hours: &[StripHour], offset: UtcOffset) {
    let mut index = 0;
    while index < hours.len() {
        let day = hours[index].start.local_day(offset);
        let from = place_in(hours, index);
        let mut end = index;
        while end + 1 < hours.len() && hours[end + 1].start.local_day(offset) == day {
            end += 1;
        }
        let to = place_in(hours, end) + 1.0;
        if index > 0 {
            let x = frame.across(from);
            drawing.line(vec![(x, frame.bottom), (x, frame.bottom + 5.0)], Ink::Axis, 1.0, Stroke::Solid);
        }
        let label = day.to_string();
        let (left, right) = (frame.across(from), frame.across(to));
        // A day that is cut to a few hours has no room for its date.
        if right - left > text_width(&label, style::SMALL) {
            let at = (f64::midpoint(left, right), frame.bottom + 12.0);
            drawing.text(at, &label, Ink::Faint, style::SMALL, Across::Middle);
        }
        index = end + 1;
    }
}

/// "for 10.6 h within 14 clock hours": how long, as the first screen counts it, and in how many hours of the
/// picture, which shows each whole.
fn within(shown: usize, passed_h: Option<f64>, held_h: f64) -> String {
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "hours of one week")]
    let clock = so_many(shown * held_h as usize, "clock hour");
    match passed_h {
        Some(passed_h) if passed_h > 0.0 => {
            format!("for {} h within {clock}", show::count(passed_h))
        }
        _ => format!("within {clock} of this week"),
    }
}

/// Where the figure that decides stands, since the ring marks another.
fn deciding(
    (value, by): (f64, DecidedBy),
    rank: Rank,
    stop: &StopResult,
    array: &ArrayAtStop,
    hours: &[StripHour],
) -> String {
    let place = match (by, array.voltage_v.worst_case.at) {
        (DecidedBy::Code, _) => ", which rests on no hour".to_owned(),
        (DecidedBy::Level, _) => ", which rests on all seasons".to_owned(),
        (_, Some(at)) if hours.iter().any(|hour| hour.start == at.floor_hour()) => {
            ", in this week".to_owned()
        }
        (_, Some(at)) => format!(", outside this week, on {}", glance::moment(at, stop)),
        (_, None) => String::new(),
    };
    let most = glance::largest_of(&array.voltage_v, value);
    let rests = match rank {
        Rank::Decide => "",
        Rank::DecideHere => " (the plan's verdict rests on volts elsewhere)",
        Rank::DecideForVolts => " (the plan's verdict rests on amps or a rule)",
    };
    let bought = if most > value + 0.05 {
        format!("; parts are bought by {}", show::volts(most))
    } else {
        String::new()
    };
    format!(" Volts go by the {}, {}{place}{rests}{bought}.", show::decided_by(by), show::volts(value))
}

fn finding(
    assessment: &Assessment,
    (stop, rank): (&StopResult, Rank),
    array: &ArrayAtStop,
    hours: &[StripHour],
) -> String {
    let offset = stop.utc_offset;
    let mut best: Option<&StripHour> = None;
    for hour in hours {
        let volts = |hour: &StripHour| hour.sudden_sun_v.unwrap_or(0.0);
        if volts(hour) > best.map_or(0.0, volts) {
            best = Some(hour);
        }
    }
    let Some(best) = best else {
        return format!("No hour of this week at {} is bright enough to compute.", stop.place);
    };
    let volts = best.sudden_sun_v.unwrap_or(0.0);
    let mut text = format!(
        "In sudden sun the highest string at {} reaches {} at {} local time, with air at {} ({})",
        super::heading(assessment, stop, array),
        show::volts(volts),
        best.start.local(offset),
        show::temperature(best.air_c, show::Units::Us),
        match (stop.elevation_m, stop.station.elevation_m) {
            (Some(place), Some(station)) if (place - station).abs() >= 0.5 => {
                "the station's, moved to this height"
            }
            _ => "as the station read it",
        },
    );
    let most = |value: fn(&StripHour) -> Option<f64>| hours.iter().filter_map(value).fold(0.0, f64::max);
    text.push_str(&format!(
        "; the week's largest parked voltage is {}, its worst case {}.",
        show::volts(most(steady)),
        show::volts(most(worst_case))
    ));
    let mut kept: Vec<String> = Vec::new();
    let reach = reach_outside_v(&array.voltage_v).map(at_least);
    for (component, rating) in view::volt_ratings(array) {
        let over = |value: fn(&StripHour) -> Option<f64>| {
            hours.iter().filter(|&hour| value(hour).is_some_and(|volts| volts > rating)).count()
        };
        let name = format!("{component} ({})", show::rating(rating, "V"));
        let named = view::capital(&name);
        match (over(sudden_sun), over(worst_case)) {
            // What lies outside may pass what the worst case does not: no reader is to take the one for the other.
            (0, 0) => kept.push(match reach.filter(|reach| *reach > rating) {
                Some(reach) => {
                    let rating = show::rating(rating, "V");
                    format!("{component} ({rating}; {} with what lies outside)", show::volts(reach))
                }
                None => name,
            }),
            (0, worst) => text.push_str(&format!(
                " {named} is passed by the worst case in {}, in sudden sun in none.",
                so_many(worst, "hour")
            )),
            (sudden, _) => {
                let passed = array.worst_week_over_h.iter().find(|(of, _)| *of == rating);
                text.push_str(&format!(
                    " {named} is passed in sudden sun {}.",
                    within(sudden, passed.map(|(_, passed_h)| *passed_h), held(hours))
                ));
            }
        }
    }
    if !kept.is_empty() {
        text.push_str(&format!(" Not even the worst case passes {}.", kept.join(", ")));
    }
    if let Some(decides) = view::volts_decider(array) {
        text.push_str(&deciding(decides, rank, stop, array, hours));
    }
    text
}
