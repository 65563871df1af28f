//! The stand: its limits, and what is stated about it that no run can show.

use crate::influence::Drift;
use crate::quantity::{Speed, UnbalanceAmount};

/// What is stated about the stand; how far its needles wander is in [`Setup::noise`](crate::run::Setup).
#[derive(Debug, Clone, Copy, PartialEq, Default)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct Stand {
    /// The most unbalance that a fixture turning with the shaft may simulate, where the limit holds.
    pub fixture: Option<UnbalanceAmount>,
    /// The scatter of what is left from one clamping to the next, complex rms.
    pub mounting_scatter: Option<UnbalanceAmount>,
    /// Whether a drift of the readings is always allowed for.
    pub drift: Drift,
    /// The speed at which shafts are balanced, until the runs state it.
    pub speed: Option<Speed>,
    /// The speed beyond which the stand must not run.
    pub most_speed: Option<Speed>,
    /// The reading beyond which it must be stopped, in the sensor's unit.
    pub most_reading: Option<f64>,
}
