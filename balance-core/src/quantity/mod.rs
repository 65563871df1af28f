//! Values with their units: one validating constructor each, named by its unit; getters named by their unit.

mod angle;
mod reading;
mod scalar;
mod text;
mod unbalance;

pub use angle::Angle;
pub use reading::Reading;
pub use scalar::{Density, GRAMS_PER_OUNCE, Length, Mass, Speed, Stiffness, Stress, UnbalanceAmount};
pub use text::{Quantity, QuantityFault, Unit, parse};
pub use unbalance::Unbalance;
