//! Stands that show unbalance: how much of one end shows at the other.

use balance_core::Complex64;
use balance_core::grade::{Transfer, crosstalk_term, measured_residual};
use balance_core::influence::{Influence, Options, Which, estimate};
use balance_core::run::{Convention, Noise, RunKind, RunSet, Setup};
use balance_core::shaft::{CorrectionPlane, PlaneId, Sensor, Shows, TolerancePlane};
use balance_tests::program::balance;
use balance_tests::random::Random;
use balance_tests::shaft::{millimetres, run, set};

const NONE: [Complex64; 2] = [Complex64::ZERO; 2];

/// A stand whose two sensors show the unbalance of the two planes, in g·mm; masses at a radius of 1 mm.
fn setup(crosstalk: Option<f64>) -> Setup {
    let sensor = |plane: usize| Sensor {
        shows: Shows::Unbalance { plane: PlaneId::new(plane) },
        crosstalk,
        ..Sensor::vibration(&format!("end {plane}"), "g.mm")
    };
    Setup {
        planes: [95.0, 1290.0]
            .map(|at| CorrectionPlane {
                position: Some(millimetres(at)),
                radius: Some(millimetres(1.0)),
                ..CorrectionPlane::named(&format!("at {at}"))
            })
            .into(),
        sensors: vec![sensor(0), sensor(1)],
        convention: Convention { stated: true, ..Convention::unstated() },
        noise: Noise::known(0.01, 0.5),
    }
}

/// To planes at the joints.
fn transfer() -> Transfer {
    let ends = [0.0, 1385.0].map(|at| TolerancePlane { name: format!("{at}"), position: millimetres(at) });
    Transfer::new(&[millimetres(95.0), millimetres(1290.0)], &ends, &[]).expect("two planes, two ends")
}

fn of(set: &RunSet) -> Influence {
    estimate(set, &Options::default()).expect("the stand shows it")
}

fn sizes(set: &RunSet) -> Option<Vec<f64>> {
    let residual = measured_residual(set, &of(set), 0, Which::Now).expect("a check run");
    crosstalk_term(set, &residual, &transfer()).map(|term| term.sizes)
}

/// What such a stand shows: each end, and a share of the other.
fn shown(true_unbalance: [Complex64; 2], shares: [Complex64; 2]) -> [Complex64; 2] {
    [0, 1].map(|at| true_unbalance[at] + shares[at] * true_unbalance[1 - at])
}

fn real(front: f64, rear: f64) -> [Complex64; 2] {
    [front.into(), rear.into()]
}

/// By hand: 300 and 100 shown, a share of 0.1: hidden 0.1·(100 + δ₁) and 0.1·(300 + δ₀), δ = (13.13, 31.31); by the
/// levers 1290/1385 and 95/1385 of either end.
#[test]
fn a_stated_share_is_a_systematic_term() {
    let rows = |crosstalk| {
        let rows = [(RunKind::Initial, real(900.0, 500.0)), (RunKind::Check, real(300.0, 100.0))];
        let runs = rows.iter().enumerate();
        set(
            setup(crosstalk),
            runs.map(|(at, (kind, read))| run(&at.to_string(), *kind, &NONE, read)).collect(),
        )
    };
    let found = sizes(&rows(Some(0.1))).expect("it is stated");
    let (near, far) = (1290.0 / 1385.0, 95.0 / 1385.0);
    let hidden = [(0.1 * 100.0 + 0.01 * 300.0) / 0.99, (0.1 * 300.0 + 0.01 * 100.0) / 0.99];
    let wanted = [near * hidden[0] + far * hidden[1], far * hidden[0] + near * hidden[1]];
    for (found, wanted) in found.iter().zip(wanted) {
        assert!((found - wanted).abs() < 1e-9, "{found} {wanted}");
    }
    assert_eq!(sizes(&rows(None)), None, "nothing stated, nothing measured");
}

/// A trial of a known mass in one plane measures it; the runs then do not scatter more than stated because of
/// it.
#[test]
fn one_trial_measures_it() {
    let shares = [Complex64::from_polar(0.08, 1.0), Complex64::from_polar(0.12, -2.0)];
    let (before, trial) = (real(900.0, 500.0), real(0.0, 1000.0));
    let with = |loads: [Complex64; 2]| shown([before[0] + loads[0], before[1] + loads[1]], shares);
    let rows = [
        (RunKind::Initial, NONE, with(NONE)),
        (RunKind::Trial, trial, with(trial)),
        (RunKind::Check, NONE, with(NONE)),
    ];
    let runs = rows.iter().enumerate();
    let runs = runs.map(|(at, (kind, loads, read))| run(&at.to_string(), *kind, loads, read)).collect();
    let set = set(setup(None), runs);
    let found = balance_core::run::crosstalk(&set);
    // The rear's trial shows in the front sensor as 0.08 of itself; the front's was never measured: the same counts.
    assert!((found[0][1] - 0.08).abs() < 1e-9 && (found[1][0] - 0.08).abs() < 1e-9, "{found:?}");
    assert_eq!((found[0][0], found[1][1]), (0.0, 0.0));
    assert!(of(&set).cautions.is_empty(), "{:?}", of(&set).cautions);
    assert!(sizes(&set).is_some());
}

