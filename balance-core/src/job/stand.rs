//! The stand: what it must not do, and what is stated of it that no run shows.

use crate::influence::Drift;
use crate::quantity::{Speed, UnbalanceAmount};

/// What is stated about the stand; how far its needles wander is in [`Setup::noise`](crate::run::Setup).
#[derive(Debug, Clone, Copy, PartialEq, Default)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct Stand {
    /// What a fixture that turns with the shaft may pretend, at most, where the limit holds.
    pub fixture: Option<UnbalanceAmount>,
    /// How far what is left scatters from one clamping to the next, complex rms.
    pub mounting_scatter: Option<UnbalanceAmount>,
    /// Whether a drift of the readings is always allowed for.
    pub drift: Drift,
    /// The speed at which shafts are balanced, until the runs say it.
    pub speed: Option<Speed>,
    /// The speed beyond which the stand must not run.
    pub most_speed: Option<Speed>,
    /// The reading beyond which it must be stopped, in the sensor's unit.
    pub most_reading: Option<f64>,
}
