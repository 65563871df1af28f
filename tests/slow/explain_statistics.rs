//! Single mistakes on seeded shafts, and whether the readings reveal them.
//!
//! Setting: two planes, two sensors, unit unbalance and unit trials at random angles, answers 1, 0.35, 0.3, 0.9 at 30,
//! 40, 35 and 25 degrees, 2 or 3 % complex rms noise known. Four runs: initial, trial front, trial rear, check with the
//! correction from the first three as two weights in each plane, 10 to 40 degrees to either side of where it should go.
//!
//! Right: the cause or its exact twin is among the stories that are named. Wrong: stories are named, and
//! neither is among them. Not noticed: the slip left every reading within its scatter, so it cannot be seen.
//!
//! The environment variable `EXPLAIN_JOBS` sets how many jobs of each common slip are simulated. The figures that are
//! claimed are those of 1000 and more; the default keeps the suite quick and its limits allow for fewer jobs.

#![expect(
    clippy::print_stdout,
    clippy::panic,
    reason = "a table of figures, and a test that says what went wrong"
)]

use balance_core::Complex64;
use balance_core::caution::Caution;
use balance_core::correction::correct;
use balance_core::correction::explain::{Hypothesis, MassSlip, Outcome, Suspects, Who, explain};
use balance_core::influence::{Options, System, Which, estimate};
use balance_core::quantity::{Angle, Units};
use balance_core::run::{Noise, PlaceError, RunKind, RunSet};
use balance_tests::mistake::{
    CHECK, Job, Mistake, NEEDLES, Slip, Stand, common_slips, listed, says, says_the_same,
};
use balance_tests::random::Random;
use balance_tests::record::record;
use balance_tests::shaft::{LinearShaft, run, set};

const ZERO: [Complex64; 2] = [Complex64::ZERO, Complex64::ZERO];

/// The results of `explain` for many jobs.
#[derive(Debug, Default, Clone, Copy)]
struct Tally {
    jobs: u32,
    right: u32,
    wrong: u32,
    none_of_these: u32,
    not_noticed: u32,
    /// Stories named, over all jobs in which any is.
    stories: usize,
}

impl Tally {
    fn of_all(self, count: u32) -> f64 {
        f64::from(count) / f64::from(self.jobs.max(1))
    }

    fn of_noticed(self, count: u32) -> f64 {
        f64::from(count) / f64::from((self.jobs - self.not_noticed).max(1))
    }

    fn and(self, other: Self) -> Self {
        Self {
            jobs: self.jobs + other.jobs,
            right: self.right + other.right,
            wrong: self.wrong + other.wrong,
            none_of_these: self.none_of_these + other.none_of_these,
            not_noticed: self.not_noticed + other.not_noticed,
            stories: self.stories + other.stories,
        }
    }

    /// One line of a table.
    fn line(self, name: &str) -> String {
        let of_all = [self.right, self.wrong, self.none_of_these, self.not_noticed]
            .map(|count| format!("{:5.1}", 100.0 * self.of_all(count)));
        format!(
            "{name:42} {:6} {} {} {} {}   {:5.1} {:.2}",
            self.jobs,
            of_all[0],
            of_all[1],
            of_all[2],
            of_all[3],
            100.0 * self.of_noticed(self.right),
            self.stories as f64 / f64::from((self.right + self.wrong).max(1))
        )
    }
}

const HEAD: &str =
    "of 100 jobs                                  jobs right wrong  none unseen  right of seen, stories";

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

