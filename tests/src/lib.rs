//! Shared pieces of the whole-program checks: shafts made of numbers, and stands that read them with seeded noise.

pub mod archive;
pub mod random;
pub mod shaft;
