//! One writer at a time.

use std::ffi::OsString;
use std::fs::{File, TryLockError};
use std::io::ErrorKind;
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use super::disk::shown_path;
use super::problem::Problem;
use super::write::cannot_write;

/// How long to wait for another program, which only writes a file.
const WAIT: Duration = Duration::from_secs(10);
const PAUSE: Duration = Duration::from_millis(5);

/// Held while a file is read, changed and written. If a program is killed, the system releases its lock.
#[derive(Debug)]
pub(super) struct Lock {
    path: PathBuf,
    /// The lock is on this open file.
    _file: File,
}

impl Lock {
    /// Waits until no other program is changing this file.
    ///
    /// # Errors
    ///
    /// A problem of code `in-use` or `cannot-write`.
    pub(super) fn take(locked: &Path) -> Result<Self, Problem> {
        let path = lock_file(locked);
        let end = Instant::now() + WAIT;
        loop {
            let file = File::options().write(true).create(true).truncate(false).open(&path);
            let file = file.map_err(|error| cannot_write(locked, &error))?;
            match file.try_lock() {
                Ok(()) if is_there_still(&file, &path) => return Ok(Self { path, _file: file }),
                // The previous owner deleted the lock file: make another.
                Ok(()) => {}
                // On a file system without locks, a change made meanwhile is still noticed before the file is
                // replaced.
                Err(TryLockError::Error(error)) if error.kind() == ErrorKind::Unsupported => {
                    return Ok(Self { path, _file: file });
                }
                Err(TryLockError::Error(error)) => return Err(cannot_write(locked, &error)),
                Err(TryLockError::WouldBlock) if Instant::now() > end => return Err(in_use(locked)),
                Err(TryLockError::WouldBlock) => std::thread::sleep(PAUSE),
            }
        }
    }
}

impl Drop for Lock {
    fn drop(&mut self) {
        // On other systems an open file that lost its name cannot be recognised, so the lock file stays.
        if cfg!(unix) {
            let _ = std::fs::remove_file(&self.path);
        }
    }
}

fn lock_file(locked: &Path) -> PathBuf {
    let mut name = OsString::from(".lock-");
    name.push(locked.file_name().unwrap_or_default());
    locked.with_file_name(name)
}

#[cfg(unix)]
fn is_there_still(file: &File, path: &Path) -> bool {
    use std::os::unix::fs::MetadataExt;
    let place =
        |found: std::io::Result<std::fs::Metadata>| found.ok().map(|found| (found.dev(), found.ino()));
    let named = place(std::fs::metadata(path));
    named.is_some() && named == place(file.metadata())
}

#[cfg(not(unix))]
fn is_there_still(_file: &File, _path: &Path) -> bool {
    true
}

fn in_use(locked: &Path) -> Problem {
    let found = format!("another program has been changing it for {} s", WAIT.as_secs());
    let hint = "it was not changed; end the other program, then try again";
    Problem::of_file("in-use", shown_path(locked), found).hinting(hint.to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_at_a_time_and_nothing_is_left() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("runs.csv");
        let count = |rounds: usize| {
            for _ in 0..rounds {
                let _lock = Lock::take(&path).unwrap();
                let before: u32 = std::fs::read_to_string(&path).map_or(0, |text| text.parse().unwrap());
                std::fs::write(&path, (before + 1).to_string()).unwrap();
            }
        };
        std::thread::scope(|threads| {
            for _ in 0..8 {
                threads.spawn(|| count(50));
            }
        });
        assert_eq!(std::fs::read_to_string(&path).unwrap(), "400");
        assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 1, "the lock file is gone");
    }
}
