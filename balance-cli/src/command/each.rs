//! One shaft after the other, in the file's order.

use balance_core::caution::Caution;

use super::target::{Target, target};
use crate::args::JobArguments;
use crate::exit::Exit;
use crate::files::runs::{RunsReader, ShaftRuns};
use crate::files::{Place, Problem, render_all};
use crate::outcome::{self, CheckMemory, Outcome};
use crate::streams::Streams;

/// What a command does with one solved shaft.
pub trait EachShaft {
    /// Answers about one shaft; `many`: the file has a column of shafts.
    ///
    /// # Errors
    ///
    /// A stream that cannot be written to.
    fn answer(
        &mut self,
        target: &Target,
        outcome: &Outcome<'_>,
        many: bool,
        streams: &mut Streams<'_>,
    ) -> std::io::Result<Exit>;
}

/// Finds the target, then solves and answers shaft by shaft; a fault in one shaft does not hide the others' answers.
///
/// # Errors
///
/// A stream that cannot be written to.
pub fn each_shaft(
    arguments: &JobArguments,
    command: &mut dyn EachShaft,
    streams: &mut Streams<'_>,
) -> std::io::Result<Exit> {
    let target = match target(arguments) {
        Ok(target) => target,
        Err(problems) => return refuse(&problems, streams),
    };
    each_shaft_of(&target, command, streams)
}

/// The same with a target that was found before.
///
/// # Errors
///
/// A stream that cannot be written to.
pub fn each_shaft_of(
    target: &Target,
    command: &mut dyn EachShaft,
    streams: &mut Streams<'_>,
) -> std::io::Result<Exit> {
    let mut reader = match RunsReader::open(&target.runs, target.job.as_ref()) {
        Ok(reader) => reader,
        Err(problems) => return refuse(&problems, streams),
    };
    let (mut exit, mut memory) = (None, CheckMemory::default());
    while let Some(shaft) = reader.next() {
        let own = match shaft {
            Ok(runs) => match solve_remembering(target, &runs, &reader.cautions(), &mut memory) {
                Ok(outcome) => command.answer(target, &outcome, runs.shaft.is_some(), streams)?,
                Err(problems) => refuse(&problems, streams)?,
            },
            Err(faults) => refuse(&faults.problems, streams)?,
        };
        exit = Some(exit.map_or(own, |before: Exit| before.worse(own)));
    }
    Ok(exit.unwrap_or(Exit::CouldNot))
}

/// Every fact of one shaft, with the cautions of reading its file.
///
/// # Errors
///
/// Every fault of its rows, or what they cannot tell.
pub fn solve_shaft<'t>(
    target: &'t Target,
    runs: &ShaftRuns,
    cautions: &[Caution],
) -> Result<Outcome<'t>, Vec<Problem>> {
    solve_remembering(target, runs, cautions, &mut CheckMemory::default())
}

/// The same for one of many shafts: the check of the shaft is reckoned again only where it differs.
fn solve_remembering<'t>(
    target: &'t Target,
    runs: &ShaftRuns,
    cautions: &[Caution],
    memory: &mut CheckMemory,
) -> Result<Outcome<'t>, Vec<Problem>> {
    let question = target.question(runs.shaft.clone(), runs.run_set()?).map_err(|problem| vec![problem])?;
    let mut outcome = outcome::solve_remembering(question, memory).map_err(|faults| {
        let line = runs.lines.first().copied().unwrap_or(1);
        let problem = |fault: &balance_core::influence::InfluenceFault| {
            let place = Place::Cell { file: runs.file.to_string(), line, column: None };
            Problem::at("runs-do-not-tell", place, fault.to_string()).hinting(fault.hint())
        };
        faults.iter().map(problem).collect::<Vec<Problem>>()
    })?;
    outcome.cautions.extend_from_slice(cautions);
    outcome.cautions.sort_by_key(Caution::level);
    Ok(outcome)
}

/// Tells all faults and gives up.
///
/// # Errors
///
/// A stream that cannot be written to.
pub fn refuse(problems: &[Problem], streams: &mut Streams<'_>) -> std::io::Result<Exit> {
    writeln!(streams.talk, "{}", render_all(problems).trim_end())?;
    Ok(Exit::CouldNot)
}
