//! Laws that hold whatever the shaft: readings are added up here from a response that only the test knows.

use num_complex::Complex64;

use super::*;
use crate::shaft::{PlaneId, SensorId};

fn at(amount: f64, degrees: f64) -> Complex64 {
    Complex64::from_polar(amount, degrees.to_radians())
}

/// A linear shaft: what each sensor shows of 1 g·mm in each plane, and the unbalance.
struct Shaft {
    gains: Vec<Vec<Complex64>>,
    unbalance: Vec<Complex64>,
}

impl Shaft {
    fn amplitude(&self, sensor: usize, loads: &[Complex64]) -> f64 {
        let planes = self.gains[sensor].iter().zip(self.unbalance.iter().zip(loads));
        planes.map(|(gain, (unbalance, load))| gain * (unbalance + load)).sum::<Complex64>().norm()
    }

    /// Runs with these loads, exactly read, with this deviation stated.
    fn question(&self, runs: &[Vec<Complex64>], deviation: Option<f64>) -> WithoutPhaseQuestion {
        let run = |sensor: usize, loads: &Vec<Complex64>| {
            let amplitude = self.amplitude(sensor, loads);
            AmplitudeRun::exact(loads.clone(), amplitude, deviation.map(|own| own * own))
        };
        let of_sensor = |sensor: usize| runs.iter().map(|loads| run(sensor, loads)).collect();
        WithoutPhaseQuestion {
            sensors: (0..self.gains.len()).map(of_sensor).collect(),
            weights: vec![1.0; self.gains.len()],
            stated: StatedNoise { degrees_of_freedom: f64::INFINITY },
        }
    }

    /// Whether this is what takes the unbalance away.
    fn is_cured_by(&self, answer: &PossibleAnswer) -> bool {
        let off =
            |(own, unbalance): (&PlaneAnswer, &Complex64)| (own.add + unbalance).norm() / unbalance.norm();
        answer.planes.iter().zip(&self.unbalance).map(off).fold(0.0, f64::max) < 1e-6
    }
}

fn one_plane(unbalance: Complex64) -> Shaft {
    Shaft { gains: vec![vec![at(0.004, 77.0)]], unbalance: vec![unbalance] }
}

fn two_planes(unbalance: [Complex64; 2]) -> Shaft {
    let gains = [[at(0.004, 30.0), at(0.0014, 40.0)], [at(0.0012, 35.0), at(0.0036, 25.0)]];
    Shaft { gains: gains.map(Vec::from).into(), unbalance: unbalance.into() }
}

/// Nothing, then 1000 g·mm at each of these places of each plane in turn.
fn in_turn(planes: usize, places: &[f64]) -> Vec<Vec<Complex64>> {
    let one = |plane: usize, degrees: f64| {
        let mut loads = vec![Complex64::ZERO; planes];
        loads[plane] = at(1000.0, degrees);
        loads
    };
    let trials = (0..planes).flat_map(|plane| places.iter().map(move |&degrees| one(plane, degrees)));
    std::iter::once(vec![Complex64::ZERO; planes]).chain(trials).collect()
}

#[test]
fn three_places_tell_the_answer_whether_or_not_noise_is_stated() {
    for (amount, degrees) in [(100.0, 20.0), (700.0, 143.0), (1000.0, 180.0), (2500.0, 301.0)] {
        for places in [&[0.0, 120.0, 240.0][..], &[10.0, 80.0, 200.0], &[0.0, 72.0, 144.0, 216.0, 288.0]] {
            let shaft = one_plane(at(amount, degrees));
            let told = without_phase(&shaft.question(&in_turn(1, places), None)).unwrap();
            assert!(told.only().is_some_and(|own| shaft.is_cured_by(own)), "{amount} {degrees} {places:?}");
            let shaft = two_planes([at(amount, degrees), at(900.0, 100.0)]);
            let question = shaft.question(&in_turn(2, places), Some(1e-5));
            let told = without_phase(&question).unwrap();
            assert!(told.only().is_some_and(|own| shaft.is_cured_by(own)), "{amount} {degrees} {places:?}");
            assert!(!told.weak_baseline());
            assert_eq!((told.settling_run(&question), told.both_loaded(&question)), (None, None));
            let sensor = &told.sensors[0];
            assert_eq!(
                (sensor.redundancy, sensor.above_stated, sensor.scale),
                (2 * places.len() - 4, false, 1.0)
            );
        }
    }
}

