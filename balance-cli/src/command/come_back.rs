//! A shaft that comes back: a new job from the record of its last visit.

use std::fmt::Write as _;
use std::path::{Path, PathBuf};

use balance_core::answer::{Answer, solve};
use balance_core::correction::weights::{AccountEntry, EntryKind, When};
use balance_core::quantity::{Length, Mass, Units, parse, shown};

use super::each::problems_of;
use super::open::target_of_folder;
use crate::archive::{Archive, Opening, Record, Role, SqliteArchive, default_place};
use crate::files::Problem;
use crate::files::job::{SHOP_FILE, is_plain_name};
use crate::files::new_job::{new_job, new_job_from};
use crate::files::runs::RunsReader;
use crate::files::write::{Existing, write_file};

/// What a shaft came back with.
pub struct CameBackWith {
    /// The files written.
    pub files: Vec<PathBuf>,
    /// What it left with, one item per line.
    pub left_with: Vec<String>,
}

/// Creates the folder of a job: new, like the job of another folder, or from a record in the archive.
///
/// # Errors
///
/// The folder already exists, or the earlier job cannot be read.
pub fn new_job_like(
    folder: &Path,
    number: &str,
    from: Option<&Path>,
    archive: Option<PathBuf>,
) -> Result<CameBackWith, Vec<Problem>> {
    let record = from.filter(|from| !from.exists()).and_then(|from| from.to_str()?.parse().ok());
    let plain = |files| CameBackWith { files, left_with: Vec::new() };
    match (from, record) {
        (Some(_), Some(record)) => new_job_of_record(folder, number, record, archive),
        (Some(earlier), None) => new_job_from(folder, number, earlier, "").map(plain),
        (None, _) => new_job(folder, number).map(plain),
    }
}

/// Creates the folder of a job from a record: its job file, the weights it left with as `[[welded]]`, and
/// what was left.
///
/// # Errors
///
/// There is no such record, or its files can no longer be read.
fn new_job_of_record(
    folder: &Path,
    number: &str,
    id: i64,
    archive: Option<PathBuf>,
) -> Result<CameBackWith, Vec<Problem>> {
    let fault = |words: String| Problem::of_file("archive", "--from", words);
    let place = default_place(archive, |name| std::env::var_os(name)).map_err(|f| fault(f.to_string()))?;
    let archive = SqliteArchive::open(&place, Opening::default()).map_err(|f| fault(f.to_string()))?;
    let record = archive.show(id).map_err(|f| fault(f.to_string()))?;
    let temporary = tempfile::tempdir().map_err(|error| fault(format!("no temporary folder: {error}")))?;
    let stay = unpack(&record, temporary.path())?;
    let (sections, left_with) = last_stay(&stay, &record, Some(place))?;
    let files = new_job_from(folder, number, &stay, &sections)?;
    Ok(CameBackWith { files, left_with })
}

/// Writes the record's files as they were in the job's folder; returns that folder.
fn unpack(record: &Record, place: &Path) -> Result<PathBuf, Vec<Problem>> {
    let folder = place.join("stay");
    crate::files::write::make_folder(&folder)?;
    for file in record.files_of(Role::Input) {
        let path = match file.name.as_str() {
            SHOP_FILE => place.join(SHOP_FILE),
            name if is_plain_name(name) => folder.join(name),
            _ => continue,
        };
        write_file(&path, &file.bytes, Existing::Keep)?;
    }
    Ok(folder)
}

/// The sections about the last visit, and the same in words.
fn last_stay(
    folder: &Path,
    record: &Record,
    archive: Option<PathBuf>,
) -> Result<(String, Vec<String>), Vec<Problem>> {
    let target = target_of_folder(folder, archive)?;
    let mut reader = RunsReader::open(&target.runs, target.file.as_ref())?;
    let Some(runs) = reader.next() else { return Ok((String::new(), Vec::new())) };
    let runs = runs.map_err(|faults| faults.problems)?;
    let case = target.case(&runs, &[])?;
    let answer = solve(&case).map_err(|unsolved| problems_of(&target, &runs, &unsolved))?;
    Ok((sections(&answer, record), words(&answer)))
}

