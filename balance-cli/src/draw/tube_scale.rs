//! The scales of the tube picture: the tape round the tube and the degrees in its bore.

use super::figures::{degrees, short, step, tame, turned};
use super::label::Frame;
use super::scene::{Ink, Mark, Point, Scene, Stroke, Text, Weight};
use super::shape::{Arc, PageSense};
use super::tube_plane::{TubePlane, TubeWeight};
use super::{NARROW, SMALL, letters};
use balance_core::quantity::Units;

/// The tube's middle on the page.
pub(super) const CENTRE: Point = Point::new(NARROW / 2.0, 122.0);
/// The tube's outside on the page, in points.
pub(super) const TUBE: f64 = 66.0;

/// The sizes of one drawing, in points.
#[derive(Debug, Clone, Copy)]
pub(super) struct Sizes {
    /// Points a millimetre.
    pub scale: f64,
    /// The bore's radius.
    pub bore: f64,
    /// The tape's radius, outside every weight.
    pub tape: f64,
    pub sense: PageSense,
}

impl Sizes {
    pub(super) fn of(plane: &TubePlane) -> Self {
        let scale = TUBE / (plane.diameter() / 2.0);
        let wall = plane.wall_mm.map_or(3.0, |wall| tame(wall) * scale).clamp(1.2, TUBE * 0.5);
        let sizes = Self { scale, bore: TUBE - wall, tape: 0.0, sense: plane.sense() };
        let thickest = plane.weights.iter().map(|weight| sizes.thickness(weight)).fold(4.0, f64::max);
        Self { tape: TUBE + thickest + 2.5, ..sizes }
    }

    pub(super) fn thickness(self, weight: &TubeWeight) -> f64 {
        (tame(weight.thickness_mm) * self.scale).clamp(2.6, 14.0)
    }

    pub(super) fn clock(self, angle: f64) -> f64 {
        self.sense.clock_degrees(turned(angle))
    }

    pub(super) fn at(self, radius: f64, angle: f64) -> Point {
        CENTRE.around(radius, self.clock(angle))
    }

    /// The part of a circle from `from` over `span` degrees in counting direction.
    pub(super) fn arc(self, radius: f64, from: f64, span: f64) -> Arc {
        let from = self.clock(from);
        Arc { centre: CENTRE, radius, from, to: from + self.sense.clock_degrees(span) }
    }
}

/// The tape round the tube, read outside: millimetres, or inches where the shop works in inches alone.
pub(super) fn draw_tape(scene: &mut Scene, plane: &TubePlane, sizes: Sizes) {
    let unit = if plane.units == Units::Us { 25.4 } else { 1.0 };
    let round = plane.once_round() / unit;
    let (numbered, fine) = if plane.units == Units::Us { inch_steps(round) } else { steps(round) };
    let angle = |length: f64| length / round * 360.0;
    scene.circle(CENTRE, sizes.tape, Stroke::solid(0.5));
    scene.circle(CENTRE, sizes.tape + 5.6, Stroke::solid(0.5));
    for index in 0..(round / fine).floor() as u32 + 1 {
        let length = f64::from(index) * fine;
        let on = |step: f64| (length / step - (length / step).round()).abs() < 1e-6;
        let out = if on(numbered) {
            4.2
        } else if plane.units == Units::Us && on(0.5) {
            3.0
        } else {
            2.2
        };
        let at = |radius: f64| sizes.at(radius, angle(f64::from(index) * fine));
        scene.line(at(sizes.tape), at(sizes.tape + out), Stroke::solid(0.45));
    }
    let room = numbered * 0.55;
    for index in 0..(round / numbered).floor() as u32 + 1 {
        let length = f64::from(index) * numbered;
        if round - length >= room {
            let words = short(length);
            let at = figure_place(sizes, sizes.tape + 7.5, angle(length), &words, 1.0);
            scene.push(Mark::Text(Text::new(&words, at.shifted(0.0, SMALL * 0.36), SMALL).middle()));
        }
    }
}

/// From figure to figure and from tick to tick on a tape in millimetres.
fn steps(round: f64) -> (f64, f64) {
    let numbered = step(round, 18.0);
    let in_twos = (numbered.log10().fract().abs() - 0.301).abs() < 0.01;
    (numbered, if in_twos { numbered / 4.0 } else { numbered / 5.0 })
}

/// The same on a tape in inches: whole inches with figures, halves, quarters, eighths and sixteenths between them, as fine
/// as there is room for.
fn inch_steps(round: f64) -> (f64, f64) {
    const MOST_FIGURES: f64 = 18.0;
    const MOST_TICKS: f64 = 240.0;
    let numbered = (0..).map(|power| f64::from(1 << power)).find(|step| round / step <= MOST_FIGURES);
    let fine =
        [16.0, 8.0, 4.0, 2.0].into_iter().map(|part| 1.0 / part).find(|step| round / step <= MOST_TICKS);
    let numbered = numbered.unwrap_or(1.0);
    (numbered, fine.unwrap_or(numbered))
}

/// Ticks every 10° inside the bore.
pub(super) fn draw_degree_ticks(scene: &mut Scene, sizes: Sizes) {
    for tick in 0..36 {
        let angle = f64::from(tick) * 10.0;
        let length = if tick % 3 == 0 { 3.4 } else { 1.8 };
        let (from, to) = (sizes.at(sizes.bore, angle), sizes.at(sizes.bore - length, angle));
        scene.line(from, to, Stroke::solid(0.4).ink(Ink::Grey));
    }
}

/// The figures every 30° inside the bore: place, words, frame.
pub(super) fn degree_figures(sizes: Sizes) -> Vec<(Point, String, Frame)> {
    let figure = |index: u32| {
        let angle = f64::from(index) * 30.0;
        let words = degrees(angle);
        let at = figure_place(sizes, sizes.bore - 5.0, angle, &words, -1.0);
        let frame = Frame::around(at, letters::width(&words, SMALL, Weight::Plain) + 2.0, SMALL);
        (at, words, frame)
    };
    (0..12).map(figure).collect()
}

/// The middle of a figure that begins `side` (outward 1, inward −1) of a circle, whatever its width.
fn figure_place(sizes: Sizes, radius: f64, angle: f64, words: &str, side: f64) -> Point {
    let (sin, cos) = sizes.clock(angle).to_radians().sin_cos();
    let half = letters::width(words, SMALL, Weight::Plain) / 2.0;
    sizes.at(radius + side * (half * sin.abs() + SMALL * 0.4 * cos.abs()), angle)
}
