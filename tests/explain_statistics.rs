//! Single mistakes on seeded shafts, and whether the readings give them away.
//!
//! Setting: two planes, two sensors, unit unbalance and unit trials at random angles, answers 1, 0.35, 0.3, 0.9 at 30,
//! 40, 35 and 25 degrees, 2 % complex rms noise known. Four runs: initial, trial front, trial rear, check with the
//! correction from the first three as two weights in each plane, 10 to 40 degrees to either side of where it should go.

use balance_core::Complex64;
use balance_core::correction::explain::{Amount, Hypothesis, Outcome, Suspects, Turned, Who, explain};
use balance_core::correction::{ExtraRun, PlanQuestion, correct, run_plan};
use balance_core::influence::{Options, System, Which, estimate};
use balance_core::quantity::UnbalanceAmount;
use balance_core::run::{Noise, PlacedMass, Run, RunKind, RunSet};
use balance_tests::random::Random;
use balance_tests::shaft::{LinearShaft, Needles, mass, run, set, shown};

const ZERO: [Complex64; 2] = [Complex64::ZERO, Complex64::ZERO];
const NEEDLES: Needles = Needles { fraction: 0.02, floor: 0.0 };
const CHECK: usize = 3;

/// What is done wrong.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Mistake {
    Nothing,
    OtherWayRound {
        all: bool,
    },
    OppositeSide {
        plane: Option<usize>,
    },
    PlanesSwapped,
    TrialLeftOnInCheck {
        plane: usize,
    },
    FirstTrialLeftOnInSecond,
    WeightForgotten,
    TrialWas {
        times: f64,
        plane: Option<usize>,
    },
    WeightsWere {
        times: f64,
        plane: Option<usize>,
    },
    /// Before a run (1 and 2: the trials, 3: the check), for good.
    MarkMoved {
        before: usize,
        degrees: i32,
        turned: Turned,
    },
    /// Before a run, for good.
    SensorsSwapped {
        before: usize,
    },
    /// In one trial run.
    PhaseOpposite {
        run: usize,
    },
    /// The weights of one plane at any other angle.
    WeightMisplaced,
    /// Not on the list: the weights of one plane anywhere, at any amount.
    WeightAnywhere,
    /// Not on the list: all weights anywhere.
    WeightsAnywhere,
    /// Not on the list: one sensor shows anything in the check run.
    ReadingAnything,
}

/// A job as it is entered, with what was really done.
struct Job {
    shaft: LinearShaft,
    random: Random,
    mistake: Mistake,
    /// What was really on, run by run.
    on: Vec<[Complex64; 2]>,
}

impl Job {
    fn new(seed: u64, mistake: Mistake) -> Self {
        let mut random = Random::seeded(seed);
        Self { shaft: LinearShaft::two_planes(&mut random), random, mistake, on: Vec::new() }
    }

    /// What is written down in a run with these masses really on.
    fn read(&mut self, run: usize, loads: [Complex64; 2]) -> Vec<Complex64> {
        self.on.push(loads);
        let mut readings = NEEDLES.read(&self.shaft.readings(&loads), &mut self.random);
        match self.mistake {
            Mistake::MarkMoved { before, degrees, turned: Turned::Readings | Turned::Both }
                if run >= before =>
            {
                let turn = Complex64::cis(-f64::from(degrees).to_radians());
                readings.iter_mut().for_each(|reading| *reading *= turn);
            }
            Mistake::SensorsSwapped { before } if run >= before => readings.swap(0, 1),
            Mistake::PhaseOpposite { run: own } if run == own => readings[0] *= -1.0,
            Mistake::ReadingAnything if run == CHECK => {
                let sensor = self.random.below(2);
                readings[sensor] = self.random.direction() * self.random.between(0.3, 3.0);
            }
            _ => {}
        }
        readings
    }

    /// The first three runs as entered, and the trial masses as they really were.
    fn first_runs(&mut self) -> (Vec<Run>, [Complex64; 2]) {
        let entered = [self.random.direction(), self.random.direction()];
        let real = [0, 1].map(|plane| match self.mistake {
            Mistake::OtherWayRound { all: true } => entered[plane].conj(),
            Mistake::TrialWas { times, plane: own } if own.is_none_or(|own| own == plane) => {
                entered[plane] * times
            }
            Mistake::MarkMoved { before, degrees, turned: Turned::Both } if before <= plane + 1 => {
                entered[plane] * Complex64::cis(f64::from(degrees).to_radians())
            }
            _ => entered[plane],
        });
        let left_on =
            if self.mistake == Mistake::FirstTrialLeftOnInSecond { real[0] } else { Complex64::ZERO };
        let (first, second) = ([entered[0], Complex64::ZERO], [Complex64::ZERO, entered[1]]);
        let runs = vec![
            run("1", RunKind::Initial, &ZERO, &self.read(0, ZERO)),
            run("2", RunKind::Trial, &first, &self.read(1, [real[0], Complex64::ZERO])),
            run("3", RunKind::Trial, &second, &self.read(2, [left_on, real[1]])),
        ];
        (runs, real)
    }

