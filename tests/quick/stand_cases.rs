//! Proving the stand and balancing without phase: published items and vectors computed by other means.

use balance_core::Complex64;
use balance_core::stand::without_phase::{AmplitudeRun, StatedNoise, WithoutPhaseQuestion, without_phase};
use balance_tests::cases::run_room;
use balance_tests::random::Random;
use balance_tests::stand_answers::answer;

#[test]
fn every_case_of_the_stand_holds() {
    let counts = run_room("stand", answer).unwrap_or_else(|faults| panic!("{}", faults.join("\n")));
    assert!(counts.values().sum::<usize>() >= 6, "{counts:?}");
}

/// Setting S: two planes, two sensors, unbalance as large as the trial.
fn runs(random: &mut Random, places: &[f64], noise: Option<f64>) -> (Vec<Vec<AmplitudeRun>>, [Complex64; 2]) {
    let answers = [[(1.0, 30.0), (0.35, 40.0)], [(0.3, 35.0), (0.9, 25.0)]]
        .map(|row| row.map(|(size, degrees): (f64, f64)| Complex64::from_polar(size, degrees.to_radians())));
    let found = [random.direction(), random.direction()];
    let mut loads = vec![vec![Complex64::ZERO; 2]];
    for plane in 0..2 {
        for place in places {
            let mut own = vec![Complex64::ZERO; 2];
            own[plane] = Complex64::cis(place.to_radians());
            loads.push(own);
        }
    }
    let of_sensor = |row: &[Complex64; 2]| {
        let run = |own: &Vec<Complex64>| {
            let reading: Complex64 = (0..2).map(|plane| row[plane] * (found[plane] + own[plane])).sum();
            AmplitudeRun::exact(own.clone(), reading.norm(), noise.map(|f| f * f / 2.0 * reading.norm_sqr()))
        };
        loads.iter().map(run).collect()
    };
    (answers.iter().map(of_sensor).collect(), found)
}

fn question(sensors: Vec<Vec<AmplitudeRun>>) -> WithoutPhaseQuestion {
    let weights = vec![1.0; sensors.len()];
    WithoutPhaseQuestion { sensors, weights, stated: StatedNoise { degrees_of_freedom: f64::INFINITY } }
}

#[test]
fn the_answer_does_not_depend_on_the_order_of_the_trials() {
    let mut random = Random::seeded(17);
    for _ in 0..20 {
        let (sensors, _) = runs(&mut random, &[0.0, 120.0, 240.0], Some(0.02));
        let first = without_phase(&question(sensors.clone())).expect("an answer");
        let order: Vec<usize> = [5, 2, 0, 6, 1, 4, 3].into();
        let turned = sensors.iter().map(|own| order.iter().map(|&at| own[at].clone()).collect()).collect();
        let second = without_phase(&question(turned)).expect("an answer");
        for (one, other) in first.answers[0].planes.iter().zip(&second.answers[0].planes) {
            assert!((one.add - other.add).norm() < 1e-8, "{one:?} {other:?}");
        }
    }
}

#[test]
fn exact_amplitudes_give_the_exact_answer_and_only_it() {
    let mut random = Random::seeded(18);
    for places in [&[0.0, 120.0, 240.0][..], &[0.0, 90.0, 180.0, 270.0], &[10.0, 80.0, 200.0]] {
        for _ in 0..20 {
            let (sensors, found) = runs(&mut random, places, None);
            let told = without_phase(&question(sensors)).expect("an answer");
            let off = told.answers[0].planes.iter().zip(found).map(|(own, found)| (own.add + found).norm());
            let off = off.fold(0.0, f64::max);
            assert!(off < 1e-6, "{places:?}: {off}, {:?}", told.answers);
        }
    }
}

#[test]
fn two_places_a_plane_leave_mirrored_answers_and_one_run_settles_most_of_them() {
    let mut random = Random::seeded(19);
    let mut settled = 0;
    for _ in 0..20 {
        let (sensors, found) = runs(&mut random, &[0.0, 90.0], None);
        let asked = question(sensors);
        let told = without_phase(&asked).expect("answers");
        assert!(told.only().is_none(), "{:?}", told.answers);
        let right = told.answers.iter().any(|answer| {
            answer.planes.iter().zip(found).all(|(own, found)| (own.add + found).norm() < 1e-4)
        });
        assert!(right, "the right answer is among them: {:?}", told.answers);
        let run = told.settling_run(&asked).expect("a run that settles it");
        settled += u32::from(run.apart > 0.02);
    }
    assert!(settled >= 15, "{settled}");
}
