//! A file or folder shown by the system's own viewer.

use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use crate::files::{Problem, shown_path};

/// The system's own way to open a file: freedesktop.org's `xdg-open`, macOS's `open`, Windows' Explorer (`start` is a
/// command of its shell, which would read signs in a folder's name as commands).
const OPENER: &str = if cfg!(target_os = "macos") {
    "open"
} else if cfg!(windows) {
    "explorer"
} else {
    "xdg-open"
};

/// How long an opener may take to say that it cannot.
const PATIENCE: Duration = Duration::from_secs(2);

/// Shows the one file of a result, or its folder if there are several.
///
/// # Errors
///
/// The machine has no program that opens files, or it reports an error at once.
pub fn show_all(files: &[PathBuf], folder: &Path) -> Result<(), Problem> {
    match files {
        [] => Ok(()),
        [file] => show(file),
        _ if folder.as_os_str().is_empty() => show(Path::new(".")),
        _ => show(folder),
    }
}

/// Shows a file or a folder and does not wait until the viewer is closed.
///
/// # Errors
///
/// There is no such program on this machine, or it reports an error at once.
fn show(path: &Path) -> Result<(), Problem> {
    // The whole path does not begin with a dash, so it cannot be mistaken for an option.
    let whole = std::path::absolute(path).unwrap_or_else(|_| path.to_owned());
    let cannot = |why: String| {
        Problem::of_file("cannot-open", shown_path(path), format!("it is written, but {why}"))
            .hinting("open it by hand".to_owned())
    };
    let started = Command::new(OPENER)
        .arg(&whole)
        .stdin(Stdio::null())
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn();
    let mut viewer = started.map_err(|error| cannot(format!("{OPENER} cannot be started: {error}")))?;
    let begin = Instant::now();
    while begin.elapsed() < PATIENCE {
        match viewer.try_wait() {
            Ok(None) => std::thread::sleep(Duration::from_millis(20)),
            // Explorer ends with 1 although it shows the file.
            Ok(Some(end)) if end.success() || cfg!(windows) => return Ok(()),
            Ok(Some(end)) => return Err(cannot(format!("{OPENER} could not show it ({end})"))),
            Err(error) => return Err(cannot(format!("{OPENER} cannot be heard: {error}"))),
        }
    }
    Ok(())
}
