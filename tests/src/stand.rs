//! A helper at the stand that knows the answer to each question of the guided entry.

use std::path::{Path, PathBuf};

/// A folder with the demo workshop's shop file and job, and a runs file without a run.
///
/// # Errors
///
/// The folder cannot be written.
pub fn empty_job(above: &Path) -> std::io::Result<PathBuf> {
    let depot = Path::new(env!("CARGO_MANIFEST_DIR")).join("../data/depot");
    let folder = above.join("WP-0417");
    std::fs::create_dir_all(&folder)?;
    let shop = std::fs::read_to_string(depot.join("shop.toml"))?;
    std::fs::write(
        above.join("shop.toml"),
        shop.replacen("[stand]\n", "[show]\nunits = \"metric\"\n[stand]\nreading_unit = \"mm/s\"\n", 1),
    )?;
    for file in ["job.toml", "runout.csv"] {
        std::fs::copy(depot.join("WP-0417").join(file), folder.join(file))?;
    }
    std::fs::write(folder.join("runs.csv"), format!("{HEADER}\n"))?;
    Ok(folder)
}

/// The header of a new job's runs file.
pub const HEADER: &str = "run,kind,speed [rpm],front mass [g],front angle [deg],rear mass [g],rear angle [deg],\
front amplitude [mm/s],front phase [deg],rear amplitude [mm/s],rear phase [deg],note";

/// What the file must contain after the whole job, written by hand. The readings are those of the demo's
/// simulated shaft (invented, 2 % noise); the tried row's from the same shaft without beads, rounded by hand.
pub const WHOLE: &str = "\
run,kind,speed [rpm],front mass [g],front angle [deg],rear mass [g],rear angle [deg],front amplitude [mm/s],front phase [deg],rear amplitude [mm/s],rear phase [deg],note,front mass 2 [g],front angle 2 [deg],front bead [g],front bead 2 [g],rear bead [g]
1,initial,1800,,,,,5.29,230,3.24,69,,,,,,
2,trial,1800,20,90,,,8.68,211,3.56,49,under a hose clamp,,,,,
3,trial,1800,,,20,90,5.34,241,4.38,124,screwed on,,,,,
4,tried,1800,15,333,10,192,0.3,300,0.5,100,,10,277,,,
5,check,1800,15,333,10,192,0.16,321,0.44,96,,10,277,1,1,1
";

/// The helper's answer to a question, given everything printed before it; `None`: this is not a question.
#[must_use]
pub fn answer(log: &str) -> Option<&'static str> {
    let question = log.rsplit('\n').next().unwrap_or_default().trim_start_matches(['\u{7}', '\r']);
    let asks = |words: &str| question.starts_with(words) && question.ends_with(": ");
    if asks("Speed and reading") || asks("Reading (speed") {
        return Some(reading(log));
    }
    let answers = [
        ("Mass in g", "20 90"),
        ("How is it held?", if trial_at(log) == Some("REAR") { "1" } else { "" }),
        ("Right?", ""),
        ("1 = yes, it is right", "1"),
        ("Is it off?", "off"),
        ("All on as advised?", "1"),
        ("Tag or stamp", ""),
        ("Shaft type", ""),
        ("Who balances it", ""),
        ("Go through this list", ""),
        ("What is welded stays on", "weld"),
        ("Is it welded, exactly so?", "welded"),
        ("Is the tube the same warmth", "1"),
        ("Enter = leave, or", "q"),
    ];
    answers.into_iter().find(|(words, _)| asks(words)).map(|(_, answer)| answer)
}

/// The headline of the run that is being asked for.
fn headline(log: &str) -> &str {
    let kinds = [", INITIAL: ", ", TRIAL: ", ", TRIED: ", ", CHECK: "];
    let last = kinds.into_iter().filter_map(|kind| log.rfind(kind)).max();
    last.map_or("", |at| &log[at + 2..])
}

