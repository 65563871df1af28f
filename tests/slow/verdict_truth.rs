//! False and withheld verdicts on shafts whose truth is known and independent of the program's model.
//!
//! Setting, unless a row says otherwise: one rigid piece of 14.2 kg between joints at 0 and 1385 mm, 2600 rpm, G16, so
//! 417 g.mm (T) at each joint; heavy spots all along the shaft, 2 to 6 T as found; springs and dampers under both
//! joints, soft or stiff at random; one sensor at each; planes at 95 and 1290 mm, weights at 45.95 mm radius. Runs:
//! initial, a trial of 2 to 2.5 T in each plane, weights, check. In half of the shafts the weights are the program's
//! own, with the further check runs it asks for (up to four) and up to two trims until it says "meets"; in a quarter
//! each they miss, so that 1.0 or 1.5 T (rms) is left at each joint, and there is no trim.
//!
//! Each shaft is judged once, by its last verdict. "False meets": reported to meet, of the shafts with more
//! than the limit really left somewhere. "Good": at most half the limit left everywhere. Every figure is
//! derived here; the bounds are our own goals: at most 1 % false meets in every row that runs can show.
//!
//! `BALANCE_SHAFTS=3000` uses this many shafts in every row; without it there are fewer, and a bound on a row
//! with less than 1000 shafts over the limit allows two standard errors of the count.

use balance_core::grade::Decision;
use balance_tests::program::balance;
use balance_tests::truth::ask::{Figure, Program};
use balance_tests::truth::dial::{BelowAs, Dial};
use balance_tests::truth::hand::{Hand, In, Wrong};
use balance_tests::truth::job_text::job_text;
use balance_tests::truth::setting::{Left, Setting, Stated};
use balance_tests::truth::sheet::Digits;
use balance_tests::truth::tally::Tally;
use balance_tests::truth::technician::balanced;

/// At most this share of the shafts over the limit may be reported to meet, per cent.
const FALSE_MEETS: f64 = 1.0;

/// Counts rows and compares each with the bound; every row is counted before one fails.
fn hold(rows: &[Setting]) -> Vec<Tally> {
    let tallies: Vec<Tally> = rows.iter().map(Tally::of).collect();
    for (row, tally) in rows.iter().zip(&tallies) {
        assert!(tally.over * 20 > tally.shafts, "{}: hardly a shaft over the limit: {tally:?}", row.name);
    }
    let beyond = |tally: &Tally| tally.false_meets_beyond(FALSE_MEETS);
    let wrong: Vec<String> = rows
        .iter()
        .zip(&tallies)
        .filter(|(_, tally)| beyond(tally))
        .map(|(row, tally)| format!("{}: {:.2} % false meets", row.name, tally.false_meets_of_over()))
        .collect();
    assert!(wrong.is_empty(), "allowed {FALSE_MEETS} %\n{}", wrong.join("\n"));
    tallies
}

/// Compares the share of good shafts that stay undecided with a bound, per cent.
fn undecided_at_most(tallies: &[Tally], allowed: f64) {
    for tally in tallies {
        let found = tally.undecided_of_good();
        assert!(tally.good * 20 > tally.shafts, "hardly a good shaft: {tally:?}");
        assert!(found <= allowed, "{found:.2} % of good shafts undecided, allowed {allowed} %: {tally:?}");
    }
}

/// Noise of 2 % and a technician who says so.
fn said(name: &'static str) -> Setting {
    Setting { stated: Stated::Said(0.02), ..Setting::plain(name, 0.02) }
}

/// The same with other dials.
fn read_by(name: &'static str, dial: Dial) -> Setting {
    Setting { dial, ..said(name) }
}

const NOISY: Dial = Dial::noisy(0.02);

#[test]
fn noise_of_2_per_cent_known() {
    undecided_at_most(&hold(&[Setting::plain("noise 2 % known", 0.02)]), 1.0);
}

#[test]
fn noise_of_2_per_cent_stated() {
    undecided_at_most(&hold(&[said("noise 2 % stated")]), 2.5);
}

