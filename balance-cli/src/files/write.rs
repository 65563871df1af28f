//! Writing files so that they are complete or not there at all.

use std::collections::BTreeSet;
use std::fs::Metadata;
use std::io::{ErrorKind, Write};
use std::path::{Path, PathBuf};
use std::sync::Mutex;
use std::time::{Duration, SystemTime};

use tempfile::{NamedTempFile, TempDir};

use super::disk::{read_bytes, shown_path};
use super::lock::Lock;
use super::problem::Problem;

/// What to do about an existing file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Existing<'a> {
    /// It stays, and nothing is written.
    Keep,
    /// It is replaced.
    Replace,
    /// It is replaced if it still holds these bytes, that is, if no one changed it meanwhile.
    ReplaceIfStill(&'a [u8]),
}

/// Changes a file: reads it (up to a limit in bytes), lets `change` make the new bytes, and writes them in
/// one step. Two programs that change the same file wait for each other.
///
/// # Errors
///
/// An error of `change`, or the file cannot be read or written; it is then unchanged.
pub fn change_file(
    path: &Path,
    most: u64,
    change: impl FnOnce(&[u8]) -> Result<Vec<u8>, Vec<Problem>>,
) -> Result<(), Vec<Problem>> {
    let path = &followed(path);
    let _lock = Lock::take(path)?;
    let before = read_bytes(path, most)?;
    let after = change(&before)?;
    Ok(write_file(path, &after, Existing::ReplaceIfStill(&before))?)
}

/// Writes a file in one step: a temporary file beside it is filled, flushed to the disk and renamed. A link
/// keeps its target; a write-protected file stays as it is.
///
/// # Errors
///
/// A problem of code `file-exists`, `write-protected`, `changed-meanwhile` or `cannot-write`; the old file,
/// if any, is then unchanged.
pub fn write_file(path: &Path, bytes: &[u8], existing: Existing<'_>) -> Result<(), Problem> {
    let path = &followed(path);
    let folder = folder_of(path);
    let failed = |error: &std::io::Error| cannot_write(path, error);
    let before = std::fs::metadata(path).ok();
    if existing == Existing::Keep && before.is_some() {
        return Err(file_exists(path));
    }
    if let Some(before) = &before {
        may_be_replaced(path, before)?;
    }
    clear_left_behind(folder);
    let mut file = temporary(folder, before.as_ref()).map_err(|error| failed(&error))?;
    file.write_all(bytes).map_err(|error| failed(&error))?;
    file.as_file().sync_all().map_err(|error| failed(&error))?;
    match existing {
        Existing::Replace => file.persist(path),
        Existing::Keep => file.persist_noclobber(path),
        Existing::ReplaceIfStill(old) => {
            if !matches!(read_bytes(path, old.len() as u64), Ok(now) if now == old) {
                return Err(changed_meanwhile(path));
            }
            file.persist(path)
        }
    }
    .map_err(|error| failed(&error.error))?;
    sync_folder(folder);
    Ok(())
}

/// A temporary file beside the final one, for code that fills files itself, such as a database; [`give_name`]
/// renames it.
///
/// # Errors
///
/// The folder cannot be written.
pub fn unfinished_beside(path: &Path) -> std::io::Result<NamedTempFile> {
    let folder = folder_of(path);
    clear_left_behind(folder);
    temporary(folder, None)
}

/// Flushes a file to the disk and gives it its name, if that is not taken.
///
/// # Errors
///
/// The name is taken, or the file cannot be flushed to the disk; then the file has no final name.
pub fn give_name(unfinished: NamedTempFile, path: &Path) -> std::io::Result<()> {
    unfinished.as_file().sync_all()?;
    unfinished.persist_noclobber(path).map_err(|error| error.error)?;
    sync_folder(folder_of(path));
    Ok(())
}

