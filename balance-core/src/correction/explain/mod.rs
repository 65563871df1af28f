//! What went wrong: stories about the runs, and which of them the readings bear out.
//!
//! A story is an edit of what the file says: a mass entered twice as heavy, a weight on the opposite side, a trial
//! mass left on. Each is fitted with the one estimator and scored by how likely it makes the readings.

mod accused;
mod find;
mod hypothesis;
mod list;
mod score;
mod words;

pub use find::{Explanation, Finding, NAMED_TOGETHER, Outcome, explain};
pub use hypothesis::{Amount, Hypothesis, Suspects, Turned, Who};
