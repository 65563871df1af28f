//! Shapes made of lines and areas: arcs, rings, hatching, arrows, dashes.

use balance_core::run::{Convention, MassAngle, PhaseSense, Turns};

use super::scene::{Dash, Ink, Mark, Point, Scene, Stroke};

/// The longest chord of an arc, in points: short enough to look round.
const CHORD: f64 = 1.6;
/// No picture has lines longer than this many dashes.
const MOST_DASHES: usize = 4000;

/// Which way round on the page.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PageSense {
    /// As the hands of a clock.
    Clockwise,
    /// Against them.
    CounterClockwise,
}

impl PageSense {
    /// How a mass's angle runs on a page that shows the shaft from the front. Where nobody said which way the shaft
    /// turns, clockwise; the picture then says so.
    #[must_use]
    pub fn of_masses(turns: Option<Turns>, mass_angle: MassAngle) -> Self {
        match (turns, mass_angle) {
            (None, _)
            | (Some(Turns::Clockwise), MassAngle::WithRotation)
            | (Some(Turns::CounterClockwise), MassAngle::AgainstRotation) => Self::Clockwise,
            (Some(Turns::Clockwise), MassAngle::AgainstRotation)
            | (Some(Turns::CounterClockwise), MassAngle::WithRotation) => Self::CounterClockwise,
        }
    }

    /// How the phase runs on the same page.
    #[must_use]
    pub fn of_phase(convention: &Convention) -> Self {
        let masses = Self::of_masses(convention.turns, convention.mass_angle);
        match convention.phase_sense() {
            PhaseSense::SameAsMasses => masses,
            PhaseSense::OppositeToMasses => masses.opposite(),
        }
    }

    /// The clockwise angle on the page of an angle counted in this sense from straight up.
    #[must_use]
    pub fn clock_degrees(self, degrees: f64) -> f64 {
        match self {
            Self::Clockwise => degrees,
            Self::CounterClockwise => -degrees,
        }
    }

    /// The other way round.
    #[must_use]
    pub fn opposite(self) -> Self {
        match self {
            Self::Clockwise => Self::CounterClockwise,
            Self::CounterClockwise => Self::Clockwise,
        }
    }
}

/// Part of a circle, in clockwise degrees from straight up; `to` may lie on either side of `from`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Arc {
    pub centre: Point,
    pub radius: f64,
    pub from: f64,
    pub to: f64,
}

impl Arc {
    pub(super) fn whole(centre: Point, radius: f64) -> Self {
        Self { centre, radius, from: 0.0, to: 360.0 }
    }

    /// Points along it, close enough together to look round.
    pub(super) fn points(self) -> Vec<Point> {
        let sweep = (self.to - self.from).clamp(-360.0, 360.0);
        let length = (self.radius * sweep.to_radians()).abs();
        let steps = (length / CHORD).clamp(f64::from(2 + (sweep.abs() / 15.0) as u32), 720.0).ceil();
        let step = |index: u32| self.centre.around(self.radius, self.from + sweep * f64::from(index) / steps);
        (0..=steps as u32).map(step).collect()
    }

    /// The area between this arc and the same arc at another radius.
    pub(super) fn band(self, other_radius: f64) -> Vec<Point> {
        let mut corners = self.points();
        let back = Self { radius: other_radius, from: self.to, to: self.from, ..self };
        corners.extend(back.points());
        corners
    }
}

impl Scene {
    /// A line from one place to another.
    pub(super) fn line(&mut self, from: Point, to: Point, stroke: Stroke) {
        self.path(vec![from, to], stroke);
    }

    /// A line through points.
    pub(super) fn path(&mut self, points: Vec<Point>, stroke: Stroke) {
        self.push(Mark::Line { points, stroke });
    }

    /// The outline of an area.
    pub(super) fn outline(&mut self, corners: &[Point], stroke: Stroke) {
        // The first two corners come again, so that the last corner is joined like the others.
        let points = corners.iter().chain(corners.iter().take(1)).copied().collect();
        self.path(points, stroke);
    }

    /// An area filled with one ink.
    pub(super) fn area(&mut self, corners: Vec<Point>, ink: Ink) {
        self.push(Mark::Area { points: corners, ink });
    }

    /// A circle's line.
    pub(super) fn circle(&mut self, centre: Point, radius: f64, stroke: Stroke) {
        self.path(Arc::whole(centre, radius).points(), stroke);
    }

    /// A filled circle.
    pub(super) fn disc(&mut self, centre: Point, radius: f64, ink: Ink) {
        self.area(Arc::whole(centre, radius).points(), ink);
    }

    /// Slanting lines, `gap` points apart, over an area.
    pub(super) fn hatch(&mut self, corners: &[Point], gap: f64, stroke: Stroke) {
        for (from, to) in hatching(corners, gap) {
            self.line(from, to, stroke);
        }
    }

