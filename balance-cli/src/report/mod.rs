//! The record of one job as one HTML file: page one for customer and inspector, then everything it rests on.
//!
//! Nothing here computes: facts come from the [`Answer`](balance_core::answer::Answer) and from what was written down. The
//! file needs no network and no script. To put more of a job file into the record, fill [`ShaftRecord::of`].

mod asked;
mod bench;
mod budget;
mod carried;
mod cautions;
mod condition;
mod convention;
mod critical;
mod digest;
mod document;
mod done;
mod embedded;
mod ends;
mod handover;
mod heading;
mod influence;
mod left_picture;
mod measured;
mod page_one;
mod pages_after;
mod pieces;
mod rebuild;
mod runs_table;
mod shaft_record;
mod side_view;
mod sources;
mod style;
mod terms;
mod verdict;
mod weights;
mod words;

pub use asked::{ReportInput, RunsAsTyped};
pub use bench::{BenchInput, bench_html};
pub use carried::{FileInside, NotInside, files_inside};
pub use digest::{Digests, InputFile};
pub use document::html;
pub use embedded::{EmbedFault, Picture};
pub use shaft_record::{Mark, Photo, ShaftRecord};
