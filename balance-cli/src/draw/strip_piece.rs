//! One piece of a wrap strip: cutting line, scales, weights, zones, marks.

use super::figures::{degrees, sixteenths, tame};
use super::label::Frame;
use super::scene::{Dash, Ink, Mark, Point, Scene, Stroke, Text, Weight};
use super::strip_scale::{draw_lower_scale, draw_upper_scale};
use super::strip_words::write_edges;
use super::tube_plane::{TubePlane, TubeWeight, WeightState};
use super::wrap_strip::draw_tab;
use super::{MILLIMETRE, SMALL, letters};
use balance_core::quantity::Units;

/// Height of a strip, mm.
pub(super) const PIECE_HEIGHT: f64 = 24.0;
/// Width of the tab that the next piece is glued on, mm.
pub(super) const TAB: f64 = 8.0;
/// Where weights lie across the strip, mm from its upper edge.
const BLOCK_TOP: f64 = 6.4;
const BLOCK_HEIGHT: f64 = 11.4;
/// The tape's long edges, which are its length: 0.25 mm thick. No line on the sheet is as long as they are.
const EDGE: Stroke = Stroke::solid(0.7);
/// The zero mark at both ends of the tape.
const MARK: Stroke = Stroke::solid(1.2);

/// A piece of the strip of one plane.
#[derive(Debug, Clone, Copy)]
pub(super) struct Piece<'a> {
    pub plane: &'a TubePlane,
    /// Of the plane, from 0.
    pub number: usize,
    pub index: usize,
    pub count: usize,
    /// Tape at its begin and end, mm.
    pub from: f64,
    pub to: f64,
    /// Where the sheet may be written on to, mm.
    pub sheet_end: f64,
}

/// A piece at its place on the sheet: from tape and height in millimetres to points.
#[derive(Clone, Copy)]
pub(super) struct Laid<'a> {
    pub piece: Piece<'a>,
    pub corner: Point,
}

impl Laid<'_> {
    pub(super) fn at(self, tape: f64, down: f64) -> Point {
        let along = self.corner.x + tape - self.piece.from;
        Point::new(along * MILLIMETRE, (self.corner.y + down) * MILLIMETRE)
    }

    fn frame(self, (from, to): (f64, f64), down: f64, height: f64) -> Frame {
        let corner = self.at(from, down);
        Frame { left: corner.x, top: corner.y, width: (to - from) * MILLIMETRE, height: height * MILLIMETRE }
    }

    /// The nearest tape where a line of this stroke lies wholly on the piece: nothing sticks out at its ends, so that the
    /// ink is as long as the tape.
    pub(super) fn inside(self, tape: f64, stroke: Stroke) -> f64 {
        let half = stroke.width / 2.0 / MILLIMETRE;
        tape.min(self.piece.to - half).max(self.piece.from + half)
    }

    /// The parts of a stretch of tape that lie on this piece; a stretch over the mark comes again at the other end.
    fn parts(self, from: f64, to: f64) -> Vec<(f64, f64)> {
        let round = self.piece.plane.once_round();
        let clip =
            |turn: f64| ((from + turn * round).max(self.piece.from), (to + turn * round).min(self.piece.to));
        [-1.0, 0.0, 1.0].into_iter().map(clip).filter(|(from, to)| to - from > 1e-6).collect()
    }
}

/// Draws a piece with its upper left corner at `corner` (millimetres on the sheet).
pub(super) fn draw_piece(scene: &mut Scene, piece: &Piece<'_>, corner: Point) {
    let laid = Laid { piece: *piece, corner };
    let data = vec![
        ("plane", piece.plane.name.clone()),
        ("from-mm", format!("{:.3}", piece.from)),
        ("to-mm", format!("{:.3}", piece.to)),
        ("once-round-mm", format!("{:.3}", piece.plane.once_round())),
    ];
    scene.begin(&format!("strip-{}-{}", piece.number + 1, piece.index + 1), data);
    for edge in [0.0, PIECE_HEIGHT] {
        scene.line(laid.at(piece.from, edge), laid.at(piece.to, edge), EDGE);
    }
    draw_zones(scene, laid);
    draw_lower_scale(scene, laid);
    draw_upper_scale(scene, laid);
    piece.plane.weights.iter().for_each(|weight| draw_weight(scene, laid, weight));
    draw_ideal(scene, laid);
    draw_ends(scene, laid);
    if piece.index + 1 < piece.count {
        draw_tab(scene, laid.at(piece.to, 0.0), piece.index + 2);
    }
    write_edges(scene, laid);
    scene.end();
}

