//! Guided entry at the bench and the stand: what to do now, the numbers as they are called out, what they mean.
//!
//! Nothing is kept but the job's files: every accepted entry is on the disk before the next question, and every turn
//! begins by reading the files again. Nothing is worked out here: advice, weights and verdicts come from the same
//! answer as the other commands' answers.

mod bench;
mod braille;
mod came_back;
mod doubt;
mod draft;
mod entry;
mod heard;
mod line;
mod masses;
mod memory;
mod mistake;
mod open;
mod places;
mod questions;
mod session;
mod state;
mod step;
mod talk;
mod turn_counting;
mod turn_finish;
mod turn_round;
mod turn_sisters;
mod turn_trial;
mod turn_weld;
mod words;

pub use open::{Beginning, guide};
pub use step::{Counting, Last, Situation, Step, Try, next_step};
pub use talk::{Listener, Manner, Pictures};
