//! Rating lines with their names on the line.

use super::drawing::{Across, Drawing, Stroke, fitting, spread};
use super::frame::Frame;
use super::style::{self, Ink};
use crate::report::{clean, show};

/// Room at the right of a plot for names, page units.
pub(super) const NAMES: f64 = 172.0;
/// Width of a name there: the leader and the edge of the page keep a little.
pub(super) const NAME_WIDTH: f64 = NAMES - 18.0;

/// Components that share a rating share a line: names and rating, from high to low.
fn merged(ratings: &[(&str, f64)]) -> Vec<(String, f64)> {
    let mut lines: Vec<(String, f64)> = Vec::new();
    for (component, rating) in ratings {
        let name = clean::short(component, 26);
        match lines.iter_mut().find(|(_, other)| (other - rating).abs() < 1e-9) {
            Some((names, _)) if names.chars().count() < 40 => {
                names.push_str(", ");
                names.push_str(&name);
            }
            Some((names, _)) => {
                if !names.ends_with('…') {
                    names.push_str(", …");
                }
            }
            None => lines.push((name, *rating)),
        }
    }
    lines.sort_by(|a, b| b.1.total_cmp(&a.1));
    lines
}

/// Those outside a range, in words; empty where there are none.
fn outside(lines: &[(String, f64)], (low, high): (f64, f64), unit: &str) -> String {
    let named = |beyond: &dyn Fn(f64) -> bool| {
        let names: Vec<String> = lines
            .iter()
            .filter(|(_, rating)| beyond(*rating))
            .map(|(name, rating)| format!("{name} {}", show::rating(*rating, unit)))
            .collect();
        names.join("; ")
    };
    let mut remarks = Vec::new();
    for (sign, names) in
        [("↑ above", named(&|rating| rating > high)), ("↓ below", named(&|rating| rating < low))]
    {
        if !names.is_empty() {
            remarks.push(format!("{sign} this axis: {names}"));
        }
    }
    clean::short(&remarks.join("   "), 100)
}

/// Horizontal lines, named beyond the right edge. Returns a remark on ratings out of view.
pub(super) fn lines(drawing: &mut Drawing, frame: &Frame, ratings: &[(&str, f64)], unit: &str) -> String {
    lines_and(drawing, frame, ratings, unit, &[])
}

/// A level that is no rating, named as the ratings are.
#[derive(Clone)]
pub(super) struct Level {
    pub value: f64,
    pub text: String,
    pub name: String,
    pub ink: Ink,
    /// How it is named where there is room.
    pub key: String,
}

/// The same with levels among them.
pub(super) fn lines_and(
    drawing: &mut Drawing,
    frame: &Frame,
    ratings: &[(&str, f64)],
    unit: &str,
    levels: &[Level],
) -> String {
    let lines = merged(ratings);
    let drawn = lines.iter().map(|(name, rating)| {
        let text = show::rating(*rating, unit);
        let key = format!("{text} {name}");
        (Level { value: *rating, text, name: name.clone(), ink: Ink::Limit, key }, 1.8, Stroke::Dashed)
    });
    let levels = levels.iter().map(|level| (level.clone(), 1.2, Stroke::Solid));
    let mut seen: Vec<_> =
        drawn.chain(levels).filter(|(level, ..)| (frame.y.0..=frame.y.1).contains(&level.value)).collect();
    seen.sort_by(|a, b| b.0.value.total_cmp(&a.0.value));
    let mut heights: Vec<f64> = seen.iter().map(|(level, ..)| frame.up(level.value)).collect();
    spread(&mut heights, 30.0, frame.top + 8.0, frame.bottom - 8.0);
    for ((level, width, stroke), height) in seen.iter().zip(&heights) {
        frame.level(drawing, level.value, level.ink, *width, *stroke);
        let x = frame.right + 14.0;
        let end = (frame.right, frame.up(level.value));
        drawing.line(vec![end, (x - 3.0, *height)], level.ink, 1.0, Stroke::Solid);
        drawing.text((x, *height - 6.0), &level.text, level.ink, style::NORMAL, Across::Start);
        let name = fitting(&level.name, style::SMALL, NAME_WIDTH);
        drawing.text((x, *height + 8.0), &name, level.ink, style::SMALL, Across::Start);
        drawing.entry_of_line(&level.key, level.ink, *width, *stroke);
    }
    outside(&lines, frame.y, unit)
}

/// An upright line with its name in a row of its own above the plot.
pub(super) struct Upright {
    pub name: String,
    pub value: f64,
    pub ink: Ink,
    pub stroke: Stroke,
}

/// Height of such a row.
const ROW: f64 = 16.0;

/// Ratings as upright lines, and a remark on those outside the range.
pub(super) fn uprights(ratings: &[(&str, f64)], range: (f64, f64), unit: &str) -> (Vec<Upright>, String) {
    let lines = merged(ratings);
    let remark = outside(&lines, range, unit).replace('↑', "→").replace('↓', "←");
    let seen = lines.into_iter().filter(|(_, rating)| (range.0..=range.1).contains(rating));
    let seen = seen.map(|(name, rating)| Upright {
        name: format!("{} {name}", show::rating(rating, unit)),
        value: rating,
        ink: Ink::Limit,
        stroke: Stroke::Dashed,
    });
    (seen.collect(), remark)
}

/// Room that so many lines need above the plot.
pub(super) fn rows(lines: &[Upright]) -> f64 {
    #[expect(clippy::cast_precision_loss, reason = "a handful of lines")]
    let rows = lines.len() as f64;
    rows * ROW
}

/// Draws them: the leftmost line reaches highest, so that no line crosses a name.
pub(super) fn draw_uprights(drawing: &mut Drawing, frame: &Frame, mut lines: Vec<Upright>) {
    lines.sort_by(|a, b| a.value.total_cmp(&b.value));
    let mut y = frame.top - rows(&lines) + ROW / 2.0;
    for line in lines {
        let x = frame.across(line.value);
        drawing.line(vec![(x, y - 6.0), (x, frame.bottom)], line.ink, 1.8, line.stroke);
        // The lines to its right begin below it: a name has the row up to the edge of the page.
        let name = fitting(&line.name, style::SMALL, style::WIDTH - x - 10.0);
        drawing.text((x + 5.0, y - 1.0), &name, line.ink, style::SMALL, Across::Start);
        drawing.entry_of_line(&line.name, line.ink, 1.8, line.stroke);
        y += ROW;
    }
}
