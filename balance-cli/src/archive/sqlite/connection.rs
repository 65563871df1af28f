//! Opening the file.

use std::io::ErrorKind;
use std::path::{Path, PathBuf};
use std::time::Duration;

use rusqlite::backup::Backup;
use rusqlite::config::DbConfig;
use rusqlite::{Connection, Error, OpenFlags};

use super::super::ArchiveFault;
use super::fault::fault;
use super::migrate::{Kind, NEWEST, give_room_back, kind, migrate};
use crate::clean::one_line;
use crate::files::write::{give_name, unfinished_beside};

/// How an archive is opened.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Opening {
    /// How long to wait while another stand writes.
    pub wait: Duration,
    /// Largest size of the file in pages of 4096 bytes; `None`: as large as the disk allows.
    pub most_pages: Option<u32>,
}

impl Default for Opening {
    fn default() -> Self {
        Self { wait: Duration::from_secs(20), most_pages: None }
    }
}

/// An archive in a SQLite file. Several programs on one computer may have it open at once.
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
    /// Opens the archive to add to it; creates it, with its folder, if it is not there. One of an older layout is
    /// brought to the newest in one step: ended in the middle it still has the older one.
    ///
    /// # Errors
    ///
    /// [`ArchiveFault`]: locked, full, write-protected, damaged, empty, from a newer program, not an archive.
    pub fn open_or_create(path: &Path, opening: Opening) -> Result<Self, ArchiveFault> {
        Self::open_or_create_telling(path, opening, &mut |_, _| {})
    }

    /// The same; while an older archive is brought to the newest layout, `progress` hears how many of how many
    /// stored files are done.
    ///
    /// # Errors
    ///
    /// As [`SqliteArchive::open_or_create`].
    pub fn open_or_create_telling(
        path: &Path,
        opening: Opening,
        progress: &mut dyn FnMut(u64, u64),
    ) -> Result<Self, ArchiveFault> {
        let path = &whole_path(path)?;
        match std::fs::metadata(path) {
            Ok(found) if found.len() == 0 => return Err(ArchiveFault::Empty { path: shown(path) }),
            Ok(_) => {}
            Err(_) => make(path, opening)?,
        }
        let mut opened = Self::with_flags(path, opening, OpenFlags::SQLITE_OPEN_READ_WRITE)?;
        if opened.layout()? < NEWEST
            && migrate(&mut opened.connection, progress).map_err(|error| opened.fault(&error))?
        {
            give_room_back(&opened.connection);
        }
        Ok(opened)
    }

    /// Opens an existing archive for reading: nothing can be written through it. An archive on a
    /// write-protected disk can be read too.
    ///
    /// # Errors
    ///
    /// [`ArchiveFault::Missing`], and as for [`SqliteArchive::open_or_create`].
    pub fn open(path: &Path, opening: Opening) -> Result<Self, ArchiveFault> {
        let path = &whole_path(path)?;
        match std::fs::metadata(path) {
            Ok(found) if found.len() == 0 => return Err(ArchiveFault::Empty { path: shown(path) }),
            Ok(_) => {}
            Err(_) => return Err(ArchiveFault::Missing { path: shown(path) }),
        }
        // When opened for writing, the database deletes its side files when it is closed.
        let opened = Self::with_flags(path, opening, OpenFlags::SQLITE_OPEN_READ_WRITE)
            .or_else(|fault| {
                if_protected(fault, || Self::with_flags(path, opening, OpenFlags::SQLITE_OPEN_READ_ONLY))
            })
            .or_else(|fault| if_protected(fault, || Self::open_unchanging(path, opening)))?;
        // An older layout is read as it is: only adding brings it to the newest.
        let only_read = opened.connection.pragma_update(None, "query_only", true);
        only_read.map_err(|error| opened.fault(&error))?;
        Ok(opened)
    }

    /// On a write-protected disk the database cannot keep its side files: it is read as a file that does not
    /// change. Records that are still in its log would be missed, so in that case it is not read at all.
    fn open_unchanging(path: &Path, opening: Opening) -> Result<Self, ArchiveFault> {
        let mut log = path.as_os_str().to_owned();
        log.push("-wal");
        if std::fs::metadata(log).is_ok_and(|log| log.len() > 0) {
            return Err(ArchiveFault::LogLeft { path: shown(path) });
        }
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
        let name = shown(path);
        let translate = |error: Error| fault(&name, &error);
        let connection = opened.map_err(translate)?;
        connection.busy_timeout(opening.wait).map_err(translate)?;
        settings(&connection, opening).map_err(translate)?;
        match kind(&connection).map_err(translate)? {
            Kind::Foreign => Err(ArchiveFault::NotAnArchive { path: name }),
            Kind::Empty => Err(ArchiveFault::Empty { path: name }),
            Kind::Archive(found) if found > NEWEST => {
                Err(ArchiveFault::NewerVersion { path: name, found, known: NEWEST })
            }
            Kind::Archive(_) => Ok(Self { connection, path: path.to_owned() }),
        }
    }

    /// The layout of an archive that does not come from a newer program.
    fn layout(&self) -> Result<i64, ArchiveFault> {
        match kind(&self.connection).map_err(|error| self.fault(&error))? {
            Kind::Archive(layout) => Ok(layout),
            Kind::Empty | Kind::Foreign => Err(ArchiveFault::NotAnArchive { path: shown(&self.path) }),
        }
    }

    /// The archive's file.
    #[must_use]
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// Copies the whole archive into a new file while stands keep using it. The copy gets its name when it is
    /// complete.
    ///
    /// # Errors
    ///
    /// [`ArchiveFault::CopyExists`], or another [`ArchiveFault`] about the copy; then there is no copy.
    pub fn back_up(&self, into: &Path) -> Result<(), ArchiveFault> {
        let into = &whole_path(into)?;
        if std::fs::symlink_metadata(into).is_ok() {
            return Err(ArchiveFault::CopyExists { path: shown(into) });
        }
        new_file(into, |copy| {
            let translate = |error: Error| fault(&shown(into), &error);
            let mut connection =
                Connection::open_with_flags(copy, OpenFlags::SQLITE_OPEN_READ_WRITE).map_err(translate)?;
            // In one step: a snapshot of the archive, for which no writer has to wait.
            Backup::new(&self.connection, &mut connection)
                .and_then(|backup| backup.run_to_completion(i32::MAX, PAUSE, None))
                .map_err(translate)?;
            // A copy is a single file, so that it can be moved and read anywhere.
            connection.pragma_update_and_check(None, "journal_mode", "DELETE", |_| Ok(())).map_err(translate)
        })
    }

    pub(super) fn fault(&self, error: &Error) -> ArchiveFault {
        fault(&shown(&self.path), error)
    }
}

