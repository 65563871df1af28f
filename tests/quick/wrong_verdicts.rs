//! Jobs on which a verdict, or a mass, once said more than was measured, each with the truth beside it in `truth.txt`.
//!
//! Invented shafts: 14.2 kg, 2600 rpm, G16, so 417.2 g.mm at each joint; what is left in truth is known because the
//! shaft was simulated. Derived here; no outside figure.

use std::f64::consts::PI;
use std::path::{Path, PathBuf};

use balance_tests::program::{Said, balance};
use serde_json::Value;

fn folder(case: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("wrong_verdicts").join(case)
}

fn ask(verb: &str, case: &str, runs: &str, json: bool) -> Said {
    let folder = folder(case);
    let mut words = vec![verb.into(), folder.join(runs).into_os_string()];
    let job = folder.join("job.toml");
    if job.is_file() {
        words.extend(["--job".into(), job.into_os_string()]);
    }
    words.extend(json.then(|| "--json".into()));
    balance(words)
}

fn truth(case: &str) -> String {
    std::fs::read_to_string(folder(case).join("truth.txt")).expect("every case has its truth")
}

fn parsed(said: &Said) -> Value {
    serde_json::from_str(&said.answer).unwrap_or(Value::Null)
}

/// Neither the exit status nor a headline nor the JSON says that the limit is met, and nothing is called done.
fn never_meets(case: &str) {
    let truth = truth(case);
    let said = ask("verify", case, "runs.csv", false);
    let told = format!("{case}\ntruth: {truth}{}\n{}", said.answer, said.talk);
    assert_ne!(said.code, 0, "exit status 0: {told}");
    assert!(!said.answer.lines().any(|line| line.starts_with("MEETS")), "{told}");
    let json = parsed(&ask("verify", case, "runs.csv", true));
    assert_ne!(json["verdict"], "meets", "{told}");
    let correction = ask("correct", case, "runs.csv", false);
    assert!(!correction.answer.contains("Done. Leave it."), "`correct` calls it done: {}", correction.answer);
}

/// The verdict is open, not "exceeds": what was measured shows neither.
fn undecided(case: &str) {
    never_meets(case);
    let said = ask("verify", case, "runs.csv", false);
    assert_eq!(said.code, 3, "{case}\n{}\n{}", said.answer, said.talk);
}

#[test]
fn one_plane_with_one_sensor_is_undecided() {
    undecided("one_plane_one_sensor");
}

#[test]
fn one_plane_with_two_sensors_is_undecided() {
    undecided("one_plane_two_sensors");
}

#[test]
fn two_pieces_with_planes_on_one_of_them_are_undecided() {
    undecided("planes_on_one_piece");
}

#[test]
fn a_slip_in_a_trial_is_undecided() {
    undecided("slip_in_a_trial");
}

#[test]
fn a_trial_reading_ten_times_too_large_is_undecided() {
    undecided("reading_times_ten");
}

/// The check run passes its gate, because the forecast of so much weight from so small a trial is wide; but
/// the runs fit much better with that one reading ten times as large, and then too much is left.
#[test]
fn a_trial_reading_a_tenth_of_what_it_was_is_undecided_and_named() {
    undecided("trial_reading_a_tenth");
    let said = ask("verify", "trial_reading_a_tenth", "runs.csv", false);
    let answer = said.answer.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(answer.contains("the reading at sensor front in run 3 was 9 mm/s, not 0.9 mm/s"), "{answer}");
    let json = parsed(&ask("correct", "trial_reading_a_tenth", "runs.csv", true));
    assert_eq!(json["advice"], "one more run", "{json}");
}

/// Without an initial run how the shaft responds is not known: `verify` leaves the verdict open, `correct`
/// refuses.
#[test]
fn a_shaft_never_read_as_found_is_undecided() {
    let case = folder("trial_reading_a_tenth");
    let runs = std::fs::read_to_string(case.join("runs.csv")).expect("the runs can be read");
    let without: Vec<&str> = runs.lines().filter(|line| !line.starts_with("1,initial")).collect();
    let place = tempfile::tempdir().expect("a folder for the test");
    std::fs::copy(case.join("job.toml"), place.path().join("job.toml")).expect("the job is copied");
    let asked = |verb: &str, rows: &[&str], json: bool| {
        std::fs::write(place.path().join("runs.csv"), rows.join("\n")).expect("the runs are written");
        let words = [verb.into(), place.path().as_os_str().to_owned()];
        balance(words.into_iter().chain(json.then(|| "--json".into())))
    };
    let text = asked("verify", &without, false);
    assert_eq!(text.code, 3, "{}{}", text.answer, text.talk);
    assert!(text.answer.contains("CANNOT BE TOLD YET") && text.answer.contains("NEXT"), "{}", text.answer);
    assert!(text.talk.contains("no initial run"), "{}", text.talk);
    let json = parsed(&asked("verify", &without, true));
    assert_eq!(json["verdict"], "undecided");
    assert_eq!(json["next_run"]["code"], "initial-run", "{json}");
    let correction = asked("correct", &without, true);
    assert_eq!((correction.code, correction.answer.as_str()), (2, ""));
    // Nor is there a verdict without a check run.
    assert_eq!(asked("verify", &without[..3], false).code, 2);
}

