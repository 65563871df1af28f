//! The gate before the first run: what allows a shaft to spin at a speed, what warns, what refuses.

mod decision;
mod overruling;
mod question;
mod stand_limits;

pub use decision::{Gate, GateCheck, GateOutcome, GateWord, open_gate};
pub use overruling::{Override, OverrideFault};
pub use question::{GateQuestion, GateSpeed, Purpose, RunoutState};
pub use stand_limits::{StandLimits, largest_trial, reading_caution, worst_trial_reading};
