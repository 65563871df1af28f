//! The tests of a stand through the program, on the depot's workshop (invented, simulated stand).

use std::path::{Path, PathBuf};

use balance_tests::program::{Said, balance};

/// A copy of the depot with these folders, and this added to its shop file.
fn depot(jobs: &[&str], shop: &str) -> (tempfile::TempDir, PathBuf) {
    let from = Path::new(env!("CARGO_MANIFEST_DIR")).join("../data/depot");
    let folder = tempfile::tempdir().expect("a folder");
    let to = folder.path().join("depot");
    for job in jobs {
        std::fs::create_dir_all(to.join(job)).expect("a folder");
        for file in ["job.toml", "runs.csv"] {
            std::fs::copy(from.join(job).join(file), to.join(job).join(file)).expect("a copy");
        }
    }
    let text = std::fs::read_to_string(from.join("shop.toml")).expect("the shop file");
    std::fs::write(to.join("shop.toml"), text + shop).expect("the shop file");
    (folder, to)
}

/// What the program says, its lines joined: where they break does not matter here.
fn say(words: &[&str], job: &Path) -> Said {
    let said = balance(words.iter().map(std::ffi::OsString::from).chain([job.as_os_str().to_owned()]));
    let joined = |text: &str| text.split_whitespace().collect::<Vec<&str>>().join(" ");
    Said { answer: joined(&said.answer), talk: joined(&said.talk), ..said }
}

#[test]
fn the_least_unbalance_is_proved_drawn_and_kept_with_its_date() {
    let (_folder, to) = depot(&["TEST-LEAST-UNBALANCE"], "");
    let job = to.join("TEST-LEAST-UNBALANCE");
    let said = say(&["prove", "least-unbalance", "--plot", "--keep"], &job);
    assert_eq!(said.code, 0, "{said:?}");
    assert!(said.answer.contains("PASSED") && said.answer.contains("50 g.mm and more"), "{}", said.answer);
    assert!(job.join("least-unbalance.svg").is_file() && job.join("least-unbalance.png").is_file());
    let shop = std::fs::read_to_string(to.join("shop.toml")).expect("the shop file");
    let line = shop.lines().find(|line| line.starts_with("least_unbalance")).expect("the figure");
    assert!(line.contains("50 g.mm, 24 readings, 20"), "{line}");
    assert!(shop.starts_with("# The workshop of the Hollin Pass road depot"), "comments stay");
}

#[test]
fn a_reading_outside_the_limit_lines_keeps_nothing() {
    let (_folder, to) = depot(&["TEST-LEAST-UNBALANCE"], "");
    let job = to.join("TEST-LEAST-UNBALANCE");
    let runs = std::fs::read_to_string(job.join("runs.csv")).expect("runs");
    let line = runs.lines().find(|line| line.starts_with("5,trial")).expect("run 5");
    let cells: Vec<&str> = line.split(',').collect();
    let wrong = line.replace(&format!(",{},", cells[7]), ",2.60,");
    std::fs::write(job.join("runs.csv"), runs.replace(line, &wrong)).expect("runs");
    let said = say(&["prove", "least-unbalance", "--keep"], &job);
    assert!(said.answer.contains("NOT PASSED") && said.answer.contains("one of them outside"), "{said:?}");
    assert_eq!(said.code, 2, "{said:?}");
    assert!(!std::fs::read_to_string(to.join("shop.toml")).expect("the shop file").contains("[proved]"));
}

#[test]
fn the_reduction_ratio_is_proved_and_a_higher_one_is_not() {
    let (_folder, to) = depot(&["TEST-REDUCTION"], "");
    let job = to.join("TEST-REDUCTION");
    let said = say(&["prove", "reduction", "--plot", "--keep"], &job);
    assert_eq!(said.code, 0, "{said:?}");
    assert!(said.answer.contains("URR) of 95 %: PASSED"), "{}", said.answer);
    assert!(
        std::fs::read_to_string(to.join("shop.toml"))
            .expect("the shop file")
            .contains("reduction = \"95 %, 22")
    );
    let said = say(&["prove", "reduction", "--ratio", "99.5"], &job);
    assert!(said.code == 1 && said.answer.contains("NOT PASSED"), "{said:?}");
}

