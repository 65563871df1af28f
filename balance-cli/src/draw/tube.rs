//! The tube end-on, to scale, seen from the front: tape round it, weights in their places.

use super::dial::nick;
use super::figures::{degrees, grams, short, step, tame, turned};
use super::label::{Frame, Label, Labels};
use super::scene::{Ink, Mark, Point, Scene, Stroke, Text, Weight};
use super::shape::{Arc, PageSense};
use super::tube_plane::{LengthUnits, TubePlane, TubeWeight, WeightState, Zone};
use super::{NARROW, SMALL, letters};
use balance_core::run::Turns;

const CENTRE: Point = Point::new(NARROW / 2.0, 122.0);
/// The tube's outside on the page, in points.
const TUBE: f64 = 66.0;
/// Where arrows run, outside the tape's figures.
const RIM: f64 = 102.0;
const FOOT: f64 = 236.0;
const HEAD: f64 = 8.4;
/// With more labels than this the bore holds short ones and the notes the whole.
const ROOMY: usize = 4;

/// The sizes of one drawing, in points.
#[derive(Debug, Clone, Copy)]
struct Sizes {
    /// Points a millimetre.
    scale: f64,
    /// The bore's radius.
    bore: f64,
    /// The tape's radius, outside every weight.
    tape: f64,
    sense: PageSense,
}

impl Sizes {
    fn of(plane: &TubePlane) -> Self {
        let scale = TUBE / (plane.diameter() / 2.0);
        let wall = plane.wall_mm.map_or(3.0, |wall| tame(wall) * scale).clamp(1.2, TUBE * 0.5);
        let sizes = Self { scale, bore: TUBE - wall, tape: 0.0, sense: plane.sense() };
        let thickest = plane.weights.iter().map(|weight| sizes.thickness(weight)).fold(4.0, f64::max);
        Self { tape: TUBE + thickest + 2.5, ..sizes }
    }

    fn thickness(self, weight: &TubeWeight) -> f64 {
        (tame(weight.thickness_mm) * self.scale).clamp(2.6, 14.0)
    }

    fn clock(self, angle: f64) -> f64 {
        self.sense.clock_degrees(turned(angle))
    }

    fn at(self, radius: f64, angle: f64) -> Point {
        CENTRE.around(radius, self.clock(angle))
    }

    /// The part of a circle from `from` over `span` degrees in counting direction.
    fn arc(self, radius: f64, from: f64, span: f64) -> Arc {
        let from = self.clock(from);
        Arc { centre: CENTRE, radius, from, to: from + self.sense.clock_degrees(span) }
    }
}

/// Draws one plane of the tube.
#[must_use]
pub fn tube(plane: &TubePlane) -> Scene {
    let sizes = Sizes::of(plane);
    let notes = notes(plane);
    let states = states(plane);
    let legend = if states.is_empty() { 0.0 } else { 11.0 };
    let mut scene = Scene::new(
        NARROW,
        FOOT + legend + 8.8 * notes.len() as f64 + 2.0,
        &format!("Tube at {}", plane.name),
    );
    scene.description = describe(plane);
    header(&mut scene, plane);
    for zone in &plane.zones {
        draw_zone(&mut scene, zone, sizes);
    }
    draw_tube(&mut scene, sizes);
    for weight in &plane.weights {
        draw_weight(&mut scene, weight, plane, sizes);
    }
    draw_tape(&mut scene, plane, sizes);
    let mut labels = draw_degrees(&mut scene, plane, sizes);
    draw_directions(&mut scene, plane, sizes.sense);
    nick(&mut scene, CENTRE, TUBE, (TUBE - sizes.bore + 2.5).clamp(4.5, 9.0));
    write_labels(&mut scene, &mut labels, plane, sizes);
    draw_legend(&mut scene, &states);
    for (index, line) in notes.iter().enumerate() {
        let at = Point::new(4.0, FOOT + legend + 5.0 + 8.8 * index as f64);
        scene.push(Mark::Text(Text::new(line, at, SMALL)));
    }
    scene
}

fn header(scene: &mut Scene, plane: &TubePlane) {
    let name = letters::shorten(&plane.name.to_uppercase(), HEAD, Weight::Bold, NARROW - 8.0);
    scene.push(Mark::Text(Text::new(&name, Point::new(4.0, 11.0), HEAD).bold()));
    if let Some(place) = plane.place.as_ref().filter(|_| place_beside_name(plane)) {
        let left = 10.0 + letters::width(&name, HEAD, Weight::Bold);
        scene.push(Mark::Text(Text::new(place, Point::new(left, 11.0), SMALL)));
    }
}