#[test]
fn noise_of_5_per_cent_known() {
    hold(&[Setting::plain("noise 5 % known", 0.05)]);
}

#[test]
fn noise_estimated() {
    let row = |name, reads| Setting { stated: Stated::Nothing, reads, ..Setting::plain(name, 0.02) };
    hold(&[
        row("noise estimated, initial and check read twice", [2, 1, 2]),
        row("noise estimated, every run read twice", [2, 2, 2]),
    ]);
}

#[test]
fn noise_stated_at_half_of_what_it_is() {
    hold(&[read_by("noise 4 % stated as 2 %", Dial::noisy(0.04))]);
}

#[test]
fn noise_stated_at_double_of_what_it_is() {
    hold(&[Setting { stated: Stated::Said(0.04), ..said("noise 2 % stated as 4 %") }]);
}

#[test]
fn gain_that_drifts() {
    hold(&[read_by("gain drifts 2 % a run", Dial { gain_drift: 0.02, ..NOISY })]);
}

/// The readings drift by 3 % of the first reading from run to run.
const DRIFTING: Dial = Dial { drift: 0.03, ..NOISY };

/// The initial run is read again after the trials.
#[test]
fn drift_with_the_initial_run_repeated() {
    let row = |name, stand| Setting { initial_again: true, stand, ..read_by(name, DRIFTING) };
    hold(&[
        row("drift 3 % a run, initial repeated, no flag", "place_error = \"0.0 mm\""),
        row("drift 3 % a run, initial repeated, flag set", "place_error = \"0.0 mm\"\ndrift = true"),
    ]);
}

/// Without a repeat no run shows it: a figure, and no bound.
#[test]
fn drift_without_a_repeat_cannot_be_seen() {
    let tally = Tally::of(&read_by("drift 3 % a run, initial not repeated (cannot be seen)", DRIFTING));
    assert!(tally.over * 20 > tally.shafts, "{tally:?}");
}

/// No drift, but the initial run repeated: what the drift column costs.
#[test]
fn initial_run_repeated_without_a_drift() {
    let row = Setting { initial_again: true, ..said("no drift, initial repeated") };
    undecided_at_most(&hold(&[row]), 2.5);
}

#[test]
fn phase_noise_of_3_degrees_called_2_per_cent() {
    hold(&[read_by("phase wanders 3 deg, stated 2 %", Dial { phase_noise: 3.0, ..NOISY })]);
}

#[test]
fn one_gross_reading_in_twenty() {
    hold(&[read_by("one reading in 20 grossly wrong", Dial { gross: 0.05, ..NOISY })]);
}

#[test]
fn sensors_whose_noise_is_correlated() {
    let five = Dial { correlation: 0.9, ..Dial::noisy(0.05) };
    hold(&[
        read_by("sensors' noise of 2 % correlated 0.9", Dial { correlation: 0.9, ..NOISY }),
        Setting { stated: Stated::Said(0.05), ..read_by("sensors' noise of 5 % correlated 0.9", five) },
    ]);
}

#[test]
fn gain_that_falls_at_large_readings() {
    hold(&[read_by("gain 10 % lower at 10 mm/s and above", Dial { compression: 0.1, ..NOISY })]);
}

#[test]
fn masses_placed_and_weighed_by_hand() {
    let hand = Hand { place: 2.0, scale: 0.1, slip: None };
    let row = |name, stand| Setting { hand, stand, ..said(name) };
    hold(&[
        row("placed within 2 deg, stated so", "place_error = \"2 deg\"\nscale_error = \"0.1 g\""),
        row("placed within 2 deg, stated as 1 deg", "place_error = \"1 deg\"\nscale_error = \"0.1 g\""),
    ]);
}

/// Each mounting adds 0.2 T (complex rms) at each joint; the truth is the shaft without it.
fn mounted(name: &'static str, mountings: usize, stand: &'static str) -> Setting {
    let left = vec![Left::Once, Left::Missed(1.0), Left::Once, Left::Missed(1.5)];
    Setting { mountings, mounting_scatter: 0.2, stand, left, ..said(name) }
}

