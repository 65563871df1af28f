//! The shaft on the bench: its tube, where weights go, where the stand reads, where the limit holds; what can be
//! welded on, and where.

mod place;
mod plane;
mod sensor;
mod stock;
mod tube;

pub use place::{FixedPlace, Hold, NoWeld, Sector, WeldedBefore};
pub use plane::{CorrectionPlane, Part, TolerancePlane};
pub use sensor::{Sensor, Shows};
pub use stock::{
    Bar, BarMass, STEEL_KILOGRAMS_PER_CUBIC_METRE, Section, StampedWeight, StockFault, Weld, WeldOn,
};
pub use tube::Tube;
