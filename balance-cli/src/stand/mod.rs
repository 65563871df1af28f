//! Guided entry at the stand: what to do now, the numbers as they are called, what they mean.
//!
//! Nothing is kept but the job's files: every accepted entry is on the disk before the next question, and every turn
//! begins by reading the files again. Nothing is computed here: advice, weights and verdicts come from the same
//! answer as the other commands' answers.

mod braille;
mod doubt;
mod draft;
mod entry;
mod line;
mod masses;
mod memory;
mod open;
mod questions;
mod session;
mod state;
mod step;
mod talk;
mod turn_finish;
mod turn_trial;
mod turn_weld;
mod words;

pub use open::{Beginning, guide};
pub use step::{Last, Situation, Step, Try, next_step};
pub use talk::{Listener, Manner, Pictures};
