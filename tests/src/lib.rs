//! Shared pieces of the whole-program checks.