    /// Two weights for a plane.
    fn weights(&mut self, plane: usize, wanted: Complex64) -> Vec<PlacedMass> {
        let [left, right] = [(); 2].map(|()| self.random.between(10.0, 40.0).to_radians());
        // Two vectors at these angles to either side that add up to what is wanted.
        let whole = (left + right).sin();
        let one = wanted * Complex64::cis(-left) * (right.sin() / whole);
        let other = wanted * Complex64::cis(right) * (left.sin() / whole);
        vec![mass(plane, one), mass(plane, other)]
    }

    /// What was really on in the check run.
    fn really_on(&mut self, weights: &[PlacedMass], trials: [Complex64; 2]) -> [Complex64; 2] {
        let mut loads = [0, 1]
            .map(|plane| weights.iter().filter(|mass| mass.plane == plane).map(vector).sum::<Complex64>());
        let concerns = |own: Option<usize>, plane| own.is_none_or(|own| own == plane);
        match self.mistake {
            Mistake::OtherWayRound { .. } => loads = loads.map(|load| load.conj()),
            Mistake::OppositeSide { plane: own } => {
                (0..2).filter(|&plane| concerns(own, plane)).for_each(|plane| loads[plane] *= -1.0);
            }
            Mistake::WeightsWere { times, plane: own } => {
                (0..2).filter(|&plane| concerns(own, plane)).for_each(|plane| loads[plane] *= times);
            }
            Mistake::PlanesSwapped => loads.swap(0, 1),
            Mistake::TrialLeftOnInCheck { plane } => loads[plane] += trials[plane],
            Mistake::WeightForgotten => {
                let lost = &weights[self.random.below(weights.len())];
                loads[lost.plane] -= vector(lost);
            }
            Mistake::WeightMisplaced => {
                let plane = self.random.below(2);
                loads[plane] *= self.random.direction();
            }
            Mistake::MarkMoved { degrees, before: _, turned: Turned::Weights | Turned::Both } => {
                loads = loads.map(|load| load * Complex64::cis(f64::from(degrees).to_radians()));
            }
            Mistake::WeightAnywhere => {
                let plane = self.random.below(2);
                loads[plane] = self.random.direction() * self.random.between(0.3, 3.0);
            }
            Mistake::WeightsAnywhere => {
                loads = loads.map(|_| self.random.direction() * self.random.between(0.3, 3.0));
            }
            _ => {}
        }
        loads
    }

    /// Every run read twice.
    fn runs_twice(mut self) -> (LinearShaft, Vec<Run>) {
        let once = self.all_runs();
        let on = std::mem::take(&mut self.on);
        let mut runs = Vec::new();
        for (at, (first, loads)) in once.into_iter().zip(on).enumerate() {
            let readings = self.read(at, loads).into_iter().map(shown).collect();
            let again = Run { label: format!("{} again", first.label), readings, ..first.clone() };
            runs.extend([first, again]);
        }
        (self.shaft, runs)
    }

    fn runs(mut self) -> (LinearShaft, Vec<Run>) {
        let runs = self.all_runs();
        (self.shaft, runs)
    }

    fn all_runs(&mut self) -> Vec<Run> {
        let (mut runs, trials) = self.first_runs();
        let before = set(self.shaft.setup(Noise::known(0.02, 0.0)), runs.clone());
        let influence = estimate(&before, &Options::default()).expect("three runs tell both planes");
        let correction = correct(&before, &influence);
        let mut weights = Vec::new();
        for (plane, wanted) in correction.planes.iter().enumerate() {
            weights.extend(self.weights(plane, wanted.add.vector()));
        }
        let on = self.really_on(&weights, trials);
        let readings = self.read(CHECK, on);
        let check = Run { masses: weights, ..run("4", RunKind::Check, &ZERO, &readings) };
        runs.push(check);
        runs
    }
}

fn vector(mass: &PlacedMass) -> Complex64 {
    mass.angle.unit_vector() * mass.mass.grams()
}

/// Whether a hypothesis says what was done.
fn says(hypothesis: &Hypothesis, mistake: Mistake) -> bool {
    let came_on = Who::CameOn { from: CHECK };
    let amount = |times: f64| if times > 1.0 { Amount::Double } else { Amount::Half };
    match (mistake, hypothesis) {
        (Mistake::OtherWayRound { all }, Hypothesis::OtherWayRound(Suspects { who, plane: None })) => {
            *who == if all { Who::All } else { came_on }
        }
        (Mistake::OppositeSide { plane }, Hypothesis::OppositeSide(suspects)) => {
            *suspects == Suspects { who: came_on, plane }
        }
        (Mistake::PlanesSwapped, Hypothesis::PlanesSwapped { who, .. }) => *who == came_on,
        (Mistake::TrialLeftOnInCheck { plane }, Hypothesis::TrialLeftOn { trial, from: CHECK, .. }) => {
            *trial == plane + 1
        }
        (Mistake::FirstTrialLeftOnInSecond, Hypothesis::TrialLeftOn { trial: 1, from: 2, to: 2 })
        | (Mistake::WeightForgotten, Hypothesis::WeightForgotten { .. }) => true,
        (Mistake::SensorsSwapped { before }, Hypothesis::SensorsSwapped { rows, .. }) => {
            *rows == [before, CHECK]
        }
        (Mistake::PhaseOpposite { run }, Hypothesis::PhaseOpposite { rows, sensor: 0 }) => {
            *rows == [run, run]
        }
        (Mistake::TrialWas { times, plane }, Hypothesis::WrongAmount(suspects, found)) => {
            *suspects == Suspects { who: Who::Trials, plane } && *found == amount(times)
        }
        (Mistake::WeightsWere { times, plane }, Hypothesis::WrongAmount(suspects, found)) => {
            *suspects == Suspects { who: came_on, plane } && *found == amount(times)
        }
        (
            Mistake::MarkMoved { before, degrees, turned },
            Hypothesis::MarkMoved { from, degrees: own, turned: what, .. },
        ) => before == *from && degrees == *own && turned == *what,
        _ => false,
    }
}

