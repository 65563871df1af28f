//! Ideal correction masses, what they are expected to leave, and the weights that can be welded.

mod caution;
mod clamps;
mod convention_proof;
pub mod explain;
mod ideal;
mod run_plan;
mod trial;
mod usable;
pub mod weights;

pub use crate::chance::CIRCLE_95;
pub use caution::far_above_permissible;
pub use clamps::{ClampScrews, clamp_screws};
pub use convention_proof::convention_proved;
pub use ideal::{Correction, Forecast, PlaneCorrection, correct, correct_beside, forecast};
pub use run_plan::{ExtraRun, Gain, Outlook, PlanQuestion, RunPlan, run_plan};
pub use trial::{
    NextTrial, NoTrial, Pull, Trial, TrialAdvice, TrialBounds, TrialQuestion, TrialReading, TrialSize,
    trial_advice, usual_permissible,
};
pub use usable::{Unusable, UsableQuestion, usable};
