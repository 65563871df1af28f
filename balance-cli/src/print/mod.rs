//! Outcomes as text for people and as JSON for programs. Nothing here computes.

pub mod recording;
pub mod table;
pub mod text;
