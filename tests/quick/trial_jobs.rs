//! Trials that were too heavy, and trials that showed nothing: invented jobs with the advice before and now.
//!
//! The rules (twice what may be left, a quarter of the shaft's weight, a third of the reading) are common practice, no
//! source; the figures are worked out by hand from them: permissible unbalance 9549.2966·G·m/n (ISO 21940-11), half at
//! each end, moved to the place by its lever; force m·r·Ω².

use std::path::{Path, PathBuf};

use balance_cli::files::open_inputs;
use balance_core::correction::{TrialBounds, Unusable, UsableQuestion, correct, usable};
use balance_core::influence::{Options, estimate};
use balance_tests::program::balance;
use serde_json::Value;

fn job(path: &str) -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("shop_jobs").join(path)
}

fn limits(folder: &Path) -> Value {
    let said = balance(["limits".into(), "--json".into(), folder.as_os_str().to_owned()]);
    serde_json::from_str(&said.answer).expect("one JSON object")
}

fn number(value: &Value, key: &str) -> f64 {
    value[key].as_f64().expect(key)
}

/// A copy of a job without its runs.
fn without_runs(from: &Path) -> (tempfile::TempDir, PathBuf) {
    let folder = tempfile::tempdir().expect("a folder");
    let copy = folder.path().join("job");
    std::fs::create_dir(&copy).expect("a folder");
    let shop = from.parent().expect("a shop's folder").join("shop.toml");
    std::fs::copy(shop, folder.path().join("shop.toml")).expect("a shop file");
    std::fs::copy(from.join("job.toml"), copy.join("job.toml")).expect("a job file");
    (folder, copy)
}

/// Before: 67.5 g, 110 N, 79 % of the shaft's weight (7·448.0/45.95). Now twice 448.0 g·mm.
#[test]
fn a_first_trial_makes_twice_what_may_be_left() {
    let (_folder, demo) =
        without_runs(&PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../data/depot/WP-0417"));
    let runout = demo.with_file_name("job").join("runout.csv");
    std::fs::copy(concat!(env!("CARGO_MANIFEST_DIR"), "/../data/depot/WP-0417/runout.csv"), runout)
        .expect("it is there");
    let head = "run,kind,speed [rpm],front mass [g],front angle [deg],rear mass [g],rear angle [deg],front amplitude \
                [mm/s],front phase [deg],rear amplitude [mm/s],rear phase [deg]\n1,initial,1800,,,,,5.29,230,3.24,69\n";
    std::fs::write(demo.join("runs.csv"), head).expect("it is written");
    for trial in limits(&demo)["trials"].as_array().expect("two places") {
        assert!((number(trial, "mass_g") - 19.50).abs() < 0.01, "{trial}");
        assert!((number(trial, "force_n") - 31.83).abs() < 0.05, "{trial}");
        assert!(number(trial, "force_n") < 0.25 * 14.2 * 9.80665, "{trial}");
        assert_eq!(
            (trial["needed"].as_bool(), trial["why"].as_str()),
            (Some(true), Some("twice-permissible"))
        );
    }
}

/// Before: 78.5 g at the rear (7·514.2/45.95), although 20 g had moved the front needle by 3.9 of 5.3 mm/s. Now 22.4 g,
/// and none at the front.
#[test]
fn a_place_not_yet_tried_gets_a_trial_like_the_others() {
    let found = limits(&job("heavy_trial/KE-40"));
    let (front, rear) = (&found["trials"][0], &found["trials"][1]);
    assert_eq!((front["needed"].as_bool(), front["why"].as_str()), (Some(false), Some("known-well")));
    assert!(front["mass_g"].is_null() && front["force_n"].is_null(), "{front}");
    assert!((number(rear, "mass_g") - 22.38).abs() < 0.01, "{rear}");
}

/// Before: 32.5 g at either end of a shaft that is done. Now none, and no caution about one.
#[test]
fn where_the_answer_is_known_no_trial_is_advised() {
    let folder = job("units/finished");
    let found = limits(&folder);
    for trial in found["trials"].as_array().expect("two places") {
        assert_eq!((trial["needed"].as_bool(), trial["why"].as_str()), (Some(false), Some("known-well")));
    }
    assert!(!found["cautions"].to_string().contains("trial-"), "{}", found["cautions"]);
    let text = balance(["limits".into(), folder.into_os_string()]).answer;
    assert!(text.contains("No trial is needed at front"), "{text}");
}

/// Before: 50 g pulling with 312 N at 3800 rpm, on a stand that must not turn faster than 3500 rpm. Now a quarter of
/// 15 kg's weight, 36.8 N, at 3500 rpm: 273.7 g·mm on 39.6 mm.
#[test]
fn no_trial_pulls_more_than_a_quarter_of_the_weight_nor_is_sized_beyond_the_stands_speed() {
    let (_folder, two_piece) = without_runs(&job("two_piece/T1"));
    for trial in limits(&two_piece)["trials"].as_array().expect("three places") {
        assert_eq!(number(trial, "force_at_rpm"), 3500.0, "{trial}");
        assert!(number(trial, "force_n") <= 36.78, "{trial}");
    }
    let front = &limits(&two_piece)["trials"][0];
    assert_eq!(front["why"], "pull");
    assert!((number(front, "mass_g") - 6.913).abs() < 0.005, "{front}");
}

/// The trial left the needle where it was, or moved it by a hundredth of a degree: 10 g was tried, and 0 g or
/// 57 kg would be advised. This is refused, with a trial that would work: a dial typed as "1" may have steps
/// of 1 and hide a strong response, so the next trial is twice the one that moved nothing.
#[test]
fn a_dead_trial_is_refused_with_the_trial_that_would_do() {
    for name in ["same.csv", "near.csv"] {
        let inputs = open_inputs(None, &job("dead_trial").join(name));
        let mut inputs = inputs.unwrap_or_else(|problems| panic!("{problems:?}"));
        let shaft = inputs.runs.next().expect("a shaft").unwrap_or_else(|_| panic!("runs without faults"));
        let set = shaft.run_set().unwrap_or_else(|problems| panic!("{problems:?}"));
        let influence = estimate(&set, &Options::default()).expect("a trial was made");
        let correction = correct(&set, &influence);
        let refused = usable(&UsableQuestion {
            set: &set,
            influence: &influence,
            correction: &correction,
            limits: None,
            bounds: TrialBounds::default(),
        })
        .expect_err("a dead trial");
        let [fault @ Unusable::TrialTooWeak { plane, times, .. }] = &refused[..] else {
            panic!("{refused:?}")
        };
        assert_eq!(plane, "p0");
        assert!(*times < 0.01, "{times}");
        let trial = fault.next().and_then(|advice| advice.trial()).expect("a larger one would do");
        println!("{name}: {fault}\n{}", fault.hint(set.setup(), balance_core::quantity::Units::Metric));
        assert!((trial.amount.gram_millimetres() - 20.0).abs() < 1e-9, "{trial:?}");
    }
}
