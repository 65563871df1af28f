//! The tape measure round the tube.

use std::fmt;

use crate::quantity::Angle;
use crate::quantity::shown::{SIXTEENTH, inch_text};

/// A distance on a tape round the outside of the tube, from the zero mark in counting direction.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TapeReading {
    millimetres: f64,
}

impl TapeReading {
    /// Where an angle is on a tube whose outside is `once_round` mm.
    ///
    /// ```
    /// use balance_core::{correction::weights::TapeReading, quantity::Angle};
    /// # fn main() -> Result<(), balance_core::quantity::QuantityFault> {
    /// // An 88.9 mm tube is 279.3 mm round: 287 degrees are at 222.7 mm, or 8 3/4 in.
    /// let place = TapeReading::at(Angle::from_degrees(287.0)?, 88.9 * std::f64::consts::PI);
    /// assert_eq!(place.whole_millimetres(), 223);
    /// assert_eq!(place.inch_text(), "8 3/4");
    /// # Ok(())
    /// # }
    /// ```
    #[must_use]
    pub fn at(angle: Angle, once_round: f64) -> Self {
        Self { millimetres: angle.degrees_in_turn() / 360.0 * once_round }
    }

    /// A length along the tape: once round, or the length of a piece.
    #[must_use]
    pub fn length(millimetres: f64) -> Self {
        Self { millimetres }
    }

    /// As worked out, in mm.
    #[must_use]
    pub fn millimetres(self) -> f64 {
        self.millimetres
    }

    /// As read, in whole mm.
    #[must_use]
    pub fn whole_millimetres(self) -> u32 {
        self.millimetres.round() as u32
    }

    /// As read, in whole sixteenths of an inch.
    #[must_use]
    pub fn sixteenths(self) -> u32 {
        (self.millimetres / SIXTEENTH).round() as u32
    }

    /// As read on an inch tape: `8 3/4`, `5/16`, `11`.
    #[must_use]
    pub fn inch_text(self) -> String {
        inch_text(self.sixteenths())
    }
}

impl fmt::Display for TapeReading {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} mm", self.whole_millimetres())
    }
}

/// Where a weight goes on the tape: its middle, and the edges to scribe.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TapeMarks {
    /// Its middle.
    pub middle: TapeReading,
    /// Its edge on the side of the zero mark; above `middle` when the weight lies across the mark.
    pub from: TapeReading,
    /// Its far edge.
    pub to: TapeReading,
}

impl TapeMarks {
    /// The marks of a weight with its middle at `angle` that reaches `half_width` degrees to both sides.
    #[must_use]
    pub fn new(angle: Angle, half_width: f64, once_round: f64) -> Self {
        let edge =
            |by: f64| TapeReading::at(Angle::from_degrees(angle.degrees() + by).unwrap_or(angle), once_round);
        Self { middle: edge(0.0), from: edge(-half_width), to: edge(half_width) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn inches_are_written_as_on_a_tape() {
        for (millimetres, text) in
            [(0.0, "0"), (1.6, "1/16"), (12.7, "1/2"), (25.4, "1"), (279.3, "11"), (36.5, "1 7/16")]
        {
            assert_eq!(TapeReading::length(millimetres).inch_text(), text, "{millimetres}");
        }
    }

    #[test]
    fn a_weight_across_the_mark_ends_beyond_it() {
        let marks = TapeMarks::new(Angle::from_degrees(2.0).unwrap(), 10.0, 360.0);
        assert_eq!(marks.from.whole_millimetres(), 352);
        assert_eq!(marks.middle.whole_millimetres(), 2);
        assert_eq!(marks.to.whole_millimetres(), 12);
    }
}
