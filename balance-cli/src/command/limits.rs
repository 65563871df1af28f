//! `balance limits`: how much may be left.

use super::each::refuse;
use super::target::{Target, target};
use super::verify::missing_limits;
use crate::args::JobArguments;
use crate::exit::Exit;
use crate::files::Problem;
use crate::files::runs::RunsReader;
use crate::outcome::{Question, SureReading, limits, solve};
use crate::print::{json, text};
use crate::streams::Streams;

pub fn run(arguments: &JobArguments, streams: &mut Streams<'_>) -> std::io::Result<Exit> {
    let target = match target(arguments) {
        Ok(target) => target,
        Err(problems) => return refuse(&problems, streams),
    };
    let Some(job) = &target.job else {
        let runs = crate::files::shown_path(&target.runs);
        let problem =
            Problem::of_file("no-limit", runs, "a runs file alone says nothing of mass, speed and grade");
        return refuse(&[problem.hinting("name its job: --job FILE".to_owned())], streams);
    };
    let limits = match limits(job, &job.planes) {
        Ok(limits) => limits,
        Err(missing) => return refuse(&[missing_limits(&target, &missing)], streams),
    };
    let sure = sure_readings(&target);
    let answer = if arguments.json {
        json::limits(&target.name(), &limits, sure.as_deref())
    } else {
        text::limits(&target.name(), job, &limits, sure.as_deref())
    };
    writeln!(streams.answer, "{}", answer.trim_end())?;
    Ok(Exit::Done)
}

/// The readings that would surely do, if the runs already tell how the shaft answers.
fn sure_readings(target: &Target) -> Option<Vec<SureReading>> {
    let runs = RunsReader::open(&target.runs, target.job.as_ref()).ok()?.next()?.ok()?;
    let question = Question {
        shaft: target.name(),
        job: target.job.as_ref(),
        set: runs.run_set().ok()?,
        drift: target.drift,
    };
    solve(question).ok()?.sure_readings
}