/// A temporary folder beside the final one; [`name_folder`] renames it.
///
/// # Errors
///
/// A problem of code `file-exists` or `cannot-write`.
pub fn unfinished_folder(path: &Path) -> Result<TempDir, Problem> {
    if std::fs::symlink_metadata(path).is_ok() {
        return Err(file_exists(path));
    }
    let failed = |error: &std::io::Error| cannot_write(path, error);
    let above = folder_of(path);
    std::fs::create_dir_all(above).map_err(|error| failed(&error))?;
    clear_left_behind(above);
    let folder =
        tempfile::Builder::new().prefix(UNFINISHED).tempdir_in(above).map_err(|error| failed(&error))?;
    usual_rights(folder.path()).map_err(|error| failed(&error))?;
    Ok(folder)
}

/// A folder to work in, inside another; it is gone when it is dropped, and swept away if its maker was killed.
///
/// # Errors
///
/// The folder cannot be written.
pub fn unfinished_inside(folder: &Path) -> std::io::Result<TempDir> {
    clear_left_behind(folder);
    tempfile::Builder::new().prefix(UNFINISHED).tempdir_in(folder)
}

/// Gives a folder its name.
///
/// # Errors
///
/// A problem of code `cannot-write`; then the folder is not there.
pub fn name_folder(unfinished: TempDir, path: &Path) -> Result<(), Problem> {
    std::fs::rename(unfinished.path(), path).map_err(|error| cannot_write(path, &error))?;
    // It has been renamed: there is nothing to clean up.
    let _ = unfinished.keep();
    sync_folder(folder_of(path));
    Ok(())
}

/// The usual rights of a new folder: a temporary one is readable only by its owner.
#[cfg(unix)]
fn usual_rights(folder: &Path) -> std::io::Result<()> {
    // A folder made here shows the user's mask.
    let sample = folder.join("rights");
    std::fs::create_dir(&sample)?;
    let usual = std::fs::metadata(&sample)?.permissions();
    std::fs::remove_dir(&sample)?;
    std::fs::set_permissions(folder, usual)
}

#[cfg(not(unix))]
fn usual_rights(_folder: &Path) -> std::io::Result<()> {
    Ok(())
}

/// Creates a folder, and those above it, if it does not exist.
///
/// # Errors
///
/// It cannot be created.
pub fn folder_for_files(folder: &Path) -> Result<(), Problem> {
    if folder.as_os_str().is_empty() {
        return Ok(());
    }
    std::fs::create_dir_all(folder).map_err(|error| cannot_write(folder, &error))
}

/// Creates a folder that must not exist yet, with the folders above it.
///
/// # Errors
///
/// A problem of code `file-exists` or `cannot-write`.
pub fn make_folder(path: &Path) -> Result<(), Problem> {
    if let Some(above) = path.parent() {
        std::fs::create_dir_all(above).map_err(|error| cannot_write(path, &error))?;
    }
    std::fs::create_dir(path).map_err(|error| cannot_write(path, &error))
}

/// The target of a link: that file is written.
fn followed(path: &Path) -> PathBuf {
    let is_link = std::fs::symlink_metadata(path).is_ok_and(|found| found.is_symlink());
    let behind = if is_link { std::fs::canonicalize(path).ok() } else { None };
    behind.unwrap_or_else(|| path.to_owned())
}

fn folder_of(path: &Path) -> &Path {
    path.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."))
}

/// A write-protected file is not replaced either, even if its folder would allow it.
fn may_be_replaced(path: &Path, before: &Metadata) -> Result<(), Problem> {
    if !before.is_file() {
        return Err(cannot_write(path, &std::io::Error::other("it is not a plain file")));
    }
    let open = || std::fs::File::options().append(true).open(path);
    match if before.permissions().readonly() { Err(ErrorKind::PermissionDenied.into()) } else { open() } {
        Ok(_) => Ok(()),
        Err(error) if error.kind() == ErrorKind::PermissionDenied => {
            let hint = "it was not changed; allow writing, or end the program that has it open";
            let problem = Problem::of_file("write-protected", shown_path(path), "is write-protected");
            Err(problem.hinting(hint.to_owned()))
        }
        Err(error) => Err(cannot_write(path, &error)),
    }
}

