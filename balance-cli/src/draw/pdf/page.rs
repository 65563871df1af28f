//! One scene on one page: where it lies, and its marks as a PDF draws them.

use pdf_writer::types::LineJoinStyle;
use pdf_writer::{Content, Name, Str, TextStr};

use super::FONTS;
use super::letters::{Letters, References};
use crate::draw::MILLIMETRE;
use crate::draw::scene::{Anchor, Dash, Ink, Mark, Point, Scene, Stroke, Text, Turn, Weight};
use crate::draw::shape::dashes;
use crate::paper::Paper;

/// Left white round a picture that does not fill its sheet, mm.
const MARGIN: f64 = 15.0;
/// A small picture on a large sheet is drawn up to this many times its size.
const LARGEST: f64 = 2.0;
/// What lies further out than this many points is drawn there: no viewer has to read larger numbers.
const FAR: f64 = 3000.0;

/// Where a scene lies on its page.
#[derive(Debug, Clone, Copy)]
pub(super) struct Place {
    /// Of the page, in points.
    pub width: f64,
    /// Of the page, in points.
    pub height: f64,
    left: f64,
    top: f64,
    scale: f64,
}

impl Place {
    pub(super) fn of(scene: &Scene, paper: Paper) -> Self {
        let points = |(width, height): (f64, f64)| (width * MILLIMETRE, height * MILLIMETRE);
        let lying = points(paper.landscape());
        if (scene.width - lying.0).abs() < 0.01 && (scene.height - lying.1).abs() < 0.01 {
            let (width, height) = lying;
            return Self { width, height, left: 0.0, top: 0.0, scale: 1.0 };
        }
        let (width, height) = points(paper.upright());
        let margin = MARGIN * MILLIMETRE;
        let room = |whole: f64, own: f64| (whole - 2.0 * margin) / own;
        let scale = room(width, scene.width).min(room(height, scene.height)).min(LARGEST);
        Self { width, height, left: (width - scene.width * scale) / 2.0, top: margin, scale }
    }

    /// A PDF counts from the lower left corner, upward.
    fn at(self, point: Point) -> [f32; 2] {
        let tame = |length: f64| length.clamp(-FAR, FAR);
        let x = self.left + tame(point.x) * self.scale;
        let y = self.height - self.top - tame(point.y) * self.scale;
        [x as f32, y as f32]
    }

    fn length(self, length: f64) -> f32 {
        (tame_size(length) * self.scale) as f32
    }
}

fn tame_size(length: f64) -> f64 {
    if length.is_finite() { length.clamp(0.0, FAR) } else { 0.0 }
}

/// Draws every mark, first to last.
pub(super) fn draw(content: &mut Content, scene: &Scene, place: Place, fonts: &mut [(Letters, References)]) {
    content.set_line_join(LineJoinStyle::RoundJoin);
    for mark in scene.marks() {
        match mark {
            Mark::Line { points, stroke } => draw_line(content, points, *stroke, place),
            Mark::Area { points, ink } => draw_area(content, points, *ink, place),
            Mark::Text(text) => write(content, text, place, fonts),
        }
    }
}

fn draw_line(content: &mut Content, points: &[Point], stroke: Stroke, place: Place) {
    content.set_stroke_gray(grey(stroke.ink)).set_line_width(place.length(stroke.width));
    let whole = [points.to_vec()];
    let broken = if stroke.dash == Dash::Solid { Vec::new() } else { dashes(points, stroke) };
    for piece in if stroke.dash == Dash::Solid { &whole[..] } else { &broken[..] } {
        let closed = piece.len() > 2 && piece.first() == piece.last();
        let corners = if closed { &piece[..piece.len() - 1] } else { &piece[..] };
        if path(content, corners, place) < 2 {
            content.end_path();
        } else if closed {
            content.close_and_stroke();
        } else {
            content.stroke();
        }
    }
}

fn draw_area(content: &mut Content, points: &[Point], ink: Ink, place: Place) {
    content.set_fill_gray(grey(ink));
    if path(content, points, place) > 2 {
        content.fill_even_odd();
    } else {
        content.end_path();
    }
}

/// The path through the points that have a place; returns how many those are.
fn path(content: &mut Content, points: &[Point], place: Place) -> usize {
    let mut count = 0;
    for point in points.iter().filter(|point| point.x.is_finite() && point.y.is_finite()) {
        let [x, y] = place.at(*point);
        if count == 0 {
            content.move_to(x, y)
        } else {
            content.line_to(x, y)
        };
        count += 1;
    }
    count
}

fn write(content: &mut Content, text: &Text, place: Place, fonts: &mut [(Letters, References)]) {
    let which = usize::from(text.weight == Weight::Bold);
    let (Some((letters, _)), Some((name, _))) = (fonts.get_mut(which), FONTS.get(which)) else { return };
    if text.words.is_empty() || !text.at.x.is_finite() || !text.at.y.is_finite() {
        return;
    }
    let shown = letters.show(&text.words);
    let before = tame_size(text.size)
        * shown.width
        * match text.anchor {
            Anchor::Start => 0.0,
            Anchor::Middle => 0.5,
            Anchor::End => 1.0,
        };
    let (at, [right, up]) = match text.turn {
        Turn::Level => (text.at.shifted(-before, 0.0), [1.0, 0.0]),
        Turn::Upward => (text.at.shifted(0.0, before), [0.0, 1.0]),
    };
    let [x, y] = place.at(at);
    if shown.lacking {
        let mut span = content.begin_marked_content_with_properties(Name(b"Span"));
        span.properties().actual_text(TextStr(&text.words));
    }
    content.begin_text().set_font(Name(name), place.length(text.size)).set_fill_gray(grey(text.ink));
    content.set_text_matrix([right, up, -up, right, x, y]).show(Str(&shown.codes)).end_text();
    if shown.lacking {
        content.end_marked_content();
    }
}

/// The same greys as in SVG and PNG.
fn grey(ink: Ink) -> f32 {
    f32::from(match ink {
        Ink::Black => 0_u8,
        Ink::Grey => 96,
        Ink::Pale => 188,
        Ink::White => 255,
    }) / 255.0
}
