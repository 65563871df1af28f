//! One scene, two sheets: SVG text and PNG bytes, both drawn by plotters and the same on every machine.

use super::dots::{Band, OVERSAMPLED};
use super::scene::{Anchor, Dash, Group, Ink, Mark, Point, Scene, Stroke, Text, Turn};
use super::shape::dashes;
use super::{MILLIMETRE, letters};
use plotters::coord::Shift;
use plotters::prelude::{
    Circle, DrawingArea, DrawingBackend, IntoDrawingArea, PathElement, Polygon, SVGBackend,
};
use plotters::style::text_anchor::{HPos, Pos, VPos};
use plotters::style::{Color, FontTransform, RGBColor, ShapeStyle, TextStyle};
use std::fmt::Write as _;

/// Why a picture could not be rendered.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum RenderError {
    /// The drawing library refused.
    #[error("the picture could not be drawn: {0}")]
    Drawing(String),
    /// The sheet has no size, or would need too much memory.
    #[error("a picture of {width} × {height} dots cannot be made, at most {MOST_DOTS} each way")]
    Size {
        /// Dots across.
        width: f64,
        /// Dots down.
        height: f64,
    },
    /// The bytes could not be packed.
    #[error("the picture could not be packed as PNG: {0}")]
    Packing(String),
}

/// The largest picture, dots each way.
pub const MOST_DOTS: f64 = 6000.0;

/// plotters takes whole numbers only, in SVG too: twentieths of a point.
const SVG_UNITS: f64 = 20.0;

/// What differs between the two sheets.
#[derive(Clone, Copy)]
struct Device {
    /// Units a point.
    scale: f64,
    /// What plotters calls the size of letters whose em is 1.
    letter_size: f64,
    /// From the top that plotters asks for down to the base line, in ems.
    base_line: f64,
    anchors: Anchors,
    lines: Lines,
}

/// Who places the middle or the end of words.
#[derive(Clone, Copy)]
enum Anchors {
    /// The reader of the file, with its own font.
    Reader,
    /// We, from the width in our font.
    Ours,
}

/// How a line with corners is drawn.
#[derive(Clone, Copy)]
enum Lines {
    /// As one path; the reader joins the corners.
    Whole,
    /// Piece by piece with round joints: plotters' own corners are rough in bitmaps.
    Pieces,
}

type Sheet<'a, B> = DrawingArea<B, Shift>;

/// The scene as an SVG document: size in millimetres, title and description for screen readers.
///
/// # Errors
/// [`RenderError`] when the scene has no size or the library refuses.
pub fn svg(scene: &Scene) -> Result<String, RenderError> {
    let (width, height) = dots(scene, SVG_UNITS, f64::from(i32::MAX / 64))?;
    let mut text = String::new();
    let _ = writeln!(
        text,
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{:.3}mm\" height=\"{:.3}mm\" viewBox=\"0 0 {width} {height}\" \
         role=\"img\" stroke-linejoin=\"round\">",
        scene.width / MILLIMETRE,
        scene.height / MILLIMETRE,
    );
    let _ = writeln!(text, "<title>{}</title>", escaped(&scene.title));
    let _ = writeln!(text, "<desc>{}</desc>", escaped(&scene.description));
    let _ = writeln!(text, "<rect width=\"{width}\" height=\"{height}\" fill=\"#FFFFFF\"/>");
    for group in scene.groups.iter().filter(|group| !group.marks.is_empty()) {
        text.push_str(&svg_group(group, (width, height))?);
    }
    text.push_str("</svg>\n");
    Ok(text)
}

/// One group's marks, drawn by plotters on a sheet of their own, without that sheet's frame.
fn svg_group(group: &Group, size: (u32, u32)) -> Result<String, RenderError> {
    let device = Device {
        scale: SVG_UNITS,
        letter_size: 1.24,
        base_line: 0.76,
        anchors: Anchors::Reader,
        lines: Lines::Whole,
    };
    let mut sheet = String::new();
    {
        let area = SVGBackend::with_string(&mut sheet, size).into_drawing_area();
        paint(&area, &group.marks, device)?;
        area.present().map_err(|fault| RenderError::Drawing(fault.to_string()))?;
    }
    let inner = sheet.split_once(">\n").map_or("", |(_, rest)| rest);
    let inner = inner.trim_end().strip_suffix("</svg>").unwrap_or(inner).replace("opacity=\"1\" ", "");
    let mut text = String::from("<g");
    if !group.id.is_empty() {
        let _ = write!(text, " id=\"{}\"", escaped(&group.id));
    }
    for (name, value) in &group.data {
        let _ = write!(text, " data-{name}=\"{}\"", escaped(value));
    }
    let _ = write!(text, ">\n{inner}</g>\n");
    Ok(text)
}

