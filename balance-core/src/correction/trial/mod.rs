//! Which trial mass to put where, or that none is needed.

mod advice;
mod answers;
mod question;
mod size;

pub use advice::{NextTrial, NoTrial, Pull, Trial, TrialAdvice, TrialReading, TrialSize};
pub use question::{TrialBounds, TrialQuestion, usual_permissible};
pub use size::trial_advice;

pub(super) use answers::{PlaneAnswer, with_assumed_noise};
