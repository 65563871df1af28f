//! The shaft from the side, to scale along its length: tubes, joints, where weights go, where it reads, what is welded on.

use super::figures::{length, short, tame};
use super::label::Frame;
use super::lanes::{Slot, assign};
use super::scene::{Dash, Ink, Mark, Point, Scene, Stroke, Text, Weight};
use super::{MILLIMETRE, SMALL, letters};
use balance_core::quantity::Units;

/// A named place along the shaft.
#[derive(Debug, Clone, PartialEq)]
pub struct Place {
    /// Its name.
    pub name: String,
    /// From the front joint centre, mm.
    pub position_mm: f64,
}

/// What carries the shaft at a place.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum JointKind {
    /// A universal joint.
    Joint,
    /// A steady bearing between two parts.
    SteadyBearing,
}

/// A joint or bearing.
#[derive(Debug, Clone, PartialEq)]
pub struct SideJoint {
    /// Its name.
    pub name: String,
    /// From the front joint centre, mm.
    pub position_mm: f64,
    /// Joint or steady bearing.
    pub kind: JointKind,
}

/// A tube, or one part of a shaft of several.
#[derive(Debug, Clone, PartialEq)]
pub struct SidePart {
    /// Its name, where there are several.
    pub name: Option<String>,
    /// Begin, mm from the front joint centre.
    pub from_mm: f64,
    /// End, mm.
    pub to_mm: f64,
    /// Outer diameter, mm, if known.
    pub outer_diameter_mm: Option<f64>,
}

/// A weight on the shaft.
#[derive(Debug, Clone, PartialEq)]
pub struct SideWeight {
    /// From the front joint centre, mm.
    pub position_mm: f64,
    /// What it is: "10 g at 287°".
    pub words: String,
}

/// Everything the side view shows.
#[derive(Debug, Clone, PartialEq)]
pub struct Side {
    /// First line.
    pub heading: String,
    /// Width of the picture, mm: 80 to 277.
    pub width_mm: f64,
    /// Units of the lengths.
    pub units: Units,
    /// Tubes, front to rear.
    pub parts: Vec<SidePart>,
    /// Joints and bearings, front to rear.
    pub joints: Vec<SideJoint>,
    /// Where the limit holds.
    pub tolerance_planes: Vec<Place>,
    /// Where weights go.
    pub correction_planes: Vec<Place>,
    /// Where the stand reads.
    pub sensors: Vec<Place>,
    /// Match marks.
    pub match_marks: Vec<Place>,
    /// Weights on the shaft.
    pub weights: Vec<SideWeight>,
}

const LANE: f64 = 9.4;
const MARGIN: f64 = 16.0;
/// Half the largest tube on the page, in points.
const HALF: f64 = 11.0;
const HEAD: f64 = 26.0;

/// A label and what its leader looks like.
#[derive(Debug, Clone)]
struct Tag {
    position: f64,
    words: String,
    weight: Weight,
}

/// From millimetres along the shaft to points on the page.
#[derive(Debug, Clone, Copy)]
struct Bench {
    from: f64,
    scale: f64,
    axis: f64,
    radial: f64,
}

impl Bench {
    fn along(self, position: f64) -> f64 {
        MARGIN + (tame(position) - self.from) * self.scale
    }

    fn at(self, position: f64, above: f64) -> Point {
        Point::new(self.along(position), self.axis - above)
    }

    fn half(self, diameter: Option<f64>) -> f64 {
        diameter.map_or(HALF * 0.8, |diameter| (tame(diameter) / 2.0 * self.radial).clamp(2.5, HALF))
    }
}

