//! The one place where the program is called: the texts of a job file and runs files in, decision and advice
//! out.

use std::sync::Arc;

use balance_cli::files::runs::RunsReader;
use balance_cli::files::{JobFile, Problem, Source, render_all};
use balance_core::Complex64;
use balance_core::answer::{Case, Solver};
use balance_core::caution::Level;
use balance_core::correction::correct;
use balance_core::grade::Decision;

/// What the program answers.
#[derive(Debug, Clone, PartialEq)]
pub struct Answer {
    /// The verdict; undecided where it gives none.
    pub decision: Decision,
    /// What would remove the unbalance that the coefficients see, g·mm in each plane, held back or not: this
    /// technician continues whatever the program says. `None`: the runs do not show it.
    pub add: Option<Vec<Complex64>>,
    /// The further check runs it asks for.
    pub more_check_runs: usize,
}

/// Whether the reading noise that the job states is exactly true.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Figure {
    /// Exactly known, as in a simulation.
    Exact,
    /// A technician's.
    Technician,
}

/// The program with a job in hand.
#[derive(Debug)]
pub struct Program {
    job: JobFile,
    solver: Solver,
}

impl Program {
    /// Reads a job file's text.
    ///
    /// # Panics
    ///
    /// If the text has faults: a test's job has none.
    #[must_use]
    pub fn with_job(text: &str, figure: Figure) -> Self {
        let job = JobFile::read(&Source::new("job.toml", text), None);
        let mut job = job.unwrap_or_else(|faults| faulty(text, &faults));
        if figure == Figure::Exact {
            Arc::make_mut(&mut job.job).setup.noise.degrees_of_freedom = f64::INFINITY;
        }
        Self { job, solver: Solver::default() }
    }

    /// Answers about one shaft's runs.
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
        let case = Case::new("WP-0500", self.job.job.clone(), set);
        let undecided = Answer { decision: Decision::Undecided, add: None, more_check_runs: 0 };
        let Ok(found) = self.solver.solve(&case) else { return undecided };
        let judged = found.judged.as_ref();
        let met = judged.is_some_and(|judged| judged.decision == Decision::Meets);
        let doubt = found.cautions.iter().find(|own| own.doubts_evidence() && own.level() == Level::Stop);
        assert!(!met || doubt.is_none(), "meets beside a stop, {doubt:?}\n{runs}");
        let wanted = judged.and_then(|judged| judged.deciding().verdict.more_check_runs);
        let ideal = correct(&found.runs, &found.influence);
        Answer {
            decision: judged.map_or(Decision::Undecided, |judged| judged.decision),
            add: Some(ideal.planes.iter().map(|plane| plane.add.vector()).collect()),
            more_check_runs: wanted.unwrap_or(0),
        }
    }
}

#[expect(clippy::panic, reason = "a test's own text with a fault is a fault of the test")]
fn faulty<T>(text: &str, faults: &[Problem]) -> T {
    panic!("{}\n{text}", render_all(faults))
}
