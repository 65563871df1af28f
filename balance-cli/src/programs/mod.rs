//! The only room that starts other programs: the system's viewer.

mod viewer;

pub use viewer::show;