/// Draws the shaft from the side, front first.
#[must_use]
pub fn side(input: &Side) -> Scene {
    let width = tame(input.width_mm).clamp(80.0, 277.0) * MILLIMETRE;
    let (from, to) = extent(input);
    let scale = (width - 2.0 * MARGIN) / (to - from);
    let widest = input.parts.iter().filter_map(|part| part.outer_diameter_mm).map(tame).fold(0.0, f64::max);
    let radial = if widest > 1e-3 { HALF * 2.0 / widest } else { scale };
    let bench = Bench { from, scale, axis: 0.0, radial };
    let (above, below) = (upper_tags(input), lower_tags(input));
    let (upper, lower) = (slots(&above, bench, width), slots(&below, bench, width));
    let lanes = |slots: &[Slot]| slots.iter().map(|slot| slot.lane + 1).max().unwrap_or(0) as f64;
    let bench = Bench { axis: HEAD + lanes(&upper) * LANE + 14.0 + HALF, ..bench };
    let dimension = bench.axis + HALF + 20.0 + lanes(&lower) * LANE + 8.0;
    let notes = notes(input, bench, width);
    let mut scene = Scene::new(width, dimension + 8.0 + 8.8 * notes.len() as f64, "The shaft from the side");
    scene.description =
        above.iter().chain(&below).map(|tag| tag.words.clone()).collect::<Vec<_>>().join("; ");
    draw_head(&mut scene, input, width);
    draw_shaft(&mut scene, input, bench);
    draw_planes(&mut scene, input, bench);
    draw_tags(&mut scene, (&above, &upper), bench, -1.0);
    draw_tags(&mut scene, (&below, &lower), bench, 1.0);
    draw_dimension(&mut scene, input, bench, dimension);
    for (index, line) in notes.iter().enumerate() {
        let at = Point::new(4.0, dimension + 12.0 + 8.8 * index as f64);
        scene.push(Mark::Text(Text::new(line, at, SMALL)));
    }
    scene
}

/// First and last millimetre of everything that is placed.
fn extent(input: &Side) -> (f64, f64) {
    let parts = input.parts.iter().flat_map(|part| [part.from_mm, part.to_mm]);
    let places = [&input.tolerance_planes, &input.correction_planes, &input.sensors, &input.match_marks];
    let places = places.into_iter().flatten().map(|place| place.position_mm);
    let joints = input.joints.iter().map(|joint| joint.position_mm);
    let weights = input.weights.iter().map(|weight| weight.position_mm);
    let all = parts.chain(places).chain(joints).chain(weights).map(tame);
    let (least, most) =
        all.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), at| (low.min(at), high.max(at)));
    if least > most { (0.0, 1.0) } else { (least, most.max(least + 1e-3)) }
}

fn upper_tags(input: &Side) -> Vec<Tag> {
    let planes = input.correction_planes.iter().map(|plane| Tag {
        position: plane.position_mm,
        words: format!("{}: weights, {}", plane.name, length(input.units, plane.position_mm)),
        weight: Weight::Bold,
    });
    let weights = input.weights.iter().map(|weight| Tag {
        position: weight.position_mm,
        words: weight.words.clone(),
        weight: Weight::Plain,
    });
    let marks = input.match_marks.iter().map(|mark| Tag {
        position: mark.position_mm,
        words: format!("match mark {}", mark.name),
        weight: Weight::Plain,
    });
    weights.chain(marks).chain(planes).collect()
}

fn lower_tags(input: &Side) -> Vec<Tag> {
    let plain = |position: f64, words: String| Tag { position, words, weight: Weight::Plain };
    let same = |joint: &SideJoint, place: &Place| {
        joint.name == place.name && (tame(joint.position_mm) - tame(place.position_mm)).abs() < 0.5
    };
    let held = |joint: &SideJoint| input.tolerance_planes.iter().any(|place| same(joint, place));
    let joints = input.joints.iter().map(|joint| {
        let words = if held(joint) { format!("{}: limit", joint.name) } else { joint.name.clone() };
        plain(joint.position_mm, words)
    });
    let alone = |place: &&Place| !input.joints.iter().any(|joint| same(joint, place));
    let limits = input.tolerance_planes.iter().filter(alone);
    let limits = limits.map(|place| plain(place.position_mm, format!("{}: limit", place.name)));
    let sensors =
        input.sensors.iter().map(|place| plain(place.position_mm, format!("{}: reads", place.name)));
    let unnamed = |tag: &Tag| !tag.words.trim().is_empty();
    sensors.chain(limits).chain(joints).filter(unnamed).collect()
}

fn slots(tags: &[Tag], bench: Bench, width: f64) -> Vec<Slot> {
    let most = width - 8.0;
    let label =
        |tag: &Tag| (bench.along(tag.position), letters::width(&tag.words, SMALL, tag.weight).min(most));
    assign(&tags.iter().map(label).collect::<Vec<_>>(), 4.0, width - 4.0)
}

