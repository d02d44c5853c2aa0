//! Letters of the bitmaps: outlines of the embedded font, each laid where it belongs to a part of a pixel. The plotting
//! crate lays whole pixels from a letter's ink on, which spaces words unevenly, and in a size of its own.

use super::drawing::Across;
use super::style;
use ab_glyph::{Font, FontRef, PxScale, ScaleFont, point};
use std::sync::OnceLock;

/// How far the baseline lies below the middle of the capitals, em: half their height in this font.
const DROP_EM: f32 = 0.3645;

/// The embedded font, or `None` where it is refused.
pub(super) fn font() -> Option<&'static FontRef<'static>> {
    static FONT: OnceLock<Option<FontRef<'static>>> = OnceLock::new();
    FONT.get_or_init(|| FontRef::try_from_slice(style::FONT).ok()).as_ref()
}

/// The scale at which an em has so many pixels: the crate of outlines counts a line's height.
fn scale(font: &FontRef<'_>, em: f32) -> PxScale {
    PxScale::from(em * font.height_unscaled() / font.units_per_em().unwrap_or(1.0))
}

/// Width of a text, in the unit of its em.
pub(super) fn width(font: &FontRef<'_>, text: &str, em: f32) -> f32 {
    let scaled = font.as_scaled(scale(font, em));
    text.chars().map(|c| scaled.h_advance(scaled.glyph_id(c))).sum()
}

/// A text at a size in pixels, standing `across` its point at the middle of its capitals.
#[derive(Clone, Copy)]
pub(super) struct Line<'a> {
    pub text: &'a str,
    pub em: f32,
    pub across: Across,
}

/// Every pixel that the line covers, from its point, with the share that is covered.
pub(super) fn pixels(font: &FontRef<'_>, line: Line<'_>) -> Vec<((i32, i32), f32)> {
    let scale = scale(font, line.em);
    let scaled = font.as_scaled(scale);
    let mut x = match line.across {
        Across::Start => 0.0,
        Across::Middle => -width(font, line.text, line.em) / 2.0,
        Across::End => -width(font, line.text, line.em),
    };
    let mut covered = Vec::new();
    for c in line.text.chars() {
        let id = scaled.glyph_id(c);
        let glyph = id.with_scale_and_position(scale, point(x, line.em * DROP_EM));
        if let Some(outline) = font.outline_glyph(glyph) {
            let bounds = outline.px_bounds();
            #[expect(clippy::cast_possible_truncation, reason = "whole numbers of a page")]
            let (left, top) = (bounds.min.x as i32, bounds.min.y as i32);
            outline.draw(|dx, dy, share| {
                #[expect(clippy::cast_possible_wrap, reason = "inside a letter")]
                covered.push(((left + dx as i32, top + dy as i32), share.min(1.0)));
            });
        }
        x += scaled.h_advance(id);
    }
    covered
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Left, top, right, bottom of what is more than half covered.
    fn ink(line: Line<'_>) -> (i32, i32, i32, i32) {
        let font = font().expect("the embedded font");
        let dark = pixels(font, line).into_iter().filter(|(_, share)| *share > 0.5).map(|(at, _)| at);
        dark.fold((i32::MAX, i32::MAX, i32::MIN, i32::MIN), |all, (x, y)| {
            (all.0.min(x), all.1.min(y), all.2.max(x), all.3.max(y))
        })
    }

    #[test]
    fn capitals_are_centred_and_as_high_as_the_font_says() {
        // DejaVu Sans: a capital H is 1493 units of 2048 high and 1540 wide with its bearings (read from its tables).
        let (left, top, right, bottom) = ink(Line { text: "H", em: 2048.0, across: Across::Middle });
        assert!((bottom - top - 1493).abs() <= 3, "{top} {bottom}");
        assert!((top + bottom).abs() <= 6 && (left + right).abs() <= 6, "{left} {top} {right} {bottom}");
        let font = font().expect("the embedded font");
        assert!((width(font, "H", 2048.0) - 1540.0).abs() < 1.0);
    }

    #[test]
    fn a_line_stands_across_its_point_as_asked() {
        let line = |across| ink(Line { text: "48.4 V dc", em: 24.0, across });
        let (start, middle, end) = (line(Across::Start), line(Across::Middle), line(Across::End));
        assert!(start.0 >= 0 && end.2 <= 0);
        assert!((middle.0 + middle.2).abs() <= 3, "{middle:?}");
    }
}
