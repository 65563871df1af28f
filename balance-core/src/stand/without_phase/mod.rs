//! Balancing without phase: amplitudes only, with trials at several places.

mod answers;
mod descent;
mod fault;
#[cfg(test)]
mod laws;
mod model;
mod sensor_fit;
mod settle;
mod starts;

pub use answers::{PlaneAnswer, PossibleAnswer, WithoutPhase, WithoutPhaseQuestion, without_phase};
pub use fault::WithoutPhaseFault;
pub(crate) use fault::each_once;
pub use model::{AmplitudeRun, SensorResponse};
pub use sensor_fit::{AmplitudeFit, PossibleResponse, StatedNoise};
pub use settle::SettlingRun;
