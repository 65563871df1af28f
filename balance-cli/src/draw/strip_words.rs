//! The words beside a strip: which plane, which edge to the front, what once round must read.

use super::scene::{Mark, Point, Scene, Stroke, Text, Weight};
use super::shape::PageSense;
use super::strip_piece::{Laid, PIECE_HEIGHT};
use super::wrap_strip::once_round;
use super::{MILLIMETRE, SMALL, letters};

/// Which plane, which way round, what it must read: beside the long edges, outside the cut.
pub(super) fn write_edges(scene: &mut Scene, laid: Laid<'_>) {
    let piece = laid.piece;
    let plane = piece.plane;
    let (above, below) = match (plane.turns, plane.sense()) {
        (None, _) => ("which way it turns is not stated: the numbers must rise as the arrow below says", ""),
        (Some(_), PageSense::CounterClockwise) => ("↑ this edge towards the FRONT of the shaft", ""),
        (Some(_), PageSense::Clockwise) => ("", "↓ this edge towards the FRONT of the shaft"),
    };
    let part = if piece.count > 1 {
        let [from, to] = [piece.from, piece.to].map(|tape| plane.tape_words(tape));
        format!(", piece {} of {}: {from} to {to}", piece.index + 1, piece.count)
    } else {
        String::new()
    };
    let place = plane.place.as_ref().map_or(String::new(), |place| format!(", {place}"));
    let mut upper = Writing::at(laid, -1.6);
    upper.write(scene, &format!("{}{part}", plane.name.to_uppercase()), Weight::Bold);
    upper.write(scene, &place, Weight::Plain);
    upper.write(scene, &format!("    {above}"), Weight::Bold);
    let mut lower = Writing::at(laid, PIECE_HEIGHT + 3.6);
    if !below.is_empty() {
        lower.write(scene, &format!("{below}    "), Weight::Bold);
    }
    let words = format!("{} · numbers rise {} ", once_round(plane), plane.counting_words());
    lower.write(scene, &words, Weight::Plain);
    lower.arrow(scene);
    let mark = plane.zero_mark.as_ref().map_or(String::new(), |mark| format!(" · 0 is the {mark}"));
    lower.write(scene, &mark, Weight::Plain);
}

/// A line of words along a strip's edge, written piece by piece.
struct Writing {
    next: Point,
    end: f64,
}

impl Writing {
    const SIZE: f64 = SMALL + 1.0;

    fn at(laid: Laid<'_>, down: f64) -> Self {
        Self { next: laid.at(laid.piece.from, down), end: laid.piece.sheet_end * MILLIMETRE }
    }

    fn write(&mut self, scene: &mut Scene, words: &str, weight: Weight) {
        let words = letters::shorten(words, Self::SIZE, weight, (self.end - self.next.x).max(0.0));
        let trimmed = words.trim_start();
        let lead = (words.len() - trimmed.len()) as f64 * letters::width(" ", Self::SIZE, weight);
        if !trimmed.is_empty() {
            let text = Text::new(trimmed, self.next.shifted(lead, 0.0), Self::SIZE);
            scene.push(Mark::Text(Text { weight, ..text }));
        }
        self.next.x += lead + letters::width(trimmed, Self::SIZE, weight);
    }

    fn arrow(&mut self, scene: &mut Scene) {
        let from = self.next.shifted(3.0, -Self::SIZE * 0.35);
        scene.arrow(from, from.shifted(24.0, 0.0), 5.0, Stroke::solid(0.9));
        self.next.x += 30.0;
    }
}
