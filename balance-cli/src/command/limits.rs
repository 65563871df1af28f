//! `balance limits`: how much may be left.

use super::each::refuse;
use super::gate::refusal;
use super::target::{Target, target};
use super::verify::missing_limits;
use crate::args::JobArguments;
use crate::exit::Exit;
use balance_core::caution::Caution;
use balance_core::run::Setup;

use crate::files::runs::{RunsReader, ShaftRuns};
use crate::files::{Job, Problem};
use crate::outcome::{CheckMemory, LimitsAnswer as Found, Outcome, limits, solve, trials};
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
    let runs =
        RunsReader::open(&target.runs, target.job.as_ref()).ok().and_then(|mut reader| reader.next()?.ok());
    let solved = runs.as_ref().and_then(|runs| solved(&target, runs));
    let known = solved.as_ref().map(|outcome| (&outcome.set, &outcome.influence));
    let speed = runs.as_ref().and_then(|runs| runs.runs.first()?.speed).or(job.measures.service_speed);
    let setup = runs.as_ref().map_or_else(|| setup_of(job), |runs| (*runs.setup).clone());
    let trials = trials(job, Some(&limits), &setup, speed, known);
    // Before the first trial the initial run already says how fast the stand turns.
    let set = runs.as_ref().and_then(|runs| runs.run_set().ok());
    let before = solved.as_ref().map_or_else(
        || CheckMemory::default().check(job, set.as_ref(), Some(&limits)),
        |outcome| outcome.before_spin.clone(),
    );
    let mut cautions: Vec<Caution> = before.iter().flat_map(|before| before.bearing_on_answers()).collect();
    cautions.extend(trials.iter().flat_map(|trial| trial.cautions.clone()));
    cautions.sort_by_key(Caution::level);
    let found = Found {
        before: before.as_deref(),
        cautions,
        limits: &limits,
        sure: solved.as_ref().and_then(|o| o.sure_readings.as_deref()),
        trials: &trials,
        setup: &setup,
    };
    let answer = if arguments.json {
        json::limits(&target.name(), job.units, &found)
    } else {
        text::limits(&target.name(), job, &found)
    };
    writeln!(streams.answer, "{}", answer.trim_end())?;
    match before.as_deref().and_then(|before| refusal(job, &target.name(), before)) {
        Some(problem) => refuse(&[problem], streams),
        None => Ok(Exit::Done),
    }
}

/// Everything the runs tell, if they already tell how the shaft answers.
fn solved<'a>(target: &'a Target, runs: &ShaftRuns) -> Option<Outcome<'a>> {
    let set = runs.run_set().ok()?;
    let question = target.question(None, set).ok()?;
    solve(question).ok()
}

/// Planes and sensors of a job without a runs file.
fn setup_of(job: &Job) -> Setup {
    Setup {
        planes: job.planes.clone(),
        sensors: job.sensors.clone(),
        convention: job.convention.clone(),
        noise: job.stand.noise.clone(),
    }
}
