//! `balance limits`: how much may be left.

use balance_core::answer::{LimitsAnswer, LimitsQuestion, json};

use super::each::{refuse, refused};
use super::open::target;
use super::verify::missing_limits;
use crate::args::JobArguments;
use crate::exit::Exit;
use crate::files::Problem;
use crate::files::runs::RunsReader;
use crate::print::text;
use crate::streams::Streams;

pub fn run(arguments: &JobArguments, streams: &mut Streams<'_>) -> std::io::Result<Exit> {
    let target = match target(arguments) {
        Ok(target) => target,
        Err(problems) => return refuse(&problems, streams),
    };
    let Some(file) = &target.file else {
        let runs = crate::files::shown_path(&target.runs);
        let problem =
            Problem::of_file("no-limit", runs, "a runs file alone does not state mass, speed and grade");
        return refuse(&[problem.hinting("name its job: --job FILE".to_owned())], streams);
    };
    let runs = RunsReader::open(&target.runs, Some(file)).ok().and_then(|mut reader| reader.next()?.ok());
    let case = runs.as_ref().and_then(|runs| target.case(runs, &[]).ok());
    let question = LimitsQuestion {
        shaft: &target.name(),
        job: target.job(),
        setup: runs.as_ref().map_or(&target.job().setup, |runs| &runs.setup),
        speed: runs.as_ref().and_then(|runs| runs.runs.first()?.speed),
        case: case.as_ref(),
    };
    let found = match LimitsAnswer::new(&question) {
        Ok(found) => found,
        Err(missing) => return refuse(&[missing_limits(&target, &missing)], streams),
    };
    let answer = if arguments.json { json::limits(&found) } else { text::limits(streams.page, file, &found) };
    writeln!(streams.answer, "{}", answer.trim_end())?;
    match found.refusal() {
        Some(refusal) => refuse(&[refused(&target, &found.shaft, &refusal)], streams),
        None => Ok(Exit::Done),
    }
}
