//! From the typed command to the cases: the one place where job, runs, drift, sister shafts and cautions from
//! reading come together.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use balance_core::answer::{Case, Sisters};
use balance_core::caution::Caution;
use balance_core::influence::Drift;
use balance_core::job::Job;
use balance_core::quantity::Units;
use balance_core::run::{RunKind, RunSet};
use balance_core::shaft::PlaneId;

use crate::archive::{Archive, ArchiveFault, Opening, SqliteArchive, default_place, sisters_of};
use crate::args::JobArguments;
use crate::files::job::{JOB_FILE, RUNS_FILE};
use crate::files::runs::ShaftRuns;
use crate::files::{JobFile, Problem};
use crate::paper::Paper;

/// A job and its runs file.
#[derive(Debug)]
pub struct Target {
    /// The job file; `None`: a runs file on its own.
    pub file: Option<JobFile>,
    /// Where the job file is.
    pub job_path: Option<PathBuf>,
    /// The runs file.
    pub runs: PathBuf,
    /// The folder pictures and reports go to.
    pub folder: PathBuf,
    /// The job; the default one for a runs file on its own.
    job: Arc<Job>,
    drift: Drift,
    sisters: SisterShafts,
}

/// How sister shafts come into a case.
#[derive(Debug)]
enum SisterShafts {
    /// There are none, or the shaft's type is not known.
    None,
    /// They were asked for.
    Asked(Sisters),
    /// The job names its type: they are used where a place never had a trial.
    WithoutTrials(Sisters),
}

impl Target {
    /// The name of a shaft without its own label.
    #[must_use]
    pub fn name(&self) -> String {
        let number = self.file.as_ref().and_then(|file| file.paperwork.heading.number.clone());
        number.unwrap_or_else(|| {
            self.runs.file_stem().map_or_else(String::new, |stem| stem.to_string_lossy().into())
        })
    }

    /// The paper of the shop file; else the one usual where the shop's units are.
    #[must_use]
    pub fn paper(&self) -> Paper {
        let usual = if self.job.units == Units::Us { Paper::Letter } else { Paper::A4 };
        self.file.as_ref().and_then(|file| file.paperwork.paper).unwrap_or(usual)
    }

    /// How many sister shafts stand in for trial runs, and their type; `None`: there are none.
    #[must_use]
    pub fn sisters(&self) -> Option<(&str, usize)> {
        match &self.sisters {
            SisterShafts::None => None,
            SisterShafts::Asked(sisters) | SisterShafts::WithoutTrials(sisters) => {
                (!sisters.shafts.is_empty()).then_some((sisters.shaft_type.as_str(), sisters.shafts.len()))
            }
        }
    }

    /// The same without sister shafts: this shaft's own runs have to tell.
    #[must_use]
    pub fn without_sisters(self) -> Self {
        Self { sisters: SisterShafts::None, ..self }
    }

    /// The job; the default one for a runs file that stands alone.
    #[must_use]
    pub fn job(&self) -> &Arc<Job> {
        &self.job
    }

    /// The case of one shaft of the file, with what was noticed while reading.
    ///
    /// # Errors
    ///
    /// Every fault of its rows.
    pub fn case(&self, runs: &ShaftRuns, noticed: &[Caution]) -> Result<Case, Vec<Problem>> {
        let shaft = runs.shaft.clone().unwrap_or_else(|| self.name());
        Ok(self.case_of(&shaft, runs.run_set()?, noticed))
    }

    /// The same from a consistent set of runs.
    #[must_use]
    pub fn case_of(&self, shaft: &str, set: RunSet, noticed: &[Caution]) -> Case {
        let sisters = match &self.sisters {
            SisterShafts::Asked(sisters) => Some(sisters.clone()),
            SisterShafts::WithoutTrials(sisters) if lacks_a_trial(&set) => Some(sisters.clone()),
            SisterShafts::WithoutTrials(_) | SisterShafts::None => None,
        };
        let case = Case::new(shaft, self.job.clone(), set);
        let noticed = noticed.iter().cloned().chain(self.proved_long_ago()).collect();
        Case { drift: self.drift, sisters, noticed, ..case }
    }

