//! The database's errors in the archive's words.

use rusqlite::{Error, ErrorCode, ffi};

use super::super::ArchiveFault;

/// Input and output errors that mean the disk accepts no more.
const WRITING: [std::os::raw::c_int; 8] = [
    ffi::SQLITE_IOERR_WRITE,
    ffi::SQLITE_IOERR_FSYNC,
    ffi::SQLITE_IOERR_DIR_FSYNC,
    ffi::SQLITE_IOERR_TRUNCATE,
    ffi::SQLITE_IOERR_SHMOPEN,
    ffi::SQLITE_IOERR_SHMSIZE,
    ffi::SQLITE_IOERR_SHMMAP,
    ffi::SQLITE_IOERR_CLOSE,
];

pub(super) fn fault(path: &str, error: &Error) -> ArchiveFault {
    let path = path.to_owned();
    let detail = error.to_string();
    let Error::SqliteFailure(failure, _) = error else {
        return match error {
            Error::FromSqlConversionFailure(..)
            | Error::IntegralValueOutOfRange(..)
            | Error::InvalidColumnType(..)
            | Error::Utf8Error(..)
            | Error::QueryReturnedNoRows => ArchiveFault::Damaged { path, detail },
            _ => ArchiveFault::Other { path, detail },
        };
    };
    match failure.code {
        ErrorCode::DatabaseBusy | ErrorCode::DatabaseLocked => ArchiveFault::Locked { path },
        ErrorCode::DiskFull => ArchiveFault::Full { path, detail },
        ErrorCode::SystemIoFailure if WRITING.contains(&failure.extended_code) => {
            ArchiveFault::Full { path, detail }
        }
        ErrorCode::ReadOnly => ArchiveFault::ReadOnly { path },
        ErrorCode::DatabaseCorrupt | ErrorCode::SystemIoFailure => ArchiveFault::Damaged { path, detail },
        ErrorCode::NotADatabase => ArchiveFault::NotAnArchive { path },
        ErrorCode::CannotOpen | ErrorCode::PermissionDenied => ArchiveFault::CannotOpen { path, detail },
        ErrorCode::TooBig => ArchiveFault::TooLarge,
        _ => ArchiveFault::Other { path, detail },
    }
}