    /// An open arrowhead with its tip at `tip`, coming from `from`.
    pub(super) fn arrowhead(&mut self, from: Point, tip: Point, size: f64, stroke: Stroke) {
        let length = from.distance(tip);
        if length < 1e-6 {
            return;
        }
        let (x, y) = ((tip.x - from.x) / length, (tip.y - from.y) / length);
        let barb = |side: f64| tip.shifted(-size * (x + 0.5 * side * y), -size * (y - 0.5 * side * x));
        self.path(vec![barb(1.0), tip, barb(-1.0)], stroke);
    }

    /// A straight open arrow.
    pub(super) fn arrow(&mut self, from: Point, tip: Point, size: f64, stroke: Stroke) {
        self.line(from, tip, stroke);
        self.arrowhead(from, tip, size, stroke);
    }

    /// An open arrow along an arc, its head at the arc's end.
    pub(super) fn arc_arrow(&mut self, arc: Arc, size: f64, stroke: Stroke) {
        let points = arc.points();
        let back = (arc.to - arc.from).signum() * (size * 0.8 / arc.radius.max(1.0)).to_degrees();
        let (before, tip) =
            (arc.centre.around(arc.radius, arc.to - back), arc.centre.around(arc.radius, arc.to));
        self.path(points, stroke);
        self.arrowhead(before, tip, size, stroke);
    }

    /// A wide arrow along an arc that shows the paper inside: shaft and head in outline.
    pub(super) fn open_arc_arrow(&mut self, arc: Arc, width: f64, stroke: Stroke) {
        let sense = (arc.to - arc.from).signum();
        let head = sense * (width * 1.5 / arc.radius.max(1.0)).to_degrees();
        let neck = arc.to - head;
        let shaft = Arc { to: neck, radius: arc.radius + width / 2.0, ..arc };
        let back = Arc { from: neck, to: arc.from, radius: arc.radius - width / 2.0, ..arc };
        let mut corners = shaft.points();
        corners.push(arc.centre.around(arc.radius + width, neck));
        corners.push(arc.centre.around(arc.radius, arc.to));
        corners.push(arc.centre.around(arc.radius - width, neck));
        corners.extend(back.points());
        self.area(corners.clone(), Ink::White);
        self.outline(&corners, stroke);
    }
}

/// The pieces of a line that a dash pattern leaves.
pub(super) fn dashes(points: &[Point], stroke: Stroke) -> Vec<Vec<Point>> {
    let unit = stroke.width.max(0.5);
    let pattern: &[f64] = match stroke.dash {
        Dash::Solid => return vec![points.to_vec()],
        Dash::Dashed => &[5.0, 3.2],
        Dash::Dotted => &[1.2, 2.2],
        Dash::DashDot => &[6.0, 2.4, 1.2, 2.4],
    };
    let lengths: Vec<f64> = pattern.iter().map(|share| (share * unit).max(share * 0.7)).collect();
    let mut pieces = vec![points.iter().take(1).copied().collect::<Vec<_>>()];
    let (mut phase, mut left) = (0, lengths[0]);
    for pair in points.windows(2) {
        let whole = pair[0].distance(pair[1]);
        let mut done = 0.0;
        while whole.is_finite() && whole - done > left && pieces.len() < MOST_DASHES {
            done += left;
            let place = pair[0].towards(pair[1], done / whole);
            if phase % 2 == 0 {
                pieces.last_mut().into_iter().for_each(|piece| piece.push(place));
            } else {
                pieces.push(vec![place]);
            }
            phase = (phase + 1) % lengths.len();
            left = lengths[phase];
        }
        left -= whole - done;
        if phase % 2 == 0 {
            pieces.last_mut().into_iter().for_each(|piece| piece.push(pair[1]));
        }
    }
    pieces
}

/// Lines at 45° inside an area (even-odd), `gap` points apart.
fn hatching(corners: &[Point], gap: f64) -> Vec<(Point, Point)> {
    // Along a hatching line x + y is constant.
    let sum = |point: &Point| point.x + point.y;
    let (least, most) = corners
        .iter()
        .map(sum)
        .filter(|value| value.is_finite())
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), value| (low.min(value), high.max(value)));
    let step = gap.max(0.5) * std::f64::consts::SQRT_2;
    if !least.is_finite() || !most.is_finite() || most - least > 6000.0 {
        return Vec::new();
    }
    // Every area is hatched on the same grid, so that neighbours match and the picture stays the same.
    let (first, last) = ((least / step).ceil() as i64, (most / step).floor() as i64);
    (first..=last).flat_map(|index| cut(corners, index as f64 * step + 1e-6)).collect()
}

/// Where the line x + y = `level` runs inside an area.
fn cut(corners: &[Point], level: f64) -> Vec<(Point, Point)> {
    let next = corners.iter().cycle().skip(1);
    let mut crossings: Vec<Point> = corners
        .iter()
        .zip(next)
        .filter_map(|(from, to)| {
            let (a, b) = (from.x + from.y - level, to.x + to.y - level);
            ((a < 0.0) != (b < 0.0)).then(|| from.towards(*to, a / (a - b)))
        })
        .collect();
    crossings.sort_by(|one, other| one.x.total_cmp(&other.x));
    crossings.chunks_exact(2).map(|pair| (pair[0], pair[1])).collect()
}
