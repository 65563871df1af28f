//! What was inspected before the shaft was worked on, how it came in and how it was built.

mod first_spin;
mod item;
mod points;
mod state;

pub use first_spin::{BEFORE_FIRST_SPIN, BEFORE_WELDING, FirstSpinPoint};
pub use item::{InspectionItem, MatchMark, PartDecision};
pub use points::{Allowed, DRIVE_SHAFT_POINTS, InspectionPoint, PointFor, missing_points};
pub use state::ShaftState;
