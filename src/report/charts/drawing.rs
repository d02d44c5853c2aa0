//! A chart as a list of marks in page units, before it is painted. Nothing in it can fail.

use super::style::{self, Ink};
use crate::report::clean;
use crate::study::results::Assessment;

/// Where a text stands across its point.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Across {
    /// The text begins at its point.
    Start,
    /// Its middle lies there.
    Middle,
    /// It ends there.
    End,
}

/// Which way a text reads.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Turn {
    /// From left to right.
    Level,
    /// From the bottom up.
    Up,
}

/// How a line is broken.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Stroke {
    /// Not at all.
    Solid,
    /// Long dashes.
    Dashed,
    /// Short ones.
    Dotted,
}

impl Stroke {
    /// Length of a dash and of the gap behind it, page units.
    fn lengths(self) -> Option<(f64, f64)> {
        match self {
            Self::Solid => None,
            Self::Dashed => Some((7.0, 4.0)),
            Self::Dotted => Some((2.0, 3.0)),
        }
    }
}

/// One thing on the page.
#[derive(Clone, Debug)]
pub(super) enum Mark {
    /// Connected straight lines.
    Line { points: Vec<(f64, f64)>, ink: Ink, width: f64 },
    /// A filled rectangle.
    Rect { left: f64, top: f64, right: f64, bottom: f64, ink: Ink, opacity: f64 },
    /// A disc.
    Dot { at: (f64, f64), radius: f64, ink: Ink },
    /// A line of text, its middle at the height of its point.
    Text { at: (f64, f64), text: String, ink: Ink, size: f64, across: Across, turn: Turn },
}

/// An entry of the key: a sign as it is drawn, and what it means. Without a sign the text heads what follows.
#[derive(Clone, Debug)]
pub(super) struct Entry {
    pub sign: Vec<Mark>,
    pub text: String,
}

/// A chart before painting.
#[derive(Clone, Debug)]
pub(super) struct Drawing {
    /// Height in page units; the width is the same for all.
    pub height: f64,
    /// From the back to the front.
    pub marks: Vec<Mark>,
    /// What its signs mean, for where the picture's own key is not seen: a narrow screen shows a part of it.
    pub key: Vec<Entry>,
    /// What a picture that stands alone says below itself: whose it is.
    foot: Option<String>,
}

/// Height of the line that says it, page units.
const FOOT: f64 = 20.0;

impl Drawing {
    /// The same for a plan, by its title and date.
    pub(super) fn signed(mut self, assessment: &Assessment) -> Self {
        let date = assessment.date.as_ref().map_or_else(String::new, |date| format!(", {date}"));
        self.foot =
            Some(format!("{}{date}. Made by dawnvolt: it informs, it does not certify.", assessment.title));
        self
    }

    /// As it stands alone, outside a report; `None` where that is no different.
    pub(super) fn alone(&self) -> Option<Self> {
        let foot = self.foot.as_ref()?;
        let mut alone = Self::new(self.height + FOOT, "");
        alone.marks.extend(self.marks.iter().cloned());
        let foot = fitting(foot, style::SMALL, style::WIDTH - 28.0);
        alone.text((14.0, self.height + 7.0), &foot, Ink::Faint, style::SMALL, Across::Start);
        Some(alone)
    }

    /// An empty page with a title line.
    pub(super) fn new(height: f64, title: &str) -> Self {
        let mut drawing = Self { height, marks: Vec::new(), key: Vec::new(), foot: None };
        drawing.rect((0.0, 0.0), (style::WIDTH, height), Ink::Paper, 1.0);
        // Longer titles would leave the page; the whole title stands above the chart in the report.
        let title = fitting(title, style::TITLE, style::WIDTH - 28.0);
        drawing.text((14.0, 18.0), &title, Ink::Text, style::TITLE, Across::Start);
        drawing
    }

    /// Draws the sign of an entry of the key; its text is drawn beside it by who knows the room.
    pub(super) fn entry(&mut self, text: &str, draw: impl FnOnce(&mut Self)) {
        let from = self.marks.len();
        draw(self);
        self.key.push(Entry { sign: self.marks[from..].to_vec(), text: text.to_owned() });
    }

    /// An entry for what the picture names where it stands.
    pub(super) fn entry_elsewhere(&mut self, text: &str, draw: impl FnOnce(&mut Self)) {
        let from = self.marks.len();
        draw(self);
        self.key.push(Entry { sign: self.marks.split_off(from), text: text.to_owned() });
    }

    /// The same for a line.
    pub(super) fn entry_of_line(&mut self, text: &str, ink: Ink, width: f64, stroke: Stroke) {
        self.entry_elsewhere(text, |drawing| drawing.line(vec![(0.0, 6.0), (24.0, 6.0)], ink, width, stroke));
    }

    /// Words of the key without a sign.
    pub(super) fn explain(&mut self, text: &str) {
        self.key.push(Entry { sign: Vec::new(), text: text.to_owned() });
    }

    pub(super) fn line(&mut self, points: Vec<(f64, f64)>, ink: Ink, width: f64, stroke: Stroke) {
        match stroke.lengths() {
            None => self.marks.push(Mark::Line { points, ink, width }),
            Some((dash, gap)) => {
                for points in dashes(&points, dash, gap) {
                    self.marks.push(Mark::Line { points, ink, width });
                }
            }
        }
    }

    pub(super) fn rect(&mut self, from: (f64, f64), to: (f64, f64), ink: Ink, opacity: f64) {
        let (left, right) = (from.0.min(to.0), from.0.max(to.0));
        let (top, bottom) = (from.1.min(to.1), from.1.max(to.1));
        self.marks.push(Mark::Rect { left, top, right, bottom, ink, opacity });
    }