const NOT_STATED: &str = "place_error = \"0.0 mm\"";
const STATED: &str = "place_error = \"0.0 mm\"\nmounting_scatter = \"83.446 g.mm\"";

#[test]
fn two_mountings() {
    let rows = [
        mounted("two mountings, 0.2 T each, not stated", 2, NOT_STATED),
        mounted("two mountings, 0.2 T each, stated", 2, STATED),
    ];
    undecided_at_most(&hold(&rows), 10.0);
}

#[test]
fn three_mountings() {
    let rows = [
        mounted("three mountings, 0.2 T each, not stated", 3, NOT_STATED),
        mounted("three mountings, 0.2 T each, stated", 3, STATED),
    ];
    undecided_at_most(&hold(&rows), 10.0);
}

/// Dials with steps: read to the nearest mark, amplitude with one digit after the point, phase in whole
/// degrees.
fn stepped(name: &'static str, steps: (f64, f64), stated: Stated) -> Setting {
    let dial = Dial { steps, ..Dial::noisy(0.01) };
    let digits = Digits { amplitude: 1, phase: 0 };
    Setting { dial, digits, stated, reads: [2, 1, 2], ..said(name) }
}

#[test]
fn dial_with_steps_of_a_fifth() {
    hold(&[
        stepped("dial steps 0.2 mm/s and 5 deg, noise estimated", (0.2, 5.0), Stated::Nothing),
        stepped("dial steps 0.2 mm/s and 5 deg, noise stated 1 %", (0.2, 5.0), Stated::Said(0.01)),
    ]);
}

#[test]
fn dial_with_steps_of_a_half() {
    hold(&[
        stepped("dial steps 0.5 mm/s and 10 deg, noise estimated", (0.5, 10.0), Stated::Nothing),
        stepped("dial steps 0.5 mm/s and 10 deg, noise stated 1 %", (0.5, 10.0), Stated::Said(0.01)),
    ]);
}

/// The dial shows nothing below 2.5 mm/s; the limit at one joint makes 1.5 to 3 mm/s at the needle it moves most.
#[test]
fn check_runs_below_the_scale_repeated() {
    let dial = Dial { below: Some(2.5), ..Dial::noisy(0.01) };
    let row = |name, stated, reads| Setting { dial, stated, reads, ..said(name) };
    hold(&[
        row("below 2.5 mm/s not shown, noise estimated, check read twice", Stated::Nothing, [2, 1, 2]),
        row("below 2.5 mm/s not shown, noise stated, check read four times", Stated::Said(0.01), [1, 1, 4]),
    ]);
}

/// One plane at 95 mm on a shaft with two joints: the far end is never seen.
fn one_plane(name: &'static str, sensors: &[f64], as_found: f64) -> Setting {
    Setting {
        planes: vec![95.0],
        sensors: sensors.to_vec(),
        as_found: (as_found, as_found),
        left: vec![Left::ByProcedure],
        reads: [1, 1, 2],
        ..said(name)
    }
}

#[test]
fn one_plane_with_one_sensor() {
    hold(&[
        one_plane("one plane, one sensor, 1 T as found", &[0.0], 1.0),
        one_plane("one plane, one sensor, 3 T as found", &[0.0], 3.0),
    ]);
}

#[test]
fn one_plane_with_two_sensors() {
    hold(&[
        one_plane("one plane, two sensors, 1 T as found", &[0.0, 1385.0], 1.0),
        one_plane("one plane, two sensors, 3 T as found", &[0.0, 1385.0], 3.0),
    ]);
}

