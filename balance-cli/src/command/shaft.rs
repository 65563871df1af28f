//! `balance shaft`: the shaft before it spins.

use super::each::refuse;
use super::plot::save;
use super::target::{Target, target};
use crate::args::{PictureFormat, ShaftArguments};
use crate::exit::Exit;
use crate::files::runs::RunsReader;
use crate::files::{Place, Problem, shown_path};
use crate::outcome::{
    BeforeSpin, ShaftAnswer, describe, highest_speed, least_permissible, limits, shaft_work,
};
use crate::picture::critical_speed_over_length;
use crate::print::{json, text};
use crate::streams::Streams;

pub fn run(arguments: &ShaftArguments, quiet: bool, streams: &mut Streams<'_>) -> std::io::Result<Exit> {
    let target = match target(&arguments.job) {
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
    let answer = ShaftAnswer {
        shaft: &target.name(),
        job,
        before: &before,
        work: &work,
        longest: before.description.longest_safe_length(),
    };
    let words = if arguments.job.json { json::shaft(&answer) } else { text::shaft(&answer) };
    writeln!(streams.answer, "{}", words.trim_end())?;
    if arguments.plot { plot(&target, &before, quiet, streams) } else { Ok(Exit::Done) }
}

/// Draws the critical speed over the length.
fn plot(
    target: &Target,
    before: &BeforeSpin,
    quiet: bool,
    streams: &mut Streams<'_>,
) -> std::io::Result<Exit> {
    let Some((stem, scene)) = critical_speed_over_length(&target.name(), before) else {
        let problem =
            Problem::of_file("no-tube", target.name(), "without the tube there is no critical speed to draw");
        return refuse(&[problem.hinting("fill in [tube] in the job file".to_owned())], streams);
    };
    match save(&target.folder, &stem, &scene, PictureFormat::Both) {
        Ok(files) => {
            for file in files.iter().filter(|_| !quiet) {
                writeln!(streams.talk, "{}", shown_path(file))?;
            }
            Ok(Exit::Done)
        }
        Err(problems) => refuse(&problems, streams),
    }
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
