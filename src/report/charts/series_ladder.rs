//! How many in series: each count a bar from hot volts under load to cold open-circuit volts, between what the controller
//! needs and what everything stands.

use super::drawing::{Across, Drawing, Stroke, text_width};
use super::frame::{Frame, ticks};
use super::ratings::{self, Upright};
use super::style::{self, Ink};
use super::{Chart, ChartError, Role, paint};
use crate::limits::Verdict;
use crate::report::{clean, show, view};
use crate::study::pictures::{Ladder, Rung};
use crate::study::results::{ArrayFacts, Assessment};
use crate::units::listed;

/// Height of a count's row, page units.
const ROW: f64 = 30.0;
/// Half the height of a bar.
const HALF: f64 = 8.0;
/// Rows at most; of more counts those between are left out.
const MOST: usize = 12;
/// Counts at the end that stay: the ceiling, two below it and two past it.
const LAST: usize = 5;

/// The ladder of one array, or `None` where there is none.
///
/// # Errors
/// Where the plotting crate or the encoder refuses; see [`ChartError`].
pub fn series_ladder(assessment: &Assessment, array_index: usize) -> Result<Option<Chart>, ChartError> {
    let Some(facts) = assessment.arrays.get(array_index) else { return Ok(None) };
    let Some(ladder) = facts.ladder.as_ref() else { return Ok(None) };
    let rungs = shown(ladder);
    let most = rungs.iter().filter_map(|rung| rung.cold_v).fold(0.0, f64::max);
    if rungs.is_empty() || most <= 0.0 {
        return Ok(None);
    }
    let title = if assessment.arrays.len() > 1 {
        format!("How many in series, array {}", clean::short(&facts.name, 40))
    } else {
        "How many in series".to_owned()
    };
    let range = (0.0, most * 1.02);
    let ratings = all_ratings(assessment, &facts.name);
    let (mut lines, remark) = ratings::uprights(&ratings, range, "V");
    for (volts, word) in [(ladder.run_v, "controller runs down to"), (ladder.start_v, "controller starts at")]
    {
        if let Some(value) = volts.filter(|volts| *volts < range.1) {
            let name = format!("{word} {}", show::volts(value));
            lines.push(Upright { name, value, ink: Ink::Code, stroke: Stroke::Dotted });
        }
    }
    #[expect(clippy::cast_precision_loss, reason = "a dozen rows")]
    let count = rungs.len() as f64;
    let top = 74.0 + ratings::rows(&lines);
    let bottom = top + count * ROW + 8.0;
    let widest = rungs.iter().map(|rung| text_width(&volts_words(rung), style::SMALL)).fold(100.0, f64::max);
    let right = style::WIDTH - widest - 24.0;
    let frame = Frame { left: 176.0, right, top, bottom, x: range, y: (count + 0.13, -0.13) };
    let mut drawing = Drawing::new(bottom + 52.0, &title);
    // Without good light, as on dates of midwinter, the low end is not known.
    let under = if rungs.iter().any(|rung| rung.hot_v.is_some()) {
        "bar: one string, from volts under load on hot cells in good light to the largest open-circuit figure;"
    } else {
        "dot: one string, the largest open-circuit figure; no hour that was looked at has good light"
    };
    drawing.text((14.0, 40.0), under, Ink::Text, style::SMALL, Across::Start);
    drawing.explain(under.trim_end_matches(';'));
    let lowest = ratings.iter().map(|(_, rating)| *rating).fold(f64::INFINITY, f64::min);
    if rungs.iter().any(|rung| rung.hot_v.is_some() && rung.cold_v.is_some_and(|cold| cold > lowest)) {
        let x = 14.0 + text_width(under, style::SMALL) + 10.0;
        drawing.entry("too high", |drawing| drawing.rect((x, 34.0), (x + 16.0, 46.0), Ink::Over, 1.0));
        drawing.text((x + 21.0, 40.0), "too high", Ink::Text, style::SMALL, Across::Start);
    }
    drawing.text((14.0, 56.0), &remark, Ink::Limit, style::SMALL, Across::Start);
    for tick in ticks(range, 10) {
        let x = frame.across(tick);
        drawing.line(vec![(x, top), (x, bottom)], Ink::Grid, 1.0, Stroke::Solid);
        frame.under(&mut drawing, tick, &show::fixed(tick, usize::from(most < 5.0)));
    }
    for (index, rung) in rungs.iter().enumerate() {
        #[expect(clippy::cast_precision_loss, reason = "a dozen rows")]
        let y = frame.up(index as f64 + 0.5);
        bar(&mut drawing, &frame, y, rung, lowest);
        if index > 0 && rungs[index - 1].in_series + 1 < rung.in_series {
            left_out(&mut drawing, &frame, y - ROW / 2.0);
        }
    }
    ratings::draw_uprights(&mut drawing, &frame, lines);
    for (index, rung) in rungs.iter().enumerate() {
        #[expect(clippy::cast_precision_loss, reason = "a dozen rows")]
        let y = frame.up(index as f64 + 0.5);
        words(&mut drawing, &frame, y, rung);
    }
    frame.border(&mut drawing);
    let middle = f64::midpoint(frame.left, frame.right);
    drawing.text((middle, bottom + 34.0), "volts of one string, V", Ink::Text, style::SMALL, Across::Middle);

    let id = format!("series-ladder-{}", array_index + 1);
    let alt = finding(facts, ladder, &rungs);
    paint::chart(&id, &title, &alt, Role::Whole, &drawing.signed(assessment)).map(Some)
}

