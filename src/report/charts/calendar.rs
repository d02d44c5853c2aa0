//! The year as a map, day by hour: how close sudden sun has come to the lowest rating, or, far from every rating, when
//! it is highest.

use super::drawing::{Across, Drawing, Stroke, text_width};
use super::frame::Frame;
use super::style::{self, Ink};
use super::{Chart, ChartError, Role, paint};
use crate::report::{clean, show, view};
use crate::study::results::{Assessment, StopResult};

/// Days that share a column: single days would be thinner than a line. The last one has the day that is left.
const DAYS_A_COLUMN: usize = 5;
/// Days of the map's year.
const DAYS: usize = 366;
/// First of July in a year of 366 days: a winter of the north then lies in the middle.
const FIRST_OF_JULY: usize = 182;
/// First days of the months, with their names.
const MONTHS: [(usize, &str); 12] = [
    (0, "Jan"),
    (31, "Feb"),
    (60, "Mar"),
    (91, "Apr"),
    (121, "May"),
    (152, "Jun"),
    (182, "Jul"),
    (213, "Aug"),
    (244, "Sep"),
    (274, "Oct"),
    (305, "Nov"),
    (335, "Dec"),
];
/// Upper ends of the steps, as shares of the rating, with their colours and names.
const STEPS: [(f64, Ink, &str); 5] = [
    (0.85, Ink::Step1, "to 85 %"),
    (0.92, Ink::Step2, "to 92 %"),
    (0.97, Ink::Step3, "to 97 %"),
    (1.0, Ink::Step4, "to 100 %"),
    (f64::INFINITY, Ink::Limit, "above"),
];

/// The chart of an array at a stop, or `None` where the results hold no such map.
///
/// # Errors
/// Where the plotting crate or the encoder refuses; see [`ChartError`].
pub fn calendar(
    assessment: &Assessment,
    stop_index: usize,
    array_index: usize,
) -> Result<Option<Chart>, ChartError> {
    let Some(stop) = assessment.stops.get(stop_index) else { return Ok(None) };
    let Some(array) = stop.arrays.get(array_index) else { return Ok(None) };
    let Some(map) = &array.pictures.calendar else { return Ok(None) };
    let lowest = view::volt_ratings(array).into_iter().min_by(|a, b| a.1.total_cmp(&b.1));
    let Some(against) = Against::of(&map.days, lowest) else { return Ok(None) };
    let south = stop.station.latitude_deg.is_some_and(|latitude| latitude < 0.0);
    let first = if south { 0 } else { FIRST_OF_JULY };

    let title = format!("Sudden sun through the year at {}", super::heading(assessment, stop, array));
    let mut drawing = Drawing::new(372.0, &title);
    #[expect(clippy::cast_precision_loss, reason = "days of a year")]
    let frame = Frame {
        left: 64.0,
        right: style::WIDTH - 24.0,
        top: 62.0,
        bottom: 324.0,
        x: (0.0, DAYS as f64),
        y: (0.0, 24.0),
    };
    let stay = stop.window.as_deref().and_then(stay_days);
    drawing.rect((frame.left, frame.top), (frame.right, frame.bottom), Ink::Night, 1.0);
    let step_h = step_h(&map.days);
    let day = |index: usize| map.days.get((first + index) % DAYS);
    let mut drawn = [false; STEPS.len()];
    for column in 0..DAYS / DAYS_A_COLUMN {
        let from = column * DAYS_A_COLUMN;
        let to = if column + 1 == DAYS / DAYS_A_COLUMN { DAYS } else { from + DAYS_A_COLUMN };
        let largest = |hour: usize| {
            let volts = (from..to).filter_map(|index| day(index).and_then(|hours| hours[hour]));
            volts.map(f64::from).reduce(f64::max).map(|volts| step(volts / against.volts))
        };
        cells(&mut drawing, &frame, (from, to), &mut drawn, |hour| {
            // A record of a report every few hours: each stands until the next.
            let first = (hour + 1).saturating_sub(step_h);
            (first..=hour).rev().find_map(largest)
        });
    }
    for hour in [0.0, 6.0, 12.0, 18.0, 24.0] {
        let at = (frame.left - 6.0, frame.up(hour));
        drawing.text(at, &format!("{hour:.0} h"), Ink::Faint, style::SMALL, Across::End);
        frame.level(&mut drawing, hour, Ink::Axis, 0.5, Stroke::Dotted);
    }
    for (start, name) in MONTHS {
        #[expect(clippy::cast_precision_loss, reason = "days of a year")]
        let x = frame.across(((start + DAYS - first) % DAYS) as f64);
        drawing.line(vec![(x, frame.bottom), (x, frame.bottom + 5.0)], Ink::Axis, 1.0, Stroke::Solid);
        drawing.text((x + 4.0, frame.bottom + 13.0), name, Ink::Faint, style::SMALL, Across::Start);
    }
    frame.border(&mut drawing);
    legend(&mut drawing, &against, &drawn, stay.is_some());
    if let Some(stay) = stay {
        outline(&mut drawing, &frame, stay, first);
    }
    let middle = f64::midpoint(frame.top, frame.bottom);
    drawing.turned((11.0, middle), "hour of the day, local", Ink::Text, style::SMALL);
    let mut below = "largest of the whole record in five days and one hour; grey: no sun".to_owned();
    if let Some((name, rating)) = lowest.filter(|_| !against.is_rating) {
        below.push_str(&format!(
            "; the lowest rating is {}, {}",
            show::rating(rating, "V"),
            clean::short(name, 30)
        ));
    }
    // Under the plot, and on the page where it is long.
    let half = text_width(&below, style::SMALL) / 2.0;
    let centre = f64::midpoint(frame.left, frame.right).min(style::WIDTH - 4.0 - half);
    drawing.text((centre, frame.bottom + 34.0), &below, Ink::Text, style::SMALL, Across::Middle);

    let id = format!("calendar-{}-{}", stop_index + 1, array_index + 1);
    let alt = finding(stop, &map.days, lowest);
    paint::chart(&id, &title, &alt, Role::Stop(stop_index), &drawing.signed(assessment)).map(Some)
}

