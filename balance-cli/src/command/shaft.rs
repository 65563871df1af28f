//! `balance shaft`: the shaft before it spins.

use super::each::refuse;
use super::target::{Target, target};
use crate::args::JobArguments;
use crate::exit::Exit;
use crate::files::runs::RunsReader;
use crate::files::{Place, Problem, shown_path};
use crate::outcome::{
    BeforeSpin, ShaftAnswer, describe, highest_speed, least_permissible, limits, shaft_work,
};
use crate::print::{json, text};
use crate::streams::Streams;

pub fn run(arguments: &JobArguments, streams: &mut Streams<'_>) -> std::io::Result<Exit> {
    let target = match target(arguments) {
        Ok(target) => target,
        Err(problems) => return refuse(&problems, streams),
    };
    let Some(job) = &target.job else {
        let problem = Problem::of_file(
            "no-shaft",
            shown_path(&target.runs),
            "a runs file alone says nothing of the shaft",
        );
        return refuse(&[problem.hinting("name its job: --job FILE".to_owned())], streams);
    };
    let permissible = limits(job, &job.planes).ok().as_ref().and_then(least_permissible);
    let description = describe(job, stand_speed(&target), permissible);
    let before = match BeforeSpin::new(job, description) {
        Ok(before) if before.not_a_beam.is_empty() => before,
        Ok(before) => return refuse(&faults(&job.file, &before.not_a_beam), streams),
        Err(found) => return refuse(&faults(&job.file, &found), streams),
    };
    let work = shaft_work(job, &before);
    let answer = ShaftAnswer { shaft: &target.name(), job, before: &before, work: &work };
    let words = if arguments.json { json::shaft(&answer) } else { text::shaft(&answer) };
    writeln!(streams.answer, "{}", words.trim_end())?;
    Ok(Exit::Done)
}

/// The fastest the runs were read at, if there are any.
fn stand_speed(target: &Target) -> Option<balance_core::quantity::Speed> {
    let runs = RunsReader::open(&target.runs, target.job.as_ref()).ok()?.next()?.ok()?;
    highest_speed(&runs.run_set().ok()?)
}

fn faults(file: &str, found: &[balance_core::shaft::ShaftFault]) -> Vec<Problem> {
    let place = || Place::WholeFile { file: file.to_owned() };
    let hint = "look at [tube], [[section]], [[part]], [[joint]] and [[steady_bearing]] of the job file";
    found
        .iter()
        .map(|fault| Problem::at("shaft-not-possible", place(), fault.to_string()).hinting(hint.to_owned()))
        .collect()
}
