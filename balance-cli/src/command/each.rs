//! One shaft after the other, in the file's order.

use balance_core::caution::Caution;

use super::target::{Target, target};
use crate::args::JobArguments;
use crate::exit::Exit;
use crate::files::runs::{RunsReader, ShaftRuns};
use crate::files::{Place, Problem, render_all};
use crate::outcome::{Outcome, solve};
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
    let mut exit = None;
    while let Some(shaft) = reader.next() {
        let own = match shaft {
            Ok(runs) => one_shaft(target, &runs, &reader.cautions(), command, streams)?,
            Err(faults) => refuse(&faults.problems, streams)?,
        };
        exit = Some(exit.map_or(own, |before: Exit| before.worse(own)));
    }
    Ok(exit.unwrap_or(Exit::CouldNot))
}

fn one_shaft(
    target: &Target,
    runs: &ShaftRuns,
    cautions: &[Caution],
    command: &mut dyn EachShaft,
    streams: &mut Streams<'_>,
) -> std::io::Result<Exit> {
    let set = match runs.run_set() {
        Ok(set) => set,
        Err(problems) => return refuse(&problems, streams),
    };
    let question = match target.question(runs.shaft.clone(), set) {
        Ok(question) => question,
        Err(problem) => return refuse(&[problem], streams),
    };
    match solve(question) {
        Ok(mut outcome) => {
            outcome.cautions.extend_from_slice(cautions);
            outcome.cautions.sort_by_key(|caution| caution.level);
            command.answer(target, &outcome, runs.shaft.is_some(), streams)
        }
        Err(faults) => {
            let line = runs.lines.first().copied().unwrap_or(1);
            let problem = |fault: &balance_core::influence::InfluenceFault| {
                let place = Place::Cell { file: runs.file.to_string(), line, column: None };
                Problem::at("runs-do-not-tell", place, fault.to_string()).hinting(fault.hint())
            };
            refuse(&faults.iter().map(problem).collect::<Vec<Problem>>(), streams)
        }
    }
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