/// First and last day of a stay, counted as the months are; a stay over New Year ends before it begins.
fn stay_days(window: &str) -> Option<(usize, usize)> {
    let day = |date: &str| {
        let mut parts = date.rsplit('-').map(|part| part.parse::<usize>().ok());
        let (day, month) = (parts.next()??, parts.next()??);
        let (start, _) = MONTHS.get(month.checked_sub(1)?)?;
        Some(start + day.checked_sub(1)?).filter(|day| *day < DAYS)
    };
    let (arrive, leave) = window.split_once(" to ")?;
    Some((day(arrive)?, day(leave)?))
}

/// A box around the days of the stay; two where they pass the edge of the map.
fn outline(drawing: &mut Drawing, frame: &Frame, (arrive, leave): (usize, usize), first: usize) {
    let place = |day: usize| (day + DAYS - first) % DAYS;
    let (from, to) = (place(arrive), place(leave) + 1);
    let spans = if from < to { vec![(from, to)] } else { vec![(from, DAYS), (0, to)] };
    for (from, to) in spans {
        #[expect(clippy::cast_precision_loss, reason = "days of a year")]
        let (left, right) = (frame.across(from as f64), frame.across(to as f64));
        stay_box(drawing, (left, frame.top), (right, frame.bottom));
    }
}

/// Ink on paper: it stands out from cells of every colour.
fn stay_box(drawing: &mut Drawing, (left, top): (f64, f64), (right, bottom): (f64, f64)) {
    let corners = vec![(left, top), (right, top), (right, bottom), (left, bottom), (left, top)];
    drawing.line(corners.clone(), Ink::Paper, 4.0, Stroke::Solid);
    drawing.line(corners, Ink::Text, 2.0, Stroke::Solid);
}

/// What the volts are compared with.
struct Against {
    name: String,
    volts: f64,
    is_rating: bool,
}

impl Against {
    /// The lowest rating; where no hour comes into its second step, or there is none, the largest volts of the map:
    /// one pale colour all over would show nothing.
    fn of(days: &[[Option<f32>; 24]], lowest: Option<(&str, f64)>) -> Option<Self> {
        let largest = days.iter().flatten().flatten().copied().map(f64::from).reduce(f64::max)?;
        match lowest.filter(|(_, rating)| largest > rating * STEPS[0].0) {
            Some((name, volts)) => Some(Self { name: clean::short(name, 30), volts, is_rating: true }),
            None => Some(Self { name: "the largest".to_owned(), volts: largest, is_rating: false }),
        }
        .filter(|against| against.volts > 0.0)
    }
}

/// Hours from one report to the next: the least distance of two hours with a value on one day.
fn step_h(days: &[[Option<f32>; 24]]) -> usize {
    let mut least = 24;
    for hours in days {
        let lit: Vec<usize> = (0..24).filter(|&hour| hours[hour].is_some()).collect();
        least = lit.windows(2).map(|pair| pair[1] - pair[0]).fold(least, usize::min);
    }
    if least > 6 { 1 } else { least }
}

fn step(share: f64) -> usize {
    STEPS.iter().position(|(end, _, _)| share <= *end).unwrap_or(STEPS.len() - 1)
}

