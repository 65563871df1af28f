//! Four runs: initial, trial front, trial rear, check with the correction from the first three as two weights in each
//! plane, 10 to 40 degrees to either side of where it should go. Angles are entered in whole degrees.

use balance_core::Complex64;
use balance_core::correction::correct;
use balance_core::correction::explain::Turned;
use balance_core::influence::{Options, estimate};
use balance_core::quantity::Angle;
use balance_core::run::{Noise, PlacedMass, Run, RunKind};

use super::kind::{CHECK, Mistake, OfOneWeight};
use crate::random::Random;
use crate::shaft::{LinearShaft, Needles, mass, run, set, shown};

const ZERO: [Complex64; 2] = [Complex64::ZERO, Complex64::ZERO];
/// 2 % complex rms.
pub const NEEDLES: Needles = Needles { fraction: 0.02, floor: 0.0 };

/// How accurate the stand and the hand are.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stand {
    /// Complex rms of a reading, as a share of it.
    pub noise: f64,
    /// One sigma of where each mass ends up, in degrees.
    pub placing: f64,
    /// What the dial shows in steps of: a share of a unit reading; the phase then in whole degrees. 0: exactly.
    pub step: f64,
}

impl Stand {
    /// Only the readings scatter.
    #[must_use]
    pub fn with_noise(noise: f64) -> Self {
        Self { noise, placing: 0.0, step: 0.0 }
    }

    fn shows(self, reading: Complex64) -> Complex64 {
        if self.step == 0.0 {
            return reading;
        }
        let amplitude = (reading.norm() / self.step).round() * self.step;
        Complex64::from_polar(amplitude, reading.arg().to_degrees().round().to_radians())
    }
}

/// A job as it is entered, with what was really done.
#[derive(Debug)]
pub struct Job {
    shaft: LinearShaft,
    random: Random,
    mistake: Mistake,
    stand: Stand,
    /// What was really on, run by run.
    on: Vec<[Complex64; 2]>,
}

impl Job {
    /// A different job for every seed, at a stand with 2 % noise.
    #[must_use]
    pub fn new(seed: u64, mistake: Mistake) -> Self {
        Self::at(Stand::with_noise(NEEDLES.fraction), seed, mistake)
    }

    /// A different job for every seed.
    #[must_use]
    pub fn at(stand: Stand, seed: u64, mistake: Mistake) -> Self {
        let mut random = Random::seeded(seed);
        Self { shaft: LinearShaft::two_planes(&mut random), random, mistake, stand, on: Vec::new() }
    }

    /// The shaft, and its four runs as entered.
    #[must_use]
    pub fn runs(self) -> (LinearShaft, Vec<Run>) {
        self.runs_that_count().expect("every job counts but those of exchanged weights and lost digits")
    }

    /// The same; `None` if the mistake is not possible: exchanged weights of nearly one mass (less than a
    /// factor 1.5), a digit lost from an angle that has only one.
    #[must_use]
    pub fn runs_that_count(mut self) -> Option<(LinearShaft, Vec<Run>)> {
        let runs = self.all_runs()?;
        Some((self.shaft, runs))
    }

    /// Every run read twice.
    #[must_use]
    pub fn runs_twice(mut self) -> (LinearShaft, Vec<Run>) {
        let once = self.all_runs().expect("only for mistakes that can always be made");
        let on = std::mem::take(&mut self.on);
        let mut runs = Vec::new();
        for (at, (first, loads)) in once.into_iter().zip(on).enumerate() {
            let readings = self.read(at, loads).into_iter().map(shown).collect();
            let again = Run { label: format!("{} again", first.label), readings, ..first.clone() };
            runs.extend([first, again]);
        }
        (self.shaft, runs)
    }

    fn all_runs(&mut self) -> Option<Vec<Run>> {
        let (mut runs, trials) = self.first_runs();
        let noise = Noise::known(self.stand.noise, 0.0);
        let before = set(self.shaft.setup(noise), runs.clone());
        let influence = estimate(&before, &Options::default()).expect("three runs tell both planes");
        let correction = correct(&before, &influence);
        let mut weights = Vec::new();
        for (plane, wanted) in correction.planes.iter().enumerate() {
            weights.extend(self.weights(plane, wanted.add.vector()));
        }
        let mut really = weights.clone();
        self.done_to_weights(&mut weights, &mut really)?;
        let on = self.really_on(&really, trials);
        let readings = self.read(CHECK, on);
        runs.push(Run { masses: weights, ..run("4", RunKind::Check, &ZERO, &readings) });
        Some(runs)
    }

