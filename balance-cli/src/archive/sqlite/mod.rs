//! The archive in one SQLite file, shared by several stands: the only place that names the database library.

mod check;
mod connection;
mod content;
mod fault;
mod layout_check;
mod migrate;
mod read;
mod row;
mod words;
mod write;

pub use connection::{Opening, SqliteArchive};

use super::operations::{Added, Archive, CheckReport, TypeHistory};
use super::{ArchiveFault, NewRecord, Query, Record, RecordLine};

impl Archive for SqliteArchive {
    fn add(&mut self, record: &NewRecord) -> Result<Added, ArchiveFault> {
        write::add(self, record)
    }

    fn list(&self, most: usize) -> Result<Vec<RecordLine>, ArchiveFault> {
        read::find(self, &Query::default(), most)
    }

    fn find(&self, query: &Query, most: usize) -> Result<Vec<RecordLine>, ArchiveFault> {
        read::find(self, query, most)
    }

    fn show(&self, id: i64) -> Result<Record, ArchiveFault> {
        read::show(self, id)
    }

    fn each(&self, visit: &mut dyn FnMut(Record) -> Result<(), ArchiveFault>) -> Result<(), ArchiveFault> {
        read::each(self, visit)
    }

    fn types(&self, key: Option<&str>) -> Result<Vec<TypeHistory>, ArchiveFault> {
        read::types(self, key)
    }

    fn check(&self) -> Result<CheckReport, ArchiveFault> {
        check::check(self)
    }
}
