//! What a job states about the shaft before it spins: material, sections, ends, bearings, joints, service,
//! runout, inspection.

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

pub(super) use details::read;
pub(super) use joints::read_sizes as read_joint_sizes;
pub use runout::is_plain_name;
pub(super) use runout::read_file as read_runout_file;
pub(super) use state::{read_match_marks, read_state};