#[test]
fn equal_readings_on_a_stepped_dial_are_undecided() {
    undecided("stepped_dial");
}

#[test]
fn readings_below_the_scale_are_undecided_however_often_repeated() {
    undecided("below_scale_repeated");
}

#[test]
fn readings_below_the_scale_are_undecided_with_the_noise_stated() {
    undecided("below_scale_noise_stated");
}

#[test]
fn four_readings_below_the_scale_are_undecided() {
    undecided("below_scale_four_times");
}

#[test]
fn a_drift_that_the_repeated_initial_run_shows_never_meets() {
    never_meets("drift_with_initial_repeated");
}

/// What is left is a twenty-sixth of the limit, in two mountings; the same job with one of them met already.
#[test]
fn a_second_mounting_far_within_meets() {
    for runs in ["one.csv", "runs.csv"] {
        let said = ask("verify", "second_mounting", runs, false);
        let told = format!("{runs}: {}{}\n{}", truth("second_mounting"), said.answer, said.talk);
        assert_eq!(said.code, 0, "{told}");
        assert!(said.answer.lines().any(|line| line.starts_with("MEETS")), "{told}");
    }
}

/// Width along the tape of a weight of this mass: the box has 10 g of 30 mm and 20 g of 60 mm, so 3 mm per
/// gram.
fn width_mm(grams: f64) -> f64 {
    3.0 * grams
}

/// Where the edges of two weights are, from their middles and widths alone: the tape lies on the tube's 88.9 mm.
#[test]
fn no_weight_is_sent_where_one_sits() {
    const OLD: (f64, f64) = (21.0, 100.0);
    let said = ask("correct", "weight_on_weight", "runs.csv", true);
    let json = parsed(&said);
    let once_round = PI * 88.9;
    let planes = json["planes"].as_array().cloned().unwrap_or_default();
    assert!(!planes.is_empty() || said.code == 2, "no answer at all: {}\n{}", said.answer, said.talk);
    for plane in planes {
        let comes_off = plane["take_off"].as_array().is_some_and(|off| !off.is_empty());
        for weight in plane["weights"].as_array().cloned().unwrap_or_default() {
            let grams = weight["mass_g"].as_f64().expect("a weight has a mass");
            let angle = weight["angle_deg"].as_f64().expect("a weight has a place");
            let turned = (angle - OLD.1).rem_euclid(360.0);
            let between = turned.min(360.0 - turned) / 360.0 * once_round;
            let needed = (width_mm(grams) + width_mm(OLD.0)) / 2.0;
            assert!(
                comes_off || between >= needed - 0.5,
                "{grams} g at {angle} deg: {between:.1} mm from the middle of 21 g at 100 deg, needed {needed:.1} mm"
            );
        }
    }
}

#[test]
fn a_trial_that_moved_nothing_gives_no_weights() {
    for runs in ["same.csv", "near.csv"] {
        for json in [false, true] {
            let said = ask("correct", "trial_without_effect", runs, json);
            let told = format!("{runs}: {}\n{}", said.answer, said.talk);
            assert_eq!(said.code, 2, "not refused: {told}");
            assert!(!said.answer.contains("mass_g"), "masses: {told}");
            assert!(json || said.answer.is_empty(), "masses: {told}");
            assert!(said.talk.contains("trial"), "nothing says what would do: {told}");
        }
    }
}

/// A folder that no test uses would not be a check.
#[test]
fn every_case_is_asked_about() {
    let asked = include_str!("wrong_verdicts.rs");
    let cases = std::fs::read_dir(folder("")).expect("the cases can be listed");
    let mut count = 0;
    for case in cases {
        let name = case.expect("a case can be read").file_name().to_string_lossy().into_owned();
        assert!(asked.contains(&format!("\"{name}\"")), "{name} is never asked about");
        count += 1;
    }
    assert_eq!(count, 14);
}
