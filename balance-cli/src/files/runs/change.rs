//! Removing a run from a runs file, and replacing one.

use std::path::Path;

use super::append::{NewRun, with_runs};
use super::lines::{Layout, ends_in_quote};
use super::reader::{RunsReader, ShaftFaults};
use crate::files::disk;
use crate::files::job::JobFile;
use crate::files::limits;
use crate::files::problem::Problem;
use crate::files::write::change_file;

/// Removes the last run from a runs file. The file is written in one step; comments stay.
///
/// # Errors
///
/// The file has faults, has no run, or cannot be written; it is then unchanged.
pub fn remove_last_run(path: &Path, job: Option<&JobFile>) -> Result<(), Vec<Problem>> {
    let name = disk::shown_path(path);
    change_file(path, limits::RUNS, |bytes| {
        let records = Records::of(bytes, &name, job)?;
        let last = records.runs.last().ok_or_else(|| no_run(&name, "the last one"))?;
        Ok(cut(bytes, records.layout, last.1).0)
    })
}

/// Replaces the run with this label, which may wait for its readings; the other rows stay where they are.
///
/// # Errors
///
/// As [`super::append_run`], or there is no such run; the file is then unchanged.
pub fn replace_run(
    path: &Path,
    job: Option<&JobFile>,
    label: &str,
    new: &NewRun,
) -> Result<(), Vec<Problem>> {
    let name = disk::shown_path(path);
    change_file(path, limits::RUNS, |bytes| with_replaced(bytes, &name, job, label, new))
}

fn with_replaced(
    bytes: &[u8],
    name: &str,
    job: Option<&JobFile>,
    label: &str,
    new: &NewRun,
) -> Result<Vec<u8>, Vec<Problem>> {
    let records = Records::of(bytes, name, job)?;
    let mut rows = records.runs.iter().chain(&records.waiting);
    let old = rows.find(|(own, _)| own == label).ok_or_else(|| no_run(name, label))?;
    let (without, _) = cut(bytes, records.layout, old.1);
    let longer = with_runs(&without, name, job, std::slice::from_ref(new))?;
    let added = Records::of(&longer, name, job)?;
    let last = added.runs.last().ok_or_else(|| no_run(name, label))?;
    // Adding a row only makes lines longer: the old row's line number is still its place.
    let (mut text, row) = cut(&longer, added.layout, last.1);
    let before: usize = lines(&text).take((old.1 - 1) as usize).map(<[u8]>::len).sum();
    text.splice(before..before, row);
    Ok(text)
}

/// Label and line of every run.
struct Records {
    layout: Layout,
    runs: Vec<(String, u64)>,
    /// Rows that wait for their readings.
    waiting: Vec<(String, u64)>,
}

impl Records {
    fn of(bytes: &[u8], name: &str, job: Option<&JobFile>) -> Result<Self, Vec<Problem>> {
        let mut reader = RunsReader::new(bytes, name, job)?;
        let shafts: Result<Vec<_>, ShaftFaults> = reader.by_ref().collect();
        let shafts = shafts.map_err(|faults| faults.problems)?;
        let runs = shafts.iter().flat_map(|shaft| {
            shaft.runs.iter().zip(&shaft.lines).map(|(run, line)| (run.label.clone(), *line))
        });
        let waiting = shafts.iter().flat_map(|shaft| &shaft.waiting);
        let waiting = waiting.map(|row| (row.label.clone(), row.line)).collect();
        Ok(Self { layout: reader.layout(), runs: runs.collect(), waiting })
    }
}

fn lines(bytes: &[u8]) -> impl Iterator<Item = &[u8]> {
    bytes.split_inclusive(|byte| *byte == b'\n')
}

