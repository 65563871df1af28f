//! `--csv`: one row a shaft. The truth of each row is the JSON answer about the same shaft. The shafts are invented.

use std::path::{Path, PathBuf};

use balance_tests::program::{Said, balance};
use serde_json::Value;

/// Shafts enough for two batches, so that cores and order matter.
const SHAFTS: usize = 1100;

/// The demo's job with many shafts: its runs, all amplitudes of a shaft times one factor.
fn season(shafts: &[(String, f64)], change: impl Fn(&str, String) -> String) -> (tempfile::TempDir, PathBuf) {
    let depot = Path::new(env!("CARGO_MANIFEST_DIR")).join("../data/depot");
    let folder = tempfile::tempdir().expect("a folder");
    let job = folder.path().join("WP-0417");
    std::fs::create_dir_all(&job).expect("a folder");
    for file in ["WP-0417/job.toml", "WP-0417/runout.csv", "shop.toml"] {
        std::fs::copy(depot.join(file), folder.path().join(file)).expect("a copy");
    }
    let demo = std::fs::read_to_string(depot.join("WP-0417/runs.csv")).expect("the demo's runs");
    let mut lines = demo.lines().filter(|line| !line.starts_with('#'));
    let header = lines.next().expect("a header");
    let titles: Vec<&str> = header.split(',').collect();
    let amplitudes: Vec<usize> = (0..titles.len()).filter(|at| titles[*at].contains("amplitude")).collect();
    assert_eq!(amplitudes.len(), 2, "{header}");
    let rows: Vec<&str> = lines.collect();
    let mut text = format!("shaft,{header}\n");
    for (name, factor) in shafts {
        for row in &rows {
            let mut cells: Vec<String> = row.split(',').map(str::to_owned).collect();
            for at in &amplitudes {
                let amplitude: f64 = cells[*at].parse().expect("an amplitude");
                cells[*at] = format!("{:.3}", amplitude * factor);
            }
            text.push_str(&change(name, format!("{name},{}\n", cells.join(","))));
        }
    }
    std::fs::write(job.join("runs.csv"), text).expect("runs");
    (folder, job)
}

fn numbered(count: usize) -> Vec<(String, f64)> {
    (0..count).map(|at| (format!("S{at:04}"), 0.6 + 0.9 * (at % 97) as f64 / 97.0)).collect()
}

fn say(words: &[&str], job: &Path) -> Said {
    balance(words.iter().map(std::ffi::OsString::from).chain([job.as_os_str().to_owned()]))
}

/// The rows of a sheet by the names of its columns.
fn rows(said: &Said) -> Vec<std::collections::HashMap<String, String>> {
    let mut csv = csv::Reader::from_reader(said.answer.as_bytes());
    csv.deserialize().map(|row| row.expect("a row with every cell")).collect()
}

fn number(cell: &str) -> Option<f64> {
    (!cell.is_empty()).then(|| cell.parse().expect("a number"))
}

fn same(cell: &str, wanted: &Value, what: &str) {
    match (number(cell), wanted.as_f64()) {
        (Some(one), Some(other)) => {
            assert!((one - other).abs() <= 1e-12 * other.abs().max(1e-9), "{what}: {one} {other}");
        }
        (one, other) => assert_eq!(one, other, "{what}"),
    }
}

#[test]
fn every_row_of_corrections_is_the_answer_about_that_shaft() {
    let shafts = numbered(SHAFTS);
    let (_folder, job) = season(&shafts, |_, row| if row.contains(",check,") { String::new() } else { row });
    let sheet = say(&["correct", "--csv"], &job);
    let json = say(&["correct", "--json"], &job);
    assert_eq!((sheet.code, sheet.talk.as_str()), (json.code, ""));
    let sheet = rows(&sheet);
    assert_eq!(sheet.len(), SHAFTS);
    for ((row, line), (name, _)) in sheet.iter().zip(json.answer.lines()).zip(&shafts) {
        let answer: Value = serde_json::from_str(line).expect("an object");
        assert_eq!(&row["shaft"], name);
        assert_eq!(row["advice"], answer["advice"].as_str().expect("an advice"));
        for plane in answer["planes"].as_array().expect("planes") {
            let place = plane["name"].as_str().expect("a name");
            same(&row[&format!("{place} mass [g]")], &plane["mass_g"], name);
            same(&row[&format!("{place} angle [deg]")], &plane["angle_deg"], name);
            same(&row[&format!("{place} mass uncertainty [g]")], &plane["mass_uncertainty_g"], name);
            let weights = &row[&format!("{place} weights")];
            let listed = plane["weights"].as_array().expect("weights");
            let wanted: Vec<String> = listed
                .iter()
                .map(|own| {
                    format!(
                        "{}@{}",
                        own["mass_g"].as_f64().expect("g"),
                        own["angle_deg"].as_f64().expect("deg")
                    )
                })
                .collect();
            assert_eq!(*weights, wanted.join(" "), "{name}");
        }
        same(&row["chance after"], &answer["chance_after"], name);
        for place in ["front joint", "rear joint"] {
            assert!(
                number(&row[&format!("{place} left after [g.mm]")]).is_some_and(|left| left > 0.0),
                "{row:?}"
            );
        }
        let first = &answer["cautions"][0]["text"];
        assert_eq!(row["caution"], first.as_str().unwrap_or_default(), "{name}");
    }
}

