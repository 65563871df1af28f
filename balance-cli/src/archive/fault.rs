//! What can go wrong with an archive.

use std::path::PathBuf;

/// Why an archive operation failed. Nothing is left half done.
#[derive(Debug, thiserror::Error)]
pub enum ArchiveFault {
    /// Another program kept it locked for longer than we wait.
    #[error(
        "the archive {path} is in use by another program and stayed locked; nothing was stored, try again"
    )]
    Locked {
        /// The archive.
        path: String,
    },
    /// The disk is full or refuses to write.
    #[error(
        "the disk with the archive {path} is full or refuses to write ({detail}); nothing was changed: \
        make room and try again"
    )]
    Full {
        /// The archive.
        path: String,
        /// The database's message.
        detail: String,
    },
    /// The file, its folder or the disk cannot be written.
    #[error("the archive {path} is write-protected: it can be read, but nothing can be added")]
    ReadOnly {
        /// The archive.
        path: String,
    },
    /// The file is damaged.
    #[error(
        "the archive {path} is damaged ({detail}); leave it as it is, take the last backup and run `archive check` on both"
    )]
    Damaged {
        /// The archive.
        path: String,
        /// What was found.
        detail: String,
    },
    /// It was written by a later version of the program.
    #[error(
        "the archive {path} was written by a newer version of the program (layout {found}; this version \
        knows up to {known}): use the newer version"
    )]
    NewerVersion {
        /// The archive.
        path: String,
        /// Its layout.
        found: i64,
        /// The newest layout known here.
        known: i64,
    },
    /// The file has nothing in it.
    #[error(
        "{path} is an empty file, not an archive: if an archive was there, it is lost, so use the last \
        backup; if not, delete the file"
    )]
    Empty {
        /// The file.
        path: String,
    },
    /// A copy never replaces another file.
    #[error("{path} already exists and was not changed: name a new file for the copy")]
    CopyExists {
        /// The file.
        path: String,
    },
    /// A write-protected archive whose last records are only in its log.
    #[error(
        "the archive {path} is on a write-protected disk and was not closed properly: copy it with its \
        -wal file to a writable disk"
    )]
    LogLeft {
        /// The archive.
        path: String,
    },
    /// The file is something else.
    #[error("{path} is not an archive of this program")]
    NotAnArchive {
        /// The file.
        path: String,
    },
    /// There is no such file.
    #[error("there is no archive at {path} yet: `archive add` creates it")]
    Missing {
        /// Where it was looked for.
        path: String,
    },
    /// It could not be opened or created there.
    #[error("the archive {path} cannot be opened: {detail}")]
    CannotOpen {
        /// The file.
        path: String,
        /// The system's message.
        detail: String,
    },
    /// No record has this number.
    #[error("there is no record {id} (the newest is {newest})")]
    NoSuchRecord {
        /// The number asked for.
        id: i64,
        /// The highest number there is.
        newest: i64,
    },
    /// A record can be superseded only once.
    #[error("record {id} has already been superseded by record {by}: supersede that one")]
    AlreadySuperseded {
        /// The record to be superseded.
        id: i64,
        /// The record that superseded it.
        by: i64,
    },
    /// The time of making is not RFC 3339.
    #[error("the time `{found}` is not of the form 2026-11-25T14:30:00Z")]
    Time {
        /// What was found.
        found: String,
    },
    /// A file or text too large for one record.
    #[error("a file of this record is too large for the archive (at most a thousand million bytes)")]
    TooLarge,
    /// A folder to import cannot be read.
    #[error("the folder {path} cannot be read: {detail}")]
    Folder {
        /// The folder.
        path: PathBuf,
        /// The system's message.
        detail: String,
    },
    /// No place for the archive is known.
    #[error("there is no place for the archive: name a file with --archive FILE or the variable {variable}")]
    NoPlace {
        /// The environment variable.
        variable: &'static str,
    },
    /// Any other message of the database.
    #[error("the archive {path} reports an error: {detail}")]
    Other {
        /// The archive.
        path: String,
        /// The database's message.
        detail: String,
    },
}
