//! Axes: a rectangle on the page with a scale on each side.

use super::drawing::{Across, Drawing, Stroke};
use super::style::{self, Ink};
use crate::report::show::fixed;
use crate::units::Celsius;

/// A plot area: page units outside, values inside.
#[derive(Clone, Copy, Debug)]
pub(super) struct Frame {
    /// Left edge on the page.
    pub left: f64,
    /// Top edge.
    pub top: f64,
    /// Right edge.
    pub right: f64,
    /// Bottom edge.
    pub bottom: f64,
    /// Values at the left and right edge.
    pub x: (f64, f64),
    /// Values at the bottom and top edge.
    pub y: (f64, f64),
}

impl Frame {
    /// Page position of a value across.
    pub(super) fn across(&self, value: f64) -> f64 {
        self.left + (value - self.x.0) / (self.x.1 - self.x.0) * (self.right - self.left)
    }

    /// Page position of a value up.
    pub(super) fn up(&self, value: f64) -> f64 {
        self.bottom - (value - self.y.0) / (self.y.1 - self.y.0) * (self.bottom - self.top)
    }

    /// Both, kept inside the frame.
    pub(super) fn at(&self, x: f64, y: f64) -> (f64, f64) {
        (
            self.across(x).clamp(self.left, self.right),
            self.up(y).clamp(self.top.min(self.bottom), self.bottom.max(self.top)),
        )
    }

    /// The border, drawn last.
    pub(super) fn border(&self, drawing: &mut Drawing) {
        let corners = [
            (self.left, self.top),
            (self.right, self.top),
            (self.right, self.bottom),
            (self.left, self.bottom),
            (self.left, self.top),
        ];
        drawing.line(corners.to_vec(), Ink::Axis, 1.0, Stroke::Solid);
    }

    /// A horizontal line through the whole frame.
    pub(super) fn level(&self, drawing: &mut Drawing, value: f64, ink: Ink, width: f64, stroke: Stroke) {
        let y = self.up(value);
        drawing.line(vec![(self.left, y), (self.right, y)], ink, width, stroke);
    }

    /// Grid lines and tick labels of the upright axis at the left, and its title.
    pub(super) fn upright(&self, drawing: &mut Drawing, title: &str, most: usize) {
        for tick in ticks(self.y, most) {
            self.level(drawing, tick, Ink::Grid, 1.0, Stroke::Solid);
            let label = minus(&fixed(tick, decimals(self.y, most)));
            let at = (self.left - 6.0, self.up(tick));
            drawing.text(at, &label, Ink::Faint, style::SMALL, Across::End);
        }
        let middle = f64::midpoint(self.top, self.bottom);
        drawing.turned((11.0, middle), title, Ink::Text, style::SMALL);
    }

    /// The same for temperatures: Celsius at the left edge, Fahrenheit at the right.
    pub(super) fn temperatures(&self, drawing: &mut Drawing, title: &str, most: usize) {
        self.upright(drawing, title, most);
        for tick in ticks(self.y, most) {
            let label = minus(&fixed(Celsius(tick).fahrenheit(), 0));
            let at = (self.right + 6.0, self.up(tick));
            drawing.text(at, &format!("{label} °F"), Ink::Faint, style::SMALL, Across::Start);
        }
    }

    /// A tick with its label under the frame.
    pub(super) fn under(&self, drawing: &mut Drawing, x: f64, label: &str) {
        let x = self.across(x);
        drawing.line(vec![(x, self.bottom), (x, self.bottom + 4.0)], Ink::Axis, 1.0, Stroke::Solid);
        drawing.text((x, self.bottom + 13.0), label, Ink::Faint, style::SMALL, Across::Middle);
    }
}

/// A number with a real minus sign.
pub(in crate::report) fn minus(number: &str) -> String {
    number.replace('-', "\u{2212}")
}

/// Step of a scale: 1, 2 or 5 times a power of ten, so that at most `most` ticks fit.
fn step((low, high): (f64, f64), most: usize) -> f64 {
    #[expect(clippy::cast_precision_loss, reason = "a handful of ticks")]
    let rough = ((high - low) / most.max(1) as f64).max(1e-9);
    let power = 10_f64.powf(rough.log10().floor());
    let factor = [1.0, 2.0, 5.0].into_iter().find(|factor| factor * power >= rough * (1.0 - 1e-9));
    factor.unwrap_or(10.0) * power
}

/// Values of the ticks inside a range.
pub(super) fn ticks(range: (f64, f64), most: usize) -> Vec<f64> {
    let step = step(range, most);
    let first = (range.0 / step - 1e-9).ceil();
    (0..=most + 1)
        .map(|i| {
            #[expect(clippy::cast_precision_loss, reason = "a handful of ticks")]
            let tick = (first + i as f64) * step;
            tick
        })
        .take_while(|tick| *tick <= range.1 + step * 1e-9)
        .collect()
}

/// Decimals that a scale's ticks need.
fn decimals(range: (f64, f64), most: usize) -> usize {
    let step = step(range, most);
    if step >= 1.0 {
        0
    } else if step >= 0.1 {
        1
    } else {
        2
    }
}

/// A range widened to whole steps of `unit`.
pub(super) fn widened((low, high): (f64, f64), unit: f64) -> (f64, f64) {
    let low = (low / unit).floor() * unit;
    let high = (high / unit).ceil() * unit;
    (low, if high > low { high } else { low + unit })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ticks_are_round_and_inside() {
        assert_eq!(ticks((0.0, 100.0), 5), [0.0, 20.0, 40.0, 60.0, 80.0, 100.0]);
        assert_eq!(ticks((-37.0, -12.0), 5), [-35.0, -30.0, -25.0, -20.0, -15.0]);
        let fine = ticks((0.0, 0.3), 3);
        assert_eq!(fine.len(), 4);
        assert_eq!(decimals((0.0, 0.3), 3), 1);
    }

    #[test]
    fn an_empty_range_is_widened() {
        assert_eq!(widened((-20.0, -20.0), 5.0), (-20.0, -15.0));
        assert_eq!(widened((-21.0, -3.0), 5.0), (-25.0, 0.0));
    }
}
