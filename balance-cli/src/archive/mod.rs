//! The archive: one record for every balanced shaft, kept so that it can be trusted years later.
//!
//! A record is plain data ([`NewRecord`]): how a result was computed does not matter here. Records are never
//! changed, only superseded, and each carries a digest over everything in it and over the record before, so
//! that a changed byte is found ([`Archive::check`]). The operations are the trait [`Archive`];
//! [`SqliteArchive`] implements it in one file on disk, shared by several stands.

mod digest;
mod export;
mod fault;
mod import;
mod operations;
mod packed;
mod place;
mod query;
mod record;
mod response_rows;
mod run_rows;
mod seals;
mod sisters;
mod sqlite;
mod table;
mod text;
mod unpack;

pub use digest::Digest;
pub use export::{csv_of, json_of, json_of_check, json_of_line, json_of_type, json_whole};
pub use fault::ArchiveFault;
pub use import::{ImportReport, ImportStep, import};
pub use operations::{Added, Archive, CheckFault, CheckReport, TypeHistory, TypeMember};
pub use place::{PLACE_VARIABLE, default_place};
pub use query::{Query, SizeWord};
pub use record::{Attachment, NewRecord, Record, RecordFile, RecordLine, Role, TubeSize, is_before};
pub use response_rows::response_rows;
pub use run_rows::{LeftOut, run_rows};
pub use seals::{SEALS_FILE, Seal, expected, keep_seal, read_seals, seals_place};
pub use sisters::{answers_text, sisters_of, type_report};
pub use sqlite::{Opening, SqliteArchive};
pub use table::RowForm;
pub use text::{line_of, lines_of_check, lines_of_record, lines_of_type};
pub use unpack::write_files;
