//! From a job's folder to the record that the archive keeps.

use std::path::Path;

use balance_core::run::{Change, PlacedMass};

use super::report::page_of;
use super::target::{Target, target};
use crate::archive::{Attachment, NewRecord, ShaftAnswers, TubeSize};
use crate::args::JobArguments;
use crate::files::job::{JOB_FILE, Limit, PhotoFile, RUNS_FILE, shop_file_above};
use crate::files::runs::RunsReader;
use crate::files::{Problem, render_all};
use crate::outcome::{Outcome, solve};
use crate::print::json;

/// Makes the record of a job's folder.
///
/// # Errors
///
/// Why the folder is no finished job, in words.
pub fn record_of(folder: &Path) -> Result<NewRecord, String> {
    let words = |problems: Vec<Problem>| render_all(&problems);
    let arguments = JobArguments {
        job_or_runs: Some(folder.to_path_buf()),
        job: None,
        json: false,
        drift: false,
        shaft_type: None,
        archive: None,
    };
    let target = target(&arguments).map_err(words)?;
    let mut reader = RunsReader::open(&target.runs, target.job.as_ref()).map_err(words)?;
    let runs = match reader.next() {
        Some(Ok(runs)) => runs,
        Some(Err(faults)) => return Err(render_all(&faults.problems)),
        None => return Err("there are no runs".into()),
    };
    let set = runs.run_set().map_err(words)?;
    let question = target.question(runs.shaft.clone(), set).map_err(|problem| problem.render())?;
    let outcome = solve(question)
        .map_err(|faults| faults.iter().map(ToString::to_string).collect::<Vec<String>>().join("; "))?;
    let report = page_of(&target, &runs, &outcome).map_err(words)?;
    Ok(NewRecord { report: Some(report.into_bytes()), ..record(folder, &target, &outcome)? })
}

fn record(folder: &Path, target: &Target, outcome: &Outcome<'_>) -> Result<NewRecord, String> {
    let job = target.job.as_ref();
    let heading = job.map(|job| job.heading.clone()).unwrap_or_default();
    let measures = job.map(|job| &job.measures);
    let tube = measures.and_then(|measures| measures.tube.as_ref());
    Ok(NewRecord {
        number: heading.number.unwrap_or_else(|| outcome.shaft.clone()),
        customer: heading.customer.unwrap_or_default(),
        unit: heading.unit.unwrap_or_default(),
        tag: heading.tag.unwrap_or_default(),
        technician: heading.by.unwrap_or_default(),
        shaft_type: heading.shaft_type,
        tube: TubeSize {
            outer_diameter: tube.map(|tube| tube.outer_diameter),
            wall: tube.map(|tube| tube.wall),
            length: tube.map(|tube| tube.length),
        },
        verdict: outcome.judged.as_ref().map(|judged| judged.decision.word().to_owned()),
        grade: measures.and_then(|measures| measures.limit).map(|limit| match limit {
            Limit::Grade(value) => format!("G{value}"),
            Limit::Amount(amount) => format!("{} g.mm", amount.gram_millimetres()),
        }),
        service_speed: measures.and_then(|measures| measures.service_speed),
        marks: outcome.set.setup().convention.zero_mark.clone().unwrap_or_default(),
        weights: weights_in_words(outcome),
        inputs: inputs(folder, target)?,
        result: result(outcome),
        report: None,
        attachments: attachments(folder, target)?,
        answers: ShaftAnswers::of(&outcome.set, &outcome.influence, None).map(|answers| answers.to_json()),
        program: env!("CARGO_PKG_VERSION").to_owned(),
        made_at: now(),
        supersedes: None,
    })
}

/// When the record is made: the only place where the program asks the clock for one.
fn now() -> String {
    jiff::Timestamp::now().strftime("%Y-%m-%dT%H:%M:%SZ").to_string()
}

/// The photographs and scans that the job names.
fn attachments(folder: &Path, target: &Target) -> Result<Vec<Attachment>, String> {
    let photos = target.job.iter().flat_map(|job| &job.photos);
    let read = |photo: &PhotoFile| {
        let path = folder.join(&photo.file);
        let bytes = std::fs::read(&path).map_err(|error| format!("{}: {error}", path.display()))?;
        Ok(Attachment { name: photo.file.clone(), bytes })
    };
    photos.map(read).collect()
}

/// The files as they are, and the merged text of the job.
fn inputs(folder: &Path, target: &Target) -> Result<Vec<(String, Vec<u8>)>, String> {
    let read = |path: &Path| std::fs::read(path).map_err(|error| format!("{}: {error}", path.display()));
    let mut files = vec![
        (JOB_FILE.to_owned(), read(&folder.join(JOB_FILE))?),
        (RUNS_FILE.to_owned(), read(&target.runs)?),
    ];
    if let Some(shop) = shop_file_above(folder) {
        files.push(("shop.toml".to_owned(), read(&shop)?));
    }
    files.extend(
        target.job.iter().map(|job| ("merged.toml".to_owned(), job.merged_text.clone().into_bytes())),
    );
    if let Some(runout) = target.job.as_ref().and_then(|job| job.shaft.runout.as_ref()) {
        files.push((runout.file.clone(), read(&folder.join(&runout.file))?));
    }
    Ok(files)
}

/// The correction and, where there is one, the verdict: one object a line.
fn result(outcome: &Outcome<'_>) -> String {
    let correction = json::correction(outcome);
    match (&outcome.limits, &outcome.judged) {
        (Ok(limits), Some(judged)) => format!("{correction}\n{}", json::verdict(outcome, limits, judged)),
        _ => correction,
    }
}

/// The weights the shaft leaves with: "front 15 g at 333 deg (258 mm)".
fn weights_in_words(outcome: &Outcome<'_>) -> String {
    let Some(&last) = outcome.set.last_check_block().last() else { return String::new() };
    let round = outcome
        .job
        .and_then(|job| job.measures.tube.as_ref())
        .map(balance_core::shaft::Tube::circumference_millimetres);
    let words = |mass: &PlacedMass| {
        let plane = &outcome.set.setup().planes[mass.plane].name;
        let sign = if mass.change == Change::TakenOff { "minus " } else { "" };
        let angle = mass.angle.degrees_in_turn();
        let tape = round.map(|round| format!(" ({:.0} mm)", angle / 360.0 * round)).unwrap_or_default();
        format!("{plane} {sign}{} g at {angle:.0} deg{tape}", mass.mass.grams())
    };
    outcome.set.rows()[last].masses.iter().map(words).collect::<Vec<String>>().join(", ")
}