/// Two pieces hinged at a steady bearing; both planes and both sensors on the front one.
#[test]
fn two_pieces_with_planes_on_one_of_them() {
    hold(&[Setting {
        supports: vec![0.0, 610.0, 1385.0],
        pieces: vec![7.0, 7.2],
        planes: vec![95.0, 540.0],
        sensors: vec![0.0, 610.0],
        left: vec![Left::ByProcedure],
        reads: [1, 1, 2],
        ..said("two pieces, planes on the front one")
    }]);
}

/// One thing is written wrongly, everything else is right.
fn slipped(name: &'static str, when: In, wrong: Wrong) -> Setting {
    let hand = Hand { slip: Some((when, wrong)), ..Hand::exact() };
    Setting { hand, ..said(name) }
}

#[test]
fn a_trial_mass_written_wrongly() {
    hold(&[
        slipped("first trial mass written as half", In::FirstTrial, Wrong::Mass(0.5)),
        slipped("last trial mass written tenfold", In::LastTrial, Wrong::Mass(10.0)),
        slipped("first trial mass written as a tenth", In::FirstTrial, Wrong::Mass(0.1)),
        slipped("both trial masses written as half", In::Trials, Wrong::Mass(0.5)),
    ]);
}

#[test]
fn a_trial_angle_or_place_written_wrongly() {
    hold(&[
        slipped("first trial a quarter turn off", In::FirstTrial, Wrong::Angle(90.0)),
        slipped("last trial half a turn off", In::LastTrial, Wrong::Angle(180.0)),
        slipped("last trial 30 deg off", In::LastTrial, Wrong::Angle(30.0)),
        slipped("trial planes swapped", In::Trials, Wrong::Plane),
    ]);
}

#[test]
fn a_trial_reading_written_wrongly() {
    hold(&[
        slipped("one trial reading tenfold", In::LastTrial, Wrong::Reading(10.0)),
        slipped("one trial reading doubled", In::FirstTrial, Wrong::Reading(2.0)),
        slipped("one sensor dead in a trial", In::LastTrial, Wrong::Dead),
        slipped("sensors swapped in a trial", In::FirstTrial, Wrong::SensorsSwapped),
    ]);
}

#[test]
fn weights_written_wrongly() {
    hold(&[
        slipped("weights written as half", In::FirstCheck, Wrong::Mass(0.5)),
        slipped("weights written a quarter turn off", In::FirstCheck, Wrong::Angle(90.0)),
        slipped("weights written at the other plane", In::FirstCheck, Wrong::Plane),
    ]);
}

/// The first of two check runs is written wrongly: the second does not fit it.
#[test]
fn one_of_two_check_runs_written_wrongly() {
    let row = |name, wrong| Setting { reads: [1, 1, 2], ..slipped(name, In::FirstCheck, wrong) };
    hold(&[
        row("one of two check readings written as a tenth", Wrong::Reading(0.1)),
        row("one of two check readings written as half", Wrong::Reading(0.5)),
        row("sensors swapped in one of two check runs", Wrong::SensorsSwapped),
    ]);
}

/// With one check run only its forecast contradicts it, and after a large correction the forecast is wide: a
/// reading that is too small looks like a good shaft. The bound is our own goal.
#[test]
fn the_only_check_run_written_wrongly() {
    for (name, wrong) in [
        ("the only check reading written as a tenth", Wrong::Reading(0.1)),
        ("sensors swapped in the only check run", Wrong::SensorsSwapped),
    ] {
        let tally = Tally::of(&slipped(name, In::FirstCheck, wrong));
        assert!(tally.over * 20 > tally.shafts, "{name}: {tally:?}");
        assert!(tally.false_meets_of_over() <= 15.0, "{name}: {tally:?}");
    }
}

#[test]
fn phases_counted_the_other_way_round() {
    hold(&[slipped("all phases counted the other way", In::All, Wrong::Mirrored)]);
}