const PAUSE: Duration = Duration::from_millis(20);

fn shown(path: &Path) -> String {
    one_line(&path.display().to_string()).into_owned()
}

/// The path from the root on, so that the database never gets a name with a special meaning, such as
/// `:memory:` or `file:…`.
fn whole_path(path: &Path) -> Result<PathBuf, ArchiveFault> {
    std::path::absolute(path)
        .map_err(|error| ArchiveFault::CannotOpen { path: shown(path), detail: error.to_string() })
}

fn if_protected<T>(
    fault: ArchiveFault,
    other: impl FnOnce() -> Result<T, ArchiveFault>,
) -> Result<T, ArchiveFault> {
    match fault {
        ArchiveFault::CannotOpen { .. } | ArchiveFault::ReadOnly { .. } => other(),
        fault => Err(fault),
    }
}

/// Creates an empty archive. If another stand creates it at the same moment, that one is used.
fn make(path: &Path, opening: Opening) -> Result<(), ArchiveFault> {
    let cannot =
        |error: &std::io::Error| ArchiveFault::CannotOpen { path: shown(path), detail: error.to_string() };
    if let Some(folder) = path.parent() {
        std::fs::create_dir_all(folder).map_err(|error| cannot(&error))?;
    }
    let made = new_file(path, |file| {
        let translate = |error: Error| fault(&shown(path), &error);
        let flags = OpenFlags::SQLITE_OPEN_READ_WRITE;
        let mut connection = Connection::open_with_flags(file, flags).map_err(translate)?;
        settings(&connection, opening).map_err(translate)?;
        migrate(&mut connection, &mut |_, _| {}).map_err(translate)?;
        // This comes last: later writes go into a log beside the file, which keeps the unfinished name.
        connection.pragma_update_and_check(None, "journal_mode", "WAL", |_| Ok(())).map_err(translate)?;
        connection.close().map_err(|(_, error)| translate(error))
    });
    match made {
        Err(ArchiveFault::CopyExists { .. }) => Ok(()),
        other => other,
    }
}

/// Fills a file beside the new one and renames it when it is complete and on the disk.
fn new_file(path: &Path, fill: impl FnOnce(&Path) -> Result<(), ArchiveFault>) -> Result<(), ArchiveFault> {
    let cannot = |error: &std::io::Error| match error.kind() {
        ErrorKind::AlreadyExists => ArchiveFault::CopyExists { path: shown(path) },
        ErrorKind::StorageFull | ErrorKind::QuotaExceeded => {
            ArchiveFault::Full { path: shown(path), detail: error.to_string() }
        }
        _ => ArchiveFault::CannotOpen { path: shown(path), detail: error.to_string() },
    };
    let unfinished = unfinished_beside(path).map_err(|error| cannot(&error))?;
    fill(unfinished.path())?;
    give_name(unfinished, path).map_err(|error| cannot(&error))
}

fn settings(connection: &Connection, opening: Opening) -> rusqlite::Result<()> {
    connection.set_prepared_statement_cache_capacity(64);
    connection.execute_batch(
        "PRAGMA foreign_keys = ON; PRAGMA synchronous = FULL; PRAGMA fullfsync = ON;
         PRAGMA checkpoint_fullfsync = ON; PRAGMA recursive_triggers = ON; PRAGMA cell_size_check = ON;
         PRAGMA cache_size = -65536; PRAGMA temp_store = MEMORY; PRAGMA trusted_schema = OFF;",
    )?;
    // A file made by someone else cannot reach beyond its own tables.
    connection.set_db_config(DbConfig::SQLITE_DBCONFIG_DEFENSIVE, true)?;
    if let Some(pages) = opening.most_pages {
        connection.pragma_update_and_check(None, "max_page_count", pages, |_| Ok(()))?;
    }
    Ok(())
}
