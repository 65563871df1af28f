//! The job as plain data: whatever can change a number, a verdict, a caution or an advice.
//!
//! A [`Job`] says what the shaft is, what it has to meet, how the stand reads and counts, and what can be
//! welded where. It does not depend on files: a program that reads jobs from somewhere else fills in the same
//! fields, or uses [`JobBuilder`]. What a record only carries along (customer, photographs, signatures) is
//! not part of it.

mod builder;
mod details;
mod driveline;
mod fault;
mod measures;
mod proved;
mod relength;
mod stand;
mod tube_material;
mod weld_plan;
mod whole;

pub use builder::JobBuilder;
pub use details::ShaftDetails;
pub use driveline::{DrivelineJoint, ReachedSpeed};
pub use fault::JobFault;
pub use measures::Measures;
pub use proved::{AmplitudeStep, Fixture, FixtureVector, Proved, ProvedFigure, ProvedLine};
pub use relength::{Relength, YokeSwap};
pub use stand::Stand;
pub use tube_material::TubeMaterial;
pub use weld_plan::WeldPlan;
pub use whole::Job;
