//! Runs without phase: their amplitudes are fitted first, and what follows works as with phase.

use num_complex::Complex64;

use super::next_run::{NextRun, ProposedTrial};
use super::unsolved::Missing;
use crate::caution::Caution;
use crate::correction::correct;
use crate::influence::{Drift, Options, estimate};
use crate::job::Job;
use crate::quantity::{Angle, Length, Mass, Units, shown};
use crate::run::{
    Change, Convention, Noise, Phase, PlacedMass, ReadingNoise, Run, RunKind, RunSet, SensorReading, Setup,
};
use crate::shaft::{PlaneId, SensorId};
use crate::stand::without_phase::{
    AmplitudeRun, PossibleAnswer, SettlingRun, StatedNoise, WithoutPhase, WithoutPhaseQuestion, each_once,
    without_phase,
};

/// Runs whose phases were worked out from their amplitudes.
#[derive(Debug, Clone)]
pub(super) struct Told {
    /// The runs with phases that are counted, at each sensor, from its first reading. Their noise is widened so that
    /// the circles are as large as those of the amplitudes.
    pub runs: RunSet,
    /// The same with the check rows as bounds: a verdict rests on these.
    pub bounds: RunSet,
    /// The run to read first, where the amplitudes allow more than one answer.
    pub next: Option<NextRun>,
    /// What is said about it.
    pub caution: Caution,
}

/// Works out the phases; `None`: they were read.
///
/// # Errors
///
/// Why the amplitudes do not tell.
pub(super) fn told(set: &RunSet, job: &Job) -> Result<Option<Told>, Vec<Missing>> {
    if !set.without_phase() {
        return Ok(None);
    }
    let mut fits = Vec::new();
    let mut faults = Vec::new();
    for group in 0..set.groups().len() {
        match Fit::of(set, group) {
            Ok(fit) => fits.push(fit),
            Err(own) => each_once(&mut faults, own),
        }
    }
    if !faults.is_empty() {
        return Err(faults);
    }
    let next = fits.iter().find_map(|fit| fit.next(set, job.units));
    let noise = noise(set, &fits);
    let plain = with_phases(set, &fits, &noise, Checks::Fitted)?;
    let wider = Noise { reading: widened(noise.reading, factor(&plain, &fits)), ..noise };
    let caution = Caution::WithoutPhase { runs: set.rows().len() };
    Ok(Some(Told {
        runs: with_phases(set, &fits, &wider, Checks::Fitted)?,
        bounds: with_phases(set, &fits, &wider, Checks::Bounds)?,
        next,
        caution,
    }))
}

/// The fit at one speed.
struct Fit {
    group: usize,
    /// The mounting of the trials: the only one whose rows are fitted.
    mounting: String,
    question: WithoutPhaseQuestion,
    told: WithoutPhase,
}

impl Fit {
    fn of(set: &RunSet, group: usize) -> Result<Self, Vec<Missing>> {
        let rows = || set.rows().iter().filter(move |row| row.group == group);
        let first = rows().find(|row| row.run.kind != RunKind::Check);
        let mounting = first.map(|row| row.run.mounting.clone()).unwrap_or_default();
        let elsewhere = rows().find(|row| row.run.kind != RunKind::Check && row.run.mounting != mounting);
        if let Some(row) = elsewhere {
            return Err(vec![Missing::MountingsWithoutPhase { run: row.run.label.clone() }]);
        }
        let of_sensor = |sensor: SensorId| -> Vec<AmplitudeRun> {
            let own = rows().filter(|row| row.run.mounting == mounting);
            own.filter_map(|row| {
                let amplitude = amplitude_of(row.run.readings.get(sensor.index())?)?;
                let step = set.steps().get(sensor.index()).and_then(|step| step.amplitude).unwrap_or(0.0);
                // Rounding to steps is off by q²/12 along the reading.
                let noise = set.setup().noise.reading_variance(amplitude);
                Some(AmplitudeRun {
                    loads: row.loads.clone(),
                    load_variances: row.load_variances.clone(),
                    amplitude,
                    variance: noise.map(|own| own + step * step / 12.0),
                })
            })
            .collect()
        };
        let sensors: Vec<Vec<AmplitudeRun>> = set.setup().sensor_ids().map(of_sensor).collect();
        let stated = StatedNoise { degrees_of_freedom: set.setup().noise.degrees_of_freedom };
        let question = WithoutPhaseQuestion { weights: weights(set.setup(), &sensors), sensors, stated };
        match without_phase(&question) {
            Ok(told) => Ok(Self { group, mounting, question, told }),
            Err(faults) => {
                let named = |fault| Missing::WithoutPhase {
                    fault,
                    planes: names(set.setup()),
                    sensors: sensors_of(set),
                };
                Err(faults.into_iter().map(named).collect())
            }
        }
    }

