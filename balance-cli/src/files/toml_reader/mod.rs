//! Reading sections and keys of a job file with its shop file, and the place of every fault.
//!
//! A [`Document`] is one or two texts; the job's wins over the shop's. Its [`Section`]s return values by key
//! and note every fault; [`Document::finish`] then refuses whatever was not requested. To add a section of
//! the job file, request it: `document.section("received")` or `document.sections("photo")`, then one call
//! for each key.

mod document;
mod fault;
mod merge;
mod percent;
mod section;

pub use document::Document;
pub use percent::Percent;
pub use section::{Choice, Given, Section};
