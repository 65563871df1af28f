//! Laws that every correction must obey: what can change in a file without changing the result.
//!
//! Each law takes a job and returns the difference of two answers that should be the same, as a share of the
//! largest mass.

use balance_core::Complex64;
use balance_core::correction::{Correction, correct, forecast};
use balance_core::influence::{Options, estimate};
use balance_core::quantity::{Angle, Length, Mass};
use balance_core::run::{OnTopOf, Phase, PhaseSense, PlacedMass, Run, RunKind, RunSet, SensorReading, Setup};
use balance_core::shaft::PlaneId;

use crate::job::Job;
use crate::shaft::{self, mass};

/// A law: its name, its statement, and how far a job is off.
pub struct Law {
    /// Its name in records.
    pub name: &'static str,
    /// Its statement.
    pub claim: &'static str,
    /// How far a job is off.
    pub off: fn(&Job) -> f64,
}

/// Every law.
pub const LAWS: [Law; 12] = [
    Law {
        name: "zero mark",
        claim: "turning the zero mark turns the correction and nothing else",
        off: zero_mark,
    },
    Law {
        name: "mirror",
        claim: "counting every angle the other way round mirrors the correction",
        off: mirror,
    },
    Law {
        name: "convention",
        claim: "counting only the phases the other way, and saying so, changes nothing",
        off: convention,
    },
    Law {
        name: "order of runs",
        claim: "the order of the runs before the checks does not matter",
        off: runs,
    },
    Law { name: "order of planes", claim: "the order of the planes does not matter", off: planes },
    Law { name: "order of sensors", claim: "the order of the sensors does not matter", off: sensors },
    Law { name: "redundant run", claim: "one more run that fits perfectly changes nothing", off: redundant },
    Law {
        name: "nothing left",
        claim: "after a check run that reads as predicted, nothing more needs to be added",
        off: nothing_left,
    },
    Law {
        name: "reading unit",
        claim: "one other unit for all amplitudes changes nothing",
        off: |job| reading_unit(job, 25.4),
    },
    Law {
        name: "mass unit",
        claim: "one other unit for all masses changes the correction by that factor only",
        off: |job| mass_unit(job, 28.35),
    },
    Law {
        name: "length unit",
        claim: "one other unit for all lengths changes no mass",
        off: |job| length_unit(job, 25.4),
    },
    Law {
        name: "trial left on",
        claim: "a trial left on and counted on top is the same as listing both masses",
        off: left_on,
    },
];

/// The correction of a set-up and runs.
///
/// # Panics
///
/// If they are not a set with an answer.
#[must_use]
pub fn answer(setup: &Setup, runs: &[Run]) -> Correction {
    let set = RunSet::new(setup.clone(), runs.to_vec()).expect("a changed job has no faults either");
    correct(&set, &estimate(&set, &Options::default()).expect("every plane carried a mass"))
}

fn of(job: &Job) -> Correction {
    answer(&job.setup, &job.runs)
}

/// How far two corrections are apart, masses and their give or take, as a share of the largest.
fn apart(wanted: &Correction, got: &Correction, turn: impl Fn(Complex64) -> Complex64) -> f64 {
    let size = |correction: &Correction| {
        correction.planes.iter().map(|plane| plane.add.gram_millimetres()).fold(0.0, f64::max)
    };
    let wide = |correction: &Correction| {
        correction.planes.iter().filter_map(|plane| plane.give_or_take).fold(0.0, f64::max)
    };
    let scale = size(wanted).max(size(got)).max(wide(wanted));
    let masses = wanted.planes.iter().zip(&got.planes).map(|(wanted, got)| {
        let spread = wanted.give_or_take.unwrap_or(0.0) - got.give_or_take.unwrap_or(0.0);
        (turn(wanted.add.vector()) - got.add.vector()).norm().max(spread.abs()) / scale
    });
    worst(masses)
}

fn worst(values: impl Iterator<Item = f64>) -> f64 {
    values.fold(0.0, |worst: f64, value| if value <= worst { worst } else { value })
}

