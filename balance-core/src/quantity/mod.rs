//! Values with their units: one validating constructor each, named by its unit; getters named by their unit.

mod angle;
mod around;
mod reading;
mod scalar;
pub mod shown;
mod text;
mod unbalance;

pub use angle::Angle;
pub use around::{Around, AroundFault};
pub use reading::Reading;
pub use scalar::{
    Density, GRAMS_PER_OUNCE, Length, Mass, NEWTONS_PER_POUND_FORCE, Speed, Stiffness, Stress,
    UnbalanceAmount,
};
pub use shown::Units;
pub(crate) use text::quantity_traits;
pub use text::{Quantity, QuantityFault, Unit, leading_number, parse, parse_in};
pub use unbalance::Unbalance;
