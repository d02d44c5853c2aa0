//! The texts of a chart's SVG as boxes, measured with the font of the bitmaps.
#![allow(dead_code)]

use std::sync::OnceLock;
use ttf_parser::Face;

/// The font that the program embeds; wider than most plain fonts, so that what fits in it fits in others.
static FONT: &[u8] = include_bytes!("../../data/font/dejavu-sans-subset.ttf");
/// Heights of letters above and below the middle of a line, in em: capitals are 0.73 em high.
const HALF_HEIGHT_EM: f64 = 0.36;
/// How far boxes may reach into each other, in em of the smaller: side bearings that hold no ink.
const BEARING_EM: f64 = 0.06;

fn face() -> &'static Face<'static> {
    static FACE: OnceLock<Face<'static>> = OnceLock::new();
    FACE.get_or_init(|| Face::parse(FONT, 0).unwrap())
}

/// Width in units of the page.
fn width(text: &str, size: f64) -> f64 {
    let face = face();
    let em = f64::from(face.units_per_em());
    let letter = |c: char| {
        let advance = face.glyph_index(c).and_then(|glyph| face.glyph_hor_advance(glyph));
        advance.map_or(0.6, |advance| f64::from(advance) / em)
    };
    text.chars().map(letter).sum::<f64>() * size
}

/// A text: left, top, right, bottom.
#[derive(Debug)]
struct Box {
    left: f64,
    top: f64,
    right: f64,
    bottom: f64,
    size: f64,
    text: String,
}

fn attribute<'a>(tag: &'a str, name: &str) -> Option<&'a str> {
    tag.split_once(&format!(" {name}=\""))?.1.split('"').next()
}

fn number(tag: &str, name: &str) -> Option<f64> {
    attribute(tag, name)?.parse().ok()
}

fn boxes(svg: &str) -> Vec<Box> {
    svg.split("<text")
        .skip(1)
        .filter_map(|part| {
            let (tag, rest) = part.split_once('>')?;
            let text = rest.split('<').next()?.trim();
            if text.is_empty() {
                return None;
            }
            let entities = [("&lt;", "<"), ("&gt;", ">"), ("&quot;", "\""), ("&apos;", "'"), ("&amp;", "&")];
            let text =
                entities.iter().fold(text.to_owned(), |text, (code, letter)| text.replace(code, letter));
            let size = number(tag, "font-size")?;
            let (x, y) = (number(tag, "x")?, number(tag, "y")?);
            let long = width(&text, size);
            let before = match attribute(tag, "text-anchor") {
                Some("end") => long,
                Some("middle") => long / 2.0,
                _ => 0.0,
            };
            let half = size * HALF_HEIGHT_EM;
            let turned = tag.contains("transform=");
            let (left, top, right, bottom) = if turned {
                (x - half, y - long + before, x + half, y + before)
            } else {
                (x - before, y - half, x - before + long, y + half)
            };
            Some(Box { left, top, right, bottom, size, text })
        })
        .collect()
}

/// How many texts were looked at, and what is wrong with them: two that meet, one that leaves the page.
pub fn faults(svg: &str) -> (usize, Vec<String>) {
    let page = svg.split("viewBox=\"0 0 ").nth(1).and_then(|rest| rest.split('"').next()).unwrap();
    let (wide, high) = page.split_once(' ').unwrap();
    let (wide, high): (f64, f64) = (wide.parse().unwrap(), high.parse().unwrap());
    let boxes = boxes(svg);
    let mut faults = Vec::new();
    for (index, a) in boxes.iter().enumerate() {
        let slack = a.size * BEARING_EM;
        if a.left < -slack || a.top < -slack || a.right > wide + slack || a.bottom > high + slack {
            faults.push(format!("'{}' leaves the page", a.text));
        }
        for b in &boxes[index + 1..] {
            let slack = a.size.min(b.size) * BEARING_EM;
            let apart = a.right <= b.left + slack
                || b.right <= a.left + slack
                || a.bottom <= b.top + slack
                || b.bottom <= a.top + slack;
            if !apart {
                faults.push(format!("'{}' meets '{}'", a.text, b.text));
            }
        }
    }
    (boxes.len(), faults)
}
