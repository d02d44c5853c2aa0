//! Colours, sizes and the font of all charts.
//!
//! The colours differ in lightness as well as in hue, so that they stay apart in greyscale and for the three common
//! kinds of colour blindness; every meaning has a second sign besides (line style, width, marker or a word).

use std::fmt::Write;

/// What a mark means; the colour follows from it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Ink {
    /// Background.
    Paper,
    /// Axis titles, names, values.
    Text,
    /// Tick labels and remarks.
    Faint,
    /// Grid lines.
    Grid,
    /// Frame of a plot.
    Axis,
    /// Hours without sun.
    Night,
    /// A rating.
    Limit,
    /// What lies above a rating.
    Over,
    /// The code sum.
    Code,
    /// Steady voltage.
    Steady,
    /// Sudden-sun voltage.
    SuddenSun,
    /// Worst-case voltage.
    WorstCase,
    /// Air temperature.
    Air,
    /// Light.
    Sun,
    /// Steps of a density, from little to much.
    Step1,
    /// Second step.
    Step2,
    /// Third step.
    Step3,
    /// Fourth step.
    Step4,
}

/// Red, green, blue.
type Rgb = (u8, u8, u8);

/// Colour on a light and on a dark page.
struct Pair {
    ink: Ink,
    light: Rgb,
    dark: Rgb,
}

const fn pair(ink: Ink, light: Rgb, dark: Rgb) -> Pair {
    Pair { ink, light, dark }
}

/// The palette: own choice. No two light colours are equal, since the style sheet tells them apart by value.
const PALETTE: [Pair; 18] = [
    pair(Ink::Paper, (0xff, 0xff, 0xff), (0x15, 0x1b, 0x21)),
    pair(Ink::Text, (0x1c, 0x24, 0x2c), (0xe8, 0xed, 0xf2)),
    pair(Ink::Faint, (0x52, 0x5e, 0x6b), (0xa9, 0xb5, 0xc1)),
    pair(Ink::Grid, (0xe3, 0xe7, 0xec), (0x2c, 0x35, 0x3e)),
    pair(Ink::Axis, (0x8a, 0x95, 0xa1), (0x6f, 0x7b, 0x87)),
    pair(Ink::Night, (0xee, 0xf0, 0xf3), (0x0a, 0x0e, 0x12)),
    pair(Ink::Limit, (0xa8, 0x10, 0x32), (0xff, 0x7a, 0x8c)),
    pair(Ink::Over, (0xf3, 0xc7, 0xcd), (0x5a, 0x20, 0x2c)),
    pair(Ink::Code, (0x3d, 0x3d, 0x3d), (0xc9, 0xc9, 0xc9)),
    pair(Ink::Steady, (0x1f, 0x8a, 0x8c), (0x4f, 0xc4, 0xc4)),
    pair(Ink::SuddenSun, (0xc2, 0x6a, 0x00), (0xf5, 0xa6, 0x3d)),
    pair(Ink::WorstCase, (0x52, 0x2d, 0x80), (0xb9, 0x97, 0xe8)),
    pair(Ink::Air, (0x15, 0x5f, 0xa8), (0x7f, 0xb6, 0xec)),
    pair(Ink::Sun, (0xe0, 0xb0, 0x2c), (0xd9, 0xae, 0x3a)),
    pair(Ink::Step1, (0xd8, 0xe6, 0xf1), (0x24, 0x38, 0x4a)),
    pair(Ink::Step2, (0x9f, 0xc3, 0xde), (0x2f, 0x57, 0x7a)),
    pair(Ink::Step3, (0x5a, 0x94, 0xc0), (0x55, 0x8d, 0xbb)),
    pair(Ink::Step4, (0x21, 0x5a, 0x88), (0xa3, 0xcd, 0xee)),
];