fn draw_zones(scene: &mut Scene, laid: Laid<'_>) {
    let plane = laid.piece.plane;
    for zone in &plane.zones {
        let (from, span) = zone.span();
        let from = plane.tape(from);
        let parts = laid.parts(from, from + span / 360.0 * plane.once_round());
        let longest = parts.iter().map(|(from, to)| to - from).fold(0.0, f64::max);
        for part in parts {
            let border = Stroke::solid(0.5);
            let drawn = (laid.inside(part.0, border), laid.inside(part.1, border));
            let frame = laid.frame(drawn, 6.4, PIECE_HEIGHT - 13.0);
            scene.hatch(&frame.corners(), 3.4, Stroke::solid(0.35));
            scene.outline(&frame.corners(), border);
            let fits = letters::width(&zone.reason, SMALL, Weight::Bold) < frame.width - 4.0;
            if part.1 - part.0 > longest - 1e-6 && (fits || frame.width > 60.0) {
                let words = letters::shorten(&zone.reason, SMALL, Weight::Bold, frame.width - 4.0);
                write_centred(scene, &[words], frame, Backing::White);
            }
        }
    }
}

fn draw_weight(scene: &mut Scene, laid: Laid<'_>, weight: &TubeWeight) {
    let plane = laid.piece.plane;
    let middle = plane.tape(weight.degrees);
    let half = (tame(weight.width_mm).abs() / 2.0).clamp(0.5, plane.once_round() / 2.0);
    let stroke = match weight.state {
        WeightState::New => Stroke::solid(1.4),
        WeightState::There => Stroke::solid(0.7),
        WeightState::ComesOff => Stroke::solid(0.7).dash(Dash::Dashed),
    };
    let mut written = false;
    for (from, to) in laid.parts(middle - half, middle + half) {
        let drawn = (laid.inside(from, stroke), laid.inside(to, stroke));
        let frame = laid.frame(drawn, BLOCK_TOP, BLOCK_HEIGHT);
        scene.area(frame.corners(), Ink::White);
        scene.outline(&frame.corners(), stroke);
        if weight.state == WeightState::ComesOff {
            let corners = frame.corners();
            scene.line(corners[0], corners[2], stroke);
            scene.line(corners[1], corners[3], stroke);
        }
        written |= write_weight(scene, plane, weight, frame);
    }
    if !written {
        write_beside(scene, laid, middle, half, &grams_and_place(plane, weight));
    }
    let bottom = BLOCK_TOP + BLOCK_HEIGHT;
    for (place, _) in laid.parts(middle, middle + 1e-3) {
        let line = Stroke::solid(1.0);
        let place = laid.inside(place, line);
        scene.line(laid.at(place, 3.2), laid.at(place, BLOCK_TOP + 1.0), line);
        scene.line(laid.at(place, bottom - 1.0), laid.at(place, PIECE_HEIGHT), line);
    }
}

/// Mass, distance to the middle and angle in the block, as much as fits; tells whether any did.
fn write_weight(scene: &mut Scene, plane: &TubePlane, weight: &TubeWeight, frame: Frame) -> bool {
    let fits = |(index, words): (usize, &String)| {
        let weight = if index == 0 { Weight::Bold } else { Weight::Plain };
        letters::width(words, SMALL, weight) <= frame.width - 2.0
    };
    let mass = match weight.state {
        WeightState::New => plane.mass_in_short(weight.mass_g),
        WeightState::There => format!("{} is there", plane.mass_in_short(weight.mass_g)),
        WeightState::ComesOff => format!("take off {}", plane.mass_in_short(weight.mass_g)),
    };
    let (tape, angle) = (plane.tape_words(plane.tape(weight.degrees)), degrees(weight.degrees));
    let choices = [
        vec![mass.clone(), format!("{tape}, {angle}")],
        vec![mass, tape, angle.clone()],
        vec![plane.mass_in_short(weight.mass_g), angle],
        vec![plane.mass_in_short(weight.mass_g)],
    ];
    let lines = choices.into_iter().find(|lines| lines.iter().enumerate().all(fits)).unwrap_or_default();
    let backing = if weight.state == WeightState::ComesOff { Backing::White } else { Backing::None };
    write_centred(scene, &lines, frame, backing);
    !lines.is_empty()
}

