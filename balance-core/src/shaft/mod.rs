//! The shaft on the bench: its tube, where weights go, where the stand reads, where the limit holds; what can be
//! welded on, and where; and what is checked before it spins.

mod between_speeds;
mod check;
mod critical_speed;
mod gate;
mod inspection;
mod joint;
mod limits;
mod material;
mod numbers;
mod place;
mod plane;
mod relength;
mod round_section;
mod runout;
mod sensor;
mod service_speed;
mod stock;
#[cfg(feature = "serde")]
mod stock_json;
mod tube;
mod weighing;

pub use between_speeds::BowBetweenSpeeds;
pub use check::*;
pub use critical_speed::*;
pub use gate::*;
pub use inspection::*;
pub use joint::*;
pub use limits::{Basis, Limit, MARGIN_INDUSTRIAL, MARGIN_VEHICLE, NO_OVERRIDE_FROM, ShaftLimits};
pub use material::{Material, Weldability};
pub use numbers::{PlaneId, SensorId};
pub use place::{FixedPlace, HowHeld, NoWeld, Sector, WeldedBefore};
pub use plane::{CorrectionPlane, Part, TolerancePlane};
pub use relength::{SlipStroke, SlipTravel, TubeCut, Yoke, YokeChange};
pub use round_section::RoundSection;
pub use runout::*;
pub use sensor::{Sensor, Shows};
pub use service_speed::{Drive, RoadSpeed, service_speed};
pub use stock::{
    Aim, Bar, BarMass, STEEL_KILOGRAMS_PER_CUBIC_METRE, Section, StampedWeight, StockFault, Weld, WeldOn,
};
pub use tube::Tube;
pub use weighing::{MassBasis, ScaleReadings, StatedMass};