/// The check run is read in a mounting other than that of the trials: the slip must still be seen.
#[test]
fn a_slip_in_a_trial_and_the_check_in_another_mounting() {
    let row = |name, wrong, mountings| Setting {
        mountings,
        mounting_scatter: 0.2,
        stand: STATED,
        ..slipped(name, In::LastTrial, wrong)
    };
    // The effect of re-clamping (0.2 T, stated) hides part of such a small slip: not above 1.6 times the
    // limit, and rarely.
    let half = Tally::of(&row("trial mass written as half, check in another mounting", Wrong::Mass(0.5), 1));
    assert!(!half.false_meets_beyond(6.0), "{half:?}");
    hold(&[
        row("trial mass written as half, check in two other mountings", Wrong::Mass(0.5), 2),
        row("trial reading tenfold, check in another mounting", Wrong::Reading(10.0), 1),
        row("trial reading tenfold, check in two other mountings", Wrong::Reading(10.0), 2),
    ]);
}

/// Trials of a third to half the limit. The give or take follows the first order of the coefficients' errors;
/// at 5 % noise those are a seventh of the response, and slightly more shafts just above the limit pass (at
/// most 1.4 times it): this row has its own bound.
#[test]
fn weak_trials() {
    let weak = |row: Setting| Setting { trial: (0.3, 0.5), ..row };
    let five = |stated, reads, name| Setting { stated, reads, ..read_by(name, Dial::noisy(0.05)) };
    hold(&[
        weak(said("trials of 0.3 to 0.5 T, noise 2 % stated")),
        weak(five(Stated::Nothing, [2, 1, 2], "trials of 0.3 to 0.5 T, noise 5 % estimated")),
    ]);
    let stated =
        Tally::of(&weak(five(Stated::Said(0.05), [1, 1, 1], "trials of 0.3 to 0.5 T, noise 5 % stated")));
    assert!(stated.over * 20 > stated.shafts, "{stated:?}");
    assert!(!stated.false_meets_beyond(1.5), "{stated:?}");
}

/// A 0 written for "<x" says that the needle was at zero: the file cannot show that the dial would not have
/// moved for less. It is printed, not asserted; the docs ask for "<x".
#[test]
fn zero_written_for_a_reading_below_the_scale_cannot_be_seen() {
    let zero = |least| Dial { below: Some(least), below_as: BelowAs::Zero, ..Dial::noisy(0.01) };
    let row = |name, least| Setting { stated: Stated::Said(0.01), ..read_by(name, zero(least)) };
    for row in [row("below 2.5 mm/s written as 0", 2.5), row("below 1 mm/s written as 0", 1.0)] {
        let tally = Tally::of(&row);
        assert!(tally.over * 20 > tally.shafts, "{tally:?}");
    }
}

/// Stated figures that are far from the truth, and repeats that are not real repeats: figures with a wide
/// bound of our own, because no run shows what all of them share.
#[test]
fn noise_that_is_not_what_it_seems() {
    let shared = |lasting| Dial { lasting, ..Dial::noisy(0.03) };
    let nothing = |row: Setting, reads| Setting { stated: Stated::Nothing, reads, ..row };
    let rows = [
        read_by("floor of 0.15 mm/s stated as 0.02", Dial { floor: 0.15, ..NOISY }),
        Setting { stated: Stated::Said(0.005), ..read_by("noise 4 % stated as 0.5 %", Dial::noisy(0.04)) },
        nothing(read_by("repeats share 95 % of 3 % noise, every run read twice", shared(0.95)), [2, 2, 2]),
        nothing(read_by("repeats share 95 % of 3 % noise, check read three times", shared(0.95)), [2, 1, 3]),
        nothing(read_by("repeats copied, every run twice", shared(1.0)), [2, 2, 2]),
    ];
    for row in &rows {
        let tally = Tally::of(row);
        assert!(tally.over * 20 > tally.shafts, "{}: {tally:?}", row.name);
        assert!(tally.false_meets_of_over() <= 7.5, "{}: {tally:?}", row.name);
    }
}