fn grams_and_place(plane: &TubePlane, weight: &TubeWeight) -> String {
    let mass = match weight.state {
        WeightState::ComesOff => format!("take off {}", plane.mass_in_short(weight.mass_g)),
        WeightState::New | WeightState::There => plane.mass_in_short(weight.mass_g),
    };
    format!("{mass} at {}, {}", plane.tape_words(plane.tape(weight.degrees)), degrees(weight.degrees))
}

/// Words beside what reaches `half` to both sides of `middle`, on the side where there is room.
fn write_beside(scene: &mut Scene, laid: Laid<'_>, middle: f64, half: f64, words: &str) {
    for (tape, _) in laid.parts(middle, middle + 1e-3) {
        let width = letters::width(words, SMALL, Weight::Bold) / MILLIMETRE + 3.0;
        let from = if tape + half + width > laid.piece.to { tape - half - width } else { tape + half };
        let frame = laid.frame((from + 0.5, from + width - 0.5), 9.0, 5.0);
        write_centred(scene, &[words.to_owned()], frame, Backing::White);
    }
}

fn draw_ideal(scene: &mut Scene, laid: Laid<'_>) {
    let plane = laid.piece.plane;
    let Some(ideal) = plane.ideal else { return };
    let place = plane.tape(ideal.degrees);
    for (tape, _) in laid.parts(place, place + 1e-3) {
        let line = Stroke::solid(1.4);
        let tape = laid.inside(tape, line);
        scene.line(laid.at(tape, BLOCK_TOP), laid.at(tape, PIECE_HEIGHT), line);
    }
    let words = format!(
        "{} at {}, {}",
        plane.mass_words(ideal.mass_g),
        plane.tape_words(place),
        degrees(ideal.degrees)
    );
    write_beside(scene, laid, place, 0.0, &words);
}

/// Whether words stand on a white ground.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Backing {
    White,
    None,
}

fn write_centred(scene: &mut Scene, lines: &[String], frame: Frame, backing: Backing) {
    let height = SMALL * 1.2;
    for (index, line) in lines.iter().enumerate() {
        let middle = frame.centre().y + height * (index as f64 - (lines.len() as f64 - 1.0) / 2.0);
        let at = Point::new(frame.centre().x, middle + SMALL * 0.36);
        if backing == Backing::White && !line.is_empty() {
            let width = letters::width(line, SMALL, Weight::Bold) + 2.0;
            scene.area(Frame::around(Point::new(at.x, middle), width, height).corners(), Ink::White);
        }
        let text = Text::new(line, at, SMALL).middle();
        scene.push(Mark::Text(if index == 0 { text.bold() } else { text }));
    }
}

/// Both ends of the piece: the zero mark where the tape begins and ends, else the line on which two pieces meet.
fn draw_ends(scene: &mut Scene, laid: Laid<'_>) {
    let piece = laid.piece;
    let round = piece.plane.once_round();
    let last = match piece.plane.units {
        Units::Us => sixteenths(round),
        _ => format!("{round:.1}"),
    };
    let begins = (piece.index == 0).then_some("0");
    let ends = (piece.index + 1 == piece.count).then_some(last.as_str());
    for (tape, inward, mark) in [(piece.from, 1.0, begins), (piece.to, -1.0, ends)] {
        let stroke = if mark.is_some() { MARK } else { EDGE };
        let line = laid.inside(tape, stroke);
        scene.line(laid.at(line, 0.0), laid.at(line, PIECE_HEIGHT), stroke);
        if let Some(words) = mark {
            draw_nick(scene, laid, (line, inward));
            let at = laid.at(tape + 1.0 * inward, PIECE_HEIGHT - 3.6);
            let text = Text::new(words, at, SMALL).bold();
            scene.push(Mark::Text(if inward < 0.0 { text.end() } else { text }));
        }
    }
}

fn draw_nick(scene: &mut Scene, laid: Laid<'_>, (tape, inward): (f64, f64)) {
    let nick = [laid.at(tape, 6.8), laid.at(tape + 1.8 * inward, 8.0), laid.at(tape, 9.2)];
    scene.area(nick.to_vec(), Ink::White);
    scene.outline(&nick, Stroke::solid(1.0));
}