/// Ratings in volts of an array at all stops, each pair of component and rating once.
fn all_ratings<'a>(assessment: &'a Assessment, array: &str) -> Vec<(&'a str, f64)> {
    let mut all: Vec<(&str, f64)> = Vec::new();
    let own = assessment.stops.iter().flat_map(|stop| &stop.arrays).filter(|at| at.name == array);
    for pair in own.flat_map(view::volt_ratings) {
        if !all.contains(&pair) {
            all.push(pair);
        }
    }
    all
}

/// The rungs that are drawn: all of a few; of many the first ones, those about the plan's and the last ones.
fn shown(ladder: &Ladder) -> Vec<&Rung> {
    let all = &ladder.rungs;
    if all.len() <= MOST {
        return all.iter().collect();
    }
    let planned = all.iter().position(|rung| rung.is_planned).unwrap_or(0);
    let near = |index: usize| index.abs_diff(planned) <= 1 || index + LAST >= all.len();
    let mut room = MOST - (0..all.len()).filter(|&index| near(index)).count();
    all.iter()
        .enumerate()
        .filter(|&(index, _)| {
            let early = !near(index) && room > 0;
            room -= usize::from(early);
            early || near(index)
        })
        .map(|(_, rung)| rung)
        .collect()
}

/// From hot to cold; what passes the lowest rating in another colour.
fn bar(drawing: &mut Drawing, frame: &Frame, y: f64, rung: &Rung, lowest: f64) {
    let Some(cold) = rung.cold_v else { return };
    let x = |volts: f64| frame.across(volts).clamp(frame.left, frame.right);
    let Some(hot) = rung.hot_v else {
        drawing.dot((x(cold), y), 4.0, Ink::Step4);
        return;
    };
    let within = cold.min(lowest);
    if hot < within {
        drawing.rect((x(hot), y - HALF), (x(within), y + HALF), Ink::Step3, 1.0);
    }
    if cold > lowest {
        drawing.rect((x(hot.max(lowest)), y - HALF), (x(cold), y + HALF), Ink::Over, 1.0);
        let (left, right) = (x(hot.max(lowest)), x(cold));
        let around =
            [(left, y - HALF), (right, y - HALF), (right, y + HALF), (left, y + HALF), (left, y - HALF)];
        drawing.line(around.to_vec(), Ink::Limit, 1.2, Stroke::Solid);
    }
}

/// Between two rows, where counts are left out.
fn left_out(drawing: &mut Drawing, frame: &Frame, y: f64) {
    drawing.line(vec![(frame.left, y), (frame.right, y)], Ink::Axis, 1.0, Stroke::Dotted);
    drawing.text((frame.left - 8.0, y - 3.0), "…", Ink::Faint, style::SMALL, Across::End);
}