/// Whether the place stands beside the name; with a long name it goes to the notes.
fn place_beside_name(plane: &TubePlane) -> bool {
    let name = letters::width(&plane.name.to_uppercase(), HEAD, Weight::Bold);
    let place = plane.place.as_ref().map_or(0.0, |place| letters::width(place, SMALL, Weight::Plain));
    name + place < NARROW - 14.0
}

fn draw_tube(scene: &mut Scene, sizes: Sizes) {
    scene.area(Arc::whole(CENTRE, TUBE).points(), Ink::Pale);
    scene.area(Arc::whole(CENTRE, sizes.bore).points(), Ink::White);
    scene.circle(CENTRE, TUBE, Stroke::solid(0.9));
    scene.circle(CENTRE, sizes.bore, Stroke::solid(0.6));
    scene.line(CENTRE.shifted(-4.0, 0.0), CENTRE.shifted(4.0, 0.0), Stroke::solid(0.4).ink(Ink::Pale));
    scene.line(CENTRE.shifted(0.0, -4.0), CENTRE.shifted(0.0, 4.0), Stroke::solid(0.4).ink(Ink::Pale));
}

fn draw_zone(scene: &mut Scene, zone: &Zone, sizes: Sizes) {
    let (from, span) = zone.span();
    let band = sizes.arc(TUBE, from, span).band(sizes.tape - 1.0);
    scene.hatch(&band, 2.2, Stroke::solid(0.5));
    scene.outline(&band, Stroke::solid(0.4));
}

/// Half the angle a weight takes, so that its middle line is as long as it is wide.
fn half_angle(weight: &TubeWeight, plane: &TubePlane, sizes: Sizes) -> f64 {
    let width = (tame(weight.width_mm) * sizes.scale).max(2.4);
    let middle = plane.diameter() / 2.0 * sizes.scale + sizes.thickness(weight) / 2.0;
    (width / 2.0 / middle).to_degrees().clamp(0.0, 175.0)
}

fn draw_weight(scene: &mut Scene, weight: &TubeWeight, plane: &TubePlane, sizes: Sizes) {
    let half = half_angle(weight, plane, sizes);
    let outside = TUBE + sizes.thickness(weight);
    let block = sizes.arc(TUBE, tame(weight.degrees) - half, 2.0 * half).band(outside);
    match weight.state {
        WeightState::New => scene.area(block, Ink::Black),
        WeightState::There => draw_outlined(scene, &block),
        WeightState::ComesOff => {
            draw_outlined(scene, &block);
            for side in [-1.0, 1.0] {
                let along = |step: u32| {
                    let share = f64::from(step) / 12.0;
                    let radius = TUBE + (outside - TUBE) * share;
                    sizes.at(radius, tame(weight.degrees) + side * half * (2.0 * share - 1.0))
                };
                scene.path((0..=12).map(along).collect(), Stroke::solid(0.8));
            }
        }
    }
}

fn draw_outlined(scene: &mut Scene, block: &[Point]) {
    scene.area(block.to_vec(), Ink::White);
    scene.outline(block, Stroke::solid(0.9));
}

