//! What people type on one line, at a prompt or after an option: amounts with their units, weights at their
//! places.

mod amounts;
mod habits;
mod weights;

pub use amounts::{Amount, amounts};
pub use habits::Habits;
pub use weights::{TypedWeight, one_weight, radius, weights};