fn trial_at(log: &str) -> Option<&'static str> {
    let text = headline(log);
    ["FRONT", "REAR"]
        .into_iter()
        .find(|place| text.starts_with(&format!("TRIAL: a trial mass at the {place}")))
}

fn reading(log: &str) -> &'static str {
    let text = headline(log);
    match (text.split(':').next(), trial_at(log)) {
        (Some("INITIAL"), _) => "1800 5.29 230 3.24 69",
        (Some("TRIAL"), Some("FRONT")) => "8.68 211 3.56 49",
        (Some("TRIAL"), _) => "5,34 @ 241 4,38 @ 124",
        (Some("TRIED"), _) => "0.3 300 0.5 100",
        _ => "0.16 321 0.44 96",
    }
}

/// What somebody answers who begins a job in an empty folder, from the bench to the first run; `None`: this is no question.
/// Everything that is asked gets an answer; on the bench the first line that is still open comes next.
#[must_use]
pub fn fresh_answer(log: &str) -> Option<String> {
    let log = log.replace(['\u{7}', '\r'], "");
    let question = log.rsplit('\n').next()?;
    if !question.ends_with(": ") {
        return None;
    }
    if question.starts_with("Which? A number, report") {
        let list = log.rsplit("THE BENCH").next()?;
        let open = list.lines().find(|line| line.ends_with(" open"));
        return Some(open.map_or("", |line| line.split_whitespace().next().unwrap_or_default()).to_owned());
    }
    if question.starts_with("Between which two pieces") {
        let marked = log.rsplit("Mark every pair").next()?.contains("Taken: ");
        return Some(if marked { "" } else { "slip yoke and stub" }.to_owned());
    }
    if question.starts_with("Number") {
        let asked = log.rsplit('\n').skip(1).find(|line| !line.starts_with("  "))?;
        return Some(if asked.starts_with("What do the dials") { "mils" } else { "2" }.to_owned());
    }
    let found = FRESH.iter().find(|(words, _)| question.starts_with(words));
    found.map(|(_, answer)| (*answer).to_owned())
}

/// The questions of a new job, US units, with their answers.
const FRESH: &[(&str, &str)] = &[
    ("Is it a worn shaft", "1"),
    ("Go on there?", "1"),
    ("Length from joint centre", "51-9/16"),
    ("The joints, such as", "both dry"),
    ("Damage, such as", "dented"),
    ("What does the mark look like", "two punch dots"),
    ("What is wrong", "notched"),
    ("Measured in in", ".001"),
    ("Measured, with its unit", "0.3 deg"),
    ("Keep or replace?", "2"),
    ("Whose shaft", "Hollin Pass road depot (invented)"),
    ("Vehicle or machine", "gritter 4, spinner"),
    ("Tag or stamp", "HP-12"),
    ("Shaft type", "gritter spinner drive"),
    ("Who balances it", "M. Holt"),
    ("Weight of the whole shaft", "31.3"),
    ("Highest speed", "2600"),
    ("Balance grade", "16"),
    ("Tube in inches", "3.5 .095 54-1/2"),
    ("Is the tube of weldable", "1"),
    ("Where weights go", "3-3/4 50-3/4"),
    ("Where the sensors sit", "0 54-1/2"),
    ("What is the zero mark", "paint line"),
    ("How far do the readings wander", "2"),
    ("The box of weights", "0.25 0.5"),
    ("Their width", "1"),
    ("Their thickness", "1/8"),
    ("What does the weld bead", "0.04"),
    ("Do units, counting", "1"),
    ("Go through this list", ""),
    ("Speed and reading", "q"),
];

/// The labels of the runs whose taking was acknowledged.
#[must_use]
pub fn taken(log: &str) -> Vec<String> {
    let lines = log.split('\n').map(|line| line.trim_start_matches(['\u{7}', '\r']));
    let labels =
        lines.filter_map(|line| line.strip_prefix("Taken: run ")?.split(' ').next().map(str::to_owned));
    labels.collect()
}