    fn best(&self) -> &PossibleAnswer {
        &self.told.answers[0]
    }

    /// The reading of a row by the fit, its phase counted from the sensor's reading with nothing added.
    fn vector(&self, sensor: SensorId, loads: &[Complex64]) -> Complex64 {
        let at = sensor.index();
        self.told.sensors[at].possible[self.best().responses[at]].response.reading(loads)
    }

    /// The run that settles which answer is right.
    fn next(&self, set: &RunSet, units: Units) -> Option<NextRun> {
        if let Some([first, second]) = self.told.both_loaded(&self.question) {
            let trials = [&first, &second].map(|run| proposed(set, units, run));
            return Some(NextRun::BothPlacesLoaded { trials });
        }
        if let Some(run) = self.told.settling_run(&self.question) {
            return Some(NextRun::SettleMirrored {
                answers: self.told.answers.len(),
                trial: proposed(set, units, &run),
            });
        }
        let unknown = self.best().planes.iter().any(|plane| plane.give_or_take.is_none());
        unknown.then_some(NextRun::MeasureTheNoise)
    }
}

fn amplitude_of(reading: &SensorReading) -> Option<f64> {
    match reading {
        SensorReading::Amplitude(amplitude) | SensorReading::Shown { amplitude, .. } => Some(*amplitude),
        SensorReading::Below(_) | SensorReading::NotRead => None,
    }
}

fn names(setup: &Setup) -> Vec<String> {
    setup.planes.iter().map(|plane| plane.name.clone()).collect()
}

fn sensors_of(set: &RunSet) -> Vec<String> {
    set.setup().sensors.iter().map(|sensor| sensor.name.clone()).collect()
}

/// One where all sensors share a unit, else one over the mean reading; a stated weight counts.
fn weights(setup: &Setup, sensors: &[Vec<AmplitudeRun>]) -> Vec<f64> {
    let same = setup.sensors.windows(2).all(|pair| pair[0].unit == pair[1].unit);
    let mean = |runs: &Vec<AmplitudeRun>| {
        runs.iter().map(|run| run.amplitude).sum::<f64>() / runs.len().max(1) as f64
    };
    let weight = |(own, runs): (&crate::shaft::Sensor, &Vec<AmplitudeRun>)| {
        let usual = if same { 1.0 } else { 1.0 / mean(runs).max(f64::MIN_POSITIVE) };
        own.weight.unwrap_or(usual)
    };
    setup.sensors.iter().zip(sensors).map(weight).collect()
}

/// The masses that make these loads, where trial masses sit.
fn proposed(set: &RunSet, units: Units, run: &SettlingRun) -> ProposedTrial {
    let planes = &set.setup().planes;
    let mass = |(plane, load): (PlaneId, &Complex64)| {
        let own = &planes[plane];
        let lever = own.radius.and(own.trial_radius.or(own.radius)).map_or(1.0, Length::millimetres);
        let degrees = load.arg().to_degrees().rem_euclid(360.0).round() % 360.0;
        let grams = (100.0 * load.norm() / lever).round() / 100.0;
        Some(PlacedMass {
            plane,
            change: Change::Added,
            mass: Mass::from_grams(grams).ok()?,
            angle: Angle::from_degrees(degrees).ok()?,
            radius: None,
            bead: Mass::ZERO,
        })
    };
    let loaded = PlaneId::numbered(&run.loads).filter(|(_, load)| load.norm() > 0.0);
    let masses: Vec<PlacedMass> = loaded.filter_map(mass).collect();
    let words = masses.iter().map(|own| {
        let mass = shown::mass(units, own.mass.grams());
        format!("{mass} at {:.0} deg at {}", own.angle.degrees_in_turn(), planes[own.plane].name)
    });
    ProposedTrial { words: words.collect::<Vec<String>>().join(" and "), masses }
}

