//! Taking in a folder of old jobs.

use std::path::{Path, PathBuf};

use super::operations::Added;
use super::{Archive, ArchiveFault, NewRecord};

/// Files that make a folder a job.
const JOB_FILES: [&str; 2] = ["job.toml", "runs.csv"];

/// What became of one folder.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum ImportStep {
    /// It is a record now, or was one already.
    Added(Added),
    /// No record could be made of it, and why.
    NotAJob(String),
}

/// What became of an import.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct ImportReport {
    /// Records newly stored.
    pub stored: usize,
    /// Jobs that were there already.
    pub already_there: usize,
    /// Folders no record could be made of, and why.
    pub not_taken: Vec<(PathBuf, String)>,
}

/// Takes in every job folder under `root`, in the order of their names.
///
/// Each record is stored by itself: an import that was cut off goes on where it was when it is started again, and one
/// that is repeated stores nothing twice. `make` turns a folder into a record (or says why not); `progress` hears of
/// every folder: which of how many, and what became of it.
///
/// # Errors
///
/// [`ArchiveFault`] if the folder cannot be read or the archive takes no more; what was stored until then stays.
pub fn import(
    archive: &mut dyn Archive,
    root: &Path,
    make: &mut dyn FnMut(&Path) -> Result<NewRecord, String>,
    progress: &mut dyn FnMut(usize, usize, &Path, &ImportStep),
) -> Result<ImportReport, ArchiveFault> {
    let (folders, closed) = job_folders(root)?;
    let mut report = ImportReport { not_taken: closed, ..ImportReport::default() };
    for (at, folder) in folders.iter().enumerate() {
        let step = match make(folder) {
            Ok(record) => ImportStep::Added(archive.add(&record)?),
            Err(reason) => ImportStep::NotAJob(reason),
        };
        progress(at + 1, folders.len(), folder, &step);
        match step {
            ImportStep::Added(Added::Stored(_)) => report.stored += 1,
            ImportStep::Added(Added::AlreadyThere(_)) => report.already_there += 1,
            ImportStep::NotAJob(reason) => report.not_taken.push((folder.clone(), reason)),
        }
    }
    Ok(report)
}

/// Folders, each with why it could not be looked into.
type Closed = Vec<(PathBuf, String)>;

/// Every folder under (and with) `root` that holds a job file, in the order of their names, and those that could not be
/// looked into. Links to folders are not followed.
fn job_folders(root: &Path) -> Result<(Vec<PathBuf>, Closed), ArchiveFault> {
    let (mut found, mut closed) = (Vec::new(), Vec::new());
    let mut waiting = vec![root.to_owned()];
    while let Some(folder) = waiting.pop() {
        if JOB_FILES.iter().any(|file| folder.join(file).is_file()) {
            found.push(folder.clone());
        }
        match folders_in(&folder) {
            Ok(inside) => waiting.extend(inside),
            Err(error) if folder == root => {
                return Err(ArchiveFault::Folder { path: folder, detail: error.to_string() });
            }
            Err(error) => closed.push((folder, format!("the folder cannot be read: {error}"))),
        }
    }
    found.sort();
    closed.sort();
    Ok((found, closed))
}

fn folders_in(folder: &Path) -> std::io::Result<Vec<PathBuf>> {
    let mut inside = Vec::new();
    for entry in std::fs::read_dir(folder)? {
        let entry = entry?;
        if entry.file_type()?.is_dir() {
            inside.push(entry.path());
        }
    }
    Ok(inside)
}
