//! Invented jobs of the shop, from files to weights: nothing goes on top of a weight that stays, and no end gets
//! weights it does not need.
//!
//! Widths that the job leaves out are known here: pieces of the box (10 g 25 mm, 15 g 30 mm; for the shaft with one
//! place 10 g 30 mm, 20 g 60 mm), some of them entered with their bead of 1 g as one mass.

#![expect(clippy::panic, reason = "a test that says what went wrong")]

use std::path::PathBuf;

use balance_tests::program::balance;
use serde_json::Value;

/// Half of a 88.9 mm tube.
const RADIUS: f64 = 88.9 / 2.0;

/// The gap that is kept where the job states none (common practice, no source).
const GAP: f64 = 3.0;

fn folder(job: &str) -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("shop_jobs/old_weights").join(job)
}

fn correct(job: &str) -> Value {
    let said = balance(["correct".into(), "--json".into(), folder(job).into_os_string()]);
    // 3: one more run is wanted before anything goes on.
    assert!([0, 3].contains(&said.code), "{}", said.talk);
    serde_json::from_str(&said.answer).expect("the answer is one object")
}

/// A weight on a plane: its mass, its place and its real width.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Strip {
    grams: f64,
    degrees: f64,
    width: f64,
}

/// Millimetres of tube between the edges of two strips; negative: one lies on the other.
fn clear(one: &Strip, other: &Strip) -> f64 {
    let apart = (one.degrees - other.degrees).rem_euclid(360.0);
    apart.min(360.0 - apart).to_radians() * RADIUS - (one.width + other.width) / 2.0
}

fn number(value: &Value, key: &str) -> f64 {
    value[key].as_f64().unwrap_or_else(|| panic!("no number `{key}` in {value}"))
}

/// What is on a plane after the work: old weights that stay, and new ones (or turned ones) at their places.
fn on_after(
    answer: &Value,
    plane: usize,
    old: &[Strip],
    width_of: &dyn Fn(f64) -> f64,
) -> (Vec<Strip>, Vec<Strip>) {
    let plane = &answer["planes"][plane];
    let none = Vec::new();
    let off = plane["take_off"].as_array().unwrap_or(&none);
    let comes_off = |strip: &Strip| {
        off.iter()
            .any(|gone| number(gone, "mass_g") == strip.grams && number(gone, "angle_deg") == strip.degrees)
    };
    let stay = old.iter().copied().filter(|strip| !comes_off(strip)).collect();
    let weights = plane["weights"].as_array().unwrap_or(&none);
    let new = weights.iter().map(|weight| {
        let grams = number(weight, "mass_g");
        Strip { grams, degrees: number(weight, "angle_deg"), width: width_of(grams) }
    });
    (stay, new.collect())
}

/// Asserts that no edges overlap and the usual gap is kept, on one plane.
fn nothing_overlaps(stay: &[Strip], new: &[Strip]) {
    for (at, one) in new.iter().enumerate() {
        for other in stay.iter().chain(&new[at + 1..]) {
            let found = clear(one, other);
            assert!(found >= GAP - 1e-6, "{one:?} and {other:?} are {found} mm apart, {GAP} mm are kept");
        }
    }
}

fn width_in_the_box(grams: f64) -> f64 {
    match grams {
        10.0 | 11.0 => 25.0,
        15.0 | 16.0 => 30.0,
        _ => panic!("no weight of {grams} g in this job"),
    }
}

#[test]
fn nothing_goes_on_weights_that_came_without_their_width() {
    let answer = correct("sweepers/came_back_without_widths");
    let old = [
        vec![
            Strip { grams: 16.0, degrees: 255.0, width: 30.0 },
            Strip { grams: 11.0, degrees: 320.0, width: 25.0 },
        ],
        vec![Strip { grams: 16.0, degrees: 71.0, width: 30.0 }],
    ];
    let mut new_weights = 0;
    for (plane, old) in old.iter().enumerate() {
        let (stay, new) = on_after(&answer, plane, old, &width_in_the_box);
        nothing_overlaps(&stay, &new);
        assert!(stay.len() + new.len() <= 2, "most_per_plane counts what is on: {stay:?} {new:?}");
        new_weights += new.len();
    }
    assert!(new_weights > 0, "too much is left, so something goes on");
    let cautions = answer["cautions"].as_array().expect("cautions");
    let assumed =
        cautions.iter().find(|caution| caution["code"] == "width-assumed").expect("said that it is assumed");
    let text = assumed["text"].as_str().expect("a sentence");
    assert!(text.contains("rear: 16 g at 71 deg is taken as 30 mm wide, as the 15 g of the box"), "{text}");
}

