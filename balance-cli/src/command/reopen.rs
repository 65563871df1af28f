//! `balance reopen`: a report's files in a new folder, byte for byte.

use std::path::{Path, PathBuf};

use super::each::refuse;
use crate::args::ReopenArguments;
use crate::exit::Exit;
use crate::files::job::{JOB_FILE, RUNS_FILE};
use crate::files::write::{Existing, name_folder, unfinished_folder, write_file};
use crate::files::{Problem, limits, read_bytes, shown_path};
use crate::report::{FileInside, files_inside};
use crate::streams::Streams;

/// What the digests prove.
const DIGESTS: &str = "Every file agrees with its digest: nothing was damaged or changed by mistake. This \
                      is not proof against forgery: anyone who changes a file on purpose can change its \
                      digest too.";

pub fn run(arguments: &ReopenArguments, quiet: bool, streams: &mut Streams<'_>) -> std::io::Result<Exit> {
    let files = match reopen(&arguments.report, &arguments.folder) {
        Ok(files) => files,
        Err(problems) => return refuse(&problems, streams),
    };
    if quiet {
        return Ok(Exit::Done);
    }
    for file in &files {
        writeln!(streams.answer, "{}", shown_path(file))?;
    }
    writeln!(streams.answer, "{DIGESTS}")?;
    let has = |name: &str| files.iter().any(|file| file.file_name().is_some_and(|own| own == name));
    if has(JOB_FILE) && has(RUNS_FILE) {
        writeln!(streams.answer, "NEXT  balance verify {}", shown_path(&arguments.folder))?;
    }
    Ok(Exit::Done)
}

/// Writes the files of a report into a new folder: all of them, or none.
fn reopen(report: &Path, folder: &Path) -> Result<Vec<PathBuf>, Vec<Problem>> {
    let files = files_of(report)?;
    let unfinished = unfinished_folder(folder)?;
    write_into(&files, unfinished.path())?;
    name_folder(unfinished, folder)?;
    Ok(files.iter().map(|file| folder.join(&file.name)).collect())
}

/// The files inside a report.
///
/// # Errors
///
/// It cannot be read, contains no files, or one of them does not agree with its digest.
pub fn files_of(report: &Path) -> Result<Vec<FileInside>, Vec<Problem>> {
    let bytes = read_bytes(report, limits::REPORT)?;
    files_inside(&shown_path(report), &String::from_utf8_lossy(&bytes))
}

/// Writes files into a folder that contains none of these names.
///
/// # Errors
///
/// One cannot be written.
pub fn write_into(files: &[FileInside], folder: &Path) -> Result<(), Vec<Problem>> {
    for file in files {
        write_file(&folder.join(&file.name), &file.bytes, Existing::Keep)?;
    }
    Ok(())
}
