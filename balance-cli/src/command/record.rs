//! From a job's folder to the record that the archive keeps.

use std::path::{Path, PathBuf};

use balance_core::answer::{Advice, Answer, json, solve};
use balance_core::grade::Criterion;
use balance_core::influence::Which;
use balance_core::quantity::shown;
use balance_core::run::{Change, PlacedMass};

use super::each::problems_of;
use super::open::{Target, target_of_folder};
use super::reopen::{files_of, write_into};
use super::report::page_of;
use crate::archive::{
    Archive, ArchiveFault, Attachment, NewRecord, Opening, SqliteArchive, TubeSize, answers_text,
    default_place,
};
use crate::files::job::{JOB_FILE, PhotoFile, RUNS_FILE, shop_file_of};
use crate::files::runs::RunsReader;
use crate::files::{Problem, limits, now, read_below, read_bytes, render_all};

/// Makes the record of a job's folder. `archive`: where sister shafts are looked up.
///
/// # Errors
///
/// Why the folder is not a finished job, in words.
pub fn record_of(folder: &Path, archive: Option<PathBuf>) -> Result<NewRecord, String> {
    let words = |problems: Vec<Problem>| render_all(&problems);
    let target = target_of_folder(folder, archive).map_err(words)?;
    let mut reader = RunsReader::open(&target.runs, target.file.as_ref()).map_err(words)?;
    let runs = match reader.next() {
        Some(Ok(runs)) => runs,
        Some(Err(faults)) => return Err(render_all(&faults.problems)),
        None => return Err("there are no runs".into()),
    };
    let case = target.case(&runs, &reader.cautions()).map_err(words)?;
    let answer = solve(&case).map_err(|unsolved| words(problems_of(&target, &runs, &unsolved)))?;
    let report = page_of(&target, &runs, &answer).map_err(words)?;
    Ok(NewRecord { report: Some(report.into_bytes()), ..record(folder, &target, &answer)? })
}

/// Makes a record of a report that carries its job's files; the record keeps this report.
///
/// # Errors
///
/// Why the report cannot be opened again, or its job is not finished, in words.
pub fn record_of_report(report: &Path, archive: Option<PathBuf>) -> Result<NewRecord, String> {
    let words = |problems: Vec<Problem>| render_all(&problems);
    let files = files_of(report).map_err(words)?;
    for needed in [JOB_FILE, RUNS_FILE] {
        if !files.iter().any(|file| file.name == needed) {
            return Err(format!("there is no {needed} among its files: take them out with balance reopen"));
        }
    }
    let place = tempfile::tempdir().map_err(|error| format!("no temporary folder: {error}"))?;
    write_into(&files, place.path()).map_err(words)?;
    let record = record_of(place.path(), archive)?;
    let page = read_bytes(report, limits::REPORT).map_err(|problem| problem.render())?;
    Ok(NewRecord { report: Some(page), ..record })
}

fn record(folder: &Path, target: &Target, answer: &Answer) -> Result<NewRecord, String> {
    let heading = target.file.as_ref().map(|file| file.paperwork.heading.clone()).unwrap_or_default();
    let measures = &answer.job.measures;
    let tube = measures.tube.as_ref();
    Ok(NewRecord {
        number: heading.number.unwrap_or_else(|| answer.shaft.clone()),
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
        verdict: verdict_word(answer).map(str::to_owned),
        grade: measures.limit.map(|limit| match limit {
            Criterion::Grade(grade) => grade.to_string(),
            Criterion::OwnLimit(amount) => shown::unbalance(answer.job.units, amount.gram_millimetres()),
        }),
        service_speed: measures.service_speed,
        marks: answer.runs.setup().convention.zero_mark.clone().unwrap_or_default(),
        weights: weights_in_words(answer),
        inputs: inputs(folder, target)?,
        result: result(answer),
        report: None,
        attachments: attachments(folder, target)?,
        answers: answer.for_sisters().as_ref().map(answers_text),
        program: env!("CARGO_PKG_VERSION").to_owned(),
        made_at: now().map_err(|problem| problem.render())?.strftime("%Y-%m-%dT%H:%M:%SZ").to_string(),
        supersedes: None,
    })
}

/// What a record of a test of the stand holds.
#[derive(Debug, Clone, Copy)]
pub struct TestRecord<'a> {
    /// What stands where a shaft has its verdict.
    pub title: &'a str,
    /// What it showed.
    pub text: &'a str,
    /// The same for programs.
    pub json: &'a str,
    /// The marks in words.
    pub marks: &'a str,
}

