//! The signs of a chart's key, one by one: for where the picture itself is too wide to be seen whole.

use super::KeyEntry;
use super::drawing::{Drawing, Mark};
use super::style::Ink;
use crate::report::clean;
use std::fmt::Write;

/// The key of a chart.
pub(super) fn entries(drawing: &Drawing) -> Vec<KeyEntry> {
    drawing
        .key
        .iter()
        .map(|entry| KeyEntry { sign: sign(&entry.sign), text: clean::line(&entry.text) })
        .collect()
}

/// Marks as an SVG of their own size. Nothing is read aloud: the text beside it says what it means.
fn sign(marks: &[Mark]) -> String {
    let (mut from, mut to) = ((f64::MAX, f64::MAX), (f64::MIN, f64::MIN));
    let mut shapes = String::new();
    let mut reach = |(left, top): (f64, f64), (right, bottom): (f64, f64)| {
        from = (from.0.min(left), from.1.min(top));
        to = (to.0.max(right), to.1.max(bottom));
    };
    for mark in marks {
        // Writing to a String cannot fail.
        let _ = match mark {
            Mark::Line { points, ink, width } => {
                let half = width / 2.0;
                let mut path = String::new();
                for (x, y) in points {
                    reach((x - half, y - half), (x + half, y + half));
                    let _ = write!(path, "{x:.1},{y:.1} ");
                }
                write!(
                    shapes,
                    "<polyline points=\"{}\" fill=\"none\" stroke=\"{}\" stroke-width=\"{width}\"/>",
                    path.trim_end(),
                    colour(*ink)
                )
            }
            Mark::Rect { left, top, right, bottom, ink, .. } => {
                reach((*left, *top), (*right, *bottom));
                write!(
                    shapes,
                    "<rect x=\"{left:.1}\" y=\"{top:.1}\" width=\"{:.1}\" height=\"{:.1}\" fill=\"{}\"/>",
                    right - left,
                    bottom - top,
                    colour(*ink)
                )
            }
            Mark::Dot { at: (x, y), radius, ink } => {
                reach((x - radius, y - radius), (x + radius, y + radius));
                write!(
                    shapes,
                    "<circle cx=\"{x:.1}\" cy=\"{y:.1}\" r=\"{radius:.1}\" fill=\"{}\"/>",
                    colour(*ink)
                )
            }
            Mark::Text { .. } => Ok(()),
        };
    }
    if shapes.is_empty() {
        return String::new();
    }
    let (width, height) = (to.0 - from.0, to.1 - from.1);
    format!(
        "<svg class=\"sign\" aria-hidden=\"true\" width=\"{width:.1}\" height=\"{height:.1}\" \
         viewBox=\"{:.1} {:.1} {width:.1} {height:.1}\">{shapes}</svg>",
        from.0, from.1
    )
}

/// As in the picture, so that a dark page turns both alike.
fn colour(ink: Ink) -> String {
    super::style::hex(ink.rgb())
}
