//! `balance archive …` in process: its answers, and that it stores only what it reports.

use std::ffi::OsString;
use std::path::Path;

use balance_cli::archive::NewRecord;
use balance_cli::command::archive::{
    AnswerForm, ArchiveArguments, ArchiveCommandFault, ArchiveEnd, ArchiveSurroundings, run,
};
use balance_tests::archive::record;
use clap::{Args, FromArgMatches};

fn arguments(words: &[&str]) -> ArchiveArguments {
    let command = ArchiveArguments::augment_args(clap::Command::new("archive"));
    let matches = command.try_get_matches_from(["archive"].iter().chain(words)).expect("known words");
    ArchiveArguments::from_arg_matches(&matches).expect("known words")
}

/// Runs a command against an archive; folders are named by a record's index.
fn said(archive: &Path, words: &[&str]) -> Result<(ArchiveEnd, String), ArchiveCommandFault> {
    said_as(AnswerForm::Text, archive, words)
}

fn said_as(
    form: AnswerForm,
    archive: &Path,
    words: &[&str],
) -> Result<(ArchiveEnd, String), ArchiveCommandFault> {
    let mut make = |folder: &Path| -> Result<NewRecord, String> {
        let name = folder.file_name().and_then(|name| name.to_str()).unwrap_or_default();
        name.parse().map(record).map_err(|_| format!("{name} has no runs"))
    };
    let file: OsString = archive.into();
    let variable = |name: &str| (name == "BALANCE_ARCHIVE").then(|| file.clone());
    let (mut out, mut talk) = (Vec::new(), Vec::new());
    let mut surroundings =
        ArchiveSurroundings { make: &mut make, variable: &variable, form, out: &mut out, talk: &mut talk };
    let end = run(&arguments(words), &mut surroundings)?;
    Ok((end, String::from_utf8(out).expect("answers are text")))
}

#[test]
fn from_adding_to_finding() {
    let folder = tempfile::tempdir().expect("a folder");
    let archive = folder.path().join("deep").join("archive.sqlite");
    let answer = |words: &[&str]| said(&archive, words).expect("it can be done");
    let fault = |words: &[&str]| said(&archive, words).expect_err("it cannot be done").to_string();
    assert!(fault(&["list"]).contains("there is no archive"));
    assert_eq!(answer(&["add", "jobs/417"]).1, "record 1 stored\n");
    assert_eq!(answer(&["add", "jobs/417"]).1, "this job is already record 1\n");
    assert_eq!(answer(&["add", "jobs/418"]).1, "record 2 stored\n");
    assert!(fault(&["add", "jobs/scrap"]).contains("scrap has no runs"));
    let found = answer(&["find", "hollin", "hp000418"]).1;
    assert!(found.lines().count() == 1 && found.contains("WP-000418"), "{found}");
    assert!(answer(&["find", "zeppelin"]).1.starts_with("nothing found"));
    assert!(answer(&["find", "hollin", "--most", "1"]).1.contains("there are more"));
    assert!(answer(&["show", "1"]).1.starts_with("customer"));
    assert!(answer(&["report", "2"]).1.contains("<title>WP-000418"));
    assert_eq!(answer(&["export"]).1.lines().count(), 2);
    assert_eq!(answer(&["export", "--csv"]).1.lines().count(), 3);
    assert!(answer(&["types"]).1.contains("1 shafts"));
    assert_eq!(answer(&["check"]).0, ArchiveEnd::Done);
    assert!(fault(&["show", "7"]).contains("the newest is 2"));
    for name in [&["wp-000418"][..], &["WP-000418"], &["hollin", "hp000418"], &["2"]] {
        let words = ["show"].iter().chain(name).copied().collect::<Vec<&str>>();
        assert!(answer(&words).1.contains("WP-000418"), "{words:?}");
    }
    assert!(fault(&["show", "zeppelin"]).contains("no record matches `zeppelin`"));
    let several = fault(&["show", "hollin"]);
    assert!(several.contains("several records match") && several.contains("WP-000417"), "{several}");
    assert!(answer(&["report", "WP-000418"]).1.contains("<title>WP-000418"));
    let copy = folder.path().join("copy.sqlite");
    answer(&["backup", &copy.display().to_string()]);
    assert!(said(&copy, &["check"]).expect("the copy opens").1.contains("2 records"));
}

#[test]
fn files_of_a_record_are_written_and_never_over_others() {
    let folder = tempfile::tempdir().expect("a folder");
    let archive = folder.path().join("archive.sqlite");
    said(&archive, &["add", "7"]).expect("it is stored");
    let into = folder.path().join("out").display().to_string();
    said(&archive, &["show", "1", "--into", &into]).expect("its files are written");
    let runs = std::fs::read(Path::new(&into).join("runs.csv")).expect("the runs file");
    assert_eq!(runs, record(7).inputs[2].1);
    assert!(matches!(said(&archive, &["show", "1", "--into", &into]), Err(ArchiveCommandFault::Files(_))));
}

