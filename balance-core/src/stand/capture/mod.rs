//! From a raw recording to a reading: a stand without a meter of its own.
//!
//! A recording has one channel with a pulse for each turn of the shaft and one channel for each sensor. An
//! [`Extractor`] takes its samples in blocks of any size, keeps little of them, and gives for each sensor the part
//! that comes once per turn, as amplitude and phase in the job's counting, with its uncertainty.
//!
//! # Method
//!
//! 1. Pulse edges between samples, by the level that the pulses themselves show ([`PulseSetup`]); doubled, missing and
//!    dirty pulses are sorted out.
//! 2. The shaft's angle as a smooth function of time through the pulses, no smoother than their own jitter asks for.
//! 3. Linear least squares of each sensor's samples on once to [`HARMONICS`] times per turn, offset and slope over
//!    whole turns, jointly with tones that are found in what is left (a slipping belt, mains hum).
//! 4. The uncertainty from how the reading scatters over blocks of whole turns, pulses included.

mod caution;
mod chapter;
mod condense;
mod edges;
mod extracted;
mod extractor;
mod fault;
mod fit;
mod health;
#[cfg(test)]
mod laws;
mod level;
mod model;
mod path;
mod setup;
mod steady;
mod tones;
mod turns;
mod unit;
mod whole;
mod worker;

pub use caution::CaptureCaution;
pub use extracted::{Extracted, ExtractedReading, Harmonic, Progress, Tone, ToneKind};
pub use extractor::Extractor;
pub use fault::{CaptureFault, Channel};
pub use setup::{CaptureSetup, Edge, HARMONICS, PulseSetup, SensorSetup, Stretch};
pub use unit::{Measure, Motion, ReadingUnit, UnitFault, VibrationUnit};
