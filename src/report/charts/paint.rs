//! Painting a drawing: one function for both backends of the plotting crate.

use super::drawing::{Across, Drawing, Mark, Turn};
use super::style::{self, Ink};
use super::{Chart, ChartError, Role, letters};
use ab_glyph::FontRef;
use maud::Escaper;
use plotters::backend::{BitMapBackend, DrawingBackend, SVGBackend};
use plotters::coord::Shift;
use plotters::drawing::{DrawingArea, DrawingAreaErrorKind, IntoDrawingArea};
use plotters::element::{Circle, PathElement, Rectangle, Text};
use plotters::style::text_anchor::{HPos, Pos, VPos};
use plotters::style::{
    Color, FontStyle, FontTransform, IntoFont, RGBColor, ShapeStyle, TextStyle, register_font,
};
use std::fmt::Write;
use std::sync::OnceLock;

/// The plotting crate's font sizes are line heights of 1.24 em.
const LINE_PER_EM: f64 = 1.24;

/// How far a text's baseline must be lowered in an SVG, in em, so that its capitals are centred on its point: the
/// backend centres half the height of an x.
const SVG_DROP: f64 = 0.08;

/// Who draws letters.
#[derive(Clone, Copy)]
enum Letters {
    /// The reader of the file, which is told their font.
    Reader,
    /// This program, pixel by pixel.
    Own(&'static FontRef<'static>),
}

/// Paints both forms of a chart.
pub(super) fn chart(
    id: &str,
    title: &str,
    alt: &str,
    role: Role,
    drawing: &Drawing,
) -> Result<Chart, ChartError> {
    register()?;
    Ok(Chart {
        id: id.to_owned(),
        title: title.to_owned(),
        alt: alt.to_owned(),
        svg: svg(id, title, alt, drawing)?,
        png: png(id, drawing.alone().as_ref().unwrap_or(drawing))?,
        role,
        key: super::key::entries(drawing),
    })
}

fn register() -> Result<(), ChartError> {
    static REGISTERED: OnceLock<bool> = OnceLock::new();
    let done =
        *REGISTERED.get_or_init(|| register_font(style::FONT_NAME, FontStyle::Normal, style::FONT).is_ok());
    if done { Ok(()) } else { Err(ChartError::Font) }
}

/// Width of a text in page units; an estimate where the font is refused, since painting will say so.
pub(super) fn text_width(text: &str, size: f64) -> f64 {
    #[expect(clippy::cast_possible_truncation, reason = "the size of a letter")]
    let measured = letters::font().map(|font| f64::from(letters::width(font, text, size as f32)));
    #[expect(clippy::cast_precision_loss, reason = "a label has a few characters")]
    let guess = text.chars().count() as f64 * size * 0.6;
    measured.unwrap_or(guess)
}

fn pixels(value: f64) -> i32 {
    #[expect(clippy::cast_possible_truncation, reason = "saturates; a page has a few thousand pixels")]
    {
        (value * style::SCALE).round() as i32
    }
}

fn size_in_pixels(drawing: &Drawing) -> (u32, u32) {
    (pixels(style::WIDTH).unsigned_abs(), pixels(drawing.height).unsigned_abs())
}

fn svg(id: &str, title: &str, alt: &str, drawing: &Drawing) -> Result<String, ChartError> {
    let mut body = String::new();
    let size = size_in_pixels(drawing);
    {
        let area = SVGBackend::with_string(&mut body, size).into_drawing_area();
        paint(&area, drawing, Letters::Reader)
            .and_then(|()| area.present())
            .map_err(|error| ChartError::Drawing { id: id.to_owned(), reason: error.to_string() })?;
    }
    // The backend's own opening tag knows neither a name for screen readers nor a size in page units.
    let inner = body.split_once('>').map_or("", |(_, inner)| inner);
    let mut out = String::with_capacity(body.len() + 600);
    let _ = write!(
        out,
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{}\" height=\"{}\" viewBox=\"0 0 {} {}\" role=\"img\" \
         aria-labelledby=\"{id}-title {id}-desc\"><title id=\"{id}-title\">",
        style::WIDTH,
        drawing.height,
        size.0,
        size.1
    );
    let clean = crate::report::clean::line;
    let _ = Escaper::new(&mut out).write_str(&clean(title));
    let _ = write!(out, "</title><desc id=\"{id}-desc\">");
    let _ = Escaper::new(&mut out).write_str(&clean(alt));
    out.push_str("</desc>");
    // Edges on pixels: neighbouring cells of a map would else show seams.
    out.push_str(&inner.trim_end().replace("<rect ", "<rect shape-rendering=\"crispEdges\" "));
    out.push('\n');
    Ok(out)
}

