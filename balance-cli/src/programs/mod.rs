//! The only room that starts other programs: the system's viewer, a browser that prints, a recorder.

mod browser;
mod recorder;
mod viewer;

pub use browser::{Browser, Sandbox};
pub use recorder::{Recorder, Recording};
pub use viewer::show_all;
