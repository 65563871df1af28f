//! The polar frame shared by the pictures of readings: rings with the unit, spokes, zero mark, place of a vector.

use super::figures::{degrees, short, step, tame};
use super::label::Frame;
use super::scene::{Dash, Ink, Mark, Point, Scene, Stroke, Text, Weight};
use super::shape::{Arc, PageSense};
use super::{SMALL, letters};

/// A polar frame on the page.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Dial {
    pub centre: Point,
    /// Of the outer ring, in points.
    pub radius: f64,
    /// What the outer ring stands for.
    pub full: f64,
    /// Between rings.
    pub step: f64,
    pub sense: PageSense,
}

impl Dial {
    /// A frame whose outer ring is the first whole step at or above `most`.
    pub(super) fn new(centre: Point, radius: f64, most: f64, sense: PageSense) -> Self {
        let most = if most > 0.0 { tame(most) } else { 1.0 };
        let step = step(most, 5.0);
        let full = (most / step - 1e-9).ceil().max(1.0) * step;
        Self { centre, radius, full, step, sense }
    }

    /// Points on the page for a size in the frame's unit.
    pub(super) fn length(self, size: f64) -> f64 {
        tame(size) / self.full * self.radius
    }

    /// Where a vector ends.
    pub(super) fn place(self, size: f64, angle: f64) -> Point {
        self.centre.around(self.length(size), self.sense.clock_degrees(tame(angle).rem_euclid(360.0)))
    }

    /// Rings and spokes.
    pub(super) fn draw_rings(self, scene: &mut Scene) {
        let thin = Stroke::solid(0.4).ink(Ink::Pale);
        for spoke in 0..12 {
            let clock = f64::from(spoke) * 30.0;
            let (from, to) = (
                self.centre.around(self.length(self.step) * 0.5, clock),
                self.centre.around(self.radius, clock),
            );
            scene.line(from, to, thin);
        }
        let rings = (self.full / self.step).round().clamp(1.0, 12.0) as u32;
        for ring in 1..rings {
            scene.circle(self.centre, self.length(self.step * f64::from(ring)), thin);
        }
        scene.circle(self.centre, self.radius, Stroke::solid(0.7));
        scene.line(self.centre.shifted(-2.5, 0.0), self.centre.shifted(2.5, 0.0), Stroke::solid(0.5));
        scene.line(self.centre.shifted(0.0, -2.5), self.centre.shifted(0.0, 2.5), Stroke::solid(0.5));
    }

    /// Ticks every 10° outside, degrees every 90°, the zero mark as a nick.
    pub(super) fn draw_angles(self, scene: &mut Scene) {
        for tick in 0..36 {
            let clock = f64::from(tick) * 10.0;
            let out = if tick % 3 == 0 { 4.0 } else { 2.2 };
            let (from, to) =
                (self.centre.around(self.radius, clock), self.centre.around(self.radius + out, clock));
            scene.line(from, to, Stroke::solid(0.5));
        }
        for (place, words) in self.quarters() {
            scene.push(Mark::Text(Text::new(&words, place.shifted(0.0, SMALL * 0.36), SMALL).middle()));
        }
        nick(scene, self.centre, self.radius, 5.0);
        let at = self.centre.around(self.radius + 8.0, 0.0);
        scene.push(Mark::Text(Text::new("0°", at, SMALL + 0.6).middle().bold()));
    }

    /// Where the degrees at the quarters stand.
    pub(super) fn quarters(self) -> Vec<(Point, String)> {
        let place = |quarter: f64| {
            let words = degrees(quarter);
            let clock = self.sense.clock_degrees(quarter);
            let half = letters::width(&words, SMALL, Weight::Plain) / 2.0;
            let out = half * clock.to_radians().sin().abs() + 7.0;
            (self.centre.around(self.radius + out, clock), words)
        };
        [90.0, 180.0, 270.0].into_iter().map(place).collect()
    }

    /// Figures along one spoke, each on its own ring. Returns the frames they take.
    pub(super) fn draw_scale(self, scene: &mut Scene, clock: f64) -> Vec<Frame> {
        let rings = (self.full / self.step).round().clamp(1.0, 12.0) as u32;
        let mut taken: Vec<Frame> = Vec::new();
        for ring in (1..=rings).rev() {
            let size = self.step * f64::from(ring);
            let words = letters::shorten(&short(size), SMALL, Weight::Plain, 60.0);
            let width = letters::width(&words, SMALL, Weight::Plain) + 1.5;
            let at = self.centre.around(self.length(size), clock);
            let frame = Frame::around(at, width, SMALL + 0.5);
            if taken.iter().any(|other| frame.overlap(*other) > 0.0) {
                continue;
            }
            scene.area(frame.corners(), Ink::White);
            let text = Text::new(&words, at.shifted(0.0, SMALL * 0.36), SMALL).middle().ink(Ink::Grey);
            scene.push(Mark::Text(text));
            taken.push(frame);
        }
        taken
    }

    /// A circle round a place, dotted: where a reading is expected, or how far an answer may be off.
    pub(super) fn draw_region(self, scene: &mut Scene, at: Point, radius: f64, width: f64) -> f64 {
        let drawn = self.length(radius).max(2.4);
        scene.circle(at, drawn, Stroke::solid(width).dash(Dash::Dotted));
        drawn
    }
}

/// A limit: a thin double ring.
pub(super) fn double_ring(scene: &mut Scene, centre: Point, radius: f64) {
    let radius = radius.max(3.0);
    scene.circle(centre, radius + 0.9, Stroke::solid(0.45));
    scene.circle(centre, radius - 0.9, Stroke::solid(0.45));
}

/// The zero mark: a chisel nick cut into the upper rim.
pub(super) fn nick(scene: &mut Scene, centre: Point, radius: f64, depth: f64) {
    let half = (depth * 0.5 / radius.max(1.0)).to_degrees();
    let cut = |out: f64, aside: f64| centre.around(radius + out, aside);
    scene.area(vec![cut(1.0, -half), cut(1.0, half), cut(-depth, 0.0)], Ink::White);
    scene.path(vec![cut(0.0, -half), cut(-depth, 0.0), cut(0.0, half)], Stroke::solid(1.5));
}

/// A thin open arrow outside a rim that shows which way angles count, from 14° on; returns where its words may begin.
pub(super) fn counting_arrow(scene: &mut Scene, centre: Point, radius: f64, sense: PageSense) -> Point {
    let (from, to) = (sense.clock_degrees(14.0), sense.clock_degrees(40.0));
    scene.arc_arrow(Arc { centre, radius, from, to }, 4.5, Stroke::solid(0.9));
    centre.around(radius, sense.clock_degrees(42.0))
}