/// The noise behind the amplitudes: the stated one, or what the runs scatter.
fn noise(set: &RunSet, fits: &[Fit]) -> Noise {
    let stated = &set.setup().noise;
    let sensors = || fits.iter().flat_map(|fit| &fit.told.sensors);
    let degrees = sensors().map(|sensor| sensor.degrees_of_freedom / 2.0).fold(f64::INFINITY, f64::min);
    let scale = |known: bool| {
        let of = |fit: &Fit| -> f64 {
            let each = fit.told.sensors.iter().zip(&fit.question.sensors).map(|(sensor, runs)| {
                let mean = runs.iter().map(|run| run.amplitude).sum::<f64>() / runs.len().max(1) as f64;
                // A component's deviation; the complex one is larger by the root of two.
                if known { sensor.scale } else { std::f64::consts::SQRT_2 * sensor.scale / mean }
            });
            each.fold(0.0, f64::max)
        };
        fits.iter().map(of).fold(0.0, f64::max)
    };
    let reading = match stated.reading {
        ReadingNoise::NotStated => ReadingNoise::Proportional { fraction: scale(false), floor: 0.0 },
        own => widened(own, scale(true).max(1.0)),
    };
    Noise { reading, degrees_of_freedom: degrees.max(0.5), ..stated.clone() }
}

fn widened(reading: ReadingNoise, factor: f64) -> ReadingNoise {
    match reading {
        ReadingNoise::NotStated => ReadingNoise::NotStated,
        ReadingNoise::Proportional { fraction, floor } => {
            ReadingNoise::Proportional { fraction: fraction * factor, floor: floor * factor }
        }
        ReadingNoise::Swing { amplitude, phase } => ReadingNoise::Swing {
            amplitude: amplitude * factor,
            phase: Angle::from_degrees(phase.degrees() * factor).unwrap_or(phase),
        },
    }
}

/// How check rows enter.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Checks {
    /// With the phase of the fit: for the next correction.
    Fitted,
    /// As amplitudes: for the verdict.
    Bounds,
}

fn with_phases(set: &RunSet, fits: &[Fit], noise: &Noise, checks: Checks) -> Result<RunSet, Vec<Missing>> {
    // No phase was read, so nothing rests on how it is counted.
    let convention = Convention {
        phase: Phase::SameWayAsMasses,
        stated: true,
        proved: Some("no phase was read".into()),
        ..set.setup().convention.clone()
    };
    let setup = Setup { noise: noise.clone(), convention, ..set.setup().clone() };
    let runs: Vec<Run> = set
        .rows()
        .iter()
        .map(|row| {
            let fit = fits.iter().find(|fit| fit.group == row.group);
            let own = |(sensor, reading): (SensorId, &SensorReading)| {
                fit.map_or(*reading, |fit| phased(fit, row, sensor, reading, checks))
            };
            let readings = SensorId::numbered(&row.run.readings).map(own).collect();
            Run { readings, ..row.run.clone() }
        })
        .collect();
    RunSet::new(setup, runs).map_err(|_| vec![Missing::MountingsWithoutPhase { run: String::new() }])
}

fn phased(
    fit: &Fit,
    row: &crate::run::Row,
    sensor: SensorId,
    reading: &SensorReading,
    checks: Checks,
) -> SensorReading {
    let Some(amplitude) = amplitude_of(reading) else { return *reading };
    let own = &fit.told.sensors[sensor.index()];
    if row.run.kind == RunKind::Check && (checks == Checks::Bounds || row.run.mounting != fit.mounting) {
        // The bound is divided by the gains, which are not exact either.
        let possible = &own.possible[fit.best().responses[sensor.index()]];
        let loose = possible.gain_uncertainty().unwrap_or(0.0).min(1.0);
        return SensorReading::Amplitude(amplitude * (1.0 + 2.0 * loose));
    }
    SensorReading::Shown { amplitude, phase: Angle::of(fit.vector(sensor, &row.loads)) }
}

