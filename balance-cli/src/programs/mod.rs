//! The only room that starts other programs: the system's viewer, and a browser that prints.

mod browser;
mod viewer;

pub use browser::{Browser, Sandbox};
pub use viewer::show_all;
