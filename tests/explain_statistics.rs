//! Single mistakes on seeded shafts, and whether the readings give them away.
//!
//! Setting: two planes, two sensors, unit unbalance and unit trials at random angles, answers 1, 0.35, 0.3, 0.9 at 30,
//! 40, 35 and 25 degrees, 2 % complex rms noise known. Four runs: initial, trial front, trial rear, check with the
//! correction from the first three as two weights in each plane, 10 to 40 degrees to either side of where it should go.

use balance_core::Complex64;
use balance_core::caution::Caution;
use balance_core::correction::correct;
use balance_core::correction::explain::{Hypothesis, Outcome, Suspects, Who, explain};
use balance_core::influence::{Options, System, Which, estimate};
use balance_core::quantity::{Angle, Units};
use balance_core::run::{Noise, PlaceError, RunKind, RunSet};
use balance_tests::mistake::{CHECK, Job, Mistake, NEEDLES, listed, says};
use balance_tests::random::Random;
use balance_tests::record::record;
use balance_tests::shaft::{LinearShaft, run, set};

const ZERO: [Complex64; 2] = [Complex64::ZERO, Complex64::ZERO];

/// Shares of jobs.
#[derive(Debug, Default)]
struct Tally {
    /// Named first, or second and named together with the first; of the jobs in which the check run missed.
    named: f64,
    nothing_wrong: f64,
    none_of_these: f64,
}

/// A job done right by a hand that misses the angle of every mass by this many degrees (one sigma).
fn right_job_placed_by_hand(seed: u64, degrees: f64) -> RunSet {
    let mut random = Random::seeded(seed);
    let shaft = LinearShaft::two_planes(&mut random);
    let mut noise = Noise::known(0.02, 0.0);
    noise.place_error = Some(PlaceError::Angle(Angle::from_degrees(degrees).expect("an angle")));
    let misses = |random: &mut Random| Complex64::cis((degrees * random.normal()).to_radians());
    let zero = Complex64::ZERO;
    let trials = [random.direction(), random.direction()];
    let mut runs = Vec::new();
    let mut read = |at: usize, kind, entered: [Complex64; 2], random: &mut Random| {
        let real = entered.map(|load| load * misses(random));
        runs.push(run(&at.to_string(), kind, &entered, &NEEDLES.read(&shaft.readings(&real), random)));
        set(shaft.setup(noise.clone()), runs.clone())
    };
    read(0, RunKind::Initial, ZERO, &mut random);
    read(1, RunKind::Trial, [trials[0], zero], &mut random);
    let before = read(2, RunKind::Trial, [zero, trials[1]], &mut random);
    let influence = estimate(&before, &Options::default()).expect("three runs tell both planes");
    let correction = correct(&before, &influence);
    let weights = [0, 1].map(|plane| correction.planes[plane].add.vector());
    read(3, RunKind::Check, weights, &mut random)
}

fn tally(mistake: Mistake, seeds: std::ops::Range<u64>) -> Tally {
    let jobs = seeds.end - seeds.start;
    let mut counts = [0_u64; 3];
    for seed in seeds {
        let (shaft, runs) = Job::new(seed, mistake).runs();
        let set = set(shaft.setup(Noise::known(0.02, 0.0)), runs);
        let found = explain(&set, &Options::default()).expect("the runs tell both planes");
        match found.outcome {
            Outcome::Fits(findings) => {
                let place = findings.iter().position(|finding| says(&finding.hypothesis, mistake));
                let named = place.is_some_and(|at| at < 2 && findings[at].named_with_the_best());
                counts[0] += u64::from(named);
            }
            Outcome::NothingWrong => counts[1] += 1,
            Outcome::NoneOfThese => counts[2] += 1,
            Outcome::NoNoise | Outcome::NothingToCompare => {}
        }
    }
    let [named, nothing_wrong, none_of_these] = counts.map(|count| count as f64);
    Tally {
        named: named / (jobs as f64 - nothing_wrong),
        nothing_wrong: nothing_wrong / jobs as f64,
        none_of_these: none_of_these / jobs as f64,
    }
}

/// Goals of our own, stated before the list was written: each mistake named in 95 of 100 jobs, 98 on average. Jobs in
/// which the mistake leaves the check run where it belongs (two nearly equal weights swapped) are not counted.
#[test]
fn single_mistakes_are_named() {
    let list = listed();
    let mut sum = 0.0;
    for (at, &mistake) in list.iter().enumerate() {
        let first = 10_000 * at as u64;
        let found = tally(mistake, first..first + 150);
        println!("{mistake:?}: {found:?}");
        assert!(found.named >= 0.95, "{mistake:?}: {found:?}");
        assert!(found.nothing_wrong <= 0.06, "{mistake:?}: {found:?}");
        sum += found.named;
    }
    let mean = sum / list.len() as f64;
    println!("named on average: {mean:.4}");
    record("mistakes named", &format!("{:.1} of 100", 100.0 * mean));
    assert!(mean >= 0.98, "{mean}");
}

