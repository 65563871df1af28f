//! The one place where the program is asked: a job file's text and runs file's texts in, decision and advice out.

use balance_cli::files::runs::RunsReader;
use balance_cli::files::{Job, Problem, Source, render_all};
use balance_cli::outcome::{CheckMemory, Stated, judge, limits};
use balance_core::Complex64;
use balance_core::correction::correct;
use balance_core::grade::Decision;
use balance_core::influence::{Influence, Options, Which, estimate};
use balance_core::run::RunSet;

/// What the program answers.
#[derive(Debug, Clone, PartialEq)]
pub struct Answer {
    /// The verdict; undecided where it gives none.
    pub decision: Decision,
    /// What to add in each plane, g·mm; `None`: no weights.
    pub add: Option<Vec<Complex64>>,
    /// Further check runs that it wants.
    pub more_check_runs: usize,
}

/// Whether the reading noise that the job states is exactly true.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Figure {
    /// As exact as a simulation knows it.
    Exact,
    /// A technician's.
    Technician,
}

/// The program with a job in hand.
#[derive(Debug)]
pub struct Program {
    job: Job,
    memory: CheckMemory,
}

impl Program {
    /// Reads a job file's text.
    ///
    /// # Panics
    ///
    /// If the text has faults: a test's job has none.
    #[must_use]
    pub fn with_job(text: &str, figure: Figure) -> Self {
        let job = Job::read(&Source::new("job.toml", text), None);
        let mut job = job.unwrap_or_else(|faults| faulty(text, &faults));
        if figure == Figure::Exact {
            job.stand.noise.degrees_of_freedom = f64::INFINITY;
        }
        Self { job, memory: CheckMemory::default() }
    }

    /// Asks about one shaft's runs.
    ///
    /// # Panics
    ///
    /// If the text of the runs has faults.
    pub fn ask(&mut self, runs: &str) -> Answer {
        let reader = RunsReader::new(runs.as_bytes(), "runs.csv", Some(&self.job));
        let mut reader = reader.unwrap_or_else(|faults| faulty(runs, &faults));
        let shaft = reader.next().expect("there is a shaft");
        let shaft = shaft.unwrap_or_else(|faults| faulty(runs, &faults.problems));
        let set = shaft.run_set().unwrap_or_else(|faults| faulty(runs, &faults));
        let options = Options { drift: self.job.stand.drift, prior: None };
        let refused = Answer { decision: Decision::Undecided, add: None, more_check_runs: 0 };
        estimate(&set, &options).map_or(refused, |influence| self.answer(&set, &influence))
    }

    /// The steps of the program's own answer, without the search for what went wrong: it changes no verdict and would
    /// take most of the time.
    fn answer(&mut self, set: &RunSet, influence: &Influence) -> Answer {
        let mut limits = limits(&self.job, &set.setup().planes).expect("the job has all that a limit needs");
        let before = self.memory.check(&self.job, Some(set), Some(&limits));
        limits.critical_speed =
            before.and_then(|before| before.check.critical.as_ref().map(|critical| critical.lowest));
        let judged = (!set.last_check_block().is_empty())
            .then(|| judge(set, influence, &limits, Stated::of(Some(&self.job)), Which::Now).ok())
            .flatten();
        let wanted = judged.as_ref().and_then(|judged| judged.deciding().verdict.more_check_runs);
        Answer {
            decision: judged.map_or(Decision::Undecided, |judged| judged.decision),
            add: Some(correct(set, influence).planes.iter().map(|plane| plane.add.vector()).collect()),
            more_check_runs: wanted.unwrap_or(0),
        }
    }
}

#[expect(clippy::panic, reason = "a test's own text with a fault is a fault of the test")]
fn faulty<T>(text: &str, faults: &[Problem]) -> T {
    panic!("{}\n{text}", render_all(faults))
}
