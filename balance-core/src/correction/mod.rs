//! Ideal correction masses, what they are expected to leave, and the weights that can be welded.

mod caution;
pub mod explain;
mod ideal;
pub mod weights;

pub use caution::far_above_permissible;
pub use ideal::{CIRCLE_95, Correction, Forecast, PlaneCorrection, correct, forecast};
