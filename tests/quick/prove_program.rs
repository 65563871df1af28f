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

/// The fixture's term in a budget, g·mm.
fn budgets_term(answer: &str, name: &str) -> f64 {
    let text = answer.split(name).nth(1).expect("a term of that name");
    let number = text.split("systematic ").nth(1).and_then(|rest| rest.split(' ').next()).expect("a figure");
    number.parse().expect("a number")
}

/// What the index test found is taken off: the correction of the shaft that was tested is then its own unbalance, which
/// the same test gives (120 g·mm at 200 deg and 80 at 75 are the simulated fixture's).
#[test]
fn what_turns_with_the_fixture_is_taken_off_and_what_is_not_known_of_it_stays_a_term() {
    let (_folder, to) = depot(&["TEST-INDEX", "WP-0417"], "");
    std::fs::copy(
        Path::new(env!("CARGO_MANIFEST_DIR")).join("../data/depot/WP-0417/runout.csv"),
        to.join("WP-0417/runout.csv"),
    )
    .expect("a copy");
    // The tested shaft alone, clamped mark to mark.
    let whole = std::fs::read_to_string(to.join("TEST-INDEX/runs.csv")).expect("runs");
    let here = |line: &&str| !line.contains(",120 deg,") && !line.contains("initial,1800,240 deg");
    let alone: String =
        whole.lines().filter(here).map(|line| format!("{}\n", line.replace("240 deg", "0 deg"))).collect();
    let job = to.join("ALONE");
    std::fs::create_dir(&job).expect("a folder");
    std::fs::copy(to.join("TEST-INDEX/job.toml"), job.join("job.toml")).expect("a copy");
    std::fs::write(job.join("runs.csv"), alone).expect("runs");
    let masses = || -> Vec<(f64, f64)> {
        let said = balance(
            ["correct", "--json"].map(std::ffi::OsString::from).into_iter().chain([job.clone().into()]),
        );
        let answer: serde_json::Value = serde_json::from_str(&said.answer).expect("JSON");
        let ideal = answer["planes"].as_array().expect("planes").iter();
        ideal
            .map(|own| {
                (own["mass_g"].as_f64().expect("a mass"), own["angle_deg"].as_f64().expect("an angle"))
            })
            .collect()
    };
    let vectors = |own: Vec<(f64, f64)>| -> Vec<balance_core::Complex64> {
        own.into_iter()
            .map(|(mass, degrees)| {
                balance_core::Complex64::from_polar(mass * 45.95, f64::to_radians(degrees))
            })
            .collect()
    };
    let before = vectors(masses());
    let said = say(&["prove", "index", "--take-off", "--keep", "--json"], &to.join("TEST-INDEX"));
    assert_eq!(said.code, 0, "{said:?}");
    let proof: serde_json::Value = serde_json::from_str(&said.answer).expect("JSON");
    assert_eq!(proof["format"], "balance-proof/1");
    let fixture: Vec<balance_core::Complex64> = proof["found"]["planes"]
        .as_array()
        .expect("planes")
        .iter()
        .map(|own| {
            let part = |key: &str| own["fixture"][key].as_f64().expect("a number");
            balance_core::Complex64::from_polar(part("amount_g_mm"), part("angle_deg").to_radians())
        })
        .collect();
    let after = vectors(masses());
    for ((before, after), fixture) in before.iter().zip(&after).zip(&fixture) {
        assert!(((after - before) - fixture).norm() < 2.0, "{before} {after} {fixture}");
    }
    let said = say(&["verify", "--budget"], &to.join("WP-0417"));
    assert!(said.answer.contains("fixture, taken off (proved 20"), "{}", said.answer);
    let term = budgets_term(&said.answer, "fixture, taken off");
    assert!(term < 40.0, "what is not known of the fixture is less than all of it: {}", said.answer);
    let said = say(&["correct", "--all"], &job);
    assert!(said.answer.contains("is taken off (proved 20"), "{}", said.answer);
    let said = say(&["prove", "index", "--take-off", "--mark-on-fixture"], &to.join("TEST-INDEX"));
    assert!(said.code == 2 && said.talk.contains("mark on the shaft"), "{said:?}");
}

/// Vectors that were found for planes of other names cannot be taken off: it is told, and all of them count.
#[test]
fn a_fixture_proved_for_other_planes_is_told_and_counted() {
    let (_folder, to) = depot(&["TEST-INDEX", "WP-0417"], "");
    let said = say(&["prove", "index", "--take-off", "--keep"], &to.join("TEST-INDEX"));
    assert_eq!(said.code, 0, "{said:?}");
    let job = to.join("WP-0417");
    let runout = Path::new(env!("CARGO_MANIFEST_DIR")).join("../data/depot/WP-0417/runout.csv");
    std::fs::copy(runout, job.join("runout.csv")).expect("the runout");
    for file in ["job.toml", "runs.csv"] {
        let text = std::fs::read_to_string(job.join(file)).expect("the file");
        let text = text.replace("\"front\"", "\"left\"").replace("front mass", "left mass");
        let text = text.replace("front angle", "left angle").replace("front bead", "left bead");
        std::fs::write(
            job.join(file),
            text.replace("front amplitude", "left amplitude").replace("front phase", "left phase"),
        )
        .expect("the file");
    }
    let said = say(&["verify", "--budget"], &job);
    let told = said.answer.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(told.contains("is not taken off: it was found for the planes front and rear"), "{}", said.answer);
    assert!(told.contains("this shaft's are called left and rear"), "{}", said.answer);
    assert!(
        budgets_term(&said.answer, "fixture (proved") > 100.0,
        "all of the fixture counts: {}",
        said.answer
    );
}

