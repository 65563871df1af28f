//! The operations of an archive, whatever it is stored in.

use super::{ArchiveFault, Digest, NewRecord, Query, Record, RecordLine};

/// The result of adding a record.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Added {
    /// It is stored under this number, safe on disk.
    Stored(i64),
    /// The same job is already there, under this number.
    AlreadyThere(i64),
}

impl Added {
    /// The record's number in the archive.
    #[must_use]
    pub fn id(self) -> i64 {
        match self {
            Self::Stored(id) | Self::AlreadyThere(id) => id,
        }
    }
}

/// Something that is not as it was stored.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CheckFault {
    /// The record it was found in, if it belongs to one.
    pub record: Option<i64>,
    /// What is wrong.
    pub text: String,
}

/// What a check of the whole archive found.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CheckReport {
    /// How many records there are.
    pub records: u64,
    /// How many files they hold, each kept once.
    pub files: u64,
    /// The newest record's digest: written down elsewhere, it proves that no record was removed later.
    pub last: Digest,
    /// Everything found; empty: the archive is sound.
    pub faults: Vec<CheckFault>,
    /// Remarks that are not faults.
    pub notes: Vec<String>,
}

/// The responses of one type's shafts, newest last.
#[derive(Debug, Clone, PartialEq)]
pub struct TypeHistory {
    /// The type's key.
    pub key: String,
    /// How many shafts of the type there are (superseded records left out).
    pub shafts: u64,
    /// Its newest shafts, oldest first.
    pub answers: Vec<TypeMember>,
}

/// One shaft of a type.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TypeMember {
    /// The record's number in the archive.
    pub record: i64,
    /// The job's number.
    pub number: String,
    /// When the record was made.
    pub made_at: String,
    /// How the shaft responded, as JSON.
    pub answers: String,
}

/// The operations of an archive. All results are in the archive's order; reading never changes anything.
pub trait Archive {
    /// Adds a record and returns when it is safe on disk.
    ///
    /// # Errors
    ///
    /// [`ArchiveFault`]; the record is then not stored.
    fn add(&mut self, record: &NewRecord) -> Result<Added, ArchiveFault>;

    /// The newest records, newest first, at most `most`.
    ///
    /// # Errors
    ///
    /// [`ArchiveFault`] if it cannot be read.
    fn list(&self, most: usize) -> Result<Vec<RecordLine>, ArchiveFault>;

    /// The records that match every word of the query, newest first, at most `most`.
    ///
    /// # Errors
    ///
    /// [`ArchiveFault`] if it cannot be read.
    fn find(&self, query: &Query, most: usize) -> Result<Vec<RecordLine>, ArchiveFault>;

    /// One record with all its files.
    ///
    /// # Errors
    ///
    /// [`ArchiveFault::NoSuchRecord`], or it cannot be read.
    fn show(&self, id: i64) -> Result<Record, ArchiveFault>;

    /// Visits every record in order, oldest first.
    ///
    /// # Errors
    ///
    /// What `visit` returns, or that the archive cannot be read.
    fn each(&self, visit: &mut dyn FnMut(Record) -> Result<(), ArchiveFault>) -> Result<(), ArchiveFault>;

    /// The newest responses of every type, or of one.
    ///
    /// # Errors
    ///
    /// [`ArchiveFault`] if it cannot be read.
    fn types(&self, key: Option<&str>) -> Result<Vec<TypeHistory>, ArchiveFault>;

    /// Reads everything and compares it with its digests.
    ///
    /// # Errors
    ///
    /// [`ArchiveFault`] only if the check itself could not run; damage is in the report.
    fn check(&self) -> Result<CheckReport, ArchiveFault>;
}
