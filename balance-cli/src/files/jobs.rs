//! The jobs that lie in a folder.

use std::path::{Path, PathBuf};
use std::time::SystemTime;

use super::day_of;
use super::job::{JOB_FILE, JobFile, RUNS_FILE};
use super::runs::RunsReader;

/// A job's folder, as far as a list needs it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct JobSeen {
    /// Its folder.
    pub folder: PathBuf,
    /// The folder's name.
    pub name: String,
    /// What the shaft belongs to; `None`: not stated, or the job has faults.
    pub unit: Option<String>,
    /// How many runs were read; `None`: its files have faults.
    pub runs: Option<usize>,
    /// The day on which its files were changed last.
    pub day: Option<String>,
}

/// More folders than these are not looked into.
const MOST: usize = 10_000;

/// The jobs in the folders of this one, the one that was changed last first, and how many more there are than `most`.
#[must_use]
pub fn jobs_in(folder: &Path, most: usize) -> (Vec<JobSeen>, usize) {
    let entries = std::fs::read_dir(folder).into_iter().flatten().flatten().take(MOST);
    let mut found: Vec<(SystemTime, PathBuf)> = entries
        .map(|entry| entry.path())
        .filter(|path| path.join(JOB_FILE).is_file())
        .map(|path| (changed(&path), path))
        .collect();
    found.sort_by(|one, other| other.cmp(one));
    let more = found.len().saturating_sub(most);
    let seen = found.into_iter().take(most).map(|(at, path)| seen(folder, &path, at));
    (seen.collect(), more)
}

/// When the job's files were changed last.
fn changed(folder: &Path) -> SystemTime {
    let time = |name| std::fs::metadata(folder.join(name)).and_then(|found| found.modified()).ok();
    time(JOB_FILE).max(time(RUNS_FILE)).unwrap_or(SystemTime::UNIX_EPOCH)
}

fn seen(above: &Path, path: &Path, at: SystemTime) -> JobSeen {
    let name = path.file_name().map_or_else(String::new, |name| name.to_string_lossy().into_owned());
    let job = JobFile::load_folder(path).ok();
    let runs = job.as_ref().and_then(|job| runs(path, job));
    let unit = job.and_then(|job| job.paperwork.heading.unit);
    // Seen from here a path needs no `./`.
    let folder = if above == Path::new(".") { PathBuf::from(&name) } else { path.to_owned() };
    JobSeen { folder, name, unit, runs, day: day_of(at) }
}

fn runs(folder: &Path, job: &JobFile) -> Option<usize> {
    let file = folder.join(RUNS_FILE);
    if !file.exists() {
        return Some(0);
    }
    let shafts: Result<Vec<_>, _> = RunsReader::open(&file, Some(job)).ok()?.collect();
    Some(shafts.ok()?.iter().map(|shaft| shaft.runs.len()).sum())
}

#[cfg(test)]
mod tests {
    use std::time::Duration;

    use super::*;
    use crate::files::new_job::new_job;

    #[test]
    fn jobs_are_listed_newest_first_and_faulty_ones_too() {
        let above = tempfile::tempdir().unwrap();
        for (at, name) in ["A", "B", "C"].into_iter().enumerate() {
            let folder = above.path().join(name);
            new_job(&folder, name).unwrap();
            let moment = SystemTime::UNIX_EPOCH + Duration::from_secs(1_700_000_000 + 86_400 * at as u64);
            for file in [JOB_FILE, RUNS_FILE] {
                std::fs::File::options()
                    .append(true)
                    .open(folder.join(file))
                    .unwrap()
                    .set_modified(moment)
                    .unwrap();
            }
        }
        std::fs::write(above.path().join("A").join(JOB_FILE), "[job").unwrap();
        std::fs::create_dir(above.path().join("no job")).unwrap();
        let (jobs, more) = jobs_in(above.path(), 2);
        let names: Vec<&str> = jobs.iter().map(|job| job.name.as_str()).collect();
        assert_eq!((names, more), (vec!["A", "C"], 1), "A was changed just now");
        assert_eq!((jobs[0].runs, jobs[1].runs), (None, Some(0)));
        assert_eq!(jobs[1].day.as_deref(), Some("2023-11-16"));
    }
}