impl Ink {
    /// Its colour on a light page, as drawn.
    pub(super) fn rgb(self) -> Rgb {
        PALETTE.iter().find(|pair| pair.ink == self).map_or((0, 0, 0), |pair| pair.light)
    }
}

/// Style rules that turn inlined charts dark: the presentation attributes of the SVG are matched by value.
/// The caller puts them inside its media query.
#[must_use]
pub(in crate::report) fn css() -> String {
    let mut rules = String::new();
    for Pair { light, dark, .. } in &PALETTE {
        let (l, d) = (hex(*light), hex(*dark));
        // Writing to a String cannot fail.
        let _ =
            write!(rules, ".chart svg [fill=\"{l}\"]{{fill:{d}}}.chart svg [stroke=\"{l}\"]{{stroke:{d}}}");
    }
    rules
}

/// As the SVG backend of the plotting crate writes it.
pub(super) fn hex((r, g, b): Rgb) -> String {
    format!("#{r:02X}{g:02X}{b:02X}")
}

/// Width of every chart, in units of a page (CSS px).
pub(super) const WIDTH: f64 = 860.0;
/// Pixels of the bitmap, and steps of the SVG's coordinates, per unit.
pub(super) const SCALE: f64 = 2.0;
/// Size of tick labels and line labels. On paper a chart is 163 mm wide (the style sheet): 14 units are 7.5 points there.
pub(super) const SMALL: f64 = 14.0;
/// Size of axis titles and legends.
pub(super) const NORMAL: f64 = 15.0;
/// Size of a chart's title.
pub(super) const TITLE: f64 = 17.0;

/// Name under which the font is registered, and which SVG readers look up: their own plain font.
pub(super) const FONT_NAME: &str = "sans-serif";
/// The font of the bitmaps: a subset of DejaVu Sans; licence beside it.
pub(super) const FONT: &[u8] = include_bytes!("../../../data/font/dejavu-sans-subset.ttf");

#[cfg(test)]
mod tests {
    use super::*;

    /// Relative luminance, WCAG 2.1 definition.
    fn luminance((r, g, b): Rgb) -> f64 {
        let channel = |value: u8| {
            let share = f64::from(value) / 255.0;
            if share <= 0.04045 { share / 12.92 } else { ((share + 0.055) / 1.055).powf(2.4) }
        };
        0.2126 * channel(r) + 0.7152 * channel(g) + 0.0722 * channel(b)
    }

    fn contrast(a: Rgb, b: Rgb) -> f64 {
        let (a, b) = (luminance(a), luminance(b));
        (a.max(b) + 0.05) / (a.min(b) + 0.05)
    }

    fn colours(ink: Ink) -> [(Rgb, Rgb); 2] {
        let find = |ink| PALETTE.iter().find(|pair| pair.ink == ink);
        let (Some(own), Some(paper)) = (find(ink), find(Ink::Paper)) else { unreachable!() };
        [(own.light, paper.light), (own.dark, paper.dark)]
    }

    #[test]
    fn text_and_lines_stand_out_from_the_page() {
        // WCAG 2.1: 4.5 for text (1.4.3), 3 for graphical objects (1.4.11).
        for (ink, least) in [
            (Ink::Text, 4.5),
            (Ink::Faint, 4.5),
            (Ink::Limit, 4.5),
            (Ink::Code, 4.5),
            (Ink::Air, 4.5),
            (Ink::Steady, 3.0),
            (Ink::SuddenSun, 3.0),
            (Ink::WorstCase, 4.5),
        ] {
            for (own, paper) in colours(ink) {
                assert!(contrast(own, paper) >= least, "{ink:?} {}", contrast(own, paper));
            }
        }
    }

    #[test]
    fn no_two_colours_are_one() {
        for (i, a) in PALETTE.iter().enumerate() {
            for b in &PALETTE[i + 1..] {
                assert_ne!(a.light, b.light, "{:?} {:?}", a.ink, b.ink);
            }
        }
    }
}