/// At 0° and 180° the readings are the same for an unbalance mirrored at that line: both answers are told, and the run
/// that settles it lies off the line where they differ most.
#[test]
fn two_opposite_places_leave_the_mirror_image_and_one_more_settles_it() {
    for degrees in [35.0, 110.0, 250.0] {
        let shaft = one_plane(at(600.0, degrees));
        let mut runs = in_turn(1, &[0.0, 180.0]);
        for deviation in [None, Some(1e-5)] {
            let question = shaft.question(&runs, deviation);
            let told = without_phase(&question).unwrap();
            assert_eq!((told.answers.len(), told.only()), (2, None), "{degrees} {deviation:?}: {told:?}");
            let mirrored = one_plane(at(600.0, -degrees));
            for own in [&shaft, &mirrored] {
                assert!(told.answers.iter().any(|answer| own.is_cured_by(answer)), "{degrees} {deviation:?}");
            }
            let run = told.settling_run(&question).unwrap();
            // What either answer expects at each twelfth of a turn, by hand.
            let apart = |degrees: f64| {
                let loads = [at(1000.0, degrees)];
                let (one, other) = (shaft.amplitude(0, &loads), mirrored.amplitude(0, &loads));
                2.0 * (one - other).abs() / (one + other)
            };
            let most = (0..12).map(|place| apart(30.0 * f64::from(place))).fold(0.0, f64::max);
            assert!((run.loads[0].norm() - 1000.0).abs() < 1e-9 && most > 0.1, "{run:?}");
            let there = apart(run.loads[0].arg().to_degrees());
            assert!((run.apart - most).abs() < 1e-6 && (there - most).abs() < 1e-6, "{run:?} {most}");
            // Three readings for three unknowns: nothing is left that could scatter.
            assert!(told.sensors.iter().all(|own| own.redundancy == 0 && !own.above_stated));
            let known = told.answers.iter().all(|own| own.planes[0].give_or_take.is_some());
            assert_eq!(known, deviation.is_some());
        }
        let told = without_phase(&shaft.question(&runs, None)).unwrap();
        runs.push(told.settling_run(&shaft.question(&runs, None)).unwrap().loads);
        let settled = without_phase(&shaft.question(&runs, None)).unwrap();
        assert!(settled.only().is_some_and(|own| shaft.is_cured_by(own)), "{degrees}: {settled:?}");
    }
}

/// Each plane has its mirror image: a mass in one plane tells nothing of the other, so the run that settles all of them
/// loads both.
#[test]
fn mirrored_answers_of_two_planes_are_settled_by_one_run_with_both_loaded() {
    let shaft = two_planes([at(700.0, 205.0), at(900.0, 80.0)]);
    let mut runs = in_turn(2, &[0.0, 180.0]);
    let question = shaft.question(&runs, Some(1e-5));
    let told = without_phase(&question).unwrap();
    assert!(told.answers.len() > 2 && told.answers.iter().any(|own| shaft.is_cured_by(own)), "{told:?}");
    let run = told.settling_run(&question).unwrap();
    assert!(run.loads.iter().all(|load| (load.norm() - 1000.0).abs() < 1e-9) && run.apart > 0.01, "{run:?}");
    runs.push(run.loads);
    let settled = without_phase(&shaft.question(&runs, Some(1e-5))).unwrap();
    assert!(settled.only().is_some_and(|own| shaft.is_cured_by(own)), "{:?}", settled.answers);
}

/// Only the rear plane was tried at opposite places: one mass there tells, though two would show a little more.
#[test]
fn one_mass_is_asked_for_where_it_settles_the_answer() {
    let shaft = two_planes([at(300.0, 205.0), at(900.0, 80.0)]);
    let of_plane = |plane: usize, places: &[f64]| {
        let alone = move |loads: &Vec<Complex64>| loads[1 - plane] == Complex64::ZERO;
        in_turn(2, places).into_iter().filter(alone).collect::<Vec<_>>()
    };
    let mut runs = [of_plane(0, &[0.0, 120.0, 240.0]), of_plane(1, &[0.0, 180.0]).split_off(1)].concat();
    let question = shaft.question(&runs, Some(1e-5));
    let told = without_phase(&question).unwrap();
    assert!(told.only().is_none() && told.answers.iter().any(|own| shaft.is_cured_by(own)), "{told:?}");
    let run = told.settling_run(&question).unwrap();
    assert_eq!(run.loads[0], Complex64::ZERO, "{run:?}");
    assert!((run.loads[1].norm() - 1000.0).abs() < 1e-9 && run.loads[1].im.abs() > 400.0, "{run:?}");
    runs.push(run.loads);
    let settled = without_phase(&shaft.question(&runs, Some(1e-5))).unwrap();
    assert!(settled.only().is_some_and(|own| shaft.is_cured_by(own)), "{:?}", settled.answers);
}

