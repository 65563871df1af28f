//! Labels that never lie on one another: each tries several places and takes the best free one.

use super::frames::Frames;
use super::letters;
use super::scene::{Ink, Point, Scene, Stroke, Text, Weight};

/// A rectangle on the sheet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Frame {
    pub left: f64,
    pub top: f64,
    pub width: f64,
    pub height: f64,
}

impl Frame {
    pub(super) fn around(centre: Point, width: f64, height: f64) -> Self {
        Self { left: centre.x - width / 2.0, top: centre.y - height / 2.0, width, height }
    }

    pub(super) fn centre(self) -> Point {
        Point::new(self.left + self.width / 2.0, self.top + self.height / 2.0)
    }

    pub(super) fn overlap(self, other: Self) -> f64 {
        let across = (self.left + self.width).min(other.left + other.width) - self.left.max(other.left);
        let down = (self.top + self.height).min(other.top + other.height) - self.top.max(other.top);
        across.max(0.0) * down.max(0.0)
    }

    /// The frame with so much more on every side.
    fn wider(self, by: f64) -> Self {
        Self {
            left: self.left - by,
            top: self.top - by,
            width: self.width + 2.0 * by,
            height: self.height + 2.0 * by,
        }
    }

    /// The nearest point of the frame.
    fn nearest(self, to: Point) -> Point {
        let x = to.x.clamp(self.left, self.left + self.width.max(0.0));
        Point::new(x, to.y.clamp(self.top, self.top + self.height.max(0.0)))
    }

    pub(super) fn corners(self) -> Vec<Point> {
        let (right, bottom) = (self.left + self.width, self.top + self.height);
        vec![
            Point::new(self.left, self.top),
            Point::new(right, self.top),
            Point::new(right, bottom),
            Point::new(self.left, bottom),
        ]
    }
}

/// Lines of words to be placed near a point.
#[derive(Debug, Clone)]
pub(super) struct Label {
    pub lines: Vec<String>,
    pub size: f64,
    /// Of the first line; the others are plain.
    pub weight: Weight,
    pub near: Point,
    /// Keep at least this far from the point.
    pub clear: f64,
}

/// Where words may stand.
#[derive(Debug, Clone, Copy)]
enum Bounds {
    Frame(Frame),
    Disc { centre: Point, radius: f64 },
}

impl Bounds {
    /// How much of a frame lies outside, in square points.
    fn outside(self, frame: Frame) -> f64 {
        match self {
            Self::Frame(bounds) => frame.width * frame.height - frame.overlap(bounds),
            Self::Disc { centre, radius } => {
                let over = |corner: &Point| (corner.distance(centre) - radius).max(0.0);
                frame.corners().iter().map(over).fold(0.0, f64::max) * frame.height
            }
        }
    }
}

/// Between the words of two labels, in points.
const AIR: f64 = 1.5;

/// From one line of words down to the next, in sizes of its letters.
const LINE: f64 = 1.16;

/// Of so many labels every order is tried.
const EVERY_ORDER: usize = 4;
/// Of more, so many get a chance to be first, forwards and backwards.
const MOST_STARTS: usize = 3;

/// Among more labels than this no order is better than another, and trying takes long.
const MANY: usize = 30;

/// The orders in which labels are tried.
fn orders(count: usize) -> Vec<Vec<usize>> {
    if count > MANY {
        return vec![(0..count).collect()];
    }
    if count > EVERY_ORDER {
        let forwards = |start: usize| (0..count).map(|at| (start + at) % count).collect::<Vec<usize>>();
        let both = |start: usize| [forwards(start), forwards(start).into_iter().rev().collect()];
        return (0..MOST_STARTS.min(count)).flat_map(both).collect();
    }
    let mut found = vec![Vec::new()];
    for next in 0..count {
        let with_next = |order: &Vec<usize>| {
            (0..=order.len()).map(|at| [&order[..at], &[next], &order[at..]].concat()).collect::<Vec<_>>()
        };
        found = found.iter().flat_map(with_next).collect();
    }
    found
}

