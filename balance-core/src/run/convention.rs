//! How the job counts its angles. The only place where the user's angles become ours.
//!
//! Inside the library every angle, of a mass or of a reading, is counted from the zero mark in the direction in
//! which the job counts masses.

use num_complex::Complex64;

/// How degrees and tape are counted from the zero mark.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub enum MassAngle {
    /// Against the direction in which the shaft turns.
    AgainstRotation,
    /// In the direction in which the shaft turns.
    WithRotation,
}

/// What the stand's phase counts.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub enum Phase {
    /// The reading's peak comes this many degrees after the mark.
    Lag,
    /// The reading's peak comes this many degrees before the mark.
    Lead,
    /// Stated directly: phase is counted the same way as masses.
    SameWayAsMasses,
    /// Stated directly: phase is counted opposite to masses.
    OppositeToMasses,
    /// The dial shows no phase at all: the shaft is balanced from amplitudes alone.
    NotShown,
}

/// Which way the shaft turns, seen from the front. Needed for drawings only.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub enum Turns {
    /// Clockwise seen from the front.
    Clockwise,
    /// Counter-clockwise seen from the front.
    CounterClockwise,
}

/// Whether phases and mass angles are counted the same way.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PhaseSense {
    /// The same way: vectors are used as they are.
    SameAsMasses,
    /// Opposite ways: readings are mirrored.
    OppositeToMasses,
}

/// How the job counts its angles.
#[derive(Debug, Clone, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct Convention {
    /// What the zero mark is: "paint line on the front yoke ear".
    pub zero_mark: Option<String>,
    /// Which way the shaft turns.
    pub turns: Option<Turns>,
    /// How masses are counted.
    pub mass_angle: MassAngle,
    /// What the phase counts.
    pub phase: Phase,
    /// Whether the user stated it; otherwise an answer carries a caution.
    pub stated: bool,
    /// How the stand's counting was proved by a quarter-turn trial, if it was.
    pub proved: Option<String>,
}

impl Convention {
    /// The default when nothing is stated: phase is counted the same way as masses.
    #[must_use]
    pub fn unstated() -> Self {
        Self {
            zero_mark: None,
            turns: None,
            mass_angle: MassAngle::AgainstRotation,
            phase: Phase::SameWayAsMasses,
            stated: false,
            proved: None,
        }
    }

    /// Whether phases and masses are counted the same way.
    ///
    /// A heavy spot whose peak lags the mark by φ is φ from the mark against the rotation: "lag" goes with
    /// masses counted against rotation, "lead" with masses counted with rotation.
    #[must_use]
    pub fn phase_sense(&self) -> PhaseSense {
        match (self.phase, self.mass_angle) {
            (Phase::SameWayAsMasses | Phase::NotShown, _)
            | (Phase::Lag, MassAngle::AgainstRotation)
            | (Phase::Lead, MassAngle::WithRotation) => PhaseSense::SameAsMasses,
            (Phase::OppositeToMasses, _)
            | (Phase::Lag, MassAngle::WithRotation)
            | (Phase::Lead, MassAngle::AgainstRotation) => PhaseSense::OppositeToMasses,
        }
    }

    /// Converts a reading's vector between the job's counting and ours; the step is the same both ways.
    #[must_use]
    pub fn turn(&self, vector: Complex64) -> Complex64 {
        match self.phase_sense() {
            PhaseSense::SameAsMasses => vector,
            PhaseSense::OppositeToMasses => vector.conj(),
        }
    }
}