#[test]
fn right_jobs_are_not_accused() {
    let found = tally(Mistake::Nothing, 0..1000);
    println!("nothing wrong: {found:?}");
    assert!(found.nothing_wrong >= 0.99, "{found:?}");
    let accused = |seed: &u64| {
        let set = right_job_placed_by_hand(*seed, 2.0);
        let found = explain(&set, &Options::default()).expect("both planes are told");
        !matches!(found.outcome, Outcome::NothingWrong)
    };
    let accused = (0..1000).filter(accused).count();
    println!("placed by hand, 2 degrees: {accused} of 1000 accused");
    assert!(accused <= 10, "{accused}");
}

#[test]
fn what_is_not_on_the_list_is_called_none_of_these() {
    for mistake in [Mistake::WeightAnywhere, Mistake::WeightsAnywhere, Mistake::ReadingAnything] {
        let found = tally(mistake, 0..300);
        println!("{mistake:?}: {found:?}");
        assert!(found.none_of_these >= 0.95, "{mistake:?}: {found:?}");
    }
}

/// How far what is reported as left is from what is really left, |reported|/|real| over both planes.
fn reported_over_real(joint_fit: bool, jobs: u64) -> Vec<f64> {
    let mut ratios = Vec::new();
    for seed in 0..jobs {
        let (shaft, mut runs) = Job::new(seed, Mistake::WeightMisplaced).runs();
        let setup = shaft.setup(Noise::known(0.02, 0.0));
        let check = set(setup.clone(), runs.clone());
        let agreed =
            !estimate(&check, &Options::default()).expect("both planes are told").groups[0].disagrees();
        if agreed {
            continue;
        }
        if joint_fit {
            // As a trial it enters the fit without a gate.
            runs[CHECK].kind = RunKind::Trial;
        }
        let entered = set(setup, runs);
        let influence = estimate(&entered, &Options::default()).expect("both planes are told");
        let system = System::of(&entered, &influence, &[0], Which::Now);
        let shown: Vec<Complex64> = check.rows()[CHECK]
            .observed
            .iter()
            .map(|own| own.expect("both are read").reading.vector())
            .collect();
        let reported = system.unbalance_of(&shown);
        let real = shaft.unbalance_of(&shown);
        let length = |own: &[Complex64]| own.iter().map(Complex64::norm_sqr).sum::<f64>().sqrt();
        ratios.push(length(&reported) / length(&real));
    }
    ratios.sort_by(f64::total_cmp);
    ratios
}

/// Why a block that disagrees stays out: with the weights of one plane at a wrong place the joint fit misreports what is
/// left by factors, the earlier coefficients by less than a tenth in 95 of 100 jobs. Recomputed here; no outside figure.
#[test]
fn a_misplaced_weight_must_not_enter_the_coefficients() {
    let [gated, joint] = [false, true].map(|joint| reported_over_real(joint, 1000));
    let at = |own: &[f64], share: f64| own[((own.len() - 1) as f64 * share) as usize];
    println!(
        "{} jobs; earlier coefficients: {:.3} to {:.3}, middle 95 % {:.3} to {:.3}",
        gated.len(),
        at(&gated, 0.0),
        at(&gated, 1.0),
        at(&gated, 0.025),
        at(&gated, 0.975)
    );
    println!(
        "joint fit: {:.3} to {:.3}, middle 95 % {:.3} to {:.3}",
        at(&joint, 0.0),
        at(&joint, 1.0),
        at(&joint, 0.025),
        at(&joint, 0.975)
    );
    assert!(at(&gated, 0.025) > 0.90 && at(&gated, 0.975) < 1.10);
    assert!(at(&joint, 0.975) > 2.0 && at(&joint, 1.0) > 4.0);
}

/// The loads of a plan, run by run.
type Plan = Vec<(RunKind, [Complex64; 2])>;

/// A plan read on a shaft; with a mirrored convention what is really on is the mirror image of what is entered.
fn job_of(plan: &Plan, mirrored: bool, random: &mut Random) -> RunSet {
    let shaft = LinearShaft::two_planes(random);
    let runs = plan.iter().enumerate().map(|(at, (kind, loads))| {
        let real = loads.map(|load| if mirrored { load.conj() } else { load });
        run(&at.to_string(), *kind, loads, &NEEDLES.read(&shaft.readings(&real), random))
    });
    let runs = runs.collect();
    set(shaft.setup(Noise::known(0.02, 0.0)), runs)
}

fn said_unproved(set: &RunSet) -> bool {
    let influence = estimate(set, &Options::default()).expect("both planes are told");
    correct(set, &influence)
        .cautions
        .iter()
        .any(|caution| matches!(caution, Caution::ConventionUnproved { .. }))
}

/// Plans in which each plane's masses lie on one line: three runs, both ways of each trial, a check on the line.
fn plans_that_cannot_tell(random: &mut Random) -> [Plan; 3] {
    let (front, rear) = (random.direction(), random.direction());
    let on = |front, rear| [front, rear];
    let zero = Complex64::ZERO;
    let three =
        vec![(RunKind::Initial, ZERO), (RunKind::Trial, on(front, zero)), (RunKind::Trial, on(zero, rear))];
    let mut both_ways = three.clone();
    both_ways.push((RunKind::Trial, on(-front, zero)));
    both_ways.push((RunKind::Trial, on(zero, -rear)));
    let mut check_on_the_line = three.clone();
    check_on_the_line.push((RunKind::Check, on(front * -0.7, rear * 1.3)));
    [three, both_ways, check_on_the_line]
}

