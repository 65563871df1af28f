//! What a job says of the shaft before it spins: material, sections, ends, bearings, joints, service, runout, inspection.

mod build;
mod details;
mod drive;
mod joints;
mod limits;
mod material;
mod number;
mod relength;
mod runout;
mod state;

pub use details::ShaftDetails;
pub use drive::ReachedSpeed;
pub use joints::DrivelineJoint;
pub use material::TubeMaterial;
pub use relength::{Relength, YokeSwap};
pub use runout::{RunoutFile, is_plain_name};
