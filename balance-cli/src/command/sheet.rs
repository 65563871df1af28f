//! Many shafts as a CSV sheet (`--csv`): read one after the other, solved on all cores, written in the file's order. Only
//! two batches of shafts are in memory at a time.

use std::time::{Duration, Instant};

use balance_core::answer::{Answer, Case, IfUntried, Solver};
use balance_core::caution::Caution;
use rayon::prelude::*;

use super::each::{problems_of, refuse};
use super::open::Target;
use crate::exit::Exit;
use crate::files::Problem;
use crate::files::runs::{OpenRuns, ShaftFaults, ShaftRuns};
use crate::page::Progress;
use crate::print::sheet::Rows;
use crate::streams::Streams;

/// Shafts that are read while as many others are solved.
const BATCH: usize = 512;
/// Shafts that one core takes at a time.
const SHARE: usize = 32;
/// Progress is told this often.
const NOW_AND_THEN: Duration = Duration::from_secs(5);

/// How the row of one shaft ended.
pub struct Outcome {
    /// The exit status if it were the only shaft.
    pub exit: Exit,
    /// What stood in the way.
    pub problems: Vec<Problem>,
}

/// What a command writes about one shaft.
pub trait OneRow: Sync {
    /// The job and its runs file.
    fn target(&self) -> &Target;

    /// The header line.
    fn head(&self, rows: &mut Rows);

    /// How a place without a trial is handled.
    fn untried(&self) -> IfUntried;

    /// Adds what the command line states besides the files.
    ///
    /// # Errors
    ///
    /// What was stated wrongly.
    fn ask(&self, case: Case) -> Result<Case, Vec<Problem>> {
        Ok(case)
    }

    /// The row of a shaft with an answer.
    fn answered(&self, rows: &mut Rows, runs: &ShaftRuns, answer: &Answer) -> Outcome;

    /// The row of a shaft without one; `shaft` is its name.
    fn fault(&self, rows: &mut Rows, shaft: &str, problems: Vec<Problem>) -> Outcome;

    /// The row of a shaft whose runs are not consistent.
    fn unfit(&self, rows: &mut Rows, shaft: &str, _runs: &ShaftRuns, problems: Vec<Problem>) -> Outcome {
        self.fault(rows, shaft, problems)
    }
}

/// The first fault, for the row.
#[must_use]
pub fn reason(problems: &[Problem]) -> String {
    let Some(first) = problems.first() else { return String::new() };
    let line = first.place.line().map_or_else(String::new, |line| format!("line {line}: "));
    format!("{line}{}", first.found)
}

/// Writes one row a shaft.
///
/// # Errors
///
/// A stream that cannot be written to.
pub fn in_rows(
    mut reader: OpenRuns,
    command: &impl OneRow,
    quiet: bool,
    streams: &mut Streams<'_>,
) -> std::io::Result<Exit> {
    let mut head = Rows::default();
    command.head(&mut head);
    streams.answer.write_all(&head.bytes())?;
    let mut progress = Tally::new(!quiet && streams.page.progress() == Progress::Shown);
    let mut exit = None;
    // The first shaft alone: its check is then remembered by the solvers of all the others.
    let mut solvers = vec![Solver::default()];
    let mut batch = Batch::read(&mut reader, 1);
    while !batch.shafts.is_empty() {
        let (solved, next) =
            rayon::join(|| batch.solve(command, &mut solvers), || Batch::read(&mut reader, BATCH));
        for share in solved {
            streams.answer.write_all(&share.rows)?;
            for own in share.outcomes {
                if !own.problems.is_empty() {
                    refuse(&own.problems, streams)?;
                }
                exit = Some(exit.map_or(own.exit, |before: Exit| before.worse(own.exit)));
            }
        }
        progress.add(batch.shafts.len(), streams)?;
        if let [first] = solvers.as_slice() {
            solvers = vec![first.clone(); BATCH / SHARE];
        }
        batch = next;
    }
    Ok(exit.unwrap_or(Exit::CouldNot))
}

/// Shafts on their way from the file to the cores.
struct Batch {
    shafts: Vec<Result<ShaftRuns, ShaftFaults>>,
    noticed: Vec<Caution>,
}

/// The rows of neighbouring shafts.
#[derive(Default)]
struct Share {
    rows: Vec<u8>,
    outcomes: Vec<Outcome>,
}

impl Batch {
    fn read(reader: &mut OpenRuns, shafts: usize) -> Self {
        Self { shafts: reader.take(shafts).collect(), noticed: reader.cautions() }
    }

    fn solve(&self, command: &impl OneRow, solvers: &mut [Solver]) -> Vec<Share> {
        let shares = self.shafts.par_chunks(SHARE).zip(solvers.par_iter_mut());
        let share = |(shafts, solver): (&[Result<ShaftRuns, ShaftFaults>], &mut Solver)| {
            let mut rows = Rows::default();
            let one = |shaft| self.row(command, solver, &mut rows, shaft);
            let outcomes = shafts.iter().map(one).collect();
            Share { rows: rows.bytes(), outcomes }
        };
        shares.map(share).collect()
    }

    fn row(
        &self,
        command: &impl OneRow,
        solver: &mut Solver,
        rows: &mut Rows,
        shaft: &Result<ShaftRuns, ShaftFaults>,
    ) -> Outcome {
        let target = command.target();
        let runs = match shaft {
            Ok(runs) => runs,
            Err(faults) => {
                let name = faults.shaft.clone().unwrap_or_else(|| target.name());
                return command.fault(rows, &name, faults.problems.clone());
            }
        };
        let name = || runs.shaft.clone().unwrap_or_else(|| target.name());
        let case = target.case(runs, &self.noticed).and_then(|case| command.ask(case));
        match case.map(|case| solver.solve_for(&case, command.untried())) {
            Ok(Ok(answer)) => command.answered(rows, runs, &answer),
            Ok(Err(unsolved)) => command.fault(rows, &name(), problems_of(target, runs, &unsolved)),
            Err(problems) => command.unfit(rows, &name(), runs, problems),
        }
    }
}

/// How many shafts are done, told now and then.
struct Tally {
    tells: bool,
    shafts: usize,
    told: Instant,
}

impl Tally {
    fn new(tells: bool) -> Self {
        Self { tells, shafts: 0, told: Instant::now() }
    }

    fn add(&mut self, shafts: usize, streams: &mut Streams<'_>) -> std::io::Result<()> {
        self.shafts += shafts;
        if self.tells && self.told.elapsed() >= NOW_AND_THEN {
            self.told = Instant::now();
            writeln!(streams.talk, "{} shafts", self.shafts)?;
        }
        Ok(())
    }
}
