//! Finding and opening the files of a job.

use std::path::{Component, Path, PathBuf};
use std::sync::Arc;

use balance_core::quantity::Units;

use super::heading::read_units;
use super::whole::JobFile;
use crate::files::disk::read_text;
use crate::files::problem::{Place, Problem, Source};
use crate::files::runout::read_runout;
use crate::files::toml_reader::Document;

/// The job file's name in its folder.
pub const JOB_FILE: &str = "job.toml";
/// The runs file's name in a job's folder.
pub const RUNS_FILE: &str = "runs.csv";
/// The shop file's name in a folder above the jobs.
pub const SHOP_FILE: &str = "shop.toml";

impl JobFile {
    /// Reads a job file and the shop file of its folder.
    ///
    /// # Errors
    ///
    /// Every fault of both files, or every fault of the runout file.
    pub fn load(job_file: &Path) -> Result<Self, Vec<Problem>> {
        let job = read_text(job_file).map_err(|problem| without_job_file(problem, job_file))?;
        let folder = job_file.parent().unwrap_or(Path::new(""));
        let shop = match shop_file_of(folder) {
            Some(file) => Some(read_text(&seen_from_here(&file))?),
            None => None,
        };
        Self::read(&job, shop.as_ref())?.with_runout(folder, &job)
    }

    /// Reads the dial indicator's readings, if the job names a file with them.
    fn with_runout(mut self, folder: &Path, source: &Source) -> Result<Self, Vec<Problem>> {
        if let Some(file) = &self.paperwork.runout_file {
            let readings = read_runout(&folder.join(file), self.job.measures.tube.as_ref(), self.job.units);
            let runout = readings.map_err(|problems| at_its_name(problems, source))?;
            Arc::make_mut(&mut self.job).shaft.runout = runout;
        }
        Ok(self)
    }

    /// Reads the job of a folder.
    ///
    /// # Errors
    ///
    /// Every fault of the job file and the shop file.
    pub fn load_folder(folder: &Path) -> Result<Self, Vec<Problem>> {
        Self::load(&folder.join(JOB_FILE))
    }
}

/// The shop file of a job's folder: its own, which a folder taken out of a report has; else the nearest in a folder above.
#[must_use]
pub fn shop_file_of(folder: &Path) -> Option<PathBuf> {
    // The folder of a plain `job.toml` is the current one.
    let folder = if folder.as_os_str().is_empty() { Path::new(".") } else { folder };
    let folder = without_dots(&std::path::absolute(folder).ok()?);
    folder.ancestors().map(|above| above.join(SHOP_FILE)).find(|file| file.is_file())
}

/// The nearest shop file in the current folder or above.
#[must_use]
pub fn shop_file_here_or_above() -> Option<PathBuf> {
    shop_file_of(Path::new("."))
}

/// The units of the shop whose folder the program stands in; metric where there is none, or its file cannot be read.
#[must_use]
pub fn units_here() -> Units {
    let shop = shop_file_here_or_above().and_then(|file| read_text(&file).ok());
    let units = |source: &Source| Some(read_units(&Document::parse(&[source]).ok()?));
    shop.as_ref().and_then(units).unwrap_or_default()
}

/// The path without each `..` and the folder before it.
fn without_dots(path: &Path) -> PathBuf {
    let mut plain = PathBuf::new();
    for part in path.components() {
        match part {
            Component::ParentDir => {
                plain.pop();
            }
            Component::CurDir => {}
            _ => plain.push(part),
        }
    }
    plain
}

/// A path relative to the current folder, if it is there or a little above.
fn seen_from_here(path: &Path) -> PathBuf {
    const STEPS_UP: usize = 2;
    let Ok(here) = std::env::current_dir() else { return path.into() };
    for (steps, folder) in here.ancestors().enumerate().take(STEPS_UP + 1) {
        if let Ok(rest) = path.strip_prefix(folder) {
            return std::iter::repeat_n("..", steps).collect::<PathBuf>().join(rest);
        }
    }
    path.into()
}

/// If there is no job file, a new one helps.
fn without_job_file(problem: Problem, job_file: &Path) -> Problem {
    if problem.code != "no-file" {
        return problem;
    }
    let folder = job_file.parent().and_then(Path::file_name);
    let folder = folder.map_or("NUMBER".into(), |name| name.to_string_lossy());
    problem.hinting(format!("`balance new {folder}` writes one"))
}

/// A missing runout file is a fault of the line that names it.
fn at_its_name(problems: Vec<Problem>, job: &Source) -> Vec<Problem> {
    let named = Document::parse(&[job]).ok().and_then(|document| document.section("runout").span_of("file"));
    let moved = |problem: Problem| match &named {
        Some(bytes) if problem.code == "no-file" => {
            let found = format!("{}: {}", problem.place.file(), problem.found);
            let place = Place::span(job.clone(), bytes.clone());
            Problem { place, found: found.into(), ..problem }
        }
        _ => problem,
    };
    problems.into_iter().map(moved).collect()
}