    pub(super) fn dot(&mut self, at: (f64, f64), radius: f64, ink: Ink) {
        self.marks.push(Mark::Dot { at, radius, ink });
    }

    /// A ring on paper.
    pub(super) fn ring(&mut self, at: (f64, f64), radius: f64, ink: Ink) {
        // Two discs: the bitmap backend draws thin circles ragged.
        self.marks.push(Mark::Dot { at, radius, ink });
        self.marks.push(Mark::Dot { at, radius: radius - 1.5, ink: Ink::Paper });
    }

    pub(super) fn text(&mut self, at: (f64, f64), text: &str, ink: Ink, size: f64, across: Across) {
        self.marks.push(Mark::Text { at, text: clean::line(text), ink, size, across, turn: Turn::Level });
    }

    /// Text that reads upwards.
    pub(super) fn turned(&mut self, at: (f64, f64), text: &str, ink: Ink, size: f64) {
        self.marks.push(Mark::Text {
            at,
            text: clean::line(text),
            ink,
            size,
            across: Across::Middle,
            turn: Turn::Up,
        });
    }

    /// Text on a patch of paper, so that lines behind it do not cross it out.
    pub(super) fn label(&mut self, at: (f64, f64), text: &str, ink: Ink, size: f64, across: Across) {
        let width = text_width(text, size) + 6.0;
        let left = match across {
            Across::Start => at.0 - 3.0,
            Across::Middle => at.0 - width / 2.0,
            Across::End => at.0 - width + 3.0,
        };
        let half = size * 0.62;
        self.rect((left, at.1 - half), (left + width, at.1 + half), Ink::Paper, 0.85);
        self.text(at, text, ink, size, across);
    }
}

/// Width of a text in page units: the embedded font's, slightly wider than most readers' own.
pub(super) fn text_width(text: &str, size: f64) -> f64 {
    super::paint::text_width(&clean::line(text), size)
}

/// The text, cut to a width.
pub(super) fn fitting(text: &str, size: f64, width: f64) -> String {
    let clean = clean::line(text);
    let mut length = clean.chars().count();
    let mut shown = clean.clone();
    while length > 2 && text_width(&shown, size) > width {
        length -= 1;
        shown = clean::short(&clean, length);
    }
    shown
}

/// Pushes labels apart so that no two lie closer than `gap`, inside `low..=high`, in their order of height.
/// Where they do not all fit, they fill the room evenly.
pub(super) fn spread(heights: &mut [f64], gap: f64, low: f64, high: f64) {
    let mut order: Vec<usize> = (0..heights.len()).collect();
    order.sort_by(|&a, &b| heights[a].total_cmp(&heights[b]));
    #[expect(clippy::cast_precision_loss, reason = "a handful of labels")]
    let needed = gap * (heights.len().max(1) - 1) as f64;
    let gap = if needed > high - low { (high - low) / needed * gap } else { gap };
    let mut floor = low;
    for &i in &order {
        heights[i] = heights[i].clamp(low, high).max(floor);
        floor = heights[i] + gap;
    }
    let mut ceiling = high;
    for &i in order.iter().rev() {
        heights[i] = heights[i].min(ceiling);
        ceiling = heights[i] - gap;
    }
}

/// Cuts a line into dashes, measured along it.
fn dashes(points: &[(f64, f64)], dash: f64, gap: f64) -> Vec<Vec<(f64, f64)>> {
    let mut out = Vec::new();
    let mut current: Vec<(f64, f64)> = points.first().map(|&first| vec![first]).unwrap_or_default();
    let (mut left, mut drawing) = (dash, true);
    for pair in points.windows(2) {
        let (mut from, to) = (pair[0], pair[1]);
        loop {
            let length = (to.0 - from.0).hypot(to.1 - from.1);
            if length <= left {
                left -= length;
                if drawing {
                    current.push(to);
                }
                break;
            }
            let share = left / length;
            from = (from.0 + (to.0 - from.0) * share, from.1 + (to.1 - from.1) * share);
            if drawing {
                current.push(from);
                out.push(std::mem::take(&mut current));
            } else {
                current = vec![from];
            }
            drawing = !drawing;
            left = if drawing { dash } else { gap };
        }
    }
    if drawing && current.len() > 1 {
        out.push(current);
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn dashes_keep_their_length_around_a_corner() {
        let cut = dashes(&[(0.0, 0.0), (5.0, 0.0), (5.0, 20.0)], 7.0, 4.0);
        let length = |line: &Vec<(f64, f64)>| -> f64 {
            line.windows(2).map(|p| (p[1].0 - p[0].0).hypot(p[1].1 - p[0].1)).sum()
        };
        assert!((length(&cut[0]) - 7.0).abs() < 1e-9);
        assert_eq!(cut[0].len(), 3);
        assert!((cut[1][0].1 - 6.0).abs() < 1e-9);
    }

    #[test]
    fn labels_are_pushed_apart_and_stay_inside() {
        let mut heights = [50.0, 51.0, 49.0, 99.0];
        spread(&mut heights, 10.0, 0.0, 100.0);
        let mut sorted = heights;
        sorted.sort_by(f64::total_cmp);
        assert!(sorted.windows(2).all(|pair| pair[1] - pair[0] > 9.999), "{sorted:?}");
        assert!(sorted.iter().all(|&height| (0.0..=100.0).contains(&height)));
        assert!(heights[2] < heights[0] && heights[0] < heights[1]);
        let mut many = [5.0; 30];
        spread(&mut many, 10.0, 0.0, 100.0);
        assert!(many.iter().all(|&height| (-1e-9..=100.0 + 1e-9).contains(&height)));
    }
}