#[test]
fn nothing_goes_on_weights_that_came_with_their_width() {
    let answer = correct("sweepers/came_back_with_widths");
    let strip = |grams, degrees| Strip { grams, degrees, width: 30.0 };
    let old = [vec![strip(15.0, 255.0), strip(10.0, 320.0)], vec![strip(15.0, 71.0)]];
    for (plane, old) in old.iter().enumerate() {
        // The old 10 g is 30 mm wide, wider than the 10 g of the box: the wider one counts.
        let (stay, new) = on_after(&answer, plane, old, &|_| 30.0);
        nothing_overlaps(&stay, &new);
        assert!(stay.len() + new.len() <= 2, "most_per_plane counts what is on: {stay:?} {new:?}");
    }
    let codes: Vec<&str> =
        answer["cautions"].as_array().expect("cautions").iter().filter_map(|c| c["code"].as_str()).collect();
    assert!(!codes.contains(&"width-assumed"), "{codes:?}");
}

#[test]
fn nothing_goes_on_a_weight_of_a_check_run_entered_with_its_bead() {
    let answer = correct("one_place/check_weight_without_width");
    // 20 g of the box, 60 mm, and its bead, entered as 21 g.
    let width = |grams: f64| match grams {
        10.0 => 30.0,
        20.0 | 21.0 => 60.0,
        _ => panic!("no weight of {grams} g in this job"),
    };
    let (stay, new) = on_after(&answer, 0, &[Strip { grams: 21.0, degrees: 100.0, width: 60.0 }], &width);
    nothing_overlaps(&stay, &new);
    // Without a figure for the noise the next step is a run, not a weight; if weights are given, they are
    // clear of others.
    assert!(answer["advice"] == "one more run" || !new.is_empty(), "{answer}");
}

#[test]
fn an_end_that_is_within_gets_no_weight() {
    let answer = correct("sweepers/one_end_within");
    let weights =
        |plane: usize| answer["planes"][plane]["weights"].as_array().expect("a box of weights").len();
    // 430 g.mm at the front joint, 141 at the rear one, 411 allowed each.
    assert_eq!((weights(0), weights(1)), (1, 0));
    assert!(number(&answer, "chance_after") >= 0.99, "{answer}");
    let least_left = correct_with_aim("sweepers/one_end_within", "least left");
    let weights =
        |plane: usize| least_left["planes"][plane]["weights"].as_array().expect("a box of weights").len();
    assert_eq!((weights(0), weights(1)), (1, 1), "as little as possible left: the rear gets one too");
}

/// The same job with another aim.
fn correct_with_aim(job: &str, aim: &str) -> Value {
    let place = tempfile::tempdir().expect("a folder for the test");
    let copy = |from: PathBuf, name: &str, more: &str| {
        let text = std::fs::read_to_string(from).expect("the job's files can be read");
        std::fs::write(place.path().join(name), text + more).expect("the copy is written");
    };
    let shop = folder(job).join("../shop.toml");
    copy(shop, "shop.toml", &format!("aim = \"{aim}\"\n"));
    let job_folder = place.path().join("job");
    std::fs::create_dir(&job_folder).expect("a folder for the job");
    copy(folder(job).join("job.toml"), "job/job.toml", "");
    copy(folder(job).join("runs.csv"), "job/runs.csv", "");
    let said = balance(["correct".into(), "--json".into(), job_folder.into_os_string()]);
    assert_eq!(said.code, 0, "{}", said.talk);
    serde_json::from_str(&said.answer).expect("the answer is one object")
}
