//! Shared pieces of the whole-program checks: shafts made of numbers, and stands that read them with seeded noise.

pub mod archive;
pub mod cases;
pub mod correction_answers;
pub mod figures;
pub mod job;
pub mod law;
pub mod manufactured;
pub mod mistake;
pub mod program;
pub mod random;
pub mod record;
pub mod recorded;
pub mod recording;
pub mod shaft;
pub mod shaft_answers;
pub mod shaft_states;
pub mod sixty;
pub mod stand;
pub mod stand_answers;
pub mod truth;
pub mod verification;
