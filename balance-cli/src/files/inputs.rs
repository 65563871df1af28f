//! A job file and its runs file together.

use std::fs::File;
use std::path::Path;

use super::job::JobFile;
use super::limits;
use super::problem::Problem;
use super::runs::{RunsReader, ShaftFaults};

/// What a command works on.
pub struct Inputs {
    /// The job, if there is a job file.
    pub job: Option<JobFile>,
    /// The runs, shaft by shaft.
    pub runs: RunsReader<File>,
}

/// Opens the runs, with the job if there is one.
///
/// # Errors
///
/// Every fault of the job file, the shop file and the runs file's header line. If any of these has one, the
/// faults of the runs' cells are reported as well, so that everything can be fixed at once.
pub fn open_inputs(job_file: Option<&Path>, runs_file: &Path) -> Result<Inputs, Vec<Problem>> {
    match job_file.map(JobFile::load).transpose() {
        Ok(job) => RunsReader::open(runs_file, job.as_ref()).map(|runs| Inputs { job, runs }),
        Err(mut problems) => {
            match RunsReader::open(runs_file, None) {
                Ok(runs) => {
                    let faults = runs.filter_map(Result::err);
                    problems
                        .extend(faults.flat_map(|faults: ShaftFaults| faults.problems).take(limits::FAULTS));
                }
                Err(more) => problems.extend(more),
            }
            Err(problems)
        }
    }
}
