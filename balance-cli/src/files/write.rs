//! Writing files so that they are whole or not there at all.

use std::io::{ErrorKind, Write};
use std::path::Path;

use tempfile::NamedTempFile;

use super::disk::shown_path;
use super::problem::Problem;

/// What to do about a file that is there already.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Existing {
    /// It stays, and nothing is written.
    Keep,
    /// It is replaced.
    Replace,
}

/// Writes a file in one step: a temporary file beside it is filled, brought to the disk and given the name.
///
/// # Errors
///
/// A problem of code `file-exists` or `cannot-write`; the old file, if any, is then as it was.
pub fn write_file(path: &Path, bytes: &[u8], existing: Existing) -> Result<(), Problem> {
    let folder = match path.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder,
        _ => Path::new("."),
    };
    let failed = |error: &std::io::Error| cannot_write(path, error);
    if existing == Existing::Keep && path.exists() {
        return Err(file_exists(path));
    }
    let mut file =
        tempfile::Builder::new().prefix(".balance-").tempfile_in(folder).map_err(|error| failed(&error))?;
    file.write_all(bytes).map_err(|error| failed(&error))?;
    keep_permissions(path, &file).map_err(|error| failed(&error))?;
    file.as_file().sync_all().map_err(|error| failed(&error))?;
    match existing {
        Existing::Replace => file.persist(path),
        Existing::Keep => file.persist_noclobber(path),
    }
    .map_err(|error| failed(&error.error))?;
    sync_folder(folder);
    Ok(())
}

/// Makes a folder that must not be there yet, with the folders above it.
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

/// A temporary file is for its owner alone; the file that it becomes is as readable as the one before, or as any other.
fn keep_permissions(path: &Path, file: &NamedTempFile) -> std::io::Result<()> {
    if let Ok(before) = std::fs::metadata(path) {
        return file.as_file().set_permissions(before.permissions());
    }
    usual_permissions(file)
}

#[cfg(unix)]
fn usual_permissions(file: &NamedTempFile) -> std::io::Result<()> {
    use std::os::unix::fs::PermissionsExt;
    file.as_file().set_permissions(std::fs::Permissions::from_mode(0o644))
}

#[cfg(not(unix))]
fn usual_permissions(_file: &NamedTempFile) -> std::io::Result<()> {
    Ok(())
}

/// Brings the new name to the disk where folders can be opened (not on Windows); the file itself is there already.
fn sync_folder(folder: &Path) {
    if let Ok(folder) = std::fs::File::open(folder) {
        let _ = folder.sync_all();
    }
}

fn file_exists(path: &Path) -> Problem {
    let hint = "nothing was written; choose another name or move it away".to_owned();
    Problem::of_file("file-exists", shown_path(path), "is there already").hinting(hint)
}

fn cannot_write(path: &Path, error: &std::io::Error) -> Problem {
    if error.kind() == ErrorKind::AlreadyExists {
        return file_exists(path);
    }
    let found = format!("cannot be written: {error}");
    Problem::of_file("cannot-write", shown_path(path), found).hinting("nothing was changed".to_owned())
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