/// Whatever shares up to the stated one and whatever angles: what is really left is within what is shown and the term.
#[test]
fn the_term_holds_the_truth() {
    let mut closest: f64 = 0.0;
    for seed in 0..2000 {
        let mut random = Random::seeded(seed);
        let share = random.between(0.0, 0.3);
        let shares = [(); 2].map(|()| random.direction() * random.between(0.9, 1.0) * share);
        let left = [(); 2].map(|()| random.direction() * random.between(0.0, 500.0));
        let rows =
            [(RunKind::Initial, shown(real(900.0, 500.0), shares)), (RunKind::Check, shown(left, shares))];
        let runs = rows.iter().enumerate();
        let runs = runs.map(|(at, (kind, read))| run(&at.to_string(), *kind, &NONE, read)).collect();
        let set = set(setup(Some(share)), runs);
        let residual = measured_residual(&set, &of(&set), 0, Which::Now).expect("a check run");
        let sizes = sizes(&set).expect("it is stated");
        let (read, truth) = (transfer().moved(&residual.unbalance), transfer().moved(&left));
        for ((read, truth), size) in read.iter().zip(truth).zip(sizes) {
            assert!(
                truth.norm() <= read.norm() + size + 1e-9,
                "{seed}: {truth}, shown {read}, give or take {size}"
            );
            closest = closest.max((truth.norm() - read.norm()) / size);
        }
    }
    println!("the truth came to {:.0} % of the term", 100.0 * closest);
    assert!(closest > 0.8, "a term far too wide says nothing: {closest}");
}

/// A whole job: the term is in the budget.
#[test]
fn a_job_states_it_and_the_verdict_carries_it() {
    let folder = tempfile::tempdir().expect("a folder");
    let job = folder.path().join("KE-50");
    std::fs::create_dir(&job).expect("a folder");
    let text = "format = 1\n[job]\nnumber = \"KE-50\"\n[shaft]\nmass = \"14.2 kg\"\nservice_speed = \"2600 rpm\"\ngrade = \
                \"G16\"\n[tube]\nouter_diameter = \"88.9 mm\"\nwall = \"2.4 mm\"\nlength = \"1385 mm\"\n[stand]\n\
                reading_noise = \"2 %\"\n[[correction_plane]]\nname = \"front\"\nposition = \"95 mm\"\n\
                [[correction_plane]]\nname = \"rear\"\nposition = \"1290 mm\"\n[[sensor]]\nname = \"a\"\nposition = \
                \"0 mm\"\nshows = \"unbalance\"\nplane = \"front\"\ncrosstalk = \"10 %\"\n[[sensor]]\nname = \"b\"\n\
                position = \"1385 mm\"\nshows = \"unbalance\"\nplane = \"rear\"\ncrosstalk = \"10 %\"\n";
    let runs = "run,kind,speed [rpm],front mass [g],front angle [deg],rear mass [g],rear angle [deg],a amplitude \
                [g.mm],a phase [deg],b amplitude [g.mm],b phase [deg]\n1,initial,1800,,,,,900,20,500,250\n\
                2,check,1800,19,200,11,70,90,20,395,250\n";
    std::fs::write(job.join("job.toml"), text).expect("it is written");
    std::fs::write(job.join("runs.csv"), runs).expect("it is written");
    let verify = |job: &std::path::Path| {
        let said = balance(["verify".into(), "--json".into(), job.as_os_str().to_owned()]);
        serde_json::from_str::<serde_json::Value>(&said.answer).unwrap_or_else(|_| panic!("{said:?}"))
    };
    let found = verify(&job);
    let budget = found["budget"].as_array().expect("noise is stated");
    let term = budget.iter().find(|term| term["term"] == "one end showing at the other").expect("the term");
    assert_eq!(term["kind"], "systematic");
    println!("{}", balance(["verify".into(), job.as_os_str().to_owned()]).answer);
    std::fs::write(job.join("job.toml"), text.replace("crosstalk = \"10 %\"\n", "")).expect("it is written");
    assert!(!verify(&job)["budget"].to_string().contains("one end showing"));
}
