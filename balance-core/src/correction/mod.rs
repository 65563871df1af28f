//! Ideal correction masses, and what they are expected to leave; the weights that can be welded.

mod caution;
mod ideal;
pub mod weights;

pub use caution::far_above_permissible;
pub use ideal::{CIRCLE_95, Correction, Forecast, PlaneCorrection, correct, forecast};