/// A warm-up: 10 % of the first reading a run at the beginning, two thirds of it gone after three runs; the
/// initial run is repeated after the trials, so the drift is seen, but it does not continue as it began.
#[test]
fn a_drift_that_settles() {
    let dial = Dial { drift: 0.1, settles: 3.0, ..NOISY };
    hold(&[Setting {
        initial_again: true,
        ..read_by("warm-up 10 % a run that settles, initial repeated", dial)
    }]);
}

/// Needles that stop at the end of the dial.
#[test]
fn readings_beyond_the_dial() {
    hold(&[
        read_by("dial ends at 8 mm/s", Dial { top: 8.0, ..NOISY }),
        read_by("dial ends at 5 mm/s", Dial { top: 5.0, ..NOISY }),
    ]);
}

/// Places that act nearly alike: planes or sensors close together.
#[test]
fn places_close_together() {
    hold(&[
        Setting { planes: vec![95.0, 200.0], ..said("planes 105 mm apart") },
        Setting { sensors: vec![0.0, 60.0], ..said("sensors 60 mm apart") },
        Setting { sensors: vec![0.0, 700.0, 1385.0], ..said("three sensors") },
    ]);
}

/// Two pieces and three sensors, one plane on each piece: three supports, two planes.
#[test]
fn two_pieces_with_one_plane_on_each() {
    hold(&[Setting {
        supports: vec![0.0, 610.0, 1385.0],
        pieces: vec![7.0, 7.2],
        planes: vec![95.0, 1290.0],
        sensors: vec![0.0, 610.0, 1385.0],
        left: vec![Left::ByProcedure],
        reads: [1, 1, 2],
        ..said("two pieces, one plane on each, three sensors")
    }]);
}

/// Runs at a fifth of its critical speed: 4 % of the bending shape's part comes on top at both joints, and counts as
/// left: it pushes the joints at this speed.
#[test]
fn a_slightly_elastic_shaft() {
    hold(&[Setting { part_of_critical: 0.2, ..said("at 0.2 of the critical speed") }]);
}

/// With exact dials one correction must leave nothing but the rounding of masses (0.1 g) and places (1 degree: 0.05 T
/// for 54 g): units, counting of angles and the physics of the truth are those of the job.
#[test]
fn without_any_error_the_programs_weights_leave_nothing() {
    let dial = Dial { floor: 0.0, ..Dial::noisy(0.0) };
    let row = Setting { dial, left: vec![Left::Once], ..said("no error at all") };
    let mut program = Program::with_job(&job_text(&row), Figure::Technician);
    for seed in 0..200 {
        let ended = balanced(&row, &mut program, seed);
        assert_ne!(ended.decision, Decision::Exceeds, "{seed}: {:?}\n{}", ended.left, ended.runs);
        assert!(ended.worst() < 0.2, "{seed}: {:?} left\n{}", ended.left, ended.runs);
    }
}

/// The verdicts counted here are those of `balance verify`.
#[test]
fn the_program_itself_says_the_same() {
    let rows = [
        said("right"),
        read_by("gross readings", Dial { gross: 0.2, ..NOISY }),
        stepped("stepped dial", (0.5, 10.0), Stated::Nothing),
        one_plane("one plane", &[0.0, 1385.0], 1.0),
        mounted("two mountings", 2, STATED),
    ];
    let folder = tempfile::tempdir().expect("a folder for the test");
    let (job, runs) = (folder.path().join("job.toml"), folder.path().join("runs.csv"));
    for row in rows {
        let text = job_text(&row);
        std::fs::write(&job, &text).expect("the job is written");
        let mut program = Program::with_job(&text, Figure::Technician);
        for seed in 0..12 {
            let ended = balanced(&row, &mut program, seed);
            std::fs::write(&runs, &ended.runs).expect("the runs are written");
            let said = balance(["verify".into(), folder.path().as_os_str().to_owned()]);
            let wanted = match ended.decision {
                Decision::Meets => 0,
                Decision::Exceeds => 1,
                Decision::Undecided => 3,
            };
            assert_eq!(said.code, wanted, "{}, {seed}\n{}{}{}", row.name, ended.runs, said.answer, said.talk);
        }
    }
}
