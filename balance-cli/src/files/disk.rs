//! Opening files. Only plain files are read, and only up to a limit.

use std::fs::File;
use std::io::{ErrorKind, Read};
use std::path::{Component, Path};

use super::decode::{is_utf16, without_mark};
use super::limits;
use super::problem::{Fault, Place, Problem, Source};
use crate::clean::one_line;

/// A whole text file in UTF-8.
///
/// # Errors
///
/// A problem of code `no-file`, `cannot-read`, `not-a-file`, `too-large` or `not-utf8`.
pub fn read_text(path: &Path) -> Result<Source, Problem> {
    text_of(shown_path(path), &read_bytes(path, limits::JOB)?)
}

/// A whole file as it is, if it has at most this many bytes.
///
/// # Errors
///
/// A problem of code `no-file`, `cannot-read`, `not-a-file` or `too-large`.
pub fn read_bytes(path: &Path, most: u64) -> Result<Vec<u8>, Problem> {
    let mut bytes = Vec::new();
    // A file may grow while it is being read.
    open(path, most)?.take(most + 1).read_to_end(&mut bytes).map_err(|error| cannot_read(path, &error))?;
    if bytes.len() as u64 > most { Err(too_large(path, bytes.len() as u64, most)) } else { Ok(bytes) }
}

/// The same for a file that a job or shop file names: it has to be in that file's folder or below it, after
/// following links. A report is mailed, and no other file on the disk may get into it.
///
/// # Errors
///
/// As [`read_bytes`], or a problem of code `other-folder`.
pub fn read_below(folder: &Path, name: &str, most: u64) -> Result<Vec<u8>, Problem> {
    let path = folder.join(name);
    let real = |path: &Path| std::fs::canonicalize(path);
    let folder = if folder.as_os_str().is_empty() { Path::new(".") } else { folder };
    let found = real(&path).map_err(|error| cannot_read(&path, &error))?;
    let inside = real(folder).is_ok_and(|folder| found.starts_with(folder));
    if !inside || !is_below(name) {
        let hint = "put a copy beside the file that names it";
        return Err(Problem::of_file("other-folder", shown_path(&path), "is in another folder")
            .hinting(hint.to_owned()));
    }
    read_bytes(&path, most)
}

/// Whether a relative name stays inside its folder: no `..`, no root.
#[must_use]
pub fn is_below(name: &str) -> bool {
    let plain = |part: Component<'_>| matches!(part, Component::Normal(_) | Component::CurDir);
    Path::new(name).components().all(plain)
}

/// Opens a file of at most this many bytes for reading. Pipes and devices are refused: they may have no end,
/// or never begin.
///
/// # Errors
///
/// A problem of code `no-file`, `cannot-read`, `not-a-file` or `too-large`.
pub fn open(path: &Path, most: u64) -> Result<File, Problem> {
    let found = std::fs::metadata(path).map_err(|error| cannot_read(path, &error))?;
    if !found.is_file() {
        let what = if found.is_dir() { "is a folder" } else { "is a pipe or a device" };
        let problem = Problem::of_file("not-a-file", shown_path(path), what).allowing("a plain file");
        return Err(
            problem.hinting("name the file itself; save the output of a pipe in a file first".to_owned())
        );
    }
    if found.len() > most {
        return Err(too_large(path, found.len(), most));
    }
    File::open(path).map_err(|error| cannot_read(path, &error))
}

/// Opens a recording, which may be of any size and is read once: a plain file, or a named pipe.
///
/// # Errors
///
/// A problem of code `no-file`, `cannot-read` or `not-a-file`.
pub fn open_stream(path: &Path) -> Result<File, Problem> {
    let found = std::fs::metadata(path).map_err(|error| cannot_read(path, &error))?;
    if !found.is_file() && !is_pipe(&found) {
        let what = if found.is_dir() { "is a folder" } else { "is a device" };
        let problem = Problem::of_file("not-a-file", shown_path(path), what).allowing("a file or a pipe");
        return Err(problem.hinting("name the recording itself, or - for standard input".to_owned()));
    }
    File::open(path).map_err(|error| cannot_read(path, &error))
}

#[cfg(unix)]
fn is_pipe(found: &std::fs::Metadata) -> bool {
    use std::os::unix::fs::FileTypeExt as _;
    found.file_type().is_fifo()
}

#[cfg(not(unix))]
fn is_pipe(_: &std::fs::Metadata) -> bool {
    false
}

fn too_large(path: &Path, found: u64, most: u64) -> Problem {
    Problem::of_file("too-large", shown_path(path), format!("has {found} bytes or more"))
        .allowing(format!("{most} bytes"))
        .hinting("is this the file you mean?".to_owned())
}

/// A path as shown in messages: with `/`, the same on every system.
#[must_use]
pub fn shown_path(path: &Path) -> String {
    one_line(&path.display().to_string().replace('\\', "/")).into_owned()
}

/// The text of a file's bytes; `name` is its name in messages.
///
/// # Errors
///
/// A problem of code `not-utf8`.
pub(super) fn text_of(name: String, bytes: &[u8]) -> Result<Source, Problem> {
    match std::str::from_utf8(without_mark(bytes)) {
        Ok(text) => Ok(Source::new(name, text)),
        Err(error) => {
            let good = String::from_utf8_lossy(&bytes[..error.valid_up_to().min(bytes.len())]);
            let line = good.matches('\n').count() as u64 + 1;
            let place = Place::cell(&name, line, None);
            let what = if is_utf16(bytes) { "text in UTF-16" } else { "a byte that is not UTF-8" };
            let hint = "save the file as UTF-8 in the editor";
            Err(Fault::new("not-utf8", what, "text in UTF-8", hint).at(place))
        }
    }
}

fn cannot_read(path: &Path, error: &std::io::Error) -> Problem {
    let name = shown_path(path);
    match error.kind() {
        ErrorKind::NotFound => Problem::of_file("no-file", name, "there is no such file")
            .hinting("are the name and the folder right?".to_owned()),
        _ => Problem::of_file("cannot-read", name, format!("cannot be read: {error}"))
            .hinting("is it a file, and may you read it?".to_owned()),
    }
}