#[test]
fn a_mirrored_convention_is_said_to_be_unproved_wherever_it_cannot_be_seen() {
    let (mut wrongly_open, mut not_named) = (0, 0);
    for seed in 0..300 {
        let mut random = Random::seeded(seed);
        for mirrored in [false, true] {
            for plan in plans_that_cannot_tell(&mut random) {
                assert!(said_unproved(&job_of(&plan, mirrored, &mut random)), "{seed} {mirrored}");
            }
        }
        // A quarter turn from the first trial, at the same place.
        let [mut quarter, ..] = plans_that_cannot_tell(&mut random);
        let front = quarter[1].1[0];
        quarter.push((RunKind::Trial, [front * Complex64::I, Complex64::ZERO]));
        wrongly_open += u32::from(said_unproved(&job_of(&quarter, false, &mut random)));
        let mirrored = job_of(&quarter, true, &mut random);
        assert!(said_unproved(&mirrored), "a wrong convention was called proved: {seed}");
        let found = explain(&mirrored, &Options::default()).expect("both planes are told");
        let Outcome::Fits(findings) = found.outcome else {
            not_named += 1;
            continue;
        };
        let everything = Hypothesis::OtherWayRound(Suspects { who: Who::All, plane: None });
        let same = Hypothesis::OtherWayRound(Suspects { who: Who::Trials, plane: None });
        assert!(findings[0].hypothesis == everything || findings[0].hypothesis == same, "{seed}");
    }
    assert!(wrongly_open <= 3, "right and proved, but said to be open: {wrongly_open} of 300");
    assert!(not_named <= 3, "mirrored and visible, but not named: {not_named} of 300");
}

#[test]
fn without_a_figure_for_the_noise_it_says_so() {
    let (shaft, runs) = Job::new(1, Mistake::PlanesSwapped).runs();
    let found = explain(&set(shaft.setup(Noise::not_stated()), runs), &Options::default());
    assert!(matches!(found.expect("both planes are told").outcome, Outcome::NoNoise));
}

/// Nothing stated, but every run read twice: the scatter of the repeats is figure enough.
#[test]
fn repeated_runs_are_figure_enough() {
    let mut named = 0;
    for seed in 0..100 {
        let (shaft, runs) = Job::new(seed, Mistake::TrialLeftOnInCheck { plane: 1 }).runs_twice();
        let found = explain(&set(shaft.setup(Noise::not_stated()), runs), &Options::default());
        let left_on = Hypothesis::TrialLeftOn { trial: 4, from: 6, to: 7 };
        if let Outcome::Fits(findings) = found.expect("both planes are told").outcome {
            named += u32::from(findings[0].hypothesis == left_on);
        }
    }
    println!("named with the noise estimated: {named} of 100");
    assert!(named >= 95, "{named}");
}

/// One job gone wrong, in words; what the corrected entry says can be entered; there is one caution and not two.
#[test]
fn a_job_gone_wrong_in_words() {
    let (shaft, runs) = Job::new(1, Mistake::TrialLeftOnInCheck { plane: 1 }).runs();
    let set = set(shaft.setup(Noise::known(0.02, 0.0)), runs);
    let found = explain(&set, &Options::default()).expect("both planes are told");
    let words = found.sentences(&set).join("\n");
    println!("{words}");
    assert!(words.contains("the trial mass of run 3 was still on in run 4"), "{words}");
    let Outcome::Fits(findings) = &found.outcome else { panic!("{found:?}") };
    for finding in findings {
        let entered = RunSet::new(set.setup().clone(), finding.set.runs()).expect("it can be entered");
        assert_eq!(entered, finding.set);
    }
    let mut cautions = estimate(&set, &Options::default()).expect("both planes are told").cautions;
    found.put_into(&set, &mut cautions);
    let disagree: Vec<_> =
        cautions.iter().filter(|caution| matches!(caution, Caution::CheckDisagrees { .. })).collect();
    assert!(disagree.len() == 1 && disagree[0].words(Units::Metric).contains("still on"), "{disagree:?}");
}

/// Every story on the list in words, each edit one that can be entered.
#[test]
fn every_mistake_reads_well() {
    for (at, mistake) in listed().into_iter().enumerate() {
        let (shaft, runs) = Job::new(7 + at as u64, mistake).runs();
        let set = set(shaft.setup(Noise::known(0.02, 0.0)), runs);
        let found = explain(&set, &Options::default()).expect("both planes are told");
        let lines = found.sentences(&set);
        println!("{mistake:?}\n  {}", lines.join("\n  "));
        assert!(lines.iter().all(|line| line.ends_with('.') && !line.contains("  ")), "{lines:?}");
    }
}
