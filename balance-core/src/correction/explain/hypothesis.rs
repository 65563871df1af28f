//! One thing that may have gone wrong.

use crate::shaft::{PlaneId, SensorId};

/// Which masses a hypothesis is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[non_exhaustive]
pub enum Who {
    /// Those that were put on in the run that does not fit; `from` is its first row.
    CameOn {
        /// Index of that row.
        from: usize,
    },
    /// The trial masses.
    Trials,
    /// All masses of the file.
    All,
    /// One piece, wherever it is listed.
    Piece(ListedMass),
}

/// One mass that was put on, by where it is listed first.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ListedMass {
    /// Index of the row in which it was put on.
    pub row: usize,
    /// Its place among that row's masses.
    pub at: usize,
}

/// Which masses, and in which plane.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Suspects {
    /// Which masses.
    pub who: Who,
    /// Only those in this plane; `None`: in all planes.
    pub plane: Option<PlaneId>,
}

/// What the masses (or a reading) really were, as a multiple of what was entered.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Amount {
    /// Twice as much.
    Double,
    /// Half as much.
    Half,
    /// Ten times as much.
    Tenfold,
    /// A tenth.
    Tenth,
}

impl Amount {
    /// What to multiply the entry by.
    #[must_use]
    pub fn factor(self) -> f64 {
        match self {
            Self::Double => 2.0,
            Self::Half => 0.5,
            Self::Tenfold => 10.0,
            Self::Tenth => 0.1,
        }
    }
}

/// What a moved zero mark turned.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[non_exhaustive]
pub enum Turned {
    /// The stand's mark: readings are turned, weights sit where they should.
    Readings,
    /// The mark that the tape starts from: weights are turned, readings are right.
    Weights,
    /// One mark for both.
    Both,
}

/// How masses really were, compared with the entry. Degrees are counted as the job counts masses.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[non_exhaustive]
pub enum MassSlip {
    /// Angles were counted the other way round.
    OtherWayRound,
    /// They were this many degrees further.
    Turned(i32),
    /// They were this many times as heavy.
    Amount(Amount),
    /// They were not on.
    NotOn,
    /// A digit of the angle was not written down: the whole angle.
    DigitLost {
        /// Whole degrees, 10 to 359.
        degrees: i32,
    },
}

/// What was wrong with one sensor's readings.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[non_exhaustive]
pub enum ReadingSlip {
    /// Its phase was off by half a turn.
    PhaseOpposite,
    /// Its phase really was so many degrees more than entered.
    Turned(i32),
    /// It really showed this multiple of what is entered.
    Amount(Amount),
    /// It was dead: what it showed says nothing about the shaft.
    Dead,
    /// It is wrong in an unknown way: that reading, or one of the same sensor in an earlier run.
    Misread,
}

/// One thing that may have gone wrong. Degrees are whole and counted as the job counts masses.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[non_exhaustive]
pub enum Hypothesis {
    /// Masses were not as entered.
    Masses(Suspects, MassSlip),
    /// Masses of two planes were swapped.
    PlanesSwapped {
        /// Which masses.
        who: Who,
        /// The two planes.
        planes: [PlaneId; 2],
    },
    /// Two weights were put on in each other's places.
    Exchanged([ListedMass; 2]),
    /// A trial mass was left on.
    TrialLeftOn {
        /// Row of that trial.
        trial: usize,
        /// First row in which it was still on.
        from: usize,
        /// Last row in which it was still on.
        to: usize,
    },
    /// The zero mark moved before a run.
    MarkMoved {
        /// First row after it moved.
        from: usize,
        /// Last row that it concerns.
        to: usize,
        /// By how much.
        degrees: i32,
        /// What it turned.
        turned: Turned,
    },
    /// Two sensors were swapped.
    SensorsSwapped {
        /// First and last of the rows concerned.
        rows: [usize; 2],
        /// The two sensors.
        sensors: [SensorId; 2],
    },
    /// One sensor's readings were wrong.
    Reading {
        /// First and last of the rows concerned.
        rows: [usize; 2],
        /// The sensor.
        sensor: SensorId,
        /// In what way.
        slip: ReadingSlip,
    },
    /// The readings of two runs were entered in each other's lines.
    RunsSwapped {
        /// The two rows.
        rows: [usize; 2],
    },
}

impl Hypothesis {
    /// Whether a reading of this row is left out.
    pub(super) fn leaves_out(&self, row: usize) -> bool {
        match self {
            Self::Reading { rows: [from, to], slip: ReadingSlip::Dead | ReadingSlip::Misread, .. } => {
                (*from..=*to).contains(&row)
            }
            _ => false,
        }
    }

    /// Whether both say that a digit of one mass's angle was lost, though not the same digit.
    pub(super) fn same_but_for_the_digit(&self, other: &Self) -> bool {
        match (self, other) {
            (
                Self::Masses(own, MassSlip::DigitLost { .. }),
                Self::Masses(others, MassSlip::DigitLost { .. }),
            ) => own == others,
            _ => false,
        }
    }

    /// How round the angle with the lost digit is: people prefer tens, then fives.
    pub(super) fn roundness(&self) -> u8 {
        match self {
            Self::Masses(_, MassSlip::DigitLost { degrees }) if degrees % 10 == 0 => 2,
            Self::Masses(_, MassSlip::DigitLost { degrees }) if degrees % 5 == 0 => 1,
            _ => 0,
        }
    }
}
