//! Shared pieces of the whole-program checks.

pub mod case_file;
pub mod shaft_answers;
