//! Ideal correction masses, and what they are expected to leave.

mod caution;
mod ideal;

pub use caution::far_above_permissible;
pub use ideal::{CIRCLE_95, Correction, Forecast, PlaneCorrection, correct, forecast};