/// The mistakes in turn, one job for each seed.
fn tally(mistakes: &[Mistake], stand: Stand, seeds: std::ops::Range<u64>) -> Tally {
    let mut tally = Tally::default();
    for seed in seeds {
        let mistake = mistakes[seed as usize % mistakes.len()];
        let Some((shaft, runs)) = Job::at(stand, seed, mistake).runs_that_count() else { continue };
        let set = set(shaft.setup(Noise::known(stand.noise, 0.0)), runs);
        let found = explain(&set, &Options::default()).expect("the runs tell both planes");
        tally.jobs += 1;
        match found.outcome {
            Outcome::Fits(findings) => {
                let named = findings.iter().filter(|finding| finding.named_with_the_best());
                let named: Vec<&Hypothesis> = named.map(|finding| &finding.hypothesis).collect();
                tally.stories += named.len();
                if named.iter().any(|own| says(own, mistake) || says_the_same(own, mistake)) {
                    tally.right += 1;
                } else {
                    tally.wrong += 1;
                }
            }
            Outcome::NothingWrong => tally.not_noticed += 1,
            Outcome::NoneOfThese => tally.none_of_these += 1,
            Outcome::NoNoise | Outcome::NothingToCompare => panic!("the noise is known: {mistake:?}"),
        }
    }
    tally
}

/// Jobs of each common slip: `EXPLAIN_JOBS`, else this many.
fn jobs_of_each(otherwise: u64) -> u64 {
    let told = std::env::var("EXPLAIN_JOBS").ok();
    told.map_or(otherwise, |jobs| jobs.parse().expect("EXPLAIN_JOBS is a number of jobs"))
}

/// Our own goals, set before the list was written: each mistake named in 95 of 100 jobs, 98 on average. Jobs
/// in which the mistake leaves the check run where it belongs (two nearly equal weights swapped: 3 to 7 in
/// 100, by the seeds) are not counted.
#[test]
fn single_mistakes_are_named() {
    let list = listed();
    let mut sum = 0.0;
    println!("2 % noise\n{HEAD}");
    for (at, &mistake) in list.iter().enumerate() {
        let first = 10_000 * at as u64;
        let found = tally(&[mistake], Stand::with_noise(0.02), first..first + 150);
        println!("{}", found.line(&format!("{mistake:?}")));
        assert!(found.of_noticed(found.right) >= 0.95, "{mistake:?}: {found:?}");
        assert!(found.of_all(found.not_noticed) <= 0.10, "{mistake:?}: {found:?}");
        sum += found.of_noticed(found.right);
    }
    let mean = sum / list.len() as f64;
    println!("named on average: {mean:.4}");
    record("mistakes named", &format!("{:.1} of 100", 100.0 * mean));
    assert!(mean >= 0.98, "{mean}");
}

/// Tallies every slip, prints the table, and holds each slip to these limits: least share named right of those that
/// can be noticed, largest share of wrong stories. Gives the mean share named right and all jobs together.
fn table(stand: Stand, jobs: u64, least_right: f64, most_wrong: f64) -> (f64, Tally) {
    let slips = common_slips();
    let (mut sum, mut all) = (0.0, Tally::default());
    println!(
        "{} % noise, {jobs} jobs of each slip, placing {} deg\n{HEAD}",
        100.0 * stand.noise,
        stand.placing
    );
    for (at, Slip { name, forms, .. }) in slips.iter().enumerate() {
        let first = 100_000 * at as u64;
        let found = tally(forms, stand, first..first + jobs);
        println!("{}", found.line(name));
        assert!(found.of_noticed(found.right) >= least_right, "{name}: {found:?}");
        assert!(found.of_all(found.wrong) <= most_wrong, "{name}: {found:?}");
        sum += found.of_noticed(found.right);
        all = all.and(found);
    }
    println!("{}", all.line("all"));
    (sum / slips.len() as f64, all)
}

/// The slips a workshop makes every year, at 3 % noise. Claimed at 1000 jobs of each: right at least 85 of 100 each and
/// 95 on average of those that can be noticed, wrong at most 5. The limits of a smaller sample allow for three
/// standard deviations of a share of 5 %.
#[test]
fn common_slips_are_named() {
    let jobs = jobs_of_each(100);
    let allowance = if jobs < 1000 { 3.0 * (0.05 * 0.95 / jobs as f64).sqrt() } else { 0.0 };
    let (mean, all) = table(Stand::with_noise(0.03), jobs, 0.85 - allowance, 0.05 + allowance);
    println!("named on average: {mean:.4}");
    record(
        "common slips named",
        &format!("{:.1} of 100, wrong {:.1}", 100.0 * mean, 100.0 * all.of_all(all.wrong)),
    );
    assert!(mean >= 0.95 && all.of_all(all.wrong) <= 0.05, "{mean} {all:?}");
}

