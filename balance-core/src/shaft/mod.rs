//! The shaft on the bench: its tube, where weights go, where the stand reads, where the limit holds.

mod plane;
mod sensor;
mod tube;

pub use plane::{CorrectionPlane, Part, TolerancePlane};
pub use sensor::{Sensor, Shows};
pub use tube::Tube;