/// Shares of jobs.
#[derive(Debug, Default)]
struct Tally {
    /// Named first, or second and named together with the first; of the jobs in which the check run missed.
    named: f64,
    nothing_wrong: f64,
    none_of_these: f64,
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
            Outcome::NoNoise | Outcome::NothingToCompare => panic!("there is noise and a check"),
        }
    }
    let [named, nothing_wrong, none_of_these] = counts.map(|count| count as f64);
    Tally {
        named: named / (jobs as f64 - nothing_wrong),
        nothing_wrong: nothing_wrong / jobs as f64,
        none_of_these: none_of_these / jobs as f64,
    }
}

fn listed() -> Vec<Mistake> {
    let mut list = vec![
        Mistake::OtherWayRound { all: false },
        Mistake::OtherWayRound { all: true },
        Mistake::OppositeSide { plane: None },
        Mistake::OppositeSide { plane: Some(0) },
        Mistake::PlanesSwapped,
        Mistake::TrialLeftOnInCheck { plane: 0 },
        Mistake::TrialLeftOnInCheck { plane: 1 },
        Mistake::FirstTrialLeftOnInSecond,
        Mistake::WeightForgotten,
        Mistake::SensorsSwapped { before: 1 },
        Mistake::SensorsSwapped { before: 2 },
        Mistake::PhaseOpposite { run: 1 },
        Mistake::PhaseOpposite { run: 2 },
    ];
    for plane in [None, Some(0), Some(1)] {
        for times in [2.0, 0.5] {
            list.push(Mistake::TrialWas { times, plane });
            list.push(Mistake::WeightsWere { times, plane });
        }
    }
    for (before, turned) in [
        (1, Turned::Readings),
        (2, Turned::Readings),
        (1, Turned::Both),
        (2, Turned::Both),
        (3, Turned::Both),
        (3, Turned::Weights),
    ] {
        list.extend([45, -45, 90, -90].map(|degrees| Mistake::MarkMoved { before, degrees, turned }));
    }
    list
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
    assert!(mean >= 0.98, "{mean}");
}

#[test]
fn right_jobs_are_not_accused() {
    let found = tally(Mistake::Nothing, 0..1000);
    println!("nothing wrong: {found:?}");
    assert!(found.nothing_wrong >= 0.99, "{found:?}");
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
    correct(set, &influence).cautions.iter().any(|caution| caution.code == "convention-unproved")
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

/// Recomputed independently with NumPy 2.4 (4000 draws, 2026-11; see `estimator_statistics`): what one correction
/// leaves after three runs is 0.0611, with the initial run repeated 0.0536. The planner says so without a simulation.
#[test]
fn the_planner_foretells_what_one_correction_leaves() {
    let [mut now, mut again] = [0.0; 2];
    let shafts = 600;
    for seed in 0..shafts {
        let mut random = Random::seeded(seed);
        let [three, ..] = plans_that_cannot_tell(&mut random);
        let set = job_of(&three, false, &mut random);
        let influence = estimate(&set, &Options::default()).expect("both planes are told");
        let limit = UnbalanceAmount::from_gram_millimetres(0.1).expect("an amount");
        let question = PlanQuestion { set: &set, influence: &influence, limits: Some(&[limit, limit]) };
        let plan = run_plan(&question).expect("noise is known");
        let initial =
            plan.gains.iter().find(|gain| gain.run == ExtraRun::InitialAgain).expect("it is possible");
        let square = |left: &[f64]| left.iter().map(|left| left * left).sum::<f64>() / 2.0;
        now += square(&plan.now.left) / shafts as f64;
        again += square(&initial.outlook.left) / shafts as f64;
        assert!(initial.outlook.chance > plan.now.chance);
    }
    println!("foretold: three runs {:.4}, initial again {:.4}", now.sqrt(), again.sqrt());
    assert!((now.sqrt() / 0.0611 - 1.0).abs() < 0.06, "{}", now.sqrt());
    assert!((again.sqrt() / 0.0536 - 1.0).abs() < 0.06, "{}", again.sqrt());
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
    let disagree: Vec<_> = cautions.iter().filter(|caution| caution.code == "check-disagrees").collect();
    assert!(disagree.len() == 1 && disagree[0].text.contains("still on"), "{disagree:?}");
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
