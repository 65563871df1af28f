//! One shaft after the other, in the file's order.

use balance_core::answer::{Answer, Case, IfUntried, Refusal, Solver, Unsolved};

use super::open::Target;
use crate::exit::Exit;
use crate::files::runs::{RunsReader, ShaftRuns};
use crate::files::{Place, Problem, render_all};
use crate::page::Page;
use crate::streams::Streams;
use crate::view::View;

/// One shaft of a file with its results.
pub struct Solved<'a> {
    /// Where it comes from.
    pub target: &'a Target,
    /// Its runs as they are in the file.
    pub runs: &'a ShaftRuns,
    /// The answer.
    pub answer: &'a Answer,
    /// The page the answer is written on.
    pub page: Page,
}

impl Solved<'_> {
    /// The answer as shown to people.
    #[must_use]
    pub fn view(&self) -> View<'_> {
        let waiting = self.runs.waiting.first().map(|row| row.label.as_str());
        View { page: self.page, waiting, ..View::new(self.answer, self.target.file.as_ref()) }
    }

    /// Whether the file has a shaft column.
    #[must_use]
    pub fn many(&self) -> bool {
        self.runs.shaft.is_some()
    }
}

/// What a command does with one shaft.
pub trait EachShaft {
    /// Adds what the command line states besides the files: weights to try out.
    ///
    /// # Errors
    ///
    /// What was stated wrongly.
    fn ask(&mut self, case: Case) -> Result<Case, Vec<Problem>> {
        Ok(case)
    }

    /// Answers about one shaft.
    ///
    /// # Errors
    ///
    /// A stream that cannot be written to.
    fn answer(&mut self, solved: &Solved<'_>, streams: &mut Streams<'_>) -> std::io::Result<Exit>;

    /// Reports runs that are not consistent.
    ///
    /// # Errors
    ///
    /// A stream that cannot be written to.
    fn unfit(
        &mut self,
        _target: &Target,
        _runs: &ShaftRuns,
        problems: &[Problem],
        streams: &mut Streams<'_>,
    ) -> std::io::Result<Exit> {
        refuse(problems, streams)
    }

    /// Whether it can answer about shafts with an untried place: only a verdict can.
    fn takes_untried_places(&self) -> bool {
        false
    }

    /// The JSON of a refusal, if JSON is wanted and the command has one.
    fn unsolved_json(&self, _unsolved: &Unsolved) -> Option<String> {
        None
    }

    /// Reports runs that are not sufficient.
    ///
    /// # Errors
    ///
    /// A stream that cannot be written to.
    fn unsolved(
        &mut self,
        target: &Target,
        runs: &ShaftRuns,
        unsolved: &Unsolved,
        streams: &mut Streams<'_>,
    ) -> std::io::Result<Exit> {
        if let Some(answer) = self.unsolved_json(unsolved) {
            writeln!(streams.answer, "{answer}")?;
        }
        refuse(&problems_of(target, runs, unsolved), streams)
    }
}

/// Solves and answers shaft by shaft; a fault in one shaft does not hide the others' answers.
///
/// # Errors
///
/// A stream that cannot be written to.
pub fn each_shaft(
    target: &Target,
    command: &mut dyn EachShaft,
    streams: &mut Streams<'_>,
) -> std::io::Result<Exit> {
    let mut reader = match RunsReader::open(&target.runs, target.file.as_ref()) {
        Ok(reader) => reader,
        Err(problems) => return refuse(&problems, streams),
    };
    let (mut exit, mut solver) = (None, Solver::default());
    let untried = if command.takes_untried_places() { IfUntried::Judged } else { IfUntried::Refused };
    while let Some(shaft) = reader.next() {
        let own = match shaft {
            Ok(runs) => {
                let case = target.case(&runs, &reader.cautions()).and_then(|case| command.ask(case));
                match case.map(|case| solver.solve_for(&case, untried)) {
                    Ok(Ok(answer)) => {
                        let page = streams.page;
                        command.answer(&Solved { target, runs: &runs, answer: &answer, page }, streams)?
                    }
                    Ok(Err(unsolved)) => command.unsolved(target, &runs, &unsolved, streams)?,
                    Err(problems) => command.unfit(target, &runs, &problems, streams)?,
                }
            }
            Err(faults) => refuse(&faults.problems, streams)?,
        };
        exit = Some(exit.map_or(own, |before: Exit| before.worse(own)));
    }
    Ok(exit.unwrap_or(Exit::CouldNot))
}

/// What is missing for an answer, at the place of the shaft's rows; the refusal of a shaft that must not spin
/// comes first.
pub fn problems_of(target: &Target, runs: &ShaftRuns, unsolved: &Unsolved) -> Vec<Problem> {
    let line = runs.lines.first().copied().unwrap_or(1);
    let place = || Place::Cell { file: runs.file.to_string(), line, column: None };
    let missing = unsolved
        .missing
        .iter()
        .map(|missing| Problem::at("runs-do-not-tell", place(), missing.to_string()).hinting(missing.hint()));
    let refusal = unsolved.refusal.iter().map(|refusal| refused(target, &unsolved.shaft, refusal));
    refusal.chain(missing).collect()
}

/// A shaft that must not spin, as a problem of its job file.
pub fn refused(target: &Target, shaft: &str, refusal: &Refusal) -> Problem {
    let file = target.file.as_ref().map_or("job.toml", |file| file.file.as_str());
    let found = format!("{shaft} must not spin like this: {}", refusal.text(target.job().units));
    Problem::at("shaft-refused", Place::WholeFile { file: file.to_owned() }, found)
        .hinting(refusal.hint().to_owned())
}

/// Reports all faults and stops.
///
/// # Errors
///
/// A stream that cannot be written to.
pub fn refuse(problems: &[Problem], streams: &mut Streams<'_>) -> std::io::Result<Exit> {
    writeln!(streams.talk, "{}", render_all(problems).trim_end())?;
    Ok(Exit::CouldNot)
}
