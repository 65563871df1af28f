//! The gate's input.

use crate::quantity::Speed;
use crate::shaft::{Override, ShaftLimits, StandLimits};

/// What a speed is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[non_exhaustive]
pub enum Purpose {
    /// The highest speed in use.
    Service,
    /// The speed on the stand.
    Stand,
}

impl Purpose {
    /// The word printed and stored.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Service => "service speed",
            Self::Stand => "stand speed",
        }
    }
}

/// A speed the shaft is to turn at.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GateSpeed {
    /// What it is for.
    pub purpose: Purpose,
    /// How fast.
    pub speed: Speed,
}

/// What is known of the runout.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[non_exhaustive]
pub enum RunoutState {
    /// It was not measured.
    NotMeasured,
    /// It was measured and is within its limits.
    Within,
    /// It was measured and is beyond a limit.
    Beyond,
}

/// Everything the gate checks.
#[derive(Debug, Clone, PartialEq)]
pub struct GateQuestion<'a> {
    /// The speeds it is to turn at.
    pub speeds: &'a [GateSpeed],
    /// The lowest critical speed, if it was worked out.
    pub critical: Option<Speed>,
    /// What is known of the runout.
    pub runout: RunoutState,
    /// The shaft's limits.
    pub limits: &'a ShaftLimits,
    /// The stand's limits.
    pub stand: &'a StandLimits,
    /// Someone's override.
    pub overruling: Option<&'a Override>,
}