fn draw_head(scene: &mut Scene, input: &Side, width: f64) {
    let heading = letters::shorten(&input.heading, 7.6, Weight::Bold, width - 8.0);
    scene.push(Mark::Text(Text::new(&heading, Point::new(4.0, 10.0), 7.6).bold()));
    scene.push(Mark::Text(Text::new("FRONT", Point::new(4.0, 21.0), SMALL + 0.4).bold()));
    scene.push(Mark::Text(Text::new("REAR", Point::new(width - 4.0, 21.0), SMALL + 0.4).bold().end()));
}

fn draw_shaft(scene: &mut Scene, input: &Side, bench: Bench) {
    let (first, last) = extent(input);
    let axis = Stroke::solid(0.4).dash(Dash::DashDot).ink(Ink::Grey);
    scene.line(bench.at(first, 0.0).shifted(-12.0, 0.0), bench.at(last, 0.0).shifted(12.0, 0.0), axis);
    for part in &input.parts {
        let half = bench.half(part.outer_diameter_mm);
        let (from, to) =
            (bench.along(part.from_mm.min(part.to_mm)), bench.along(part.from_mm.max(part.to_mm)));
        // The yokes take a little of each end; the welds lie where they meet the tube.
        let yoke = ((to - from) * 0.08).min(11.0);
        let tube = Frame {
            left: from + yoke,
            top: bench.axis - half,
            width: to - from - 2.0 * yoke,
            height: 2.0 * half,
        };
        for (end, weld) in [(from, from + yoke), (to, to - yoke)] {
            draw_yoke(scene, (end, weld), half, bench.axis);
        }
        scene.area(tube.corners(), Ink::White);
        scene.outline(&tube.corners(), Stroke::solid(0.9));
        if let Some(name) = &part.name {
            let words = letters::shorten(name, SMALL, Weight::Plain, tube.width - 8.0);
            let at = tube.centre().shifted(0.0, SMALL * 0.36);
            scene.push(Mark::Text(Text::new(&words, at, SMALL).middle()));
        }
    }
    for joint in &input.joints {
        draw_joint(scene, bench.at(joint.position_mm, 0.0), joint.kind);
    }
}

/// A yoke from the joint centre to its weld, with the bead as a thick line.
fn draw_yoke(scene: &mut Scene, (end, weld): (f64, f64), half: f64, axis: f64) {
    let at = |along: f64, above: f64| Point::new(along, axis - above);
    let corners = [at(weld, half), at(end, half * 0.62), at(end, -half * 0.62), at(weld, -half)];
    scene.area(corners.to_vec(), Ink::White);
    scene.outline(&corners, Stroke::solid(0.7));
    scene.line(at(weld, half + 0.8), at(weld, -half - 0.8), Stroke::solid(2.0));
}

fn draw_joint(scene: &mut Scene, at: Point, kind: JointKind) {
    if kind == JointKind::SteadyBearing {
        for side in [-1.0, 1.0] {
            let block = Frame::around(at.shifted(0.0, side * (HALF + 1.0)), 13.0, 7.0).corners();
            scene.area(block.clone(), Ink::White);
            scene.hatch(&block, 2.0, Stroke::solid(0.5));
            scene.outline(&block, Stroke::solid(0.8));
        }
    }
    scene.disc(at, 3.2, Ink::White);
    scene.circle(at, 3.2, Stroke::solid(0.9));
    scene.line(at.shifted(0.0, -5.2), at.shifted(0.0, 5.2), Stroke::solid(0.7));
    scene.line(at.shifted(-5.2, 0.0), at.shifted(5.2, 0.0), Stroke::solid(0.7));
}