/// The name of an unfinished file.
const UNFINISHED: &str = ".balance-";

/// A temporary file beside the final one; it gets the rights of the previous file, or those of any new file.
fn temporary(folder: &Path, before: Option<&Metadata>) -> std::io::Result<NamedTempFile> {
    let mut builder = tempfile::Builder::new();
    builder.prefix(UNFINISHED);
    #[cfg(unix)]
    let builder = {
        use std::os::unix::fs::PermissionsExt;
        // The system reduces these by the user's mask.
        builder.permissions(std::fs::Permissions::from_mode(0o666))
    };
    let file = builder.tempfile_in(folder)?;
    if let Some(before) = before {
        file.as_file().set_permissions(before.permissions())?;
    }
    Ok(file)
}

/// A killed writer leaves its unfinished file. No writer needs an hour. Each folder is searched once.
fn clear_left_behind(folder: &Path) {
    const OLD: Duration = Duration::from_secs(3600);
    static CLEARED: Mutex<BTreeSet<PathBuf>> = Mutex::new(BTreeSet::new());
    if !CLEARED.lock().is_ok_and(|mut cleared| cleared.insert(folder.to_owned())) {
        return;
    }
    let Ok(entries) = std::fs::read_dir(folder) else { return };
    for entry in entries.flatten() {
        if !entry.file_name().to_string_lossy().starts_with(UNFINISHED) {
            continue;
        }
        let Ok(found) = entry.metadata() else { continue };
        let age = found.modified().ok().and_then(|time| SystemTime::now().duration_since(time).ok());
        if age.is_some_and(|age| age > OLD) {
            let path = entry.path();
            let _ = if found.is_dir() { std::fs::remove_dir_all(path) } else { std::fs::remove_file(path) };
        }
    }
}

/// Flushes the new name to the disk where folders can be opened (not on Windows); the file itself is already
/// there.
fn sync_folder(folder: &Path) {
    if let Ok(folder) = std::fs::File::open(folder) {
        let _ = folder.sync_all();
    }
}

/// An existing file, as a problem.
#[must_use]
pub fn file_exists(path: &Path) -> Problem {
    let hint = "it was not changed; choose another name or move it away".to_owned();
    Problem::of_file("file-exists", shown_path(path), "already exists").hinting(hint)
}

fn changed_meanwhile(path: &Path) -> Problem {
    let hint = "it was not changed; try again".to_owned();
    let found = "another program changed it meanwhile";
    Problem::of_file("changed-meanwhile", shown_path(path), found).hinting(hint)
}

/// The system's refusal to write, as a problem.
#[must_use]
pub fn cannot_write(path: &Path, error: &std::io::Error) -> Problem {
    if error.kind() == ErrorKind::AlreadyExists {
        return file_exists(path);
    }
    let found = format!("cannot be written: {error}");
    Problem::of_file("cannot-write", shown_path(path), found).hinting("this file was not changed".to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_is_written_whole_and_never_over_another_unless_told() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("runs.csv");
        write_file(&path, b"one", Existing::Keep).unwrap();
        assert_eq!(write_file(&path, b"two", Existing::Keep).unwrap_err().code, "file-exists");
        assert_eq!(std::fs::read(&path).unwrap(), b"one");
        write_file(&path, b"three", Existing::Replace).unwrap();
        assert_eq!(std::fs::read(&path).unwrap(), b"three");
        assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 1, "no temporary file is left");
    }

    #[test]
    fn a_folder_that_is_not_there_is_a_problem() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("nowhere").join("runs.csv");
        assert_eq!(write_file(&path, b"one", Existing::Keep).unwrap_err().code, "cannot-write");
        let made = folder.path().join("a").join("b");
        make_folder(&made).unwrap();
        assert_eq!(make_folder(&made).unwrap_err().code, "file-exists");
    }
}
