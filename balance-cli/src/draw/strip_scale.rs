//! The scales along a strip's long edges: millimetres, sixteenths of an inch, degrees.

use super::figures::sixteenths;
use super::scene::{Mark, Scene, Stroke, Text, Weight};
use super::strip_piece::{Laid, PIECE_HEIGHT};
use super::tube_plane::TubeWeight;
use super::{MILLIMETRE, SMALL, letters};
use balance_core::quantity::Units;

/// Millimetres along the lower edge, or sixteenths of an inch where the shop works in inches alone.
pub(super) fn draw_lower_scale(scene: &mut Scene, laid: Laid<'_>) {
    if laid.piece.plane.units == Units::Us {
        return draw_inches(scene, laid, Edge::Lower);
    }
    for tick in ticks(laid, 1.0) {
        let tape = f64::from(tick);
        let up = if tick % 10 == 0 {
            3.2
        } else if tick % 5 == 0 {
            2.4
        } else {
            1.4
        };
        draw_tick(scene, laid, (tape, up), Edge::Lower);
        if tick % 10 == 0 {
            number(scene, laid, tape, &tick.to_string(), Edge::Lower);
        }
    }
}

/// Degrees along the upper edge, or sixteenths of an inch where both units are wanted.
pub(super) fn draw_upper_scale(scene: &mut Scene, laid: Laid<'_>) {
    if laid.piece.plane.units == Units::Both {
        return draw_inches(scene, laid, Edge::Upper);
    }
    let degree = laid.piece.plane.once_round() / 360.0;
    for tick in ticks(laid, degree * 2.0) {
        let angle = tick * 2;
        let down = if angle % 10 == 0 { 3.0 } else { 1.4 };
        draw_tick(scene, laid, (f64::from(angle) * degree, down), Edge::Upper);
        let every = if degree * 10.0 > 6.5 { 10 } else { 30 };
        if angle % every == 0 {
            number(scene, laid, f64::from(angle) * degree, &format!("{angle}°"), Edge::Upper);
        }
    }
}

/// Which long edge a scale stands on.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Edge {
    Upper,
    Lower,
}

fn draw_inches(scene: &mut Scene, laid: Laid<'_>, edge: Edge) {
    for tick in ticks(laid, 25.4 / 16.0) {
        let tape = f64::from(tick) * 25.4 / 16.0;
        let length = match tick % 16 {
            0 => 3.4,
            8 => 2.8,
            4 | 12 => 2.2,
            part if part % 2 == 0 => 1.6,
            _ => 1.1,
        };
        draw_tick(scene, laid, (tape, length), edge);
        if tick % 16 == 0 {
            number(scene, laid, tape, &sixteenths(tape), edge);
        }
    }
}

/// The whole multiples of `step` on this piece.
fn ticks(laid: Laid<'_>, step: f64) -> std::ops::RangeInclusive<u32> {
    let first = (laid.piece.from / step - 1e-9).ceil().max(0.0) as u32;
    let last = (laid.piece.to / step + 1e-9).floor().max(0.0) as u32;
    first..=last
}

fn draw_tick(scene: &mut Scene, laid: Laid<'_>, (tape, length): (f64, f64), edge: Edge) {
    let (from, to) = match edge {
        Edge::Upper => (0.0, length),
        Edge::Lower => (PIECE_HEIGHT, PIECE_HEIGHT - length),
    };
    let line = Stroke::solid(0.35);
    // At an end of the piece its own line stands.
    if (laid.inside(tape, line) - tape).abs() < 1e-9 {
        scene.line(laid.at(tape, from), laid.at(tape, to), line);
    }
}

/// A figure beside its tick, left out too near an end of the piece and where a weight's middle is marked.
fn number(scene: &mut Scene, laid: Laid<'_>, tape: f64, words: &str, edge: Edge) {
    let half = letters::width(words, SMALL, Weight::Plain) / 2.0 / MILLIMETRE + 0.6;
    let piece = laid.piece;
    let last = if piece.index + 1 == piece.count { piece.to - 9.0 } else { piece.to };
    let weight_there = |weight: &TubeWeight| (piece.plane.tape(weight.degrees) - tape).abs() < half;
    if tape - half < piece.from || tape + half > last || piece.plane.weights.iter().any(weight_there) {
        return;
    }
    let down = match edge {
        Edge::Upper => 3.2 + SMALL * 0.85 / MILLIMETRE,
        Edge::Lower => PIECE_HEIGHT - 3.6,
    };
    scene.push(Mark::Text(Text::new(words, laid.at(tape, down), SMALL).middle()));
}
