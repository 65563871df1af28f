//! `balance demo`: works through an invented shaft, with its files.

use std::path::Path;

use super::each::refuse;
use crate::args::DemoArguments;
use crate::exit::Exit;
use crate::files::write::{Existing, make_folder, write_file};
use crate::files::{Problem, shown_path};
use crate::streams::Streams;

/// The demo workshop's files, as they are in `data/depot`.
const FILES: [(&str, &str); 8] = [
    ("shop.toml", include_str!("../../../data/depot/shop.toml")),
    ("WP-0417/job.toml", include_str!("../../../data/depot/WP-0417/job.toml")),
    ("WP-0417/runs.csv", include_str!("../../../data/depot/WP-0417/runs.csv")),
    ("WP-0417/runout.csv", include_str!("../../../data/depot/WP-0417/runout.csv")),
    ("WP-0502/job.toml", include_str!("../../../data/depot/WP-0502/job.toml")),
    ("WP-0502/runs.csv", include_str!("../../../data/depot/WP-0502/runs.csv")),
    ("WP-0533/job.toml", include_str!("../../../data/depot/WP-0533/job.toml")),
    ("WP-0533/runs.csv", include_str!("../../../data/depot/WP-0533/runs.csv")),
];

/// The job that is worked through, and the label of its check run.
const WORKED: (&str, &str) = ("WP-0417", "4,check");

pub fn run(arguments: &DemoArguments, streams: &mut Streams<'_>) -> std::io::Result<Exit> {
    let folder = &arguments.folder;
    if let Err(problems) = lay_out(folder) {
        return refuse(&problems, streams);
    }
    let job = folder.join(WORKED.0);
    writeln!(streams.answer, "The workshop of the Hollin Pass road depot, entirely invented.\n")?;
    writeln!(
        streams.answer,
        "First, the initial run and the two trial runs are read. What is the next \
                             step?\n"
    )?;
    if let Err(problems) = write_runs(&job, before_check) {
        return refuse(&problems, streams);
    }
    let mut exit = step(&["correct"], &job, streams)?;
    writeln!(
        streams.answer,
        "\nThe weights are welded, the tube has cooled, and the check run is read. Is the shaft good \
        enough?\n"
    )?;
    if let Err(problems) = write_runs(&job, str::to_owned) {
        return refuse(&problems, streams);
    }
    exit = exit.worse(step(&["verify"], &job, streams)?);
    writeln!(streams.answer, "\nFinally, the pictures:\n")?;
    exit = exit.worse(step(&["plot"], &job, streams)?);
    writeln!(
        streams.answer,
        "\nTry the same in {} with balance correct, verify, limits, shaft, plot.",
        shown_path(&job)
    )?;
    Ok(exit)
}

fn lay_out(folder: &Path) -> Result<(), Vec<Problem>> {
    if !folder.exists() {
        make_folder(folder)?;
    }
    for (name, text) in FILES {
        let path = folder.join(name);
        if let Some(above) = path.parent()
            && !above.exists()
        {
            make_folder(above)?;
        }
        write_file(&path, text.as_bytes(), Existing::Replace)?;
    }
    Ok(())
}

/// The runs file as it was before the check run.
fn before_check(text: &str) -> String {
    let lines = text.lines().filter(|line| !line.starts_with(WORKED.1));
    lines.map(|line| format!("{line}\n")).collect()
}

fn write_runs(job: &Path, shorten: impl Fn(&str) -> String) -> Result<(), Vec<Problem>> {
    let runs = FILES.iter().find(|(name, _)| *name == format!("{}/runs.csv", WORKED.0));
    let text = runs.map_or("", |(_, text)| text);
    write_file(&job.join("runs.csv"), shorten(text).as_bytes(), Existing::Replace)?;
    Ok(())
}

/// Shows a command as it would be typed, and runs it.
fn step(verb: &[&str], job: &Path, streams: &mut Streams<'_>) -> std::io::Result<Exit> {
    writeln!(streams.answer, "$ balance {} {}\n", verb.join(" "), shown_path(job))?;
    let words = std::iter::once("balance").chain(verb.iter().copied()).map(Into::into);
    let exit = crate::run(words.chain(std::iter::once(job.as_os_str().to_owned())), streams);
    Ok(exit)
}
