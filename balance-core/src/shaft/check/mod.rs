//! The shaft before it spins: everything that is checked, at once.

mod assemble;
mod critical;
mod description;
mod fault;
mod mass;
mod mass_slip;
mod over_length;
mod top;

pub use critical::{CriticalFinding, PartCritical, SpeedMargin};
pub use description::{ShaftDescription, ShaftSection};
pub use fault::ShaftFault;
pub use mass::MassFinding;
pub use over_length::{CriticalAtLength, critical_over_length};
pub use top::{ShaftCheck, check_shaft};