/// Errors that the program does not know about: every mass ends up 1 degree (one sigma) from where it is
/// entered, and the dial shows steps of a hundredth of the unbalance and whole degrees. The limits are those
/// of the exact stand, a little wider.
#[test]
fn common_slips_are_named_when_hand_and_dial_are_not_exact() {
    let jobs = jobs_of_each(40);
    let stand = Stand { placing: 1.0, step: 0.01, ..Stand::with_noise(0.03) };
    let allowance = 0.02 + 3.0 * (0.05 * 0.95 / jobs as f64).sqrt();
    let (mean, all) = table(stand, jobs, 0.85 - allowance, 0.05 + allowance);
    println!("named on average: {mean:.4}");
    assert!(mean >= 0.94 && all.of_all(all.wrong) <= 0.05, "{mean} {all:?}");
}

/// A decimal point of the check run leaves a good check run's sensor at ten times next to nothing, which a
/// weight 30 degrees off does as well: the hardest of the readings, so it has its own line.
#[test]
fn a_decimal_point_of_the_check_run() {
    let forms = [0, 1].map(|sensor| Mistake::ReadingWas { run: CHECK, sensor, times: 10.0 });
    let jobs = jobs_of_each(200);
    let allowance = if jobs < 1000 { 3.0 * (0.05 * 0.95 / jobs as f64).sqrt() } else { 0.0 };
    let found = tally(&forms, Stand::with_noise(0.03), 0..jobs);
    println!("{HEAD}\n{}", found.line("one reading x 10, check run alone"));
    assert!(found.of_noticed(found.right) >= 0.85, "{found:?}");
    assert!(found.of_all(found.wrong) <= 0.05 + allowance, "{found:?}");
}

#[test]
fn right_jobs_are_not_accused() {
    for (noise, jobs) in [(0.02, 1000), (0.03, 4000)] {
        let found = tally(&[Mistake::Nothing], Stand::with_noise(noise), 0..jobs);
        println!("right jobs at {noise}: {found:?}");
        assert!(found.of_all(found.jobs - found.not_noticed) <= 0.005, "{found:?}");
    }
    let accused = |seed: &u64| {
        let set = right_job_placed_by_hand(*seed, 2.0);
        let found = explain(&set, &Options::default()).expect("both planes are told");
        !matches!(found.outcome, Outcome::NothingWrong)
    };
    let accused = (0..1000).filter(accused).count();
    println!("placed by hand, 2 degrees: {accused} of 1000 accused");
    assert!(accused <= 10, "{accused}");
}

/// Weights at any place and amount are no story. Of one plane's weights, those that happen to look half as
/// heavy or 30 degrees off are named so, which leads people to the right place; the rest is none of these.
#[test]
fn what_is_not_on_the_list_is_called_none_of_these() {
    let stand = Stand::with_noise(0.02);
    let both = tally(&[Mistake::WeightsAnywhere], stand, 0..150);
    println!("{HEAD}\n{}", both.line("all weights anywhere"));
    assert!(both.of_all(both.wrong) <= 0.05, "{both:?}");
    let one = [0, 1].map(|plane| Mistake::WeightAnywhere { plane });
    let one = tally(&one, stand, 0..300);
    println!("{}", one.line("weights of one plane anywhere"));
    assert!(one.of_all(one.wrong) <= 0.05, "{one:?}");
    assert!(one.of_all(one.none_of_these) >= 0.90, "{one:?}");
}