/// How much larger the circles of the amplitudes are than those that the vectors would give.
fn factor(plain: &RunSet, fits: &[Fit]) -> f64 {
    let Ok(influence) = estimate(plain, &Options { drift: Drift::Ignored, prior: None }) else { return 1.0 };
    let correction = correct(plain, &influence);
    let planes = fits.iter().flat_map(|fit| fit.best().planes.iter().zip(&correction.planes));
    let larger = planes.filter_map(|(own, vector)| {
        let share = own.give_or_take? / vector.give_or_take?;
        share.is_finite().then_some(share)
    });
    larger.fold(1.0, f64::max).min(MOST_WIDENED)
}

/// Wider than this nothing can be said anyway.
const MOST_WIDENED: f64 = 50.0;

#[cfg(test)]
mod tests {
    use super::*;
    use crate::run::by_hand::{ByHand, exactly};

    /// Amplitudes of 10 + w from trials of 5 at 0, 120 and 240 deg; two initial runs that read 10 ± `off`.
    fn amplitudes(noise: Noise, off: f64) -> RunSet {
        let read = |amplitude: f64| vec![SensorReading::Amplitude(amplitude)];
        let initial = ByHand::new(1, 1, noise).shown(RunKind::Initial, &[], read(10.0 + off)).shown(
            RunKind::Initial,
            &[],
            read(10.0 - off),
        );
        let trial = |runs: ByHand, degrees: f64| {
            let load = Complex64::from_polar(5.0, degrees.to_radians());
            runs.shown(RunKind::Trial, &[load], read((10.0 + load).norm()))
        };
        [0.0, 120.0, 240.0].into_iter().fold(initial, trial).set()
    }

    fn noise_of(set: &RunSet) -> Noise {
        noise(set, &[Fit::of(set, 0).unwrap_or_else(|faults| panic!("{faults:?}"))])
    }

    // Five readings, three unknowns: two real degrees of freedom are one complex one. Squares of 2·0.1² over two: 0.1, √2 times
    // it for both components, beside the mean amplitude of (20 + 15 + 2·√75)/5.
    #[test]
    fn noise_that_is_not_stated_is_what_the_amplitudes_scatter() {
        let found = noise_of(&amplitudes(Noise::not_stated(), 0.1));
        let mean = (35.0 + 2.0 * 75f64.sqrt()) / 5.0;
        let ReadingNoise::Proportional { fraction, floor } = found.reading else { panic!("{found:?}") };
        assert!((fraction - 2f64.sqrt() * 0.1 / mean).abs() < 1e-6 && floor == 0.0, "{found:?}");
        assert!((found.degrees_of_freedom - 1.0).abs() < 1e-12, "{found:?}");
    }

    // The stated noise stands with its own degrees of freedom, unless the amplitudes scatter clearly more: 2·0.5²/0.1² = 50
    // against χ² with 2, at 0.001 up to 13.8. Then it is widened by √(50/2) and rests on those two.
    #[test]
    fn stated_noise_stands_unless_the_amplitudes_scatter_clearly_more() {
        let stated = || Noise { degrees_of_freedom: 10.0, ..exactly(0.1) };
        let within = noise_of(&amplitudes(stated(), 0.05));
        assert_eq!((within.reading, within.degrees_of_freedom), (stated().reading, 10.0));
        let above = noise_of(&amplitudes(stated(), 0.5));
        let wanted = widened(stated().reading, 5.0);
        let (Some(found), Some(wanted)) =
            (above.reading_variance(10.0), { Noise { reading: wanted, ..stated() }.reading_variance(10.0) })
        else {
            panic!("{above:?}")
        };
        assert!((found / wanted - 1.0).abs() < 1e-5, "{above:?}");
        assert!((above.degrees_of_freedom - 1.0).abs() < 1e-12, "{above:?}");
    }
}