/// The scene as PNG bytes, at this many dots an inch when printed in the scene's own size.
///
/// # Errors
/// [`RenderError`] when the picture would be empty or larger than [`MOST_DOTS`].
pub fn png(scene: &Scene, dots_per_inch: f64) -> Result<Vec<u8>, RenderError> {
    let scale = dots_per_inch / 72.0;
    let (width, height) = dots(scene, scale, MOST_DOTS)?;
    let device = Device {
        scale: scale * f64::from(OVERSAMPLED),
        letter_size: letters::HEIGHT,
        base_line: letters::HEIGHT / 2.0,
        anchors: Anchors::Ours,
        lines: Lines::Pieces,
    };
    let marks: Vec<(&Mark, Reach)> =
        scene.groups.iter().flat_map(|group| &group.marks).map(|mark| (mark, Reach::of(mark))).collect();
    let mut rows = Vec::with_capacity(width as usize * height as usize);
    let at_a_time = Band::rows(width);
    for top in (0..height).step_by(at_a_time as usize) {
        let count = at_a_time.min(height - top);
        let here = Reach { from: f64::from(top) / scale, to: f64::from(top + count) / scale };
        let touching = marks.iter().filter(|(_, reach)| reach.meets(here)).map(|(mark, _)| *mark);
        let mut band = Band::new((width, height), top, count);
        {
            let area = (&mut band).into_drawing_area();
            paint(&area, touching, device)?;
        }
        band.shrink_into(&mut rows);
    }
    packed(&rows, (width, height), dots_per_inch)
}

/// From where to where down the sheet a mark reaches, in points.
#[derive(Clone, Copy)]
struct Reach {
    from: f64,
    to: f64,
}

impl Reach {
    /// Not less than what the mark covers.
    fn of(mark: &Mark) -> Self {
        match mark {
            Mark::Line { points, stroke } => Self::around(points, stroke.width + 2.0),
            Mark::Area { points, .. } => Self::around(points, 2.0),
            Mark::Text(text) => {
                let along = match text.turn {
                    Turn::Level => 0.0,
                    Turn::Upward => letters::width(&text.words, text.size, text.weight),
                };
                Self::around(&[text.at], 2.0 * text.size + along)
            }
        }
    }

    fn around(points: &[Point], room: f64) -> Self {
        let from = points.iter().map(|point| point.y).fold(f64::INFINITY, f64::min);
        let to = points.iter().map(|point| point.y).fold(f64::NEG_INFINITY, f64::max);
        Self { from: from - room, to: to + room }
    }

    fn meets(self, other: Self) -> bool {
        self.from <= other.to && other.from <= self.to
    }
}

fn packed(dots: &[u8], (width, height): (u32, u32), dots_per_inch: f64) -> Result<Vec<u8>, RenderError> {
    let packing = |fault: png::EncodingError| RenderError::Packing(fault.to_string());
    let mut bytes = Vec::new();
    let mut encoder = png::Encoder::new(&mut bytes, width, height);
    encoder.set_color(png::ColorType::Grayscale);
    encoder.set_depth(png::BitDepth::Eight);
    // Packs in a tenth of the time, and drawings of ink on white come out no larger.
    encoder.set_compression(png::Compression::Fast);
    let per_metre = (dots_per_inch / 0.0254).round() as u32;
    let unit = png::Unit::Meter;
    encoder.set_pixel_dims(Some(png::PixelDimensions { xppu: per_metre, yppu: per_metre, unit }));
    let mut writer = encoder.write_header().map_err(packing)?;
    writer.write_image_data(dots).map_err(packing)?;
    writer.finish().map_err(packing)?;
    Ok(bytes)
}

fn dots(scene: &Scene, scale: f64, most: f64) -> Result<(u32, u32), RenderError> {
    let (width, height) = ((scene.width * scale).round(), (scene.height * scale).round());
    let fits = |length: f64| (1.0..=most).contains(&length);
    if fits(width) && fits(height) {
        Ok((width as u32, height as u32))
    } else {
        Err(RenderError::Size { width, height })
    }
}

/// The one renderer: every mark through plotters.
fn paint<'m, B: DrawingBackend>(
    area: &Sheet<B>,
    marks: impl IntoIterator<Item = &'m Mark>,
    device: Device,
) -> Result<(), RenderError> {
    for mark in marks {
        match mark {
            Mark::Line { points, stroke } => paint_line(area, points, *stroke, device)?,
            Mark::Area { points, ink } => {
                let corners: Vec<_> = units(points, device);
                if corners.len() > 2 {
                    drawn(area.draw(&Polygon::new(corners, colour(*ink).filled())))?;
                }
            }
            Mark::Text(text) => paint_text(area, text, device)?,
        }
    }
    Ok(())
}

