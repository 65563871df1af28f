//! The program's commands: lists of steps, no arithmetic.

pub mod archive;