/// One column; neighbours of one step become one rectangle. Which steps there are is marked.
fn cells(
    drawing: &mut Drawing,
    frame: &Frame,
    (from, to): (usize, usize),
    drawn: &mut [bool],
    largest: impl Fn(usize) -> Option<usize>,
) {
    let mut hour = 0;
    while hour < 24 {
        let Some(step) = largest(hour) else {
            hour += 1;
            continue;
        };
        let first = hour;
        while hour < 24 && largest(hour) == Some(step) {
            hour += 1;
        }
        #[expect(clippy::cast_precision_loss, reason = "days of a year and hours of a day")]
        let (low, high) = (frame.at(from as f64, first as f64), frame.at(to as f64, hour as f64));
        cell(drawing, low, high, STEPS[step].1);
        drawn[step] = true;
    }
}

/// What is above a rating has a stripe besides: without colour the red is as dark as the step below it.
fn cell(drawing: &mut Drawing, from: (f64, f64), to: (f64, f64), ink: Ink) {
    drawing.rect(from, to, ink, 1.0);
    if ink == Ink::Limit {
        let middle = f64::midpoint(from.0, to.0);
        drawing.line(vec![(middle, from.1), (middle, to.1)], Ink::Paper, 1.5, Stroke::Solid);
    }
}

/// What is drawn and nothing else.
fn legend(drawing: &mut Drawing, against: &Against, drawn: &[bool], has_stay: bool) {
    let volts = if against.is_rating { show::rating(against.volts, "V") } else { show::volts(against.volts) };
    let text = format!("share of {}, {volts}:", clean::short(&against.name, if has_stay { 22 } else { 30 }));
    drawing.text((40.0, 42.0), &text, Ink::Text, style::SMALL, Across::Start);
    drawing.explain(&format!("each cell is the largest of five days at one hour, as its {text}"));
    let mut x = 40.0 + text_width(&text, style::SMALL) + 10.0;
    for ((_, ink, text), _) in STEPS.iter().zip(drawn).filter(|(_, drawn)| **drawn) {
        drawing.entry(text, |drawing| cell(drawing, (x, 36.0), (x + 16.0, 48.0), *ink));
        drawing.text((x + 21.0, 42.0), text, Ink::Text, style::SMALL, Across::Start);
        x += 21.0 + text_width(text, style::SMALL) + 10.0;
    }
    if has_stay {
        drawing.entry("the stay", |drawing| stay_box(drawing, (x + 1.0, 36.0), (x + 15.0, 48.0)));
        drawing.text((x + 21.0, 42.0), "the stay", Ink::Text, style::SMALL, Across::Start);
    }
    drawing.entry_elsewhere("no sun", |drawing| drawing.rect((0.0, 0.0), (16.0, 12.0), Ink::Night, 1.0));
}

fn finding(stop: &StopResult, days: &[[Option<f32>; 24]], lowest: Option<(&str, f64)>) -> String {
    let mut largest: Option<(usize, usize, f64)> = None;
    let mut over_hours = 0;
    let mut over_days = 0;
    for (day, hours) in days.iter().enumerate() {
        let before = over_hours;
        for (hour, volts) in hours.iter().enumerate() {
            let Some(volts) = volts.map(f64::from) else { continue };
            over_hours += usize::from(lowest.is_some_and(|(_, rating)| volts > rating));
            if largest.is_none_or(|(_, _, most)| volts > most) {
                largest = Some((day, hour, volts));
            }
        }
        over_days += usize::from(over_hours > before);
    }
    let Some((day, hour, volts)) = largest else {
        return format!("No hour of the record at {} is bright enough to compute.", stop.place);
    };
    let (start, month) = MONTHS.iter().rev().find(|(start, _)| *start <= day).copied().unwrap_or((0, "Jan"));
    let whole = if stop.window.is_some() { " of all days of the year, not of the stay alone," } else { "" };
    let largest = format!(
        "The largest sudden-sun voltage at {}{whole} is {}, on {} {month} at {hour} h local time.",
        stop.place,
        show::volts(volts),
        day - start + 1
    );
    let Some((name, rating)) =
        lowest.map(|(name, rating)| (clean::short(name, 30), show::rating(rating, "V")))
    else {
        return largest;
    };
    let name = view::capital(&name);
    let over = match over_days {
        0 => format!("{name} ({rating}) is passed in no hour of the record."),
        days => format!("{name} ({rating}) has been passed on {days} of 366 calendar days."),
    };
    format!("{largest} {over}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_stay_is_read_with_and_without_a_year() {
        // Days of a leap year counted by hand: 31 + 29 + ... .
        assert_eq!(stay_days("01-01 to 03-01"), Some((0, 60)));
        assert_eq!(stay_days("2031-12-31 to 2032-02-29"), Some((365, 59)));
        for bad in
            ["", "01-01", "13-01 to 01-05", "00-10 to 01-05", "x to y", "01-00 to 01-02", "12-99 to 01-02"]
        {
            assert_eq!(stay_days(bad), None, "{bad}");
        }
    }
}
