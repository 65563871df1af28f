//! `balance shaft`: the shaft before it spins.

use balance_core::answer::{BeforeSpin, ShaftAnswer, highest_speed, json};
use balance_core::quantity::{Speed, Units};
use balance_core::shaft::ShaftFault;

use super::each::refuse;
use super::open::{Target, target};
use super::plot::save;
use crate::args::{PictureFormat, ShaftArguments};
use crate::exit::Exit;
use crate::files::runs::RunsReader;
use crate::files::{Place, Problem, shown_path};
use crate::paper::Paper;
use crate::picture::critical_speed_over_length;
use crate::print::text;
use crate::streams::Streams;

pub fn run(arguments: &ShaftArguments, quiet: bool, streams: &mut Streams<'_>) -> std::io::Result<Exit> {
    let target = match target(&arguments.job) {
        Ok(target) => target,
        Err(problems) => return refuse(&problems, streams),
    };
    let Some(file) = &target.file else {
        let problem = Problem::of_file(
            "no-shaft",
            shown_path(&target.runs),
            "a runs file alone does not describe the shaft",
        );
        return refuse(&[problem.hinting("name its job: --job FILE".to_owned())], streams);
    };
    let answer = match ShaftAnswer::new(&target.name(), target.job(), stand_speed(&target)) {
        Ok(answer) => answer,
        Err(found) => return refuse(&faults(&file.file, file.job.units, &found), streams),
    };
    let words = if arguments.job.json {
        json::shaft(&answer, &file.paperwork.match_marks)
    } else {
        text::shaft(streams.page, &answer, file)
    };
    writeln!(streams.answer, "{}", words.trim_end())?;
    if arguments.plot { plot(&target, &answer.before, quiet, streams) } else { Ok(Exit::Done) }
}

/// Draws the critical speed over the length.
fn plot(
    target: &Target,
    before: &BeforeSpin,
    quiet: bool,
    streams: &mut Streams<'_>,
) -> std::io::Result<Exit> {
    let Some(picture) = critical_speed_over_length(&target.name(), target.job().units, before) else {
        let problem =
            Problem::of_file("no-tube", target.name(), "without the tube there is no critical speed to draw");
        return refuse(&[problem.hinting("fill in [tube] in the job file".to_owned())], streams);
    };
    match save(&target.folder, &picture, &[PictureFormat::Svg, PictureFormat::Png], Paper::default()) {
        Ok(files) => {
            for file in files.iter().filter(|_| !quiet) {
                writeln!(streams.talk, "{}", shown_path(file))?;
            }
            Ok(Exit::Done)
        }
        Err(problems) => refuse(&problems, streams),
    }
}

/// The fastest speed of the runs, if there are any.
fn stand_speed(target: &Target) -> Option<Speed> {
    let runs = RunsReader::open(&target.runs, target.file.as_ref()).ok()?.next()?.ok()?;
    highest_speed(&runs.run_set().ok()?)
}

fn faults(file: &str, units: Units, found: &[ShaftFault]) -> Vec<Problem> {
    let place = || Place::WholeFile { file: file.to_owned() };
    let hint = "check [tube], [[section]], [[part]], [[joint]] and [[steady_bearing]] in the job file";
    found
        .iter()
        .map(|fault| Problem::at("shaft-not-possible", place(), fault.words(units)).hinting(hint.to_owned()))
        .collect()
}
