//! How far the tube runs out of true, along and round it, and the unbalance that explains.

mod explained;
mod map;
mod reading;

pub use explained::{ExplainedUnbalance, RunoutVerdict, StationVerdict};
pub use map::{RunoutMap, StationRunout, runout_map};
pub use reading::{RunoutFault, RunoutReading};