    /// The first three runs as entered, and the trial masses as they really were.
    fn first_runs(&mut self) -> (Vec<Run>, [Complex64; 2]) {
        let mut entered = [(); 2].map(|()| self.whole_direction());
        let mut real = [0, 1].map(|plane| self.real_trial(plane, entered[plane]));
        if let Mistake::DigitOfTrial { plane } = self.mistake {
            let mut told = self.one_digit_less(entered[plane]);
            while told.is_none() {
                entered[plane] = self.whole_direction();
                told = self.one_digit_less(entered[plane]);
            }
            real[plane] = entered[plane];
            entered[plane] = told.expect("an angle of two digits turns up");
        }
        if let Mistake::TrialTyped { plane, times } = self.mistake {
            entered[plane] *= times;
        }
        real = real.map(|load| self.placed(load));
        let left_on =
            if self.mistake == Mistake::FirstTrialLeftOnInSecond { real[0] } else { Complex64::ZERO };
        let initial = self.read(0, ZERO);
        let mut of_trials = [self.read(1, [real[0], Complex64::ZERO]), self.read(2, [left_on, real[1]])];
        if self.mistake == Mistake::TrialReadingsSwapped {
            of_trials.swap(0, 1);
        }
        let runs = vec![
            run("1", RunKind::Initial, &ZERO, &initial),
            run("2", RunKind::Trial, &[entered[0], Complex64::ZERO], &of_trials[0]),
            run("3", RunKind::Trial, &[Complex64::ZERO, entered[1]], &of_trials[1]),
        ];
        (runs, real)
    }

    fn real_trial(&self, plane: usize, entered: Complex64) -> Complex64 {
        match self.mistake {
            Mistake::OtherWayRound { all: true } => entered.conj(),
            Mistake::TrialWas { times, plane: own } if concerns(own, plane) => entered * times,
            Mistake::TrialTurned { plane: own, degrees } if concerns(own, plane) => entered * by(degrees),
            Mistake::MarkMoved { before, degrees, turned: Turned::Both } if before <= plane + 1 => {
                entered * by(degrees)
            }
            _ => entered,
        }
    }

    /// What is written down in a run with these masses really on.
    fn read(&mut self, run: usize, loads: [Complex64; 2]) -> Vec<Complex64> {
        self.on.push(loads);
        let needles = Needles { fraction: self.stand.noise, floor: 0.0 };
        let mut readings = needles.read(&self.shaft.readings(&loads), &mut self.random);
        match self.mistake {
            Mistake::MarkMoved { before, degrees, turned: Turned::Readings | Turned::Both }
                if run >= before =>
            {
                readings.iter_mut().for_each(|reading| *reading *= by(-degrees));
            }
            Mistake::SensorsSwapped { before } if run >= before => readings.swap(0, 1),
            Mistake::PhaseOpposite { run: own } if run == own => readings[0] *= -1.0,
            Mistake::SensorDead { run: own, sensor } if run == own => {
                readings[sensor] = self.random.direction() * self.random.between(0.0, 0.02);
            }
            Mistake::ReadingAnything { sensor } if run == CHECK => {
                readings[sensor] = self.random.direction() * self.random.between(0.3, 3.0);
            }
            _ => {}
        }
        let mut typed: Vec<Complex64> =
            readings.into_iter().map(|reading| self.stand.shows(reading)).collect();
        if let Mistake::ReadingWas { run: own, sensor, times } = self.mistake
            && run == own
        {
            typed[sensor] *= times;
        }
        typed
    }

    /// Two weights for a plane, to whole degrees.
    fn weights(&mut self, plane: usize, wanted: Complex64) -> Vec<PlacedMass> {
        let [left, right] = [(); 2].map(|()| self.random.between(10.0, 40.0).to_radians());
        // Two vectors at these angles to either side that add up to what is wanted.
        let whole = (left + right).sin();
        let one = wanted * Complex64::cis(-left) * (right.sin() / whole);
        let other = wanted * Complex64::cis(right) * (left.sin() / whole);
        [one, other].map(|vector| mass(plane, vector)).map(|own| to_whole_degrees(&own)).to_vec()
    }

