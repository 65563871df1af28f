//! Outcomes as text for people and as JSON for programs. Nothing here computes.

pub mod proof_json;
pub mod recording;
pub mod sheet;
pub mod table;
pub mod text;