/// The text without the record that begins in this line (from 1), and the record with its line end.
fn cut(bytes: &[u8], layout: Layout, line: u64) -> (Vec<u8>, Vec<u8>) {
    let (mut without, mut record) = (Vec::with_capacity(bytes.len()), Vec::new());
    let mut open = false;
    for (number, text) in (1..).zip(lines(bytes)) {
        if number == line || open {
            open = ends_in_quote(text.trim_ascii_end(), layout.separator, open);
            record.extend_from_slice(text);
        } else {
            without.extend_from_slice(text);
        }
    }
    if record.last() != Some(&b'\n') {
        record.push(b'\n');
    }
    (without, record)
}

fn no_run(name: &str, label: &str) -> Vec<Problem> {
    vec![Problem::of_file("no-such-run", name, format!("there is no run `{label}`"))]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::files::runs::{RowTexts, read_all};

    const FILE: &str = "# depot\nrun,front mass [g],front angle [deg],front amplitude [mm/s],front phase [deg],note\n\
                        1,,,5.29,230,\n# between\n2,20,90,8.68,211,\"two\nlines\"\n3,20,180,1,2,\n";

    #[test]
    fn the_last_run_goes_and_the_rest_stays_as_it_is() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("runs.csv");
        std::fs::write(&path, FILE).unwrap();
        remove_last_run(&path, None).unwrap();
        assert_eq!(std::fs::read_to_string(&path).unwrap(), FILE.replace("3,20,180,1,2,\n", ""));
        remove_last_run(&path, None).unwrap();
        assert!(std::fs::read_to_string(&path).unwrap().ends_with("1,,,5.29,230,\n# between\n"));
        remove_last_run(&path, None).unwrap();
        assert_eq!(remove_last_run(&path, None).unwrap_err()[0].code, "no-such-run");
    }

    #[test]
    fn a_run_is_replaced_in_its_place_even_if_columns_are_added() {
        let shaft = read_all(FILE.as_bytes(), "runs.csv", None).unwrap().remove(0);
        let mut run = shaft.runs[1].clone();
        run.mounting = "B".into();
        run.masses[0].angle = balance_core::quantity::parse("91 deg").unwrap();
        let new = NewRun {
            shaft: None,
            run,
            texts: RowTexts { note: "three\nlines\nnow".into(), ..RowTexts::default() },
        };
        let text = with_replaced(FILE.as_bytes(), "runs.csv", None, "2", &new).unwrap();
        let back = read_all(&text[..], "runs.csv", None).unwrap().remove(0);
        assert_eq!(back.runs[1], new.run);
        assert_eq!(back.texts[1].note, new.texts.note);
        assert_eq!((&back.runs[0], &back.runs[2]), (&shaft.runs[0], &shaft.runs[2]));
        assert_eq!(back.lines, [3, 5, 8]);
        assert!(with_replaced(FILE.as_bytes(), "runs.csv", None, "7", &new).is_err());
    }

    #[test]
    fn a_row_that_waits_is_filled_in_where_it_stands() {
        let file = format!("{FILE}4,15,312,,,ready\n# end\n");
        let shaft = read_all(file.as_bytes(), "runs.csv", None).unwrap().remove(0);
        let row = shaft.waiting[0].clone();
        assert_eq!((row.label.as_str(), row.run.masses.len()), ("4", 1));
        let reading = balance_core::run::SensorReading::Shown {
            amplitude: 0.5,
            phase: balance_core::quantity::parse("30 deg").unwrap(),
        };
        let own = balance_core::run::ReadingUncertainty {
            amplitude: 0.02,
            phase: balance_core::quantity::parse("0.3 deg").unwrap(),
        };
        let run =
            balance_core::run::Run { readings: vec![reading], uncertainties: vec![Some(own)], ..row.run };
        let new = NewRun { shaft: None, run, texts: row.texts };
        let text = with_replaced(file.as_bytes(), "runs.csv", None, "4", &new).unwrap();
        let text = String::from_utf8(text).unwrap();
        assert!(text.contains("4,15,312,0.5,30,ready,0.02,0.3\n# end\n"), "{text}");
        let back = read_all(text.as_bytes(), "runs.csv", None).unwrap().remove(0);
        assert_eq!(back.runs[3], new.run);
        assert!(back.waiting.is_empty());
    }
}
