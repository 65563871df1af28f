//! The stand itself: what it records and what that says.

pub mod capture;
