//! Jobs with one mistake in them: what is entered and what was really done.
//!
//! Four runs: initial, trial front, trial rear, check with the correction from the first three as two weights in each
//! plane, 10 to 40 degrees to either side of where it should go.
#![expect(missing_docs, reason = "the fields of a mistake are named by what they are")]

use balance_core::Complex64;
use balance_core::correction::correct;
use balance_core::correction::explain::{Amount, Hypothesis, Suspects, Turned, Who};
use balance_core::influence::{Options, estimate};
use balance_core::run::{Noise, PlacedMass, Run, RunKind};

use crate::random::Random;
use crate::shaft::{LinearShaft, Needles, mass, run, set, shown};

const ZERO: [Complex64; 2] = [Complex64::ZERO, Complex64::ZERO];
/// 2 % complex rms.
pub const NEEDLES: Needles = Needles { fraction: 0.02, floor: 0.0 };
/// Index of the check run.
pub const CHECK: usize = 3;

/// What is done wrong.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Mistake {
    /// Nothing.
    Nothing,
    /// Angles counted the other way: of the weights, or of everything.
    OtherWayRound { all: bool },
    /// Weights half a turn off.
    OppositeSide { plane: Option<usize> },
    /// Weights of the two planes swapped.
    PlanesSwapped,
    /// A trial mass still on in the check run.
    TrialLeftOnInCheck { plane: usize },
    /// The first trial mass still on in the second trial run.
    FirstTrialLeftOnInSecond,
    /// One of the weights not on.
    WeightForgotten,
    /// Trial masses so many times what is entered.
    TrialWas { times: f64, plane: Option<usize> },
    /// Weights so many times what is entered.
    WeightsWere { times: f64, plane: Option<usize> },
    /// Before a run (1 and 2: the trials, 3: the check), for good.
    MarkMoved { before: usize, degrees: i32, turned: Turned },
    /// Before a run, for good.
    SensorsSwapped { before: usize },
    /// In one trial run.
    PhaseOpposite { run: usize },
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
#[derive(Debug)]
pub struct Job {
    shaft: LinearShaft,
    random: Random,
    mistake: Mistake,
    /// What was really on, run by run.
    on: Vec<[Complex64; 2]>,
}

impl Job {
    /// A job of its own for every seed.
    #[must_use]
    pub fn new(seed: u64, mistake: Mistake) -> Self {
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
    #[must_use]
    pub fn runs_twice(mut self) -> (LinearShaft, Vec<Run>) {
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

    /// The shaft, and its four runs as entered.
    #[must_use]
    pub fn runs(mut self) -> (LinearShaft, Vec<Run>) {
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
#[must_use]
pub fn says(hypothesis: &Hypothesis, mistake: Mistake) -> bool {
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

/// Every mistake that is on the list, in many forms.
#[must_use]
pub fn listed() -> Vec<Mistake> {
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
