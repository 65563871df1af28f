//! What an archive can do, whatever it is kept in.

use super::{ArchiveFault, Digest, NewRecord, Query, Record, RecordLine};

/// What became of a record that was to be added.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Added {
    /// It is stored under this number, safe on disk.
    Stored(i64),
    /// The same job is there already, under this number.
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
    /// The newest record's digest: written down elsewhere it proves that none was taken away since.
    pub last: Digest,
    /// Everything found; empty: all is whole.
    pub faults: Vec<CheckFault>,
    /// What is no fault and yet worth a word.
    pub notes: Vec<String>,
}

/// The answers of one type's shafts, newest last.
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
    /// How the shaft answered, as JSON.
    pub answers: String,
}

/// What an archive can do. All answers are in the archive's order; reading never changes anything.
pub trait Archive {
    /// Adds a record and returns when it is safe on disk.
    ///
    /// # Errors
    ///
    /// [`ArchiveFault`]; then the record is not there.
    fn add(&mut self, record: &NewRecord) -> Result<Added, ArchiveFault>;

    /// The newest records, newest first, at most `most`.
    ///
    /// # Errors
    ///
    /// [`ArchiveFault`] if it cannot be read.
    fn list(&self, most: usize) -> Result<Vec<RecordLine>, ArchiveFault>;

    /// The records that fit every word of the query, newest first, at most `most`.
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

    /// The newest answers of every type, or of one.
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