/// The tape round the tube, read outside: millimetres, or inches where the shop works in inches alone.
fn draw_tape(scene: &mut Scene, plane: &TubePlane, sizes: Sizes) {
    let unit = if plane.units == LengthUnits::Us { 25.4 } else { 1.0 };
    let round = plane.once_round() / unit;
    let numbered = step(round, 18.0);
    let fine =
        if (numbered.log10().fract().abs() - 0.301).abs() < 0.01 { numbered / 4.0 } else { numbered / 5.0 };
    let angle = |length: f64| length / round * 360.0;
    scene.circle(CENTRE, sizes.tape, Stroke::solid(0.5));
    scene.circle(CENTRE, sizes.tape + 5.6, Stroke::solid(0.5));
    for index in 0..(round / fine).floor() as u32 + 1 {
        let out = if f64::from(index) * fine % numbered < fine * 0.5 { 4.2 } else { 2.2 };
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

/// Degrees inside the bore, left out where a label's line passes; returns the account of what is taken there.
fn draw_degrees(scene: &mut Scene, plane: &TubePlane, sizes: Sizes) -> Labels {
    let mut labels = Labels::within_disc(CENTRE, sizes.bore - 4.0);
    let pointed = pointed(plane);
    let passed = |angle: f64| {
        pointed.iter().any(|place| {
            let apart = turned(place - angle);
            apart.min(360.0 - apart) < 16.0
        })
    };
    for tick in 0..36 {
        let angle = f64::from(tick) * 10.0;
        let length = if tick % 3 == 0 { 3.4 } else { 1.8 };
        let (from, to) = (sizes.at(sizes.bore, angle), sizes.at(sizes.bore - length, angle));
        scene.line(from, to, Stroke::solid(0.4).ink(Ink::Grey));
        if tick % 3 == 0 && !passed(angle) {
            let words = degrees(angle);
            let at = figure_place(sizes, sizes.bore - 5.0, angle, &words, -1.0);
            let text = Text::new(&words, at.shifted(0.0, SMALL * 0.36), SMALL).middle().ink(Ink::Grey);
            scene.push(Mark::Text(text));
            labels.block(Frame::around(at, letters::width(&words, SMALL, Weight::Plain) + 2.0, SMALL));
        }
    }
    for place in pointed {
        labels.spare(sizes.at(sizes.bore, place), sizes.at(sizes.bore - 9.0, place));
    }
    labels
}

/// The angles from which a line runs to a label.
fn pointed(plane: &TubePlane) -> Vec<f64> {
    tags(plane).into_iter().map(|(angle, _)| turned(angle)).collect()
}

/// The middle of a zone, but not on the mark itself, where its line could be taken for the mark.
fn zone_middle(zone: &Zone) -> f64 {
    let (from, span) = zone.span();
    let middle = turned(from + span / 2.0);
    if middle.min(360.0 - middle) < 7.0 { turned(from + span * 0.8) } else { middle }
}

/// The middle of a figure that begins `side` (outward 1, inward −1) of a circle, whatever its width.
fn figure_place(sizes: Sizes, radius: f64, angle: f64, words: &str, side: f64) -> Point {
    let (sin, cos) = sizes.clock(angle).to_radians().sin_cos();
    let half = letters::width(words, SMALL, Weight::Plain) / 2.0;
    sizes.at(radius + side * (half * sin.abs() + SMALL * 0.4 * cos.abs()), angle)
}

/// A small arrow from the zero mark for counting; a wide open one, low on the other side, for running.
fn draw_directions(scene: &mut Scene, plane: &TubePlane, sense: PageSense) {
    super::dial::counting_arrow(scene, CENTRE, RIM, sense);
    let corner = |sense: PageSense, down: f64, words: &str| match sense {
        PageSense::Clockwise => Text::new(words, Point::new(NARROW - 4.0, down), SMALL).end(),
        PageSense::CounterClockwise => Text::new(words, Point::new(4.0, down), SMALL),
    };
    scene.push(Mark::Text(corner(sense, 21.5, "count this way")));
    scene.push(Mark::Text(corner(sense, 29.5, "from the mark")));
    let Some(turns) = plane.turns else { return };
    let running = match turns {
        Turns::Clockwise => PageSense::Clockwise,
        Turns::CounterClockwise => PageSense::CounterClockwise,
    };
    let arc = Arc {
        centre: CENTRE,
        radius: RIM + 1.0,
        from: running.clock_degrees(207.0),
        to: running.clock_degrees(241.0),
    };
    scene.open_arc_arrow(arc, 4.6, Stroke::solid(0.9));
    let words = corner(running.opposite(), FOOT - 8.0, "turns this way");
    scene.push(Mark::Text(words.bold()));
}

fn write_labels(scene: &mut Scene, labels: &mut Labels, plane: &TubePlane, sizes: Sizes) {
    if let Some(ideal) = plane.ideal {
        let (from, to) = (sizes.at(sizes.bore, ideal.degrees), sizes.at(sizes.tape + 6.0, ideal.degrees));
        scene.line(from, to, Stroke::solid(1.8));
    }
    let mut all = Vec::new();
    for (angle, lines) in tags(plane) {
        let lines = if roomy(plane) {
            lines
        } else {
            vec![letters::shorten(&lines.join(", "), SMALL, Weight::Bold, 62.0)]
        };
        let (rim, near) = (sizes.at(sizes.bore, angle), sizes.at(sizes.bore - 8.0, angle));
        scene.line(rim, near, Stroke::solid(0.4));
        all.push(Label { lines, size: SMALL, weight: Weight::Bold, near, clear: 0.4 });
    }
    labels.write_all(scene, &all);
}

fn roomy(plane: &TubePlane) -> bool {
    plane.weights.len() + plane.zones.len() + usize::from(plane.ideal.is_some()) <= ROOMY
}

/// Every label: its angle and its lines. In a crowded bore mass and angle alone; the zones then stand in the notes.
fn tags(plane: &TubePlane) -> Vec<(f64, Vec<String>)> {
    let place = |angle: f64| {
        let tape = plane.tape_words(plane.tape(angle));
        match plane.units {
            _ if !roomy(plane) => vec![degrees(angle)],
            LengthUnits::Both => vec![tape, degrees(angle)],
            LengthUnits::Metric | LengthUnits::Us => vec![format!("{tape}, {}", degrees(angle))],
        }
    };
    let weights = plane.weights.iter().map(|weight| {
        let mass = grams(weight.mass_g);
        let first = match weight.state {
            WeightState::ComesOff if roomy(plane) => format!("take off {mass}"),
            WeightState::ComesOff => format!("{mass} off"),
            WeightState::New | WeightState::There => mass,
        };
        (weight.degrees, std::iter::once(first).chain(place(weight.degrees)).collect())
    });
    let ideal = plane.ideal.iter().map(|ideal| {
        (ideal.degrees, std::iter::once(grams(ideal.mass_g)).chain(place(ideal.degrees)).collect())
    });
    let zones = plane.zones.iter().filter(|_| roomy(plane)).map(|zone| {
        let (from, span) = zone.span();
        let mut lines = letters::wrap(&zone.reason, SMALL, Weight::Plain, 62.0);
        lines.truncate(2);
        lines.push(format!("{} to {}", degrees(from), degrees(from + span)));
        (zone_middle(zone), lines)
    });
    weights.chain(ideal).chain(zones).collect()
}

/// Which states occur, for the legend.
fn states(plane: &TubePlane) -> Vec<WeightState> {
    let all = [WeightState::New, WeightState::There, WeightState::ComesOff];
    all.into_iter().filter(|state| plane.weights.iter().any(|weight| weight.state == *state)).collect()
}

fn draw_legend(scene: &mut Scene, states: &[WeightState]) {
    let mut left = 5.0;
    for state in states {
        let block = Frame { left, top: FOOT - 1.5, width: 12.0, height: 6.0 };
        let corners = block.corners();
        let words = match state {
            WeightState::New => {
                scene.area(corners.clone(), Ink::Black);
                "goes on"
            }
            WeightState::There => {
                scene.outline(&corners, Stroke::solid(0.9));
                "is there"
            }
            WeightState::ComesOff => {
                scene.outline(&corners, Stroke::solid(0.9));
                scene.line(corners[0], corners[2], Stroke::solid(0.8));
                scene.line(corners[1], corners[3], Stroke::solid(0.8));
                "comes off"
            }
        };
        scene.push(Mark::Text(Text::new(words, Point::new(left + 15.0, FOOT + 4.0), SMALL)));
        left += 24.0 + letters::width(words, SMALL, Weight::Plain);
    }
}

fn notes(plane: &TubePlane) -> Vec<String> {
    let mut words = Vec::new();
    if !roomy(plane) {
        words.extend(describe_all(plane));
    }
    if let Some(place) = plane.place.as_ref().filter(|_| !place_beside_name(plane)) {
        words.push(format!("Weights go {place}."));
    }
    let round = plane.tape_words(plane.once_round());
    words.push(format!("{} mm tube: once round is {round}.", short(plane.diameter())));
    let counting = plane.counting_words();
    words.push(match plane.turns {
        Some(_) => format!(
            "Seen from the front. Tape and degrees count {counting} from the mark, to the middle of each weight."
        ),
        None => format!(
            "Which way it turns is not stated: look from the end where the small arrow runs {counting}."
        ),
    });
    words.extend(plane.zero_mark.as_ref().map(|mark| format!("The mark is the {mark}.")));
    let lines = |words: &String| letters::wrap(words, SMALL, Weight::Plain, NARROW - 8.0).into_iter().take(3);
    words.iter().flat_map(lines).collect()
}

fn describe(plane: &TubePlane) -> String {
    describe_all(plane).join("; ")
}

/// Every weight and zone in one line each.
fn describe_all(plane: &TubePlane) -> Vec<String> {
    let at = |angle: f64| format!("{}, {}", plane.tape_words(plane.tape(angle)), degrees(angle));
    let weights = plane.weights.iter().map(|weight| {
        let state = match weight.state {
            WeightState::New => "goes on",
            WeightState::There => "is there",
            WeightState::ComesOff => "comes off",
        };
        format!("{} {state} at {}", grams(weight.mass_g), at(weight.degrees))
    });
    let zones = plane.zones.iter().map(|zone| {
        let (from, span) = zone.span();
        format!("nothing from {} to {}: {}", degrees(from), degrees(from + span), zone.reason)
    });
    let ideal = plane.ideal.iter().map(|ideal| format!("{} at {}", grams(ideal.mass_g), at(ideal.degrees)));
    weights.chain(ideal).chain(zones).collect()
}