/// The simulated stand shows 5 % of the front at the rear and 6 % of the rear at the front.
#[test]
fn crosstalk_is_proved_kept_and_named_in_the_budget() {
    let (_folder, to) = depot(&["TEST-CROSSTALK"], "");
    let job = to.join("TEST-CROSSTALK");
    let said = say(&["prove", "crosstalk", "--keep"], &job);
    assert_eq!(said.code, 0, "{said:?}");
    let shop = std::fs::read_to_string(to.join("shop.toml")).expect("the shop file");
    let line = shop.lines().find(|line| line.starts_with("crosstalk")).expect("the figure");
    let percent: f64 = line.split(['"', ' ']).find_map(|part| part.parse().ok()).expect("a number");
    assert!((5.5..7.0).contains(&percent) && line.contains("6 readings, 20"), "{line}");
    // A shaft on that stand: its budget names the figure and its day.
    let text = std::fs::read_to_string(job.join("runs.csv")).expect("runs");
    std::fs::write(job.join("runs.csv"), text + "8,check,900,5,280,5,40,60,101,50,217\n").expect("runs");
    let said = say(&["verify", "--budget"], &job);
    assert!(said.answer.contains("one end showing at the other (proved 20"), "{}", said.answer);
    let said = say(&["prove", "crosstalk"], &to.join("TEST-CROSSTALK/../TEST-CROSSTALK"));
    assert_eq!(said.code, 0, "{said:?}");
}

#[test]
fn one_job_tells_the_ratio_that_its_correction_reached() {
    let (_folder, to) = depot(&["WP-0502"], "");
    let said = say(&["prove", "reduction", "--once", "--json"], &to.join("WP-0502"));
    assert_eq!(said.code, 0, "{said:?}");
    let proof: serde_json::Value = serde_json::from_str(&said.answer).expect("JSON");
    for plane in proof["found"]["planes"].as_array().expect("planes") {
        let part = |key: &str| plane[key].as_f64().expect("a number");
        // U1 - U2 over U1, by hand.
        let ratio = (part("before_g_mm") - part("after_g_mm")) / part("before_g_mm");
        assert!((part("ratio") - ratio).abs() < 1e-12 && ratio > 0.5, "{plane}");
    }
    let said = say(&["prove", "reduction", "--once"], &to.join("WP-0502"));
    assert!(said.answer.contains("after the last check run: a ratio of"), "{}", said.answer);
}

#[test]
fn every_test_answers_programs_draws_its_picture_and_may_be_a_record() {
    let all = [
        ("least-unbalance", "TEST-LEAST-UNBALANCE", true),
        ("reduction", "TEST-REDUCTION", true),
        ("index", "TEST-INDEX", true),
        ("repeats", "TEST-REPEATS", true),
        ("left", "TEST-LEAST-UNBALANCE", true),
        ("crosstalk", "TEST-CROSSTALK", false),
    ];
    for (test, job, drawn) in all {
        let (folder, to) = depot(&[job], "");
        let archive = folder.path().join("archive.sqlite");
        let place = archive.to_str().expect("a path");
        let mut words = vec!["prove", test, "--json", "--record", "--archive", place];
        if drawn {
            words.push("--plot");
        }
        let said = say(&words, &to.join(job));
        assert_eq!(said.code, 0, "{test}: {said:?}");
        let proof: serde_json::Value = serde_json::from_str(&said.answer).expect("JSON");
        assert!(proof["test"] == test && proof["passed"] == true && proof["found"].is_object(), "{proof}");
        for ending in ["svg", "png"] {
            assert_eq!(to.join(job).join(format!("{test}.{ending}")).is_file(), drawn, "{test}.{ending}");
        }
        let list = say(&["archive", "list", "--archive"], &archive);
        assert!(list.answer.contains(&format!("proof: {test}")), "{list:?}");
        let check = say(&["archive", "check", "--archive"], &archive);
        assert_eq!(check.code, 0, "{check:?}");
    }
}

/// A shop in ounces and inches reads the refusal in its own unit: 900 g·mm are 1.25 oz·in.
#[test]
fn a_refusal_below_what_the_stand_reaches_is_in_the_shops_unit() {
    let proved =
        "\n[proved]\nleast_unbalance = \"900 g.mm, 24 readings, 2026-11-27\"\n[show]\nunits = \"us\"\n";
    let (_folder, to) = depot(&["WP-0502"], proved);
    let said = say(&["verify", "--all"], &to.join("WP-0502"));
    assert!(said.answer.contains("cannot certify so small a limit"), "{said:?}");
    assert!(said.answer.contains("the least it can reach is 1.25 oz.in"), "{}", said.answer);
    assert!(!said.answer.contains("g.mm"), "{}", said.answer);
}

/// The dials' step in the demo repeats is 0.001 mm/s and 0.1 deg.
#[test]
fn the_dials_step_is_kept_and_named_where_it_counts() {
    let (_folder, to) = depot(&["TEST-REPEATS"], "");
    let said = say(&["prove", "repeats", "--keep"], &to.join("TEST-REPEATS"));
    assert_eq!(said.code, 0, "{said:?}");
    let shop = std::fs::read_to_string(to.join("shop.toml")).expect("the shop file");
    for key in ["amplitude_step = \"", "phase_step = \"", "noise = \"", "drift = \""] {
        assert!(shop.contains(key), "{key} is not in\n{shop}");
    }
    // A shop whose dials are known to be coarser than they read: the step is a term with its test.
    let proved = "\n[proved]\namplitude_step = \"0.1 mm/s, 24 readings, 2026-11-27\"\n";
    let (_folder, to) = depot(&["WP-0502"], proved);
    let said = say(&["verify", "--budget"], &to.join("WP-0502"));
    assert!(said.answer.contains("steps of the dial (proved 2026-11-27, 24 readings)"), "{}", said.answer);
}
