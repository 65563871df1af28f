//! Importing a folder of old jobs, and reports that contain their job's files.

use std::io::Read as _;
use std::path::{Path, PathBuf};

use super::operations::Added;
use super::{Archive, ArchiveFault, NewRecord};
use crate::files::MADE_BY;

/// Files that mark a folder as a job.
const JOB_FILES: [&str; 2] = ["job.toml", "runs.csv"];

/// The result for one folder or report.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum ImportStep {
    /// It is now a record, or already was one.
    Added(Added),
    /// No record could be made from it, and why.
    NotAJob(String),
}

/// The result of an import.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct ImportReport {
    /// Records newly stored.
    pub stored: usize,
    /// Jobs that were already there.
    pub already_there: usize,
    /// Folders and reports from which no record could be made, and why.
    pub not_taken: Vec<(PathBuf, String)>,
}

/// Imports every job folder under `root`, in the order of their names, and every report outside them: the
/// report in a job's folder belongs to that job. `root` may be a report itself.
///
/// Each record is stored separately: an interrupted import continues where it was when it is started again,
/// and a repeated one stores nothing twice. `make` turns a folder or a report into a record (or says why
/// not); `progress` is called for every folder with its number, the total and the result.
///
/// # Errors
///
/// [`ArchiveFault`] if the folder cannot be read or the archive accepts no more; what was stored until then
/// stays.
pub fn import(
    archive: &mut dyn Archive,
    root: &Path,
    make: &mut dyn FnMut(&Path) -> Result<NewRecord, String>,
    progress: &mut dyn FnMut(usize, usize, &Path, &ImportStep),
) -> Result<ImportReport, ArchiveFault> {
    let (found, closed) = if root.is_file() { (vec![root.to_owned()], Vec::new()) } else { jobs(root)? };
    let mut report = ImportReport { not_taken: closed, ..ImportReport::default() };
    for (at, job) in found.iter().enumerate() {
        let step = match make(job) {
            Ok(record) => ImportStep::Added(archive.add(&record)?),
            Err(reason) => ImportStep::NotAJob(reason),
        };
        progress(at + 1, found.len(), job, &step);
        match step {
            ImportStep::Added(Added::Stored(_)) => report.stored += 1,
            ImportStep::Added(Added::AlreadyThere(_)) => report.already_there += 1,
            ImportStep::NotAJob(reason) => report.not_taken.push((job.clone(), reason)),
        }
    }
    Ok(report)
}

/// Folders that could not be read, each with the reason.
type Closed = Vec<(PathBuf, String)>;

/// Every folder that holds a job file, from `root` downwards, and every report elsewhere, in the order of
/// their names; and those folders that could not be read. Links to folders are not followed.
fn jobs(root: &Path) -> Result<(Vec<PathBuf>, Closed), ArchiveFault> {
    let (mut found, mut closed) = (Vec::new(), Vec::new());
    let mut waiting = vec![root.to_owned()];
    while let Some(folder) = waiting.pop() {
        let is_job = JOB_FILES.iter().any(|file| folder.join(file).is_file());
        match inside(&folder) {
            Ok(inside) => {
                waiting.extend(inside.folders);
                found.extend(inside.reports.into_iter().filter(|report| !is_job && is_report(report)));
            }
            Err(error) if folder == root => {
                return Err(ArchiveFault::Folder { path: folder, detail: error.to_string() });
            }
            Err(error) => closed.push((folder.clone(), format!("the folder cannot be read: {error}"))),
        }
        if is_job {
            found.push(folder);
        }
    }
    found.sort();
    closed.sort();
    Ok((found, closed))
}

/// The contents of a folder: folders, and files that may be reports.
#[derive(Default)]
struct Inside {
    folders: Vec<PathBuf>,
    reports: Vec<PathBuf>,
}

fn inside(folder: &Path) -> std::io::Result<Inside> {
    let mut inside = Inside::default();
    for entry in std::fs::read_dir(folder)? {
        let entry = entry?;
        let (kind, path) = (entry.file_type()?, entry.path());
        if kind.is_dir() {
            inside.folders.push(path);
        } else if kind.is_file() && path.extension().is_some_and(|ending| ending.eq_ignore_ascii_case("html"))
        {
            inside.reports.push(path);
        }
    }
    Ok(inside)
}

/// Whether a page states at its beginning that this program made it.
fn is_report(path: &Path) -> bool {
    let mut head = Vec::new();
    let read = std::fs::File::open(path).and_then(|file| file.take(2000).read_to_end(&mut head));
    read.is_ok()
        && String::from_utf8_lossy(&head).contains(&format!("name=\"generator\" content=\"{MADE_BY}"))
}
