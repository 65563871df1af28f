//! Opening the file.

use std::path::{Path, PathBuf};
use std::time::Duration;

use rusqlite::{Connection, Error, ErrorCode, OpenFlags};

use super::super::ArchiveFault;
use super::fault::fault;
use super::migrate::{Kind, NEWEST, kind, migrate};

/// How an archive is opened.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Opening {
    /// How long to wait while another stand writes.
    pub wait: Duration,
    /// Largest size of the file in pages of 4096 bytes; `None`: as large as the disk lets it.
    pub most_pages: Option<u32>,
}

impl Default for Opening {
    fn default() -> Self {
        Self { wait: Duration::from_secs(20), most_pages: None }
    }
}

/// An archive in a SQLite file. Several programs, on one computer, may have it open at once.
///
/// ```
/// # fn main() -> Result<(), Box<dyn std::error::Error>> {
/// use balance_cli::archive::{Added, Archive, NewRecord, Opening, Query, SqliteArchive};
/// let folder = tempfile::tempdir()?;
/// let mut archive = SqliteArchive::open_or_create(&folder.path().join("archive.sqlite"), Opening::default())?;
/// let record = NewRecord {
///     number: "WP-0417".into(), unit: "rotary snow blower 3".into(), made_at: "2031-01-07T09:30:00Z".into(),
///     ..NewRecord::default()
/// };
/// assert_eq!(archive.add(&record)?, Added::Stored(1));
/// assert_eq!(archive.add(&record)?, Added::AlreadyThere(1));
/// assert_eq!(archive.find(&Query::of(&["blower", "2031"]), 10)?[0].number, "WP-0417");
/// assert!(archive.check()?.faults.is_empty());
/// # Ok(())
/// # }
/// ```
#[derive(Debug)]
pub struct SqliteArchive {
    pub(super) connection: Connection,
    path: PathBuf,
}

impl SqliteArchive {
    /// Opens the archive; makes it, with its folder, if it is not there.
    ///
    /// # Errors
    ///
    /// [`ArchiveFault`]: locked, full, write-protected, damaged, from a newer program, not an archive.
    pub fn open_or_create(path: &Path, opening: Opening) -> Result<Self, ArchiveFault> {
        if let Some(folder) = path.parent().filter(|folder| !folder.as_os_str().is_empty()) {
            std::fs::create_dir_all(folder).map_err(|error| ArchiveFault::CannotOpen {
                path: path.display().to_string(),
                detail: error.to_string(),
            })?;
        }
        Self::with_flags(path, opening, OpenFlags::SQLITE_OPEN_READ_WRITE | OpenFlags::SQLITE_OPEN_CREATE)
    }

    /// Opens an archive that is there already; one on a write-protected disk can be read.
    ///
    /// # Errors
    ///
    /// [`ArchiveFault::Missing`], and as for [`SqliteArchive::open_or_create`].
    pub fn open(path: &Path, opening: Opening) -> Result<Self, ArchiveFault> {
        if !path.exists() {
            return Err(ArchiveFault::Missing { path: path.display().to_string() });
        }
        match Self::with_flags(path, opening, OpenFlags::SQLITE_OPEN_READ_WRITE) {
            Err(ArchiveFault::CannotOpen { .. } | ArchiveFault::ReadOnly { .. }) => {
                Self::open_unchanging(path, opening)
            }
            other => other,
        }
    }

    /// On a write-protected disk the database cannot keep its side files: it is read as a file that nobody changes.
    fn open_unchanging(path: &Path, opening: Opening) -> Result<Self, ArchiveFault> {
        let mut escaped = String::from("file:");
        for byte in path.to_string_lossy().bytes() {
            match byte {
                b'A'..=b'Z' | b'a'..=b'z' | b'0'..=b'9' | b'/' | b'.' | b'-' | b'_' | b':' | b'\\' => {
                    escaped.push(char::from(byte));
                }
                _ => escaped.push_str(&format!("%{byte:02X}")),
            }
        }
        escaped.push_str("?immutable=1");
        let flags = OpenFlags::SQLITE_OPEN_READ_ONLY | OpenFlags::SQLITE_OPEN_URI;
        Self::prepare(Connection::open_with_flags(escaped, flags), path, opening)
    }

    fn with_flags(path: &Path, opening: Opening, flags: OpenFlags) -> Result<Self, ArchiveFault> {
        Self::prepare(Connection::open_with_flags(path, flags), path, opening)
    }

    fn prepare(
        opened: rusqlite::Result<Connection>,
        path: &Path,
        opening: Opening,
    ) -> Result<Self, ArchiveFault> {
        let name = path.display().to_string();
        let translate = |error: Error| fault(&name, &error);
        let mut connection = opened.map_err(translate)?;
        connection.busy_timeout(opening.wait).map_err(translate)?;
        settings(&connection, opening).map_err(translate)?;
        // In one transaction: another stand may be making the archive this very moment.
        let found = connection.unchecked_transaction().and_then(|moment| kind(&moment));
        match found.map_err(translate)? {
            Kind::Foreign => return Err(ArchiveFault::NotAnArchive { path: name }),
            Kind::Archive(found) if found > NEWEST => {
                return Err(ArchiveFault::NewerVersion { path: name, found, known: NEWEST });
            }
            Kind::Archive(NEWEST) => {}
            Kind::Empty | Kind::Archive(_) => {
                write_ahead(&connection, opening.wait).map_err(translate)?;
                migrate(&mut connection).map_err(translate)?;
            }
        }
        Ok(Self { connection, path: path.to_owned() })
    }

    /// The archive's file.
    #[must_use]
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// Copies the whole archive into another file while stands go on using it.
    ///
    /// # Errors
    ///
    /// [`ArchiveFault`] about the copy.
    pub fn back_up(&self, into: &Path) -> Result<(), ArchiveFault> {
        let translate = |error: Error| fault(&into.display().to_string(), &error);
        self.connection.backup("main", into, None::<fn(rusqlite::backup::Progress)>).map_err(translate)
    }

    pub(super) fn fault(&self, error: &Error) -> ArchiveFault {
        fault(&self.path.display().to_string(), error)
    }
}

fn settings(connection: &Connection, opening: Opening) -> rusqlite::Result<()> {
    connection.set_prepared_statement_cache_capacity(64);
    connection.execute_batch(
        "PRAGMA foreign_keys = ON; PRAGMA synchronous = FULL; PRAGMA fullfsync = ON;
         PRAGMA checkpoint_fullfsync = ON; PRAGMA recursive_triggers = ON; PRAGMA cell_size_check = ON;
         PRAGMA cache_size = -65536;",
    )?;
    if let Some(pages) = opening.most_pages {
        connection.pragma_update_and_check(None, "max_page_count", pages, |_| Ok(()))?;
    }
    Ok(())
}

/// Turns on the write-ahead log, so that readers and a writer do not block each other. The database does not wait its
/// turn for this by itself, so we do.
fn write_ahead(connection: &Connection, wait: Duration) -> rusqlite::Result<()> {
    const PAUSE: Duration = Duration::from_millis(20);
    let mut waited = Duration::ZERO;
    loop {
        match connection.pragma_update_and_check(None, "journal_mode", "WAL", |_| Ok(())) {
            Err(Error::SqliteFailure(failure, _))
                if failure.code == ErrorCode::DatabaseBusy && waited < wait =>
            {
                std::thread::sleep(PAUSE);
                waited += PAUSE;
            }
            other => return other,
        }
    }
}
