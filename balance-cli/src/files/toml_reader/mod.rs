//! Reading sections and keys of a job file under a shop file, with every fault's place.
//!
//! A [`Document`] is one or two texts, the job's over the shop's. Its [`Section`]s hand out values by key and note
//! every fault; [`Document::finish`] then refuses whatever nobody asked for. To add a section of the job file, ask for
//! it: `document.section("received")` or `document.sections("photo")`, then one call for each key.

mod document;
mod fault;
mod merge;
mod percent;
mod section;

pub use document::Document;
pub use percent::Percent;
pub use section::{Choice, Given, Section};