/// Stores a test of the stand: its files, what it showed in words, and the same for programs.
///
/// # Errors
///
/// Why it cannot be stored, in words.
pub fn record_of_test(
    target: &Target,
    archive: Option<PathBuf>,
    test: &TestRecord<'_>,
) -> Result<i64, String> {
    let heading = target.file.as_ref().map(|file| file.paperwork.heading.clone()).unwrap_or_default();
    let Some(job) = &target.job_path else {
        return Err("a runs file alone makes no record: name a job".into());
    };
    let folder = job.parent().unwrap_or(Path::new("."));
    let record = NewRecord {
        number: heading.number.unwrap_or_else(|| target.name()),
        customer: heading.customer.unwrap_or_default(),
        unit: heading.unit.unwrap_or_default(),
        tag: heading.tag.unwrap_or_default(),
        technician: heading.by.unwrap_or_default(),
        shaft_type: None,
        tube: TubeSize { outer_diameter: None, wall: None, length: None },
        verdict: Some(test.title.to_owned()),
        grade: None,
        service_speed: None,
        marks: test.marks.to_owned(),
        weights: test.text.split_whitespace().collect::<Vec<&str>>().join(" "),
        inputs: inputs(folder, target)?,
        result: test.json.to_owned(),
        report: None,
        attachments: attachments(folder, target)?,
        answers: None,
        program: env!("CARGO_PKG_VERSION").to_owned(),
        made_at: now().map_err(|problem| problem.render())?.strftime("%Y-%m-%dT%H:%M:%SZ").to_string(),
        supersedes: None,
    };
    let fault = |fault: ArchiveFault| fault.to_string();
    let place = match archive {
        Some(place) => place,
        None => default_place(None, |name| std::env::var_os(name)).map_err(fault)?,
    };
    let mut archive = SqliteArchive::open_or_create(&place, Opening::default()).map_err(fault)?;
    Ok(archive.add(&record).map_err(fault)?.id())
}

/// The photographs and scans that the job names.
fn attachments(folder: &Path, target: &Target) -> Result<Vec<Attachment>, String> {
    let photos = target.file.iter().flat_map(|file| &file.paperwork.photos);
    let read = |photo: &PhotoFile| {
        let bytes = read_below(folder, &photo.file, limits::PICTURE).map_err(|problem| problem.render())?;
        Ok(Attachment { name: photo.file.clone(), bytes })
    };
    // A photograph that shows two things is still one file.
    let mut named = std::collections::HashSet::new();
    photos.filter(|photo| named.insert(&photo.file)).map(read).collect()
}

/// The files as they are, and the merged text of the job.
fn inputs(folder: &Path, target: &Target) -> Result<Vec<(String, Vec<u8>)>, String> {
    let read = |path: &Path| read_bytes(path, limits::RUNS).map_err(|problem| problem.render());
    let mut files = vec![
        (JOB_FILE.to_owned(), read(&folder.join(JOB_FILE))?),
        (RUNS_FILE.to_owned(), read(&target.runs)?),
    ];
    if let Some(shop) = shop_file_of(folder) {
        files.push(("shop.toml".to_owned(), read(&shop)?));
    }
    files.extend(
        target.file.iter().map(|file| ("merged.toml".to_owned(), file.merged_text.clone().into_bytes())),
    );
    if let Some(runout) = target.file.as_ref().and_then(|file| file.paperwork.runout_file.as_ref()) {
        files.push((runout.clone(), read(&folder.join(runout))?));
    }
    Ok(files)
}

/// The word under which the record is filed: a shaft that must not spin has no verdict.
fn verdict_word(answer: &Answer) -> Option<&'static str> {
    match answer.advice() {
        advice @ Advice::MustNotSpin(_) => Some(advice.word()),
        _ => answer.judged.as_ref().map(|judged| judged.decision.word()),
    }
}

/// The correction and, where there is one, the verdict: one object per line.
fn result(answer: &Answer) -> String {
    let correction = json::correction(answer);
    json::verdict(answer, Which::Now)
        .map_or_else(|_| correction.clone(), |verdict| format!("{correction}\n{verdict}"))
}

/// The weights the shaft leaves with: "front 15 g at 333 deg (258 mm)".
fn weights_in_words(answer: &Answer) -> String {
    let Some(&last) = answer.runs.last_check_block().last() else { return String::new() };
    let round = answer.job.measures.tube.as_ref().map(balance_core::shaft::Tube::circumference_millimetres);
    let words = |mass: &PlacedMass| {
        let plane = &answer.runs.setup().planes[mass.plane].name;
        let sign = if mass.change == Change::TakenOff { "minus " } else { "" };
        let angle = mass.angle.degrees_in_turn();
        let shop = answer.job.units;
        let tape = round.map(|round| format!(" ({})", shown::length(shop, angle / 360.0 * round)));
        let mass = shown::weighed(shop, mass.mass.grams());
        format!("{plane} {sign}{mass} at {angle:.0} deg{}", tape.unwrap_or_default())
    };
    answer.runs.rows()[last].masses.iter().map(words).collect::<Vec<String>>().join(", ")
}
