//! Manufactured jobs: the core's answers against the same inputs worked in 60 digits.

use balance_core::Complex64;
use balance_core::correction::{CIRCLE_95, correct};
use balance_core::influence::{Agreement, Influence, Options, estimate};
use balance_core::shaft::PlaneId;

use crate::job::{Job, Shape};
use crate::random::Random;
use crate::sixty::{Reference, reference};

/// Reading noise of one rounding.
const ROUNDING: f64 = 1.0 / (1_u64 << 53) as f64;

/// Errors of one job as multiples of the give or take the program itself states for reading noise of one rounding.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Errors {
    /// The worst of the correction's planes.
    pub masses: f64,
    /// The worst influence coefficient.
    pub coefficients: f64,
    /// The worst expected reading.
    pub readings: f64,
}

impl Errors {
    /// The worst of all.
    #[must_use]
    pub fn worst(&self) -> f64 {
        self.masses.max(self.coefficients).max(self.readings)
    }
}

/// Makes the job of a seed and compares.
///
/// # Panics
///
/// If the job has no answer.
#[must_use]
pub fn errors(seed: u64) -> (Shape, Errors) {
    let mut random = Random::seeded(seed);
    let shape = Shape::random(&mut random);
    let job = Job::random(&shape, &mut random);
    (shape, compare(&shape, &job))
}

fn compare(shape: &Shape, job: &Job) -> Errors {
    let set = job.set();
    let influence = estimate(&set, &Options::default()).expect("every plane carried a mass");
    let correction = correct(&set, &influence);
    let reference = reference(job, &enters(job, &influence));
    // Everything stated is proportional to the stated noise.
    let scale = ROUNDING / shape.stated.expect("noise is stated");
    let circle = |radius: Option<f64>| radius.expect("noise is stated") * scale;
    let planes = correction.planes.iter().zip(&reference.correction);
    let add: Vec<Complex64> = correction.planes.iter().map(|plane| plane.add.vector()).collect();
    let expected = reference.expected_after(&add);
    let readings = correction.forecasts.iter().zip(&expected);
    Errors {
        masses: worst(
            planes.map(|(got, wanted)| wanted.distance(got.add.vector()) / circle(got.give_or_take)),
        ),
        coefficients: coefficients(&influence, &reference, scale),
        readings: worst(
            readings.map(|(got, wanted)| wanted.distance(got.expected.vector()) / circle(got.circle)),
        ),
    }
}

fn coefficients(influence: &Influence, reference: &Reference, scale: f64) -> f64 {
    worst(influence.groups[0].fits().flat_map(|(sensor, fit)| {
        PlaneId::numbered(&reference.coefficients[sensor]).map(move |(plane, wanted)| {
            let spread = fit.coefficient_variance(plane).expect("noise is stated").sqrt() * CIRCLE_95;
            wanted.distance(fit.coefficients[plane]) / (spread * scale)
        })
    }))
}

/// The largest; not a number if any is not.
fn worst(ratios: impl Iterator<Item = f64>) -> f64 {
    ratios.fold(0.0, |worst: f64, ratio| if ratio <= worst { worst } else { ratio })
}

/// Which rows contribute to the coefficients.
fn enters(job: &Job, influence: &Influence) -> Vec<bool> {
    let mut enters = vec![true; job.runs.len()];
    for block in influence.groups[0].blocks.iter().filter(|block| block.agreement != Agreement::Agrees) {
        block.rows.iter().for_each(|&row| enters[row] = false);
    }
    enters
}

/// Runs this many jobs, starting from a first seed, on all cores.
///
/// # Panics
///
/// If a job has no answer.
#[must_use]
pub fn run(first: u64, jobs: u64) -> Vec<(u64, Shape, Errors)> {
    let threads = std::thread::available_parallelism().map_or(1, usize::from) as u64;
    let share = |thread: u64| {
        move || -> Vec<(u64, Shape, Errors)> {
            let own = (first..first + jobs).filter(|seed| seed % threads == thread);
            own.map(|seed| (seed, errors(seed)))
                .map(|(seed, (shape, errors))| (seed, shape, errors))
                .collect()
        }
    };
    std::thread::scope(|scope| {
        let started: Vec<_> = (0..threads).map(|thread| scope.spawn(share(thread))).collect();
        started.into_iter().flat_map(|thread| thread.join().expect("a job without an answer")).collect()
    })
}
