//! The shaft on the bench: its tube, where weights go, where the stand reads, where the limit holds.

mod critical_speed;
mod material;
mod plane;
mod round_section;
mod sensor;
mod tube;

pub use critical_speed::*;
pub use material::{Material, Weldability};
pub use plane::{CorrectionPlane, Part, TolerancePlane};
pub use round_section::RoundSection;
pub use sensor::{Sensor, Shows};
pub use tube::Tube;