/// Readings next to nothing while nothing is on show how strongly each plane acts, not which way: two runs with both
/// planes loaded do.
#[test]
fn a_small_first_reading_asks_for_two_runs_with_both_planes_loaded() {
    let shaft = two_planes([at(10.0, 205.0), at(8.0, 80.0)]);
    let mut runs = in_turn(2, &[0.0, 120.0, 240.0]);
    let question = shaft.question(&runs, Some(1e-6));
    let told = without_phase(&question).unwrap();
    assert!(told.weak_baseline());
    let both = told.both_loaded(&question).unwrap();
    let loads = both.each_ref().map(|run| run.loads.clone());
    let quarter = [vec![at(1000.0, 0.0); 2], vec![at(1000.0, 0.0), at(1000.0, 90.0)]];
    for (own, wanted) in loads.iter().flatten().zip(quarter.iter().flatten()) {
        assert!((own - wanted).norm() < 1e-9, "{loads:?}");
    }
    // One of them is not enough.
    runs.push(loads[0].clone());
    assert!(without_phase(&shaft.question(&runs, Some(1e-6))).unwrap().weak_baseline());
    runs.push(loads[1].clone());
    let told = without_phase(&shaft.question(&runs, Some(1e-6))).unwrap();
    assert!(!told.weak_baseline() && told.both_loaded(&question).is_none());
    assert!(told.answers.iter().any(|own| shaft.is_cured_by(own)), "{:?}", told.answers);
}

/// Grams at one radius or g·mm, millimetres or inches a second: the same shaft, the same number of answers.
#[test]
fn units_change_no_answer() {
    let plain = two_planes([at(700.0, 205.0), at(900.0, 80.0)]);
    let plain = without_phase(&plain.question(&in_turn(2, &[0.0, 180.0]), None)).unwrap();
    for size in [1e-6, 1e-3, 1e3, 1e6] {
        let mut shaft = two_planes([at(700.0 * size, 205.0), at(900.0 * size, 80.0)]);
        shaft.gains.iter_mut().flatten().for_each(|own| *own /= size.powi(2));
        let runs: Vec<Vec<Complex64>> = in_turn(2, &[0.0, 180.0])
            .into_iter()
            .map(|loads| loads.into_iter().map(|own| own * size).collect())
            .collect();
        let told = without_phase(&shaft.question(&runs, None)).unwrap();
        assert_eq!(told.answers.len(), plain.answers.len(), "{size}");
        assert!(told.answers.iter().any(|own| shaft.is_cured_by(own)), "{size}");
    }
}

/// Readings that scatter three times as much as stated: that scatter counts.
#[test]
fn scatter_beyond_the_stated_noise_is_told() {
    let shaft = one_plane(at(700.0, 143.0));
    let places: Vec<f64> = (0..12).map(|place| 30.0 * f64::from(place)).collect();
    let mut question = shaft.question(&in_turn(1, &places), Some(0.01));
    for (at, run) in question.sensors[0].iter_mut().enumerate() {
        run.amplitude += [0.03, -0.03][at % 2];
    }
    let told = without_phase(&question).unwrap();
    let sensor = &told.sensors[0];
    assert!(sensor.above_stated && sensor.degrees_of_freedom == 10.0, "{sensor:?}");
    // Thirteen times 3², less what three unknowns take up of it, over ten.
    assert!((sensor.scale - (13.0 * 9.0 / 10.0_f64).sqrt()).abs() < 0.3, "{sensor:?}");
}

#[test]
fn what_does_not_tell_is_said_once_for_all_sensors() {
    let shaft = two_planes([at(700.0, 205.0), at(900.0, 80.0)]);
    let mut runs = in_turn(2, &[0.0]);
    runs.truncate(2);
    let faults = without_phase(&shaft.question(&runs, None)).unwrap_err();
    let places = |plane, found| WithoutPhaseFault::TooFewPlaces { plane: PlaneId::new(plane), found };
    let few = |sensor| WithoutPhaseFault::TooFewRuns { sensor: SensorId::new(sensor), found: 2, needed: 6 };
    assert_eq!(faults, [places(0, 1), places(1, 0), few(0), few(1)]);

    let mut question = shaft.question(&in_turn(2, &[0.0, 120.0, 240.0]), None);
    question.sensors[1].iter_mut().for_each(|run| run.amplitude = 0.0);
    let faults = without_phase(&question).unwrap_err();
    assert_eq!(faults, [WithoutPhaseFault::OutOfRange { sensor: SensorId::new(1) }]);
    question.sensors[0][2].amplitude = f64::INFINITY;
    assert_eq!(without_phase(&question).unwrap_err().len(), 2);
}