#[test]
fn an_import_tells_what_it_took_and_what_not() {
    let folder = tempfile::tempdir().expect("a folder");
    let jobs = folder.path().join("jobs");
    for job in ["11", "12", "scrap"] {
        std::fs::create_dir_all(jobs.join(job)).expect("a job folder");
        std::fs::write(jobs.join(job).join("job.toml"), "format = 1\n").expect("a job file");
    }
    let archive = folder.path().join("archive.sqlite");
    let jobs = jobs.display().to_string();
    let (end, text) = said(&archive, &["import", &jobs]).expect("it is taken in");
    assert_eq!(end, ArchiveEnd::FoundFaults);
    assert!(text.starts_with("2 stored, 0 already there, 1 left out"), "{text}");
    assert!(text.contains("scrap has no runs"), "{text}");
    let (_, text) = said(&archive, &["import", &jobs]).expect("it is taken in");
    assert!(text.starts_with("0 stored, 2 already there, 1 left out"), "{text}");
}

/// Read back by the general-purpose reader of CSV; polars and DuckDB read them in `tests/reference/check_export.py`.
#[test]
fn tables_for_other_engines_have_a_row_a_run_and_a_row_a_coefficient() {
    let folder = tempfile::tempdir().expect("a folder");
    let archive = folder.path().join("archive.sqlite");
    for job in ["417", "418"] {
        said(&archive, &["add", job]).expect("it is stored");
    }
    let table = |words: &[&str]| said(&archive, words).expect("it can be exported").1;
    let runs = table(&["export", "--table", "runs", "--csv"]);
    let mut reader = csv::Reader::from_reader(runs.as_bytes());
    let header = reader.headers().expect("a header").clone();
    let column = |name: &str| header.iter().position(|own| own == name).expect("the column");
    let rows: Vec<csv::StringRecord> = reader.records().map(|row| row.expect("a whole row")).collect();
    assert_eq!(rows.len(), 8, "two jobs of four runs");
    // The second run of the first: 20 g at 90 deg on the front plane.
    let cell = |row: usize, name: &str| &rows[row][column(name)];
    assert_eq!((cell(1, "record"), cell(1, "kind"), cell(1, "plane_1")), ("1", "trial", "front"));
    assert_eq!((cell(1, "unbalance_unit"), cell(1, "plane_1_unbalance")), ("g", "20.0"));
    assert_eq!(cell(1, "plane_1_angle_deg").parse(), Ok(90.0));
    assert_eq!((cell(1, "plane_2_unbalance"), cell(1, "plane_2_angle_deg")), ("0.0", ""));
    let typed = String::from_utf8(record(417).inputs[2].1.clone()).expect("a text");
    let amplitude: f64 =
        typed.lines().nth(2).and_then(|row| row.split(',').nth(7)?.parse().ok()).expect("typed");
    assert_eq!(cell(1, "sensor_1_amplitude").parse(), Ok(amplitude));
    for (name, rows) in [("records", 2), ("runs", 8), ("responses", 8)] {
        let ndjson = table(&["export", "--table", name]);
        let objects: Vec<serde_json::Value> =
            ndjson.lines().map(|line| serde_json::from_str(line).expect("an object")).collect();
        assert_eq!(objects.len(), rows, "{name}");
        let columns = |object: &serde_json::Value| object.as_object().expect("an object").len();
        assert!(objects.iter().all(|object| columns(object) == columns(&objects[0])), "{name}");
        assert_eq!(table(&["export", "--table", name, "--csv"]).lines().count(), rows + 1, "{name}");
    }
}

/// Every answer for programs is JSON, one object per line (read by serde_json).
#[test]
fn answers_for_programs_are_json() {
    let folder = tempfile::tempdir().expect("a folder");
    let archive = folder.path().join("archive.sqlite");
    for (words, format) in [
        (&["add", "417"][..], None),
        (&["list"], Some("balance-record/1")),
        (&["find", "hollin"], Some("balance-record/1")),
        (&["show", "1"], Some("balance-record/1")),
        (&["types"], Some("balance-type/1")),
        (&["check"], Some("balance-archive-check/1")),
    ] {
        let (_, text) = said_as(AnswerForm::Json, &archive, words).expect("it can be done");
        let object: serde_json::Value = serde_json::from_str(&text).expect("one line of JSON");
        assert_eq!(object["format"].as_str(), format, "{words:?}");
    }
}