    /// The proved figures of the stand that are older than the shop allows.
    fn proved_long_ago(&self) -> Vec<Caution> {
        let months = self.file.as_ref().and_then(|file| file.paperwork.proved_months);
        let (Some(months), Ok(moment)) = (months, crate::files::now()) else { return Vec::new() };
        let figures = self.job.proved.figures(self.job.units).into_iter();
        figures
            .filter(|own| crate::files::months_since(&own.day, moment).is_some_and(|age| age > months))
            .map(|own| Caution::ProvedLongAgo { figure: own.name.into(), day: own.day, months })
            .collect()
    }
}

/// Whether some place never carried a trial mass.
fn lacks_a_trial(set: &RunSet) -> bool {
    let tried = |plane: PlaneId| {
        let with_mass =
            |row: &balance_core::run::Row| row.run.kind == RunKind::Trial && row.loads[plane].norm() > 0.0;
        set.rows().iter().any(with_mass)
    };
    set.setup().plane_ids().any(|plane| !tried(plane))
}

/// Finds the job and the runs file that were named.
///
/// # Errors
///
/// Every fault of the job file and the shop file, or an archive that cannot be read.
pub fn target(arguments: &JobArguments) -> Result<Target, Vec<Problem>> {
    let (job_path, runs) = paths(arguments);
    let file = job_path.as_deref().map(JobFile::load).transpose()?;
    let job = file.as_ref().map_or_else(Arc::default, |file| file.job.clone());
    let folder = runs.parent().map_or_else(|| PathBuf::from("."), Path::to_path_buf);
    let drift = if arguments.drift { Drift::Fitted } else { job.stand.drift };
    let sisters = sisters(arguments, file.as_ref()).map_err(|problem| vec![problem])?;
    Ok(Target { file, job_path, runs, folder, job, drift, sisters })
}

/// The target of a job's folder, without any other options.
///
/// # Errors
///
/// As [`target`].
pub fn target_of_folder(folder: &Path, archive: Option<PathBuf>) -> Result<Target, Vec<Problem>> {
    target(&JobArguments {
        job_or_runs: Some(folder.to_path_buf()),
        job: None,
        json: false,
        drift: false,
        shaft_type: None,
        archive,
    })
}

/// How the shafts of the requested or the job's own type respond, from the archive. The job's own earlier
/// records are left out: no shaft is evidence for itself.
fn sisters(arguments: &JobArguments, file: Option<&JobFile>) -> Result<SisterShafts, Problem> {
    let number = file.and_then(|file| file.paperwork.heading.number.as_deref());
    let own_type = file.and_then(|file| file.paperwork.heading.shaft_type.as_deref());
    match (&arguments.shaft_type, own_type) {
        (Some(asked), _) => Ok(SisterShafts::Asked(from_archive(arguments, asked, number)?)),
        (None, Some(own)) => {
            Ok(from_archive(arguments, own, number).map_or(SisterShafts::None, SisterShafts::WithoutTrials))
        }
        (None, None) => Ok(SisterShafts::None),
    }
}

fn from_archive(arguments: &JobArguments, name: &str, own_number: Option<&str>) -> Result<Sisters, Problem> {
    let fault = |fault: ArchiveFault| Problem::of_file("archive", "--type", fault.to_string());
    let place = default_place(arguments.archive.clone(), |name| std::env::var_os(name)).map_err(fault)?;
    let archive = SqliteArchive::open(&place, Opening::default()).map_err(fault)?;
    let found = archive.types(Some(name)).map_err(fault)?;
    let history = found.first().ok_or_else(|| {
        Problem::of_file("archive", "--type", format!("no record has the type `{name}`"))
            .hinting("to list the types: balance archive types".to_owned())
    })?;
    Ok(sisters_of(history, own_number))
}

fn paths(arguments: &JobArguments) -> (Option<PathBuf>, PathBuf) {
    let named = arguments.job_or_runs.as_deref();
    let job = arguments.job.as_deref().map(|job| if job.is_dir() { job.join(JOB_FILE) } else { job.into() });
    match (job, named) {
        (Some(job), Some(named)) if named.is_dir() => (Some(job), named.join(RUNS_FILE)),
        (Some(job), Some(named)) => (Some(job), named.to_path_buf()),
        (Some(job), None) => {
            let runs = job.with_file_name(RUNS_FILE);
            (Some(job), runs)
        }
        (None, Some(named)) if named.is_file() => (None, named.to_path_buf()),
        (None, named) => {
            let folder = named.map_or_else(PathBuf::new, Path::to_path_buf);
            (Some(folder.join(JOB_FILE)), folder.join(RUNS_FILE))
        }
    }
}