/// Both ends of the bar, and the verdict. In one place: beside a short bar near the left edge there is no room for the
/// lower one.
fn volts_words(rung: &Rung) -> String {
    let Some(cold) = rung.cold_v else { return String::new() };
    let mut words = match rung.hot_v {
        Some(hot) => format!("{} to {}", show::fixed(hot, 1), show::volts(cold)),
        None => show::volts(cold),
    };
    if let Some(verdict) = rung.verdict {
        words.push_str(match rung.too_small_in_amps.is_empty() {
            true => ", ",
            false => ", volts ",
        });
        words.push_str(show::verdict(verdict));
    }
    if !rung.too_small_in_amps.is_empty() {
        words.push_str(", amps ");
        words.push_str(show::verdict(Verdict::Exceeded));
    }
    if let Some(starving) = rung.starving {
        words.push_str(", ");
        words.push_str(starving);
    }
    words
}

/// The count at the left, its volts at the ends of the bar, the verdict in a word.
fn words(drawing: &mut Drawing, frame: &Frame, y: f64, rung: &Rung) {
    let (name, ink) = match rung.is_planned {
        true => (format!("{} in series, as planned", rung.in_series), Ink::Text),
        false => (format!("{} in series", rung.in_series), Ink::Faint),
    };
    drawing.text((frame.left - 8.0, y), &name, ink, style::SMALL, Across::End);
    let over = |verdict: Verdict| verdict.severity() >= Verdict::Exceeded.severity();
    let broken = rung.verdict.is_some_and(over) || !rung.too_small_in_amps.is_empty();
    let ink = if broken { Ink::Limit } else { Ink::Text };
    // In a column of their own: beside the bars they would cover the lines of the ratings.
    drawing.text((frame.right + 10.0, y), &volts_words(rung), ink, style::SMALL, Across::Start);
}

fn finding(facts: &ArrayFacts, ladder: &Ladder, rungs: &[&Rung]) -> String {
    let holds = |rung: &&Rung| {
        rung.verdict.is_some_and(|verdict| matches!(verdict, Verdict::Within | Verdict::Close))
    };
    let mut text = match ladder.rungs.iter().filter(holds).map(|rung| rung.in_series).max() {
        Some(1) => "In volts one panel in series holds every limit, and no more.".to_owned(),
        Some(count) => format!("In volts up to {count} panels in series hold every limit."),
        None if ladder.rungs.iter().all(|rung| rung.verdict.is_none()) => {
            "The plan has no rating in volts to hold them against.".to_owned()
        }
        None => "In volts no count holds every limit.".to_owned(),
    };
    if let Some(rung) = ladder.rungs.iter().find(|rung| rung.is_planned) {
        text.push_str(&format!(" The plan has {}", rung.in_series));
        if let Some(cold) = rung.cold_v {
            text.push_str(&format!(", which reach {}", show::volts(cold)));
        }
        if let Some(hot) = rung.hot_v {
            text.push_str(&format!(" and fall to {} under load on hot cells", show::volts(hot)));
        }
        text.push('.');
    } else {
        text.push_str(&format!(" The plan has {}, past all of them.", facts.modules_in_series));
    }
    if let (Some(start), Some(run)) = (ladder.start_v, ladder.run_v) {
        text.push_str(&format!(
            " The controller starts at {} and runs down to {}.",
            show::volts(start),
            show::volts(run)
        ));
        // The bar shows volts under load; what starts it are the higher ones of an array that nothing draws on yet.
        if ladder.rungs.iter().any(|rung| rung.hot_v.is_some_and(|hot| hot < start && hot >= run)) {
            text.push_str(
                " A bar that begins between the two still runs: its left end is volts under load on the hottest cells, and the start \
                 is held against the volts with nothing connected, which lie above.",
            );
        }
    }
    for rung in ladder.rungs.iter().filter(|rung| !rung.too_small_in_amps.is_empty()) {
        text.push_str(&format!(
            " With all panels {} in series the amps are too many for {}.",
            rung.in_series,
            listed(&rung.too_small_in_amps)
        ));
    }
    for rung in &ladder.rungs {
        if let Some(starving) = rung.starving {
            text.push_str(&format!(" For want of volts {} in series {}.", rung.in_series, starving));
        }
    }
    if rungs.len() < ladder.rungs.len() {
        text.push_str(" Counts between are left out.");
    }
    text
}