/// One sensor's needle shows anything in the check run: it is the sensor that is named.
#[test]
fn one_wrong_reading_is_named() {
    let forms = [0, 1].map(|sensor| Mistake::ReadingAnything { sensor });
    let found = tally(&forms, Stand::with_noise(0.02), 0..200);
    println!("{HEAD}\n{}", found.line("a reading that is anything"));
    assert!(found.of_noticed(found.right) >= 0.85, "{found:?}");
    assert!(found.of_all(found.wrong) <= 0.10, "{found:?}");
}

/// A twin is never named without the other.
#[test]
fn exact_twins_are_named_together() {
    let mistakes = [
        Mistake::TrialTurned { plane: Some(0), degrees: 90 },
        Mistake::WeightsTurned { plane: Some(1), degrees: 30 },
        Mistake::WeightsTurned { plane: None, degrees: 180 },
        Mistake::TrialWas { times: 10.0, plane: Some(1) },
        Mistake::WeightsWere { times: 2.0, plane: None },
        Mistake::PlanesSwapped,
    ];
    let mut seen = 0;
    for (at, mistake) in mistakes.into_iter().enumerate() {
        for seed in 0..20 {
            let (shaft, runs) = Job::new(1000 * at as u64 + seed, mistake).runs();
            let set = set(shaft.setup(Noise::known(0.02, 0.0)), runs);
            let found = explain(&set, &Options::default()).expect("both planes are told");
            let Outcome::Fits(findings) = found.outcome else { continue };
            let named = |of: fn(&Hypothesis, Mistake) -> bool| {
                findings.iter().any(|own| own.named_with_the_best() && of(&own.hypothesis, mistake))
            };
            assert_eq!(named(says), named(says_the_same), "{mistake:?}, seed {seed}");
            seen += u32::from(named(says));
        }
    }
    println!("twins named together: {seen} of 120 jobs");
    assert!(seen >= 110, "{seen}");
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

/// Why a block that disagrees stays out: with the weights of one plane at a wrong place the joint fit
/// misreports what is left several times over, the earlier coefficients by less than a tenth in 95 of 100
/// jobs. Recomputed here; no outside figure.
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
        let round = |who| Hypothesis::Masses(Suspects { who, plane: None }, MassSlip::OtherWayRound);
        let (everything, same) = (round(Who::All), round(Who::Trials));
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

/// Nothing stated, but every run read twice: the scatter of the repeats is enough.
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
    let words = found.sentences(&set, Units::Metric).join("\n");
    println!("{words}");
    assert!(words.contains("the trial mass of run 3 was still on in run 4"), "{words}");
    let Outcome::Fits(findings) = &found.outcome else { panic!("{found:?}") };
    for finding in findings {
        let entered = RunSet::new(set.setup().clone(), finding.set.runs()).expect("it can be entered");
        assert_eq!(entered, finding.set);
    }
    let mut cautions = estimate(&set, &Options::default()).expect("both planes are told").cautions;
    found.put_into(&set, Units::Metric, &mut cautions);
    let disagree: Vec<_> =
        cautions.iter().filter(|caution| matches!(caution, Caution::CheckDisagrees { .. })).collect();
    assert!(disagree.len() == 1 && disagree[0].words(Units::Metric).contains("still on"), "{disagree:?}");
}

/// Every story on the list in words, each edit one that can be entered.
#[test]
fn every_mistake_reads_well() {
    let common = common_slips().into_iter().map(|slip| slip.forms[0]);
    for (at, mistake) in listed().into_iter().chain(common).enumerate() {
        let Some((shaft, runs)) = Job::new(7 + at as u64, mistake).runs_that_count() else { continue };
        let set = set(shaft.setup(Noise::known(0.02, 0.0)), runs);
        let found = explain(&set, &Options::default()).expect("both planes are told");
        let lines = found.sentences(&set, Units::Metric);
        println!("{mistake:?}\n  {}", lines.join("\n  "));
        assert!(lines.iter().all(|line| line.ends_with('.') && !line.contains("  ")), "{lines:?}");
    }
}