fn sections(answer: &Answer, record: &Record) -> String {
    let quoted = |text: &str| toml::Value::String(text.into()).to_string();
    let mut text = format!(
        "\n# From the record of its last visit.\n[came_back]\nrecord = \"{}\"\ndate = {}\n",
        record.line.id,
        quoted(&record.line.made_at)
    );
    if let Some(left) = left(answer) {
        let _ = writeln!(text, "left = {}", quoted(&left));
    }
    for entry in fitted(answer) {
        let (units, plane) = (answer.job.units, &answer.runs.setup().planes[entry.plane].name);
        let run = match &entry.fitted {
            When::Run(label) => format!("record {}, run {label}", record.line.id),
            When::BeforeTheJob => continue,
        };
        let _ = write!(
            text,
            "\n[[welded]]\nplane = {}\nmass = \"{}\"\nbead_mass = \"{}\"\nangle = \"{} deg\"\n{}hold = \"can come off\"\nfitted_in = {}\n",
            quoted(plane),
            written(units, entry.mass),
            written(units, entry.bead),
            trimmed(entry.angle.degrees_in_turn(), 3),
            size(answer, entry),
            quoted(&run)
        );
    }
    text
}

/// A mass for the job file: in the shop's unit where that says it exactly, else in grams.
fn written(units: Units, mass: Mass) -> String {
    let shop = if units == Units::Us { Units::Us } else { Units::Metric };
    let text = shown::weighed(shop, mass.grams());
    let exact = parse::<Mass>(&text).is_ok_and(|read| (read.grams() - mass.grams()).abs() < 1e-6);
    if exact { text } else { format!("{} g", trimmed(mass.grams(), 5)) }
}

/// A number for a file, without zeros at its end.
fn trimmed(value: f64, decimals: usize) -> String {
    let text = format!("{value:.decimals$}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// Width and thickness of a weight that is a piece from the box; any other weight has to be measured.
fn size(answer: &Answer, entry: &AccountEntry) -> String {
    let Some((width, thickness)) = answer.size_of(entry) else {
        return "# width = \"… mm\"                        # not a piece from the box: measure it\n".into();
    };
    let line = |key: &str, length: Length| {
        format!("{key} = \"{}\"\n", shown::entered_length(answer.job.units, length.millimetres()))
    };
    line("width", width) + &thickness.map(|thickness| line("thickness", thickness)).unwrap_or_default()
}

/// The weights that were fitted at the last visit and are still on.
fn fitted(answer: &Answer) -> impl Iterator<Item = &AccountEntry> {
    let entries = answer.account.iter().flat_map(|account| &account.entries);
    entries.filter(|entry| {
        entry.removed.is_none() && entry.kind == EntryKind::Weight && entry.came_with.is_none()
    })
}

/// What was left when it went out: "front joint 37 g.mm, rear joint 97 g.mm".
fn left(answer: &Answer) -> Option<String> {
    let judged = answer.judged.as_ref()?;
    let plane = |plane: &balance_core::grade::PlaneVerdict| {
        let left = plane.residual.gram_millimetres();
        format!("{} {}", plane.name, shown::unbalance(answer.job.units, left))
    };
    Some(judged.deciding().verdict.planes.iter().map(plane).collect::<Vec<String>>().join(", "))
}

fn words(answer: &Answer) -> Vec<String> {
    let mut lines: Vec<String> =
        left(answer).map(|left| format!("It left with {left}.")).into_iter().collect();
    lines.extend(fitted(answer).map(|entry| {
        format!(
            "It left with {} at {} {:.0} deg.",
            shown::weighed(answer.job.units, entry.mass.grams()),
            answer.runs.setup().planes[entry.plane].name,
            entry.angle.degrees_in_turn()
        )
    }));
    let gone = answer.account.iter().flat_map(|account| &account.entries);
    let gone = gone.filter(|entry| entry.removed.is_some() && entry.came_with.is_some());
    lines.extend(gone.map(|entry| {
        format!(
            "The {} at {} {:.0} deg was taken off then: delete its [[welded]] section in job.toml.",
            shown::weighed(answer.job.units, entry.mass.grams()),
            answer.runs.setup().planes[entry.plane].name,
            entry.angle.degrees_in_turn()
        )
    }));
    lines
}
