//! Opening files.

use std::fs::File;
use std::io::ErrorKind;
use std::path::Path;

use super::decode::{is_utf16, without_mark};
use super::problem::{Fault, Place, Problem, Source};

/// The largest job or shop file that is read, in bytes: far more than anyone writes.
const LARGEST_TEXT: u64 = 16 * 1024 * 1024;

/// A whole text file in UTF-8.
///
/// # Errors
///
/// A problem of code `no-file`, `cannot-read`, `too-large` or `not-utf8`.
pub fn read_text(path: &Path) -> Result<Source, Problem> {
    let name = shown_path(path);
    let size = std::fs::metadata(path).map_err(|error| cannot_read(path, &error))?.len();
    if size > LARGEST_TEXT {
        let found = format!("the file has {size} bytes");
        let problem = Problem::of_file("too-large", name, found).allowing(format!("{LARGEST_TEXT} bytes"));
        return Err(problem.hinting("is this a job file?".to_owned()));
    }
    let bytes = std::fs::read(path).map_err(|error| cannot_read(path, &error))?;
    text_of(name, &bytes)
}

/// A whole file as it is.
///
/// # Errors
///
/// A problem of code `no-file` or `cannot-read`.
pub fn read_bytes(path: &Path) -> Result<Vec<u8>, Problem> {
    std::fs::read(path).map_err(|error| cannot_read(path, &error))
}

/// Opens a file for reading.
///
/// # Errors
///
/// A problem of code `no-file` or `cannot-read`.
pub fn open(path: &Path) -> Result<File, Problem> {
    File::open(path).map_err(|error| cannot_read(path, &error))
}

/// A path as messages show it: with `/`, the same on every system.
#[must_use]
pub fn shown_path(path: &Path) -> String {
    path.display().to_string().replace('\\', "/")
}

fn text_of(name: String, bytes: &[u8]) -> Result<Source, Problem> {
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
            .hinting("is the name right, and the folder?".to_owned()),
        _ => Problem::of_file("cannot-read", name, format!("cannot be read: {error}"))
            .hinting("is it a file, and may you read it?".to_owned()),
    }
}
