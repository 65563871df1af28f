//! What went wrong: stories about the runs, and which of them the readings support.
//!
//! A story is an edit of what the file says: a mass entered twice as heavy, a weight on the opposite side, a
//! trial mass left on, a decimal point in the wrong place, the readings of two trials in each other's lines.
//! Each is fitted with the one estimator and scored by how likely it makes the readings. Their number is
//! bounded ([`MOST_TRIED`]).
//!
//! # What the runs cannot distinguish
//!
//! Only the product of coefficient and mass shows (derived here). In a job with one trial a plane and one
//! check run these are the same story in different words and are always named together: the trial masses of a
//! plane multiplied by c and its weights divided by c (angles and amounts: half as heavy and twice as heavy,
//! 30° forwards and 30° backwards); the trials' planes swapped and the weights' planes swapped; all masses
//! counted the other way round and all phases. Stories that are closer than [`NAMED_TOGETHER`] are named
//! together too, for example "not on" and "a tenth as heavy". Weights within a tenth of each other may have
//! been exchanged unnoticed.
//!
//! # What a check run cannot show
//!
//! A slip is found only if it moved a reading by more than the readings scatter. In a good check run, where
//! almost nothing is left, a phase counted backwards, a dead sensor, a wrong speed, or a reading entered as a
//! tenth of its value cannot be seen: zero stays zero. A small weight 30° off, or two nearly equal ones
//! exchanged, can also stay below the scatter; what is left is still measured.

mod accused;
mod digits;
mod edit;
mod find;
mod hypothesis;
mod likelier;
mod list;
mod score;
mod sentence;
mod words;

pub use find::{Explanation, Finding, NAMED_TOGETHER, Outcome, explain};
pub use hypothesis::{Amount, Hypothesis, ListedMass, MassSlip, ReadingSlip, Suspects, Turned, Who};
pub use likelier::{LikelierReading, likelier_readings};
pub use list::MOST_TRIED;
