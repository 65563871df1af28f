//! `balance explain` on five jobs with a slip each (invented, from a simulated shaft, readings as a dial shows them).
//!
//! All five come from one job: the same shaft, the same three runs, the same check run with 16 g at 255° and
//! 11 g at 320° in front and 16 g at 71° at the rear. Done right it reads 0.04 mm/s at 82° and 0.57 mm/s at
//! 119°, as in the job whose slip is only in the entry of a trial. What the other readings say by hand:
//! without the 11 g the front sensor reads 2.44 at 180°; twice that, 4.88 at 180°, is what the same weight
//! makes on the opposite side.

use std::path::{Path, PathBuf};

use balance_tests::program::balance;

fn job(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("slips").join(name)
}

/// The output of `balance explain`, with its lines joined.
#[expect(clippy::print_stdout, reason = "shows what was said if the test fails")]
fn explained(name: &str) -> String {
    let said = balance(["explain".into(), job(name).into_os_string()]);
    assert_eq!(said.code, 0, "{}", said.talk);
    println!("{}", said.answer);
    said.answer.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// The slip is what fits best, or is named beside it.
#[track_caller]
fn is_named(name: &str, slip: &str) {
    let answer = explained(name);
    let named = ["What fits best: ", "Fits as well: "].map(|before| format!("{before}{slip}."));
    assert!(named.iter().any(|line| answer.contains(line)), "`{slip}` is not named:\n{answer}");
    assert!(!answer.contains("None of"), "{answer}");
}

#[test]
fn a_weight_30_degrees_off() {
    is_named(
        "weight_30_degrees_off",
        "the weights of run 4 at rear were about 30 deg further in the counting direction than entered",
    );
}

#[test]
fn a_weight_on_the_opposite_side() {
    is_named(
        "weight_on_the_opposite_side",
        "the weight of 11 g at 320 deg (front) in run 4 was on the opposite side (half a turn off)",
    );
}

#[test]
fn two_weights_exchanged() {
    is_named(
        "weights_exchanged",
        "the weights of 16 g at 255 deg (front) and of 11 g at 320 deg (front) were put on in each other's places in run 4",
    );
}

#[test]
fn a_digit_of_an_angle_lost() {
    is_named(
        "digit_of_an_angle_lost",
        "the trial mass of 20 g at 9 deg (front) in run 2 was at 90 deg, not 9: a digit was left out",
    );
}

#[test]
fn a_weight_not_on() {
    is_named("weight_not_on", "the weight of 11 g at 320 deg (front) was not on in run 4");
}