/// The simulated fixture has 120 g·mm at 200 deg (front) and 80 at 75 (rear).
#[test]
fn the_index_test_separates_the_fixture_and_becomes_terms_of_the_verdict() {
    let (_folder, to) = depot(&["TEST-INDEX", "WP-0417"], "");
    std::fs::copy(
        Path::new(env!("CARGO_MANIFEST_DIR")).join("../data/depot/WP-0417/runout.csv"),
        to.join("WP-0417/runout.csv"),
    )
    .expect("a copy");
    let said = say(&["prove", "index", "--keep"], &to.join("TEST-INDEX"));
    assert_eq!(said.code, 0, "{said:?}");
    assert!(said.answer.contains("from 3 positions"), "{}", said.answer);
    let front =
        said.answer.split("fixture ").nth(1).and_then(|text| text.split(' ').next()).expect("a figure");
    let front: f64 = front.parse().expect("a number");
    assert!((front - 120.0).abs() < 15.0, "{}", said.answer);
    let said = say(&["verify", "--budget"], &to.join("WP-0417"));
    assert!(said.answer.contains("fixture (proved 20"), "{}", said.answer);
    assert!(said.answer.contains("mounting (proved 20"), "{}", said.answer);
}

#[test]
fn a_limit_below_what_the_stand_can_reach_is_not_certified() {
    let proved =
        "\n[proved]\nleast_unbalance = \"900 g.mm, 24 readings, 2020-01-31\"\ngood_for = \"12 months\"\n";
    let (_folder, to) = depot(&["WP-0502"], proved);
    let said = say(&["verify", "--all"], &to.join("WP-0502"));
    assert!(said.code == 3 && said.answer.contains("This stand cannot certify so small a limit"), "{said:?}");
    assert!(said.answer.contains("proved 2020-01-31, 24 readings"), "{}", said.answer);
    assert!(said.answer.contains("longer ago than the 12 months"), "{}", said.answer);
}

#[test]
fn what_is_no_test_is_refused_with_a_hint() {
    let (_folder, to) = depot(&["WP-0502", "WP-0561"], "");
    let said = say(&["prove", "least-unbalance"], &to.join("WP-0502"));
    assert!(said.code == 2 && said.talk.contains("place(s)"), "{said:?}");
    let said = say(&["prove", "reduction"], &to.join("WP-0561"));
    assert!(said.code == 2 && said.talk.contains("without phase"), "{said:?}");
    let said = say(&["prove", "index"], &to.join("WP-0502"));
    assert!(said.code == 2 && said.talk.contains("mounting"), "{said:?}");
}

/// The simulated stand drifts by 20 g·mm an hour at the front and scatters by 1 %.
#[test]
fn a_stand_that_drifts_gets_its_drift_counted_without_the_flag() {
    let (_folder, to) = depot(&["TEST-REPEATS", "WP-0417"], "");
    std::fs::copy(
        Path::new(env!("CARGO_MANIFEST_DIR")).join("../data/depot/WP-0417/runout.csv"),
        to.join("WP-0417/runout.csv"),
    )
    .expect("a copy");
    let before = say(&["verify", "--all"], &to.join("WP-0417"));
    assert!(before.answer.contains("Drift was not measured"), "{}", before.answer);
    let said = say(&["prove", "repeats", "--keep"], &to.join("TEST-REPEATS"));
    assert_eq!(said.code, 0, "{said:?}");
    let drift = said.answer.split("drift ").nth(1).and_then(|text| text.split(' ').next()).expect("a figure");
    let drift: f64 = drift.parse().expect("a number");
    assert!((drift - 20.0).abs() < 6.0, "{}", said.answer);
    let after = say(&["verify", "--budget"], &to.join("WP-0417"));
    assert!(after.answer.contains("drift of the stand (proved 20"), "{}", after.answer);
    assert!(!after.answer.contains("Drift was not measured"), "{}", after.answer);
}