fn png(id: &str, drawing: &Drawing) -> Result<Vec<u8>, ChartError> {
    let font = letters::font().ok_or(ChartError::Font)?;
    let (width, height) = size_in_pixels(drawing);
    let mut pixels = vec![0_u8; width as usize * height as usize * 3];
    {
        let area = BitMapBackend::with_buffer(&mut pixels, (width, height)).into_drawing_area();
        paint(&area, drawing, Letters::Own(font))
            .and_then(|()| area.present())
            .map_err(|error| ChartError::Drawing { id: id.to_owned(), reason: error.to_string() })?;
    }
    let mut bytes = Vec::new();
    let refused =
        |error: png::EncodingError| ChartError::Png { id: id.to_owned(), reason: error.to_string() };
    let mut encoder = png::Encoder::new(&mut bytes, width, height);
    encoder.set_color(png::ColorType::Rgb);
    encoder.set_depth(png::BitDepth::Eight);
    let mut writer = encoder.write_header().map_err(refused)?;
    writer.write_image_data(&pixels).map_err(refused)?;
    writer.finish().map_err(refused)?;
    Ok(bytes)
}

fn shape(ink: Ink, opacity: f64, width: f64, filled: bool) -> ShapeStyle {
    let (r, g, b) = ink.rgb();
    ShapeStyle {
        color: RGBColor(r, g, b).mix(opacity),
        filled,
        stroke_width: pixels(width).unsigned_abs().max(1),
    }
}

fn at((x, y): (f64, f64)) -> (i32, i32) {
    (pixels(x), pixels(y))
}

fn paint<DB: DrawingBackend>(
    area: &DrawingArea<DB, Shift>,
    drawing: &Drawing,
    letters: Letters,
) -> Result<(), DrawingAreaErrorKind<DB::ErrorType>> {
    for mark in &drawing.marks {
        match mark {
            Mark::Line { points, ink, width } => {
                let points: Vec<_> = points.iter().copied().map(at).collect();
                area.draw(&PathElement::new(points, shape(*ink, 1.0, *width, false)))?;
            }
            Mark::Rect { left, top, right, bottom, ink, opacity } => {
                area.draw(&Rectangle::new(
                    [at((*left, *top)), at((*right, *bottom))],
                    shape(*ink, *opacity, 0.0, true),
                ))?;
            }
            Mark::Dot { at: centre, radius, ink } => {
                area.draw(&Circle::new(at(*centre), pixels(*radius), shape(*ink, 1.0, 0.0, true)))?;
            }
            Mark::Text { at: point, text, ink, size, across, turn } => {
                let (r, g, b) = ink.rgb();
                let colour = RGBColor(r, g, b);
                if let Letters::Own(font) = letters {
                    #[expect(clippy::cast_possible_truncation, reason = "the size of a letter")]
                    let line = letters::Line { text, em: (size * style::SCALE) as f32, across: *across };
                    let (x, y) = at(*point);
                    for ((along, down), share) in letters::pixels(font, line) {
                        let pixel = match turn {
                            Turn::Level => (x + along, y + down),
                            Turn::Up => (x + down, y - along),
                        };
                        area.draw_pixel(pixel, &colour.mix(f64::from(share)))?;
                    }
                    continue;
                }
                let font = (style::FONT_NAME, size * LINE_PER_EM * style::SCALE).into_font();
                let font = match turn {
                    Turn::Level => font,
                    Turn::Up => font.transform(FontTransform::Rotate270),
                };
                let across = match across {
                    Across::Start => HPos::Left,
                    Across::Middle => HPos::Center,
                    Across::End => HPos::Right,
                };
                let style = TextStyle::from(font).color(&colour).pos(Pos::new(across, VPos::Center));
                let drop = SVG_DROP * size;
                let point = match turn {
                    Turn::Level => (point.0, point.1 + drop),
                    Turn::Up => (point.0 + drop, point.1),
                };
                area.draw(&Text::new(text.as_str(), at(point), style))?;
            }
        }
    }
    Ok(())
}