fn paint_line<B: DrawingBackend>(
    area: &Sheet<B>,
    points: &[Point],
    stroke: Stroke,
    device: Device,
) -> Result<(), RenderError> {
    let width = (stroke.width * device.scale).round().max(1.0) as u32;
    let style = colour(stroke.ink).stroke_width(width);
    let whole = [points.to_vec()];
    let broken = if stroke.dash == Dash::Solid { Vec::new() } else { dashes(points, stroke) };
    let pieces = if stroke.dash == Dash::Solid { &whole[..] } else { &broken[..] };
    for piece in pieces {
        let corners = units(piece, device);
        match device.lines {
            Lines::Whole if corners.len() > 1 => drawn(area.draw(&PathElement::new(corners, style)))?,
            Lines::Whole => {}
            Lines::Pieces => paint_pieces(area, &corners, style)?,
        }
    }
    Ok(())
}

fn paint_pieces<B: DrawingBackend>(
    area: &Sheet<B>,
    corners: &[(i32, i32)],
    style: ShapeStyle,
) -> Result<(), RenderError> {
    for pair in corners.windows(2) {
        drawn(area.draw(&PathElement::new(pair.to_vec(), style)))?;
    }
    let radius = style.stroke_width / 2;
    let closed = corners.len() > 2 && corners.first() == corners.last();
    let joints =
        corners.iter().skip(usize::from(!closed)).take(corners.len().saturating_sub(2 - usize::from(closed)));
    for &joint in joints.filter(|_| radius > 0) {
        drawn(area.draw(&Circle::new(joint, radius, style.filled())))?;
    }
    Ok(())
}

fn paint_text<B: DrawingBackend>(area: &Sheet<B>, text: &Text, device: Device) -> Result<(), RenderError> {
    let size = text.size * device.scale * device.letter_size;
    let shift = match (device.anchors, text.anchor) {
        (Anchors::Reader, _) | (_, Anchor::Start) => 0.0,
        (Anchors::Ours, Anchor::Middle) => letters::width(&text.words, text.size, text.weight) / 2.0,
        (Anchors::Ours, Anchor::End) => letters::width(&text.words, text.size, text.weight),
    };
    let horizontal = match (device.anchors, text.anchor) {
        (Anchors::Ours, _) | (_, Anchor::Start) => HPos::Left,
        (_, Anchor::Middle) => HPos::Center,
        (_, Anchor::End) => HPos::Right,
    };
    let drop = text.size * device.base_line;
    let (at, transform) = match text.turn {
        Turn::Level => (text.at.shifted(-shift, -drop), FontTransform::None),
        Turn::Upward => (text.at.shifted(-drop, shift), FontTransform::Rotate270),
    };
    let font = letters::font(size, text.weight).transform(transform);
    let ink = colour(text.ink);
    let style = TextStyle::from(font).color(&ink).pos(Pos::new(horizontal, VPos::Top));
    match units(&[at], device).first() {
        Some(&place) => drawn(area.draw_text(&text.words, &style, place)),
        None => Ok(()),
    }
}

fn drawn<T, E: std::fmt::Display>(result: Result<T, E>) -> Result<T, RenderError> {
    result.map_err(|fault| RenderError::Drawing(fault.to_string()))
}

fn colour(ink: Ink) -> RGBColor {
    match ink {
        Ink::Black => RGBColor(0, 0, 0),
        Ink::Grey => RGBColor(96, 96, 96),
        Ink::Pale => RGBColor(188, 188, 188),
        Ink::White => RGBColor(255, 255, 255),
    }
}

/// Whole units of the sheet. What lies far outside is drawn at its edge of the world; what is not a number, not at all.
fn units(points: &[Point], device: Device) -> Vec<(i32, i32)> {
    const FAR: f64 = 3000.0;
    let unit = |length: f64| (length.clamp(-FAR, FAR) * device.scale).round() as i32;
    let mut units: Vec<(i32, i32)> = points
        .iter()
        .filter(|point| point.x.is_finite() && point.y.is_finite())
        .map(|point| (unit(point.x), unit(point.y)))
        .collect();
    units.dedup();
    units
}

fn escaped(words: &str) -> String {
    let mut text = String::with_capacity(words.len());
    for letter in words.chars() {
        match letter {
            '<' => text.push_str("&lt;"),
            '>' => text.push_str("&gt;"),
            '&' => text.push_str("&amp;"),
            '"' => text.push_str("&quot;"),
            letter if letter.is_control() || matches!(letter, '\u{FFFE}' | '\u{FFFF}') => text.push(' '),
            letter => text.push(letter),
        }
    }
    text
}
