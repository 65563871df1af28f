//! Which job and which runs a command works on.

use std::path::{Path, PathBuf};

use balance_core::influence::Drift;
use balance_core::run::RunSet;

use crate::archive::{Archive, ArchiveFault, Opening, SqliteArchive, TypeReport, default_place};
use crate::args::JobArguments;
use crate::files::job::{JOB_FILE, RUNS_FILE};
use crate::files::{Job, Problem};
use crate::outcome::Question;

/// A job and its runs file.
#[derive(Debug)]
pub struct Target {
    /// The job; `None`: a runs file that stands alone.
    pub job: Option<Job>,
    /// The job file.
    pub job_file: Option<PathBuf>,
    /// The runs file.
    pub runs: PathBuf,
    /// The folder pictures and reports go to.
    pub folder: PathBuf,
    /// Whether a drift is reckoned with.
    pub drift: Drift,
    /// How sister shafts answer, if they were asked for.
    pub sisters: Option<TypeReport>,
}

impl Target {
    /// What a shaft without a label of its own is called.
    #[must_use]
    pub fn name(&self) -> String {
        let number = self.job.as_ref().and_then(|job| job.heading.number.clone());
        number.unwrap_or_else(|| {
            self.runs.file_stem().map_or_else(String::new, |stem| stem.to_string_lossy().into())
        })
    }
}

impl Target {
    /// The question about one shaft of the file.
    ///
    /// # Errors
    ///
    /// Sister shafts that say nothing about a shaft like this.
    pub fn question(&self, shaft: Option<String>, set: RunSet) -> Result<Question<'_>, Problem> {
        let prior = self.sisters.as_ref().map(|sisters| sisters.prior_for(&set)).transpose();
        let prior = prior.map_err(|fault| Problem::of_file("sister-shafts", "--type", fault.to_string()))?;
        let shaft = shaft.unwrap_or_else(|| self.name());
        Ok(Question { shaft, job: self.job.as_ref(), set, drift: self.drift, prior })
    }
}

/// Finds the job and the runs file that were named.
///
/// # Errors
///
/// Every fault of the job file and the shop file.
pub fn target(arguments: &JobArguments) -> Result<Target, Vec<Problem>> {
    let (job_file, runs) = paths(arguments);
    let job = job_file.as_deref().map(Job::load).transpose()?;
    let asked = arguments.drift || job.as_ref().is_some_and(|job| job.stand.drift == Drift::Fitted);
    let folder = runs.parent().map_or_else(|| PathBuf::from("."), Path::to_path_buf);
    let sisters = sisters(arguments).map_err(|problem| vec![problem])?;
    let drift = if asked { Drift::Fitted } else { Drift::Ignored };
    Ok(Target { job, job_file, folder, runs, drift, sisters })
}

/// How the shafts of the named type answer, from the archive.
fn sisters(arguments: &JobArguments) -> Result<Option<TypeReport>, Problem> {
    let Some(name) = &arguments.shaft_type else { return Ok(None) };
    let fault = |fault: ArchiveFault| Problem::of_file("archive", "--type", fault.to_string());
    let place = default_place(arguments.archive.clone(), |name| std::env::var_os(name)).map_err(fault)?;
    let archive = SqliteArchive::open(&place, Opening::default()).map_err(fault)?;
    let found = archive.types(Some(name)).map_err(fault)?;
    let history = found.first().ok_or_else(|| {
        Problem::of_file("archive", "--type", format!("no record is of type `{name}`"))
            .hinting("the types there are: balance archive types".to_owned())
    })?;
    Ok(Some(TypeReport::of(history)))
}

fn paths(arguments: &JobArguments) -> (Option<PathBuf>, PathBuf) {
    let named = arguments.job_or_runs.as_deref();
    match (&arguments.job, named) {
        (Some(job), Some(named)) if named.is_dir() => (Some(job.clone()), named.join(RUNS_FILE)),
        (Some(job), Some(named)) => (Some(job.clone()), named.to_path_buf()),
        (Some(job), None) => (Some(job.clone()), job.with_file_name(RUNS_FILE)),
        (None, Some(named)) if named.is_file() => (None, named.to_path_buf()),
        (None, named) => {
            let folder = named.map_or_else(PathBuf::new, Path::to_path_buf);
            (Some(folder.join(JOB_FILE)), folder.join(RUNS_FILE))
        }
    }
}
