//! The tube end-on, to scale, seen from the front: tape round it, weights in their places.

use super::dial::nick;
use super::figures::tame;
use super::label::{Frame, Label, Labels};
use super::scene::{Ink, Mark, Point, Scene, Stroke, Text, Weight};
use super::shape::{Arc, PageSense};
use super::tube_plane::{TubePlane, TubeWeight, WeightState, Zone};
use super::tube_scale::{CENTRE, Sizes, TUBE, degree_figures, draw_degree_ticks, draw_tape};
use super::tube_words::{HEAD, describe, job_words, notes, place_beside_name, tags};
use super::{NARROW, SMALL, letters};
use balance_core::run::Turns;

/// Where arrows run, outside the tape's figures.
const RIM: f64 = 102.0;
const FOOT: f64 = 236.0;

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
        draw_weight(&mut scene, weight, sizes);
    }
    draw_tape(&mut scene, plane, sizes);
    draw_degree_ticks(&mut scene, sizes);
    draw_directions(&mut scene, plane, sizes.sense);
    nick(&mut scene, CENTRE, TUBE, (TUBE - sizes.bore + 2.5).clamp(4.5, 9.0));
    write_labels(&mut scene, plane, sizes);
    draw_legend(&mut scene, &states);
    for (index, line) in notes.iter().enumerate() {
        let at = Point::new(4.0, FOOT + legend + 5.0 + 8.8 * index as f64);
        scene.push(Mark::Text(Text::new(line, at, SMALL)));
    }
    scene
}

fn header(scene: &mut Scene, plane: &TubePlane) {
    let job = job_words(plane);
    let room = NARROW - 14.0 - letters::width(&job, SMALL, Weight::Bold);
    let name = letters::shorten(&plane.name.to_uppercase(), HEAD, Weight::Bold, room);
    scene.push(Mark::Text(Text::new(&job, Point::new(NARROW - 4.0, 11.0), SMALL).end().bold()));
    scene.push(Mark::Text(Text::new(&name, Point::new(4.0, 11.0), HEAD).bold()));
    if let Some(place) = plane.place.as_ref().filter(|_| place_beside_name(plane)) {
        let left = 10.0 + letters::width(&name, HEAD, Weight::Bold);
        scene.push(Mark::Text(Text::new(place, Point::new(left, 11.0), SMALL)));
    }
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

/// Half the angle a weight takes, so that it covers its width of tape.
fn half_angle(weight: &TubeWeight, sizes: Sizes) -> f64 {
    let width = (tame(weight.width_mm) * sizes.scale).max(2.4);
    (width / 2.0 / TUBE).to_degrees().clamp(0.0, 175.0)
}

fn draw_weight(scene: &mut Scene, weight: &TubeWeight, sizes: Sizes) {
    let half = half_angle(weight, sizes);
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

/// Words in the bore, then the degrees where they leave room.
fn write_labels(scene: &mut Scene, plane: &TubePlane, sizes: Sizes) {
    if let Some(ideal) = plane.ideal {
        let (from, to) = (sizes.at(sizes.bore, ideal.degrees), sizes.at(sizes.tape + 6.0, ideal.degrees));
        scene.line(from, to, Stroke::solid(1.8));
    }
    let mut labels = Labels::within_disc(CENTRE, sizes.bore - 4.0);
    let figures = degree_figures(sizes);
    figures.iter().for_each(|(_, _, frame)| labels.avoid(*frame));
    let mut all = Vec::new();
    let mut rims = Vec::new();
    for (angle, lines) in tags(plane) {
        let (rim, near) = (sizes.at(sizes.bore, angle), sizes.at(sizes.bore - 8.0, angle));
        scene.line(rim, near, Stroke::solid(0.4));
        // No other label may hide where this one's line begins.
        labels.block_line(rim, near);
        rims.push(Frame::around(rim.towards(near, 0.6), 4.0, 4.0));
        all.push(Label { lines, size: SMALL, weight: Weight::Bold, near, clear: 0.4 });
    }
    labels.write_all(scene, &all);
    for (at, words, frame) in figures {
        if labels.free(frame) && !rims.iter().any(|rim| rim.overlap(frame) > 0.0) {
            let text = Text::new(&words, at.shifted(0.0, SMALL * 0.36), SMALL).middle().ink(Ink::Grey);
            scene.push(Mark::Text(text));
        }
    }
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
