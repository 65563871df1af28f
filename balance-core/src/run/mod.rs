//! What was on the shaft and what the stand read.
//!
//! [`Run`] is one line of a runs file in our terms; [`RunSet`] is a complete, consistent set of them for one shaft,
//! with the user's angles turned into ours, or all the faults it has.

#[cfg(test)]
pub(crate) mod by_hand;
mod convention;
mod crosstalk;
mod dial;
#[cfg(feature = "serde")]
pub(crate) mod endless;
mod fault;
mod kind;
mod noise;
mod on_top_of;
mod one_run;
mod run_set;
mod speed_group;
mod state;

pub use convention::{Convention, MassAngle, Phase, PhaseSense, Turns};
pub use crosstalk::{CrosstalkShare, crosstalk, measured_crosstalk};
pub use dial::DialStep;
pub use fault::{Cell, RunFault};
pub use kind::RunKind;
pub use noise::{Noise, PlaceError, ReadingNoise, STATED_DEGREES_OF_FREEDOM};
pub use on_top_of::OnTopOf;
pub use one_run::{Change, PlacedMass, ReadingUncertainty, Run, SensorReading};
pub use run_set::{Entry, LoadChange, Observed, Row, RunSet, Setup, SpeedGroup};