#[test]
fn every_row_of_verdicts_is_the_verdict_on_that_shaft() {
    let (_folder, job) = season(&numbered(120), |_, row| row);
    for words in [&["verify"][..], &["verify", "--as-found"]] {
        let sheet = say(&[words, &["--csv"]].concat(), &job);
        let json = say(&[words, &["--json"]].concat(), &job);
        assert_eq!(sheet.code, json.code);
        let mut decisions = std::collections::BTreeSet::new();
        for (row, line) in rows(&sheet).iter().zip(json.answer.lines()) {
            let verdict: Value = serde_json::from_str(line).expect("an object");
            assert_eq!(row["shaft"], verdict["shaft"].as_str().expect("a shaft"));
            assert_eq!(row["verdict"], verdict["verdict"].as_str().expect("a verdict"));
            same(&row["probability"], &verdict["probability"], line);
            for plane in verdict["planes"].as_array().expect("planes") {
                let place = plane["name"].as_str().expect("a name");
                same(&row[&format!("{place} left [g.mm]")], &plane["residual_g_mm"], line);
                same(&row[&format!("{place} allowed [g.mm]")], &plane["permissible_g_mm"], line);
            }
            decisions.insert(row["verdict"].clone());
        }
        assert!(!decisions.is_empty());
    }
}

#[test]
fn a_fault_stands_in_the_row_of_its_shaft_and_hides_no_other() {
    let mut shafts = numbered(5);
    shafts[3].0 = "=1+2".into();
    let (_folder, job) = season(&shafts, |name, row| match name {
        "S0001" => row.replace(",initial,1800", ",initial,fast"),
        "S0002" if row.contains(",trial,") => String::new(),
        _ if row.contains(",check,") => String::new(),
        _ => row,
    });
    let said = say(&["correct", "--csv"], &job);
    assert_eq!(said.code, 2);
    let rows = rows(&said);
    let names: Vec<&str> = rows.iter().map(|row| row["shaft"].as_str()).collect();
    assert_eq!(names, ["S0000", "S0001", "S0002", "'=1+2", "S0004"]);
    for row in [&rows[0], &rows[3], &rows[4]] {
        assert!(number(&row["front mass [g]"]).is_some(), "{row:?}");
    }
    for (row, words) in [(&rows[1], "line 5: found `fast`"), (&rows[2], "front")] {
        assert_eq!(
            (row["front mass [g]"].as_str(), row["verdict"].as_str(), row["advice"].as_str()),
            ("", "", "")
        );
        assert!(row["caution"].contains(words), "{row:?}");
    }
    assert!(said.talk.contains("fast") && said.talk.contains("runs.csv:5"), "{}", said.talk);
}

#[test]
fn a_shaft_never_read_as_found_has_an_open_verdict_in_its_row() {
    let (_folder, job) =
        season(
            &numbered(3),
            |name, row| {
                if name == "S0001" && row.contains(",initial,") { String::new() } else { row }
            },
        );
    let said = say(&["verify", "--csv"], &job);
    let rows = rows(&said);
    assert_eq!(rows.len(), 3);
    assert_eq!(rows[1]["verdict"], "undecided");
    assert!(!rows[1]["caution"].is_empty());
}

#[test]
fn faults_of_the_header_end_the_run_before_any_row() {
    let (_folder, job) = season(&numbered(3), |_, row| row);
    let runs = job.join("runs.csv");
    let text =
        std::fs::read_to_string(&runs).expect("runs").replacen("front mass [g]", "front mass [stone]", 1);
    std::fs::write(&runs, text).expect("runs");
    for verb in ["correct", "verify"] {
        let said = say(&[verb, "--csv"], &job);
        assert_eq!((said.code, said.answer.as_str()), (2, ""), "{}", said.talk);
    }
}

#[test]
fn a_shaft_that_comes_again_is_refused_however_far_apart() {
    let mut shafts = numbered(SHAFTS);
    shafts.push(shafts[4].clone());
    let (_folder, job) = season(&shafts, |_, row| row);
    let said = say(&["correct", "--csv"], &job);
    let rows = rows(&said);
    assert_eq!((said.code, rows.len()), (2, SHAFTS + 1));
    assert!(rows[SHAFTS]["caution"].contains("`S0004` again"), "{:?}", rows[SHAFTS]);
}