/// Keeps account of what is already on the sheet.
#[derive(Debug, Clone)]
pub(super) struct Labels {
    bounds: Bounds,
    /// May not be covered.
    taken: Frames,
    /// Better not covered.
    lines: Frames,
}

impl Labels {
    pub(super) fn within(bounds: Frame) -> Self {
        Self { bounds: Bounds::Frame(bounds), taken: Frames::default(), lines: Frames::default() }
    }

    pub(super) fn within_disc(centre: Point, radius: f64) -> Self {
        Self { bounds: Bounds::Disc { centre, radius }, taken: Frames::default(), lines: Frames::default() }
    }

    /// Nothing may be written here.
    pub(super) fn block(&mut self, frame: Frame) {
        self.taken.push(frame);
    }

    /// Nothing may be written over this line.
    pub(super) fn block_line(&mut self, from: Point, to: Point) {
        self.taken.extend(beads(from, to));
    }

    /// Better not to write here.
    pub(super) fn avoid(&mut self, frame: Frame) {
        self.lines.push(frame);
    }

    /// Whether nothing is written here.
    pub(super) fn free(&self, frame: Frame) -> bool {
        !self.taken.any_over(frame, 0.0)
    }

    /// Better not to write over this line.
    pub(super) fn spare(&mut self, from: Point, to: Point) {
        self.lines.extend(beads(from, to));
    }

    /// Writes the labels in the best free places, each on white, with a thin leader where it stands away from its point.
    ///
    /// Which label comes first decides which places are left; so several orders are tried, and the cheapest whole is
    /// written.
    pub(super) fn write_all(&mut self, scene: &mut Scene, labels: &[Label]) {
        let orders = orders(labels.len()).into_iter().map(|order| {
            let order: Vec<&Label> = order.into_iter().filter_map(|at| labels.get(at)).collect();
            let mut account = self.clone();
            let (frames, prices): (Vec<Frame>, Vec<f64>) =
                order.iter().map(|label| account.take(label)).unzip();
            (order, frames, account, prices.iter().sum::<f64>())
        });
        let best = orders.min_by(|one, other| one.3.total_cmp(&other.3));
        if let Some((order, frames, account, _)) = best {
            for (label, frame) in order.iter().zip(&frames) {
                if let Some((start, end)) = leader(label, *frame) {
                    scene.line(start, end, Stroke::solid(0.35).ink(Ink::Grey));
                }
            }
            order.iter().zip(frames).for_each(|(label, frame)| write_in(scene, label, frame));
            *self = account;
        }
    }

    /// Takes the best free place for a label; tells what it cost.
    fn take(&mut self, label: &Label) -> (Frame, f64) {
        let (frame, price) = self.best(label);
        if let Some((start, end)) = leader(label, frame) {
            self.taken.extend(beads(start, end));
        }
        // A little air between neighbours.
        self.block(frame.wider(AIR));
        (frame, price)
    }

    fn best(&self, label: &Label) -> (Frame, f64) {
        let (width, height) = label.extent();
        let mut best = Frame::around(label.near, width, height);
        let mut least = f64::INFINITY;
        for ring in 0..26 {
            let away = label.clear + 1.0 + 3.0 * f64::from(ring);
            let far = 2.0 * (away - label.clear);
            if far > least {
                break;
            }
            for (turn, frame) in places(label.near, away, (width, height)).enumerate() {
                let price = self.price(frame, far + 0.01 * turn as f64, least);
                let price = if price < least { price + self.leader_price(label, frame) } else { price };
                if price < least {
                    (best, least) = (frame, price);
                }
            }
        }
        (best, least)
    }

    /// What it costs to draw the leader: much for every bit of it behind other words, a little along other lines.
    fn leader_price(&self, label: &Label, frame: Frame) -> f64 {
        let Some((start, end)) = leader(label, frame) else { return 0.0 };
        let beads = beads(start, end);
        let words = beads.iter().skip(2).filter(|bead| self.taken.any_over(**bead, 0.01)).count();
        let lines = beads.iter().skip(1).filter(|bead| self.lines.any_over(**bead, 0.01)).count();
        4.0 * lines as f64 + 200.0 * words as f64
    }

