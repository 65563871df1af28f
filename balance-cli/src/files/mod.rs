//! From text to the nouns of the trade, every fault with its place. The only room that touches the disk.

mod decode;
mod disk;
pub mod job;
pub mod nearest;
pub mod problem;
pub mod runs;
pub mod toml_reader;
pub mod write;

pub use disk::shown_path;
pub use job::Job;
pub use problem::{Place, Problem, Source, render_all};
