//! A reading that states its own uncertainty: it counts instead of what is stated for the stand.
#![expect(clippy::unwrap_used, clippy::panic, reason = "tests")]

use std::path::{Path, PathBuf};

use balance_tests::program::balance;
use serde_json::Value;

/// The demo's readings with more digits, so that no dial's step counts.
const ROWS: [(&str, [f64; 4]); 4] = [
    ("1,initial,1800,,,,", [5.290_000_013, 230.000_000_11, 3.240_000_017, 69.000_000_13]),
    ("2,trial,1800,20,90,,", [8.680_000_019, 211.000_000_17, 3.560_000_011, 49.000_000_19]),
    ("3,trial,1800,,,20,90", [5.340_000_013, 241.000_000_13, 4.380_000_017, 124.000_000_11]),
    ("4,check,1800,24.9,312,14.4,192", [0.160_000_019, 321.000_000_17, 0.440_000_011, 96.000_000_19]),
];
const HEADER: &str = "run,kind,speed [rpm],front mass [g],front angle [deg],rear mass [g],rear angle [deg],front amplitude [mm/s],\
front phase [deg],rear amplitude [mm/s],rear phase [deg]";
const MORE: &str = ",front amplitude uncertainty [mm/s],front phase uncertainty [deg],rear amplitude uncertainty [mm/s],\
rear phase uncertainty [deg]";

/// The demo's job with this in `[stand]` beside the hand's errors, and these cells at the end of every row.
fn job(above: &Path, stand: &str, header: &str, cells: &str) -> PathBuf {
    let depot = Path::new(env!("CARGO_MANIFEST_DIR")).join("../data/depot");
    let folder = above.join("WP-0417");
    std::fs::create_dir_all(&folder).unwrap();
    let shop = std::fs::read_to_string(depot.join("shop.toml")).unwrap();
    let stated = "reading_noise = \"2 %\"\nreading_floor = 0.02\n";
    assert!(shop.contains(stated));
    std::fs::write(above.join("shop.toml"), shop.replace(stated, stand)).unwrap();
    for file in ["job.toml", "runout.csv"] {
        std::fs::copy(depot.join("WP-0417").join(file), folder.join(file)).unwrap();
    }
    let row = |(start, shown): &(&str, [f64; 4])| {
        let shown = shown.map(|value| value.to_string()).join(",");
        format!("{start},{shown}{cells}\n")
    };
    let rows: String = ROWS.iter().map(row).collect();
    std::fs::write(folder.join("runs.csv"), format!("{HEADER}{header}\n{rows}")).unwrap();
    folder
}

fn json(verb: &str, folder: &Path) -> Value {
    let said = balance([verb.as_ref(), folder.as_os_str(), "--json".as_ref()]);
    serde_json::from_str(&said.answer).unwrap_or_else(|error| panic!("{error}: {said:?}"))
}

/// Whether both hold the same, numbers up to this share of themselves.
fn same(one: &Value, other: &Value, share: f64) -> bool {
    match (one, other) {
        (Value::Number(one), Value::Number(other)) => {
            let (one, other) = (one.as_f64().unwrap(), other.as_f64().unwrap());
            (one - other).abs() <= share * one.abs().max(other.abs())
        }
        (Value::Array(one), Value::Array(other)) => {
            one.len() == other.len() && one.iter().zip(other).all(|(one, other)| same(one, other, share))
        }
        (Value::Object(one), Value::Object(other)) => {
            one.len() == other.len()
                && one
                    .iter()
                    .all(|(key, value)| other.get(key).is_some_and(|other| same(value, other, share)))
        }
        _ => one == other,
    }
}

/// 2 % of the reading and 0.02 mm/s, complex rms: across the reading 0.02 rad, along it 0.02 mm/s come to the same
/// variance for both components together.
const LIKE_STATED: &str = ",0.02,1.1459155902616465,0.02,1.1459155902616465";

#[test]
fn columns_that_say_what_the_stand_says_change_nothing() {
    let [stated, own, both] = [0, 1, 2].map(|_| tempfile::tempdir().unwrap());
    let stated = job(stated.path(), "reading_noise = \"2 %\"\nreading_floor = 0.02\n", "", "");
    let own = job(own.path(), "", MORE, LIKE_STATED);
    // What the rows say counts: the stand's own figure is ten times as large.
    let both = job(both.path(), "reading_noise = \"20 %\"\nreading_floor = 0.2\n", MORE, LIKE_STATED);
    for (verb, part) in [("correct", "planes"), ("verify", "planes"), ("verify", "verdict")] {
        let wanted = json(verb, &stated)[part].clone();
        assert!(!wanted.is_null(), "{verb} {part}");
        for folder in [&own, &both] {
            let found = &json(verb, folder)[part];
            assert!(same(found, &wanted, 1e-6), "{verb} {part}\n{found}\n{wanted}");
        }
    }
}

#[test]
fn a_recorded_reading_is_surer_and_the_budget_names_it() {
    let [stated, own] = [0, 1].map(|_| tempfile::tempdir().unwrap());
    let stated = job(stated.path(), "reading_noise = \"2 %\"\nreading_floor = 0.02\n", "", "");
    let own = job(own.path(), "", MORE, ",0.002,0.1,0.002,0.1");
    let spread =
        |folder: &Path| json("verify", folder)["planes"][0]["standard_uncertainty_g_mm"].as_f64().unwrap();
    assert!(spread(&own) < 0.9 * spread(&stated), "{} {}", spread(&own), spread(&stated));
    let budget = |folder: &Path| balance(["verify".as_ref(), folder.as_os_str(), "--budget".as_ref()]).answer;
    assert!(budget(&own).contains("as the recordings show it"), "{}", budget(&own));
    assert!(!budget(&stated).contains("as the recordings show it"));
    // It is part of the case that other programs read.
    let case = json("job", &own);
    assert_eq!(case["runs"][0]["uncertainties"][1]["amplitude"], 0.002);
    assert!(json("job", &stated)["runs"][0].get("uncertainties").is_none());
}

#[test]
fn a_row_without_its_own_figure_uses_that_of_the_stand() {
    let [stated, mixed] = [0, 1].map(|_| tempfile::tempdir().unwrap());
    let noise = "reading_noise = \"2 %\"\nreading_floor = 0.02\n";
    let stated = job(stated.path(), noise, "", "");
    let mixed = job(mixed.path(), noise, MORE, ",,,,");
    for (verb, part) in [("correct", "planes"), ("verify", "planes")] {
        assert!(same(&json(verb, &mixed)[part], &json(verb, &stated)[part], 1e-12), "{verb}");
    }
}
