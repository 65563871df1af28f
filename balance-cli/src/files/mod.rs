//! From text to the nouns of the trade, with the place of every fault. The only room that accesses the disk.

mod decode;
pub mod disk;
mod hidden;
mod inputs;
pub mod job;
pub mod job_edit;
pub mod jobs;
pub mod limits;
mod lock;
pub mod names;
pub mod nearest;
pub mod new_job;
mod now;
pub mod problem;
pub mod recording;
pub mod runout;
pub mod runs;
pub mod toml_reader;
pub mod write;

pub use disk::{read_below, read_bytes, shown_path};
pub use inputs::{Inputs, open_inputs};
pub use job::JobFile;
pub use now::{day_of, local, months_since, now, today};

/// How the pages that this program writes name their maker (`<meta name="generator">`), without the version.
pub const MADE_BY: &str = "balance ";
pub use problem::{Place, Problem, Source, render_all, shown};