    /// What happens to single weights: as they are entered, and as they really are.
    fn done_to_weights(&mut self, entered: &mut [PlacedMass], really: &mut [PlacedMass]) -> Option<()> {
        match self.mistake {
            Mistake::OneWeight { weight, was: OfOneWeight::Missing } => scale(&mut really[weight], 0.0),
            Mistake::OneWeight { weight, was: OfOneWeight::Times(times) } => {
                scale(&mut really[weight], times);
            }
            Mistake::OneWeight { weight, was: OfOneWeight::Typed(times) } => {
                scale(&mut entered[weight], times);
            }
            Mistake::OneWeight { weight, was: OfOneWeight::Turned(degrees) } => {
                let there = vector(&really[weight]) * by(degrees);
                really[weight].angle = Angle::of(there);
            }
            Mistake::OneWeight { weight, was: OfOneWeight::DigitLost } => {
                entered[weight].angle = Angle::of(self.one_digit_less(vector(&really[weight]))?);
                entered[weight] = to_whole_degrees(&entered[weight]);
            }
            Mistake::Exchanged { weights: [one, other] } => {
                let (first, second) = (entered[one].mass, entered[other].mass);
                let factor = first.grams() / second.grams();
                if factor.max(1.0 / factor) < 1.5 {
                    return None;
                }
                (really[one].mass, really[other].mass) = (second, first);
            }
            _ => {}
        }
        Some(())
    }

    /// What was really on in the check run.
    fn really_on(&mut self, weights: &[PlacedMass], trials: [Complex64; 2]) -> [Complex64; 2] {
        let placed: Vec<(usize, Complex64)> =
            weights.iter().map(|weight| (weight.plane.index(), self.placed(vector(weight)))).collect();
        let mut loads = [0, 1].map(|plane| {
            placed.iter().filter(|(own, _)| *own == plane).map(|(_, load)| load).sum::<Complex64>()
        });
        let mut all = |own: Option<usize>, factor: Complex64| {
            (0..2).filter(|&plane| concerns(own, plane)).for_each(|plane| loads[plane] *= factor);
        };
        match self.mistake {
            Mistake::OtherWayRound { .. } => loads = loads.map(|load| load.conj()),
            Mistake::WeightsTurned { plane, degrees } => all(plane, by(degrees)),
            Mistake::WeightsWere { times, plane } => all(plane, times.into()),
            Mistake::MarkMoved { degrees, before: _, turned: Turned::Weights | Turned::Both } => {
                all(None, by(degrees));
            }
            Mistake::PlanesSwapped => loads.swap(0, 1),
            Mistake::TrialLeftOnInCheck { plane } => loads[plane] += trials[plane],
            Mistake::WeightMisplaced => {
                let plane = self.random.below(2);
                loads[plane] *= self.random.direction();
            }
            Mistake::WeightAnywhere { plane } => {
                loads[plane] = self.random.direction() * self.random.between(0.3, 3.0);
            }
            Mistake::WeightsAnywhere => {
                loads = loads.map(|_| self.random.direction() * self.random.between(0.3, 3.0));
            }
            _ => {}
        }
        loads
    }

    fn placed(&mut self, load: Complex64) -> Complex64 {
        if self.stand.placing == 0.0 {
            return load;
        }
        load * Complex64::cis((self.stand.placing * self.random.normal()).to_radians())
    }

    fn whole_direction(&mut self) -> Complex64 {
        Complex64::cis((self.random.below(360) as f64).to_radians())
    }

    /// The same at the angle that is left when one of its digits is not typed; `None`: there is only one digit.
    fn one_digit_less(&mut self, load: Complex64) -> Option<Complex64> {
        let mut digits = format!("{:.0}", Angle::of(load).degrees_in_turn().round() % 360.0);
        if digits.len() < 2 {
            return None;
        }
        digits.remove(self.random.below(digits.len()));
        let left: f64 = digits.parse().expect("digits are a number");
        Some(Complex64::from_polar(load.norm(), left.to_radians()))
    }
}

fn concerns(own: Option<usize>, plane: usize) -> bool {
    own.is_none_or(|own| own == plane)
}

fn by(degrees: i32) -> Complex64 {
    Complex64::cis(f64::from(degrees).to_radians())
}

fn to_whole_degrees(weight: &PlacedMass) -> PlacedMass {
    let degrees = weight.angle.degrees_in_turn().round() % 360.0;
    PlacedMass { angle: Angle::from_degrees(degrees).expect("a whole degree is an angle"), ..weight.clone() }
}

fn scale(weight: &mut PlacedMass, times: f64) {
    weight.mass = mass(weight.plane.index(), vector(weight) * times).mass;
}

fn vector(mass: &PlacedMass) -> Complex64 {
    mass.angle.unit_vector() * mass.mass.grams()
}