fn degrees(value: f64) -> Angle {
    Angle::from_degrees(value).expect("an angle")
}

/// The job with every mass angle and every phase changed.
fn angles(job: &Job, mass: impl Fn(f64) -> f64, phase: impl Fn(f64) -> f64) -> Job {
    let mut changed = job.clone();
    for run in &mut changed.runs {
        run.masses.iter_mut().for_each(|own| own.angle = degrees(mass(own.angle.degrees())));
        for reading in &mut run.readings {
            if let SensorReading::Shown { phase: own, .. } = reading {
                *own = degrees(phase(own.degrees()));
            }
        }
    }
    changed
}

fn zero_mark(job: &Job) -> f64 {
    let turn = 73.0;
    let phase = if job.setup.convention.phase_sense() == PhaseSense::SameAsMasses { turn } else { -turn };
    let turned = angles(job, |own| own + turn, |own| own + phase);
    apart(&of(job), &of(&turned), |vector| vector * degrees(turn).unit_vector())
}

fn mirror(job: &Job) -> f64 {
    apart(&of(job), &of(&angles(job, |own| -own, |own| -own)), |vector| vector.conj())
}

fn convention(job: &Job) -> f64 {
    let mut other = angles(job, |own| own, |own| -own);
    other.setup.convention.phase = match job.setup.convention.phase_sense() {
        PhaseSense::SameAsMasses => Phase::OppositeToMasses,
        PhaseSense::OppositeToMasses => Phase::SameWayAsMasses,
    };
    apart(&of(job), &of(&other), |vector| vector)
}

/// The runs before the checks from last to first; what was left on is listed first.
fn runs(job: &Job) -> f64 {
    let mut listed = listed(job);
    let before = listed.runs.iter().filter(|run| run.kind != RunKind::Check).count();
    listed.runs[..before].reverse();
    apart(&of(job), &of(&listed), |vector| vector)
}

/// Every mass that is on written into the run itself.
fn listed(job: &Job) -> Job {
    let mut changed = job.clone();
    for row in 0..changed.runs.len() {
        if let Some(OnTopOf::Run(label)) = changed.runs[row].on_top_of.take() {
            let base = changed.runs.iter().position(|run| run.label == label).expect("an earlier run");
            let mut masses = changed.runs[base].masses.clone();
            masses.append(&mut changed.runs[row].masses);
            changed.runs[row].masses = masses;
        }
    }
    changed
}

fn left_on(job: &Job) -> f64 {
    apart(&of(job), &of(&listed(job)), |vector| vector)
}

fn planes(job: &Job) -> f64 {
    let mut turned = job.clone();
    let last = job.setup.planes.len() - 1;
    turned.setup.planes.reverse();
    for run in &mut turned.runs {
        run.masses.iter_mut().for_each(|mass| mass.plane = PlaneId::new(last - mass.plane.index()));
    }
    let mut found = of(&turned);
    found.planes.reverse();
    apart(&of(job), &found, |vector| vector)
}

fn sensors(job: &Job) -> f64 {
    let mut turned = job.clone();
    turned.setup.sensors.reverse();
    turned.runs.iter_mut().for_each(|run| run.readings.reverse());
    apart(&of(job), &of(&turned), |vector| vector)
}

/// The job before any check, all in one mounting.
fn before_checks(job: &Job) -> Job {
    let mut changed = listed(job);
    changed.runs.retain(|run| run.kind != RunKind::Check);
    changed.runs.iter_mut().for_each(|run| run.mounting.clear());
    changed
}