    /// What it costs to write in this frame, beside what its distance costs: much on other words or outside, little on
    /// lines. Once it costs the least so far, nothing more is added.
    fn price(&self, frame: Frame, distance: f64, least: f64) -> f64 {
        let outside = distance + 50.0 * self.bounds.outside(frame);
        if outside >= least {
            return outside;
        }
        let words = self.taken.covered(frame);
        let hard = if words > 0.01 { 500.0 } else { 0.0 };
        let without_lines = outside + hard + 20.0 * words;
        if without_lines >= least { without_lines } else { without_lines + self.lines.covered(frame) }
    }
}

/// The line from a label's point to its words, where they stand away from it.
fn leader(label: &Label, frame: Frame) -> Option<(Point, Point)> {
    let ends = label.line_frames(frame).map(|line| line.nearest(label.near));
    let end = ends.min_by(|one, other| one.distance(label.near).total_cmp(&other.distance(label.near)))?;
    let away = end.distance(label.near);
    (away > label.clear + 5.0).then(|| (label.near.towards(end, label.clear * 0.8 / away), end))
}

/// A line as a row of small frames.
fn beads(from: Point, to: Point) -> Vec<Frame> {
    let steps = (from.distance(to) / 3.0).clamp(1.0, 300.0) as u32;
    let place = |index: u32| from.towards(to, f64::from(index) / f64::from(steps));
    (0..=steps).map(|index| Frame::around(place(index), 1.6, 1.6)).collect()
}

impl Label {
    pub(super) fn extent(&self) -> (f64, f64) {
        (self.widths().fold(0.0, f64::max) + 1.5, self.lines.len() as f64 * self.size * LINE + 0.6)
    }

    fn widths(&self) -> impl Iterator<Item = f64> + '_ {
        self.lines.iter().enumerate().map(|(index, line)| {
            let weight = if index == 0 { self.weight } else { Weight::Plain };
            letters::width(line, self.size, weight)
        })
    }

    /// The room of each line of the label's words, where the whole label stands in this frame.
    fn line_frames(&self, frame: Frame) -> impl Iterator<Item = Frame> + '_ {
        let height = self.size * LINE;
        self.widths().enumerate().map(move |(index, width)| Frame {
            left: frame.centre().x - width / 2.0 - 0.75,
            top: frame.top + height * index as f64,
            width: width + 1.5,
            height,
        })
    }
}

/// Where words may stand at a distance from a point: all round it, then above and below with an edge at the point.
fn places(near: Point, away: f64, (width, height): (f64, f64)) -> impl Iterator<Item = Frame> {
    let round = (0..24).map(move |turn| beside(near, away, f64::from(turn) * 15.0 + 60.0, (width, height)));
    let edge = move |(left, top): (f64, f64)| Frame { left: near.x + left, top: near.y + top, width, height };
    let corners = [(-2.0, away), (2.0 - width, away), (-2.0, -away - height), (2.0 - width, -away - height)];
    round.chain(corners.into_iter().map(edge))
}

/// The frame that touches the circle of radius `away` about the point, in this direction.
fn beside(near: Point, away: f64, clock_degrees: f64, (width, height): (f64, f64)) -> Frame {
    let rim = near.around(away, clock_degrees);
    let out = Point::new(0.0, 0.0).around(1.0, clock_degrees);
    Frame::around(rim.shifted(out.x * width / 2.0, out.y * height / 2.0), width, height)
}

fn write_in(scene: &mut Scene, label: &Label, frame: Frame) {
    scene.area(frame.corners(), Ink::White);
    for (index, line) in label.lines.iter().enumerate() {
        let base = frame.top + label.size * (0.95 + LINE * index as f64);
        let text = Text::new(line, Point::new(frame.centre().x, base), label.size).middle();
        scene.push(super::Mark::Text(if index == 0 { Text { weight: label.weight, ..text } } else { text }));
    }
}
