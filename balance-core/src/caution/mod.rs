//! "It worked, but take care": cautions are data and part of the answer.
//!
//! [`Caution`] is one enum with its figures as fields. What follows from a caution (level, code, whether it
//! bears on a verdict) are methods, and its sentences are kept in one place that knows the units.

mod kind;
mod level;
mod parts;
mod rules;
#[cfg(test)]
mod tests;
mod words;

pub use kind::Caution;
pub use level::Level;
pub use parts::{AssumedWidth, Bound, FixtureLeftIn, LikelyCause, NoCriticalSpeed, WidthLike};
