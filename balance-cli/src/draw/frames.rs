//! Frames on a sheet, found by where they lie: a label asks about hundreds of places, and only the frames near each matter.

use std::collections::HashMap;

use super::label::Frame;

/// The side of a square of the sheet, in points: about a label's height.
const SIDE: f64 = 12.0;
/// Squares along a side of the sheet; what lies farther out is kept with the last ones.
const MOST: f64 = 255.0;

/// Frames in the order in which they came.
#[derive(Debug, Clone, Default)]
pub(super) struct Frames {
    all: Vec<Frame>,
    /// Which of them touch a square.
    squares: HashMap<(u8, u8), Vec<u32>>,
}

impl Frames {
    pub(super) fn push(&mut self, frame: Frame) {
        let index = self.all.len() as u32;
        self.all.push(frame);
        for square in squares(frame) {
            self.squares.entry(square).or_default().push(index);
        }
    }

    pub(super) fn extend(&mut self, frames: impl IntoIterator<Item = Frame>) {
        frames.into_iter().for_each(|frame| self.push(frame));
    }

    /// The frames that may overlap this one, each once: where both touch several squares, in the first of those.
    fn near(&self, frame: Frame) -> impl Iterator<Item = Frame> {
        let (left, top) = corner(frame);
        squares(frame).flat_map(move |square| {
            let here = self.squares.get(&square).into_iter().flatten();
            here.filter_map(|index| self.all.get(*index as usize).copied()).filter(move |other| {
                let (other_left, other_top) = corner(*other);
                square == (left.max(other_left), top.max(other_top))
            })
        })
    }

    /// Whether one of them overlaps this frame by more than so much, in square points.
    pub(super) fn any_over(&self, frame: Frame, area: f64) -> bool {
        self.near(frame).any(|other| frame.overlap(other) > area)
    }

    /// What they cover of this frame, in square points; counted twice where two of them lie.
    pub(super) fn covered(&self, frame: Frame) -> f64 {
        self.near(frame).map(|other| frame.overlap(other)).sum()
    }
}

fn square(at: f64) -> u8 {
    (at / SIDE).clamp(0.0, MOST) as u8
}

/// The square of a frame's corner at the top left.
fn corner(frame: Frame) -> (u8, u8) {
    (square(frame.left), square(frame.top))
}

/// The squares that a frame touches.
fn squares(frame: Frame) -> impl Iterator<Item = (u8, u8)> {
    let across = square(frame.left)..=square(frame.left + frame.width);
    let (top, bottom) = (square(frame.top), square(frame.top + frame.height));
    across.flat_map(move |column| (top..=bottom).map(move |row| (column, row)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn frame() -> impl Strategy<Value = Frame> {
        (-100.0..4000.0, -100.0..4000.0, 0.0..90.0, 0.0..40.0).prop_map(|(left, top, width, height)| Frame {
            left,
            top,
            width,
            height,
        })
    }

    proptest! {
        #[test]
        fn no_frame_that_overlaps_is_left_out(all in prop::collection::vec(frame(), 0..300), asked in frame()) {
            let mut frames = Frames::default();
            frames.extend(all.iter().copied());
            let covered: f64 = all.iter().map(|other| asked.overlap(*other)).sum();
            // Summed in another order.
            prop_assert!((frames.covered(asked) - covered).abs() <= 1e-9 * covered.max(1.0));
            prop_assert_eq!(frames.any_over(asked, 0.01), all.iter().any(|other| asked.overlap(*other) > 0.01));
        }
    }
}