/// A run with these loads whose readings are exactly as predicted by the runs so far.
fn perfect(job: &Job, kind: RunKind, loads: &[Complex64]) -> Run {
    let set = job.set();
    let influence = estimate(&set, &Options::default()).expect("every plane carried a mass");
    let forecasts = forecast(&set, &influence, loads, &vec![0.0; loads.len()]);
    let reading = |expected: Complex64| {
        let shown = job.setup.convention.turn(expected);
        SensorReading::Shown { amplitude: shown.norm(), phase: Angle::of(shown) }
    };
    let mass = |(plane, load): (usize, &Complex64)| {
        let own = &job.setup.planes[plane];
        PlacedMass { radius: own.radius, ..mass(plane, load / own.lever()) }
    };
    Run {
        masses: loads.iter().enumerate().map(mass).collect(),
        readings: forecasts.iter().map(|forecast| reading(forecast.expected.vector())).collect(),
        ..shaft::run("one more", kind, &[], &[])
    }
}

/// One more trial that reads what the fit predicts: the masses stay (their give or take may shrink).
fn redundant(job: &Job) -> f64 {
    let before = before_checks(job);
    let mut more = before.clone();
    let loads: Vec<Complex64> = (0..job.setup.planes.len())
        .map(|plane| degrees(40.0 * plane as f64).unit_vector() * (9.0 * job.setup.planes[plane].lever()))
        .collect();
    more.runs.push(perfect(&before, RunKind::Trial, &loads));
    apart(&bare(of(&before)), &bare(of(&more)), |vector| vector)
}

/// What is still to be added after a check run that reads what was predicted for the correction.
fn nothing_left(job: &Job) -> f64 {
    let before = before_checks(job);
    let first = of(&before);
    let loads: Vec<Complex64> = first.planes.iter().map(|plane| plane.add.vector()).collect();
    let mut checked = before.clone();
    checked.runs.push(perfect(&before, RunKind::Check, &loads));
    let size = loads.iter().map(|load| load.norm()).fold(0.0, f64::max);
    worst(of(&checked).planes.iter().map(|plane| plane.add.gram_millimetres() / size))
}

/// Without give or take.
fn bare(mut correction: Correction) -> Correction {
    correction.planes.iter_mut().for_each(|plane| plane.give_or_take = None);
    correction
}

fn reading_unit(job: &Job, factor: f64) -> f64 {
    let mut changed = job.clone();
    for reading in changed.runs.iter_mut().flat_map(|run| &mut run.readings) {
        if let SensorReading::Shown { amplitude, .. } = reading {
            *amplitude *= factor;
        }
    }
    apart(&of(job), &of(&changed), |vector| vector)
}

fn mass_unit(job: &Job, factor: f64) -> f64 {
    let mut changed = job.clone();
    let grams = |mass: Mass| Mass::from_grams(mass.grams() * factor).expect("a mass");
    for mass in changed.runs.iter_mut().flat_map(|run| &mut run.masses) {
        (mass.mass, mass.bead) = (grams(mass.mass), grams(mass.bead));
    }
    let mut found = of(&changed);
    scale(&mut found, |_| 1.0 / factor);
    apart(&of(job), &found, |vector| vector)
}

/// Compared in grams at each plane's own radius.
fn length_unit(job: &Job, factor: f64) -> f64 {
    let mut changed = job.clone();
    let longer = |length: &mut Option<Length>| {
        *length = length.and_then(|own| Length::from_millimetres(own.millimetres() * factor).ok());
    };
    for plane in &mut changed.setup.planes {
        longer(&mut plane.radius);
        longer(&mut plane.trial_radius);
    }
    changed.runs.iter_mut().flat_map(|run| &mut run.masses).for_each(|mass| longer(&mut mass.radius));
    let (mut one, mut other) = (of(job), of(&changed));
    scale(&mut one, |plane| 1.0 / job.setup.planes[plane].lever());
    scale(&mut other, |plane| 1.0 / changed.setup.planes[plane].lever());
    apart(&one, &other, |vector| vector)
}

fn scale(correction: &mut Correction, by: impl Fn(usize) -> f64) {
    for (at, plane) in correction.planes.iter_mut().enumerate() {
        plane.add = balance_core::quantity::Unbalance::from_vector(plane.add.vector() * by(at));
        plane.give_or_take = plane.give_or_take.map(|radius| radius * by(at));
    }
}