fn draw_planes(scene: &mut Scene, input: &Side, bench: Bench) {
    let dashed = Stroke::solid(0.7).dash(Dash::Dashed);
    for plane in &input.correction_planes {
        scene.line(bench.at(plane.position_mm, HALF + 5.0), bench.at(plane.position_mm, -HALF - 5.0), dashed);
    }
    for place in &input.tolerance_planes {
        for aside in [-0.9, 0.9] {
            let at = |above: f64| bench.at(place.position_mm, above).shifted(aside, 0.0);
            scene.line(at(HALF + 5.0), at(6.0), Stroke::solid(0.45));
            scene.line(at(-6.0), at(-HALF - 5.0), Stroke::solid(0.45));
        }
    }
    for sensor in &input.sensors {
        let at = bench.at(sensor.position_mm, -HALF - 6.5);
        scene.arrow(at.shifted(0.0, 8.0), at, 3.6, Stroke::solid(0.9));
    }
    for mark in &input.match_marks {
        let at = bench.at(mark.position_mm, 0.0);
        for aside in [-1.6, 1.6] {
            scene.line(at.shifted(aside, -HALF + 3.0), at.shifted(aside, -HALF - 3.0), Stroke::solid(1.1));
        }
    }
    for weight in &input.weights {
        let block = Frame::around(bench.at(weight.position_mm, HALF + 1.6), 6.0, 3.2);
        scene.area(block.corners(), Ink::Black);
    }
}

/// Writes labels over (`side` −1) or under (`side` 1) the shaft with a thin leader to each place.
fn draw_tags(scene: &mut Scene, (tags, slots): (&[Tag], &[Slot]), bench: Bench, side: f64) {
    let begin = if side < 0.0 { HALF + 6.0 } else { HALF + 15.5 };
    for slot in slots {
        let near = bench.axis + side * begin;
        let far = near + side * (slot.lane as f64 * LANE + 2.0);
        scene.line(
            Point::new(slot.foot, near),
            Point::new(slot.foot, far),
            Stroke::solid(0.35).ink(Ink::Grey),
        );
    }
    for (tag, slot) in tags.iter().zip(slots) {
        let row = side * (begin + 2.0 + slot.lane as f64 * LANE);
        let base = bench.axis + row + if side < 0.0 { -1.6 } else { SMALL };
        let words = letters::shorten(&tag.words, SMALL, tag.weight, slot.width + 0.1);
        let ground = Frame {
            left: slot.left - 0.8,
            top: base - SMALL * 0.86,
            width: slot.width + 1.6,
            height: SMALL * 1.12,
        };
        scene.area(ground.corners(), Ink::White);
        let text = Text::new(&words, Point::new(slot.left, base), SMALL);
        scene.push(Mark::Text(Text { weight: tag.weight, ..text }));
    }
}

/// The length from the first joint to the last.
fn draw_dimension(scene: &mut Scene, input: &Side, bench: Bench, down: f64) {
    let places = || input.joints.iter().map(|joint| tame(joint.position_mm));
    let (first, last) =
        places().fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), at| (low.min(at), high.max(at)));
    if last <= first {
        return;
    }
    let at = |position: f64| Point::new(bench.along(position), down);
    let middle = at(first).towards(at(last), 0.5);
    scene.arrow(middle, at(first), 4.5, Stroke::solid(0.5));
    scene.arrow(middle, at(last), 4.5, Stroke::solid(0.5));
    for end in [first, last] {
        scene.line(at(end).shifted(0.0, -3.5), at(end).shifted(0.0, 3.5), Stroke::solid(0.5));
    }
    let words = length(input.units, last - first);
    let width = letters::width(&words, SMALL, Weight::Plain) + 4.0;
    scene.area(Frame::around(middle, width, SMALL + 1.0).corners(), Ink::White);
    scene.push(Mark::Text(Text::new(&words, middle.shifted(0.0, SMALL * 0.36), SMALL).middle()));
}

fn notes(input: &Side, bench: Bench, width: f64) -> Vec<String> {
    let times = bench.radial / bench.scale;
    let known = input.parts.iter().any(|part| part.outer_diameter_mm.is_some());
    let thick = match known {
        true if times > 1.05 => format!(
            "Along the shaft to scale; thickness drawn {} times larger.",
            short((times * 10.0).round() / 10.0)
        ),
        true => "Along the shaft to scale.".to_owned(),
        false => "Along the shaft to scale; thickness not to scale.".to_owned(),
    };
    letters::wrap(&format!("{thick} Distances from the front joint."), SMALL, Weight::Plain, width - 8.0)
}
