//! What is left, by moving one known mass round the shaft in one plane.

use num_complex::Complex64;

use super::without_phase::{
    AmplitudeRun, StatedNoise, WithoutPhase, WithoutPhaseFault, WithoutPhaseQuestion, without_phase,
};
use crate::chance::{CIRCLE_95, circle_factor};
use crate::linear::{CMatrix, CVector, gain};

/// What was read with the known mass at one place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MovedReading {
    /// Where the mass was, as a vector: its unbalance at its angle, g·mm; zero for the run without it.
    pub mass: Complex64,
    /// What the stand showed, in its own unit.
    pub shown: Shown,
}

/// A reading with or without its phase.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Shown {
    /// Only how much.
    Amplitude(f64),
    /// Amplitude and phase, counted as masses are.
    Vector(Complex64),
}

impl Shown {
    /// How much.
    #[must_use]
    pub fn amplitude(self) -> f64 {
        match self {
            Self::Amplitude(amplitude) => amplitude,
            Self::Vector(vector) => vector.norm(),
        }
    }
}

/// One unbalance that explains the readings.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LeftByMovedMass {
    /// What is left, g·mm at its angle.
    pub left: Complex64,
    /// Radius of the 95 % circle, g·mm; `None`: nothing to estimate the noise from.
    pub give_or_take: Option<f64>,
}

/// What is left, by the fit and by the textbook's shortcut.
#[derive(Debug, Clone, PartialEq)]
pub struct MovedMass {
    /// Every unbalance that explains the readings, best first. Amplitudes with the mass at every place but none without
    /// it cannot tell whether more or less than the mass is left: then there are two.
    pub possible: Vec<LeftByMovedMass>,
    /// The textbook's T·Y/Z with Y half the difference and Z half the sum of largest and smallest reading, g·mm: 13 to 20 %
    /// low where the heavy spot is halfway between two of six places, and wrong if more than the mass is left.
    pub shortcut: Option<f64>,
    /// Standard deviation of a reading about the fit, in the stand's unit; `None`: no reading more than unknowns.
    pub scatter: Option<f64>,
}

/// Why the readings do not tell what is left.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum MovedMassFault {
    /// The mass was at too few places.
    #[error(
        "the known mass was read at {found} place(s); at least {needed} are needed, and 6 or 12 are usual"
    )]
    TooFewPlaces {
        /// How many.
        found: usize,
        /// How many are needed.
        needed: usize,
    },
    /// Some readings have a phase and others none.
    #[error("some readings have a phase and others have none")]
    Mixed,
    /// Readings or masses are zero or out of range.
    #[error("the readings do not change with the place of the mass")]
    NoEffect,
}

/// What is left in one plane, by moving one known mass round.
///
/// # Units
///
/// Masses as unbalance in g·mm, readings in any unit of the stand; the answer is in g·mm.
///
/// # Method
///
/// Readings k·|u + t_i| (or k·(u + t_i) with phase) with the unknown u and the stand's unknown sensitivity k, by
/// maximum likelihood; it holds whether more or less than the mass is left.
///
/// # Errors
///
/// [`MovedMassFault`].
///
/// # Example
///
/// ```
/// use balance_core::{Complex64, stand::{MovedReading, Shown, moved_mass}};
/// // 400 g·mm moved round in six places; 250 g·mm at 30° is left, halfway between two of them.
/// let left = Complex64::from_polar(250.0, 30_f64.to_radians());
/// let places = (0..6).map(|at| Complex64::from_polar(400.0, (60.0 * f64::from(at)).to_radians()));
/// let read = |mass: Complex64| MovedReading { mass, shown: Shown::Amplitude(0.01 * (left + mass).norm()) };
/// let readings: Vec<MovedReading> = [Complex64::ZERO].into_iter().chain(places).map(read).collect();
/// let found = moved_mass(&readings).map_err(|fault| fault.to_string())?;
/// assert!((found.possible[0].left - left).norm() < 1e-6);
/// assert!(found.shortcut.is_some_and(|shortcut| shortcut < 0.9 * 250.0));
/// # Ok::<(), String>(())
/// ```
pub fn moved_mass(readings: &[MovedReading]) -> Result<MovedMass, MovedMassFault> {
    let with = |own: &&MovedReading| own.mass != Complex64::ZERO;
    let places = distinct(readings.iter().filter(with).map(|own| own.mass));
    let phases = readings.iter().filter(|own| matches!(own.shown, Shown::Vector(_))).count();
    let mut found = if phases == readings.len() {
        by_vectors(readings, places)?
    } else if phases == 0 {
        by_amplitudes(readings, places)?
    } else {
        return Err(MovedMassFault::Mixed);
    };
    found.shortcut = shortcut(readings);
    Ok(found)
}

fn distinct(masses: impl Iterator<Item = Complex64>) -> usize {
    let mut seen: Vec<Complex64> = Vec::new();
    for mass in masses {
        if !seen.iter().any(|other| (other - mass).norm() < 1e-3 * mass.norm()) {
            seen.push(mass);
        }
    }
    seen.len()
}

fn by_vectors(readings: &[MovedReading], places: usize) -> Result<MovedMass, MovedMassFault> {
    let empty = readings.iter().any(|own| own.mass == Complex64::ZERO);
    if places + usize::from(empty) < 2 {
        return Err(MovedMassFault::TooFewPlaces { found: places, needed: 2 });
    }
    let rows = readings.len();
    let size = readings.iter().map(|own| own.mass.norm()).fold(0.0, f64::max);
    let design =
        CMatrix::from_fn(
            rows,
            2,
            |row, column| {
                if column == 0 { Complex64::ONE } else { readings[row].mass / size }
            },
        );
    let vector = |own: &MovedReading| match own.shown {
        Shown::Vector(vector) => vector,
        Shown::Amplitude(amplitude) => Complex64::from(amplitude),
    };
    let right = CVector::from_fn(rows, |row, _| vector(&readings[row]));
    let inverse = gain(&design).ok_or(MovedMassFault::NoEffect)?;
    let fitted = &inverse * &right;
    let (baseline, effect) = (fitted[0], fitted[1] / size);
    let left = baseline / effect;
    if !left.is_finite() {
        return Err(MovedMassFault::NoEffect);
    }
    let degrees = rows - 2;
    let misfit = (&right - &design * &fitted).norm_squared();
    // Per component; u = b/g, so that a reading enters as (row of b − u·row of g)/g.
    let scatter = (degrees > 0).then(|| (misfit / (2 * degrees) as f64).sqrt());
    let through = inverse.row(0) - inverse.row(1) * (left / size);
    let radius =
        scatter.map(|own| CIRCLE_95 * circle_factor(degrees as f64) * own * through.norm() / effect.norm());
    Ok(MovedMass { possible: vec![LeftByMovedMass { left, give_or_take: radius }], shortcut: None, scatter })
}

fn by_amplitudes(readings: &[MovedReading], places: usize) -> Result<MovedMass, MovedMassFault> {
    if places < 3 {
        return Err(MovedMassFault::TooFewPlaces { found: places, needed: 3 });
    }
    let run = |own: &MovedReading| AmplitudeRun::exact(vec![own.mass], own.shown.amplitude(), None);
    let question = WithoutPhaseQuestion {
        sensors: vec![readings.iter().map(run).collect()],
        weights: vec![1.0],
        stated: StatedNoise { degrees_of_freedom: f64::INFINITY },
    };
    let told = without_phase(&question).map_err(|faults| match faults.first() {
        Some(WithoutPhaseFault::TooFewPlaces { found, .. }) => {
            MovedMassFault::TooFewPlaces { found: *found, needed: 3 }
        }
        Some(WithoutPhaseFault::TooFewRuns { .. }) => {
            MovedMassFault::TooFewPlaces { found: places, needed: 3 }
        }
        _ => MovedMassFault::NoEffect,
    })?;
    let possible: Vec<LeftByMovedMass> = told
        .answers
        .iter()
        .map(|answer| LeftByMovedMass {
            left: -answer.planes[0].add,
            give_or_take: answer.planes[0].give_or_take,
        })
        .filter(|found| found.left.is_finite())
        .collect();
    if possible.is_empty() {
        return Err(MovedMassFault::NoEffect);
    }
    Ok(MovedMass { possible, shortcut: None, scatter: scatter(&told) })
}

fn scatter(told: &WithoutPhase) -> Option<f64> {
    told.sensors.first().filter(|fit| fit.redundancy > 0).map(|fit| fit.scale)
}

/// T·Y/Z over the readings with the mass on, which has the same size everywhere.
fn shortcut(readings: &[MovedReading]) -> Option<f64> {
    let on: Vec<&MovedReading> = readings.iter().filter(|own| own.mass != Complex64::ZERO).collect();
    let size = on.first()?.mass.norm();
    let places = distinct(on.iter().map(|own| own.mass));
    if places < 3 || on.iter().any(|own| (own.mass.norm() / size - 1.0).abs() > 1e-6) {
        return None;
    }
    let most = on.iter().map(|own| own.shown.amplitude()).fold(0.0, f64::max);
    let least = on.iter().map(|own| own.shown.amplitude()).fold(f64::INFINITY, f64::min);
    Some(size * (most - least) / (most + least))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn places_a_thousandth_apart_are_one() {
        let at = |degrees: f64| Complex64::from_polar(10.0, degrees.to_radians());
        assert_eq!(distinct([at(0.0), at(30.0), at(30.001), at(31.0)].into_iter()), 3);
    }

    fn readings(left: Complex64, size: f64, places: usize, shift: f64, without: bool) -> Vec<MovedReading> {
        let place = |at: usize| {
            Complex64::from_polar(size, std::f64::consts::TAU * at as f64 / places as f64 + shift)
        };
        let empty = without.then_some(Complex64::ZERO);
        let masses = empty.into_iter().chain((0..places).map(place));
        masses
            .map(|mass| MovedReading { mass, shown: Shown::Amplitude(0.02 * (left + mass).norm()) })
            .collect()
    }

    #[test]
    fn exact_below_and_above_the_mass() {
        for share in [0.05, 0.3, 0.7, 0.99, 1.01, 1.5, 4.0] {
            for degrees in [0.0_f64, 17.0, 30.0, 181.0, 300.0] {
                let left = Complex64::from_polar(100.0 * share, degrees.to_radians());
                for places in [3, 6, 8, 12] {
                    let found = moved_mass(&readings(left, 100.0, places, 0.0, true)).unwrap();
                    let off = (found.possible[0].left - left).norm();
                    assert!(
                        found.possible.len() == 1 && off < 1e-6 * left.norm(),
                        "{share} {degrees} {places}: {found:?}"
                    );
                }
            }
        }
    }

    #[test]
    fn without_a_reading_without_the_mass_both_answers_are_named() {
        let left = Complex64::from_polar(40.0, 0.7);
        let found = moved_mass(&readings(left, 100.0, 6, 0.0, false)).unwrap();
        let sizes: Vec<f64> = found.possible.iter().map(|own| own.left.norm()).collect();
        assert_eq!(sizes.len(), 2, "{found:?}");
        assert!(sizes.iter().any(|own| (own - 40.0).abs() < 1e-4), "{sizes:?}");
        assert!(sizes.iter().any(|own| (own - 250.0).abs() < 1e-3), "{sizes:?}");
    }

    // Six places, heavy spot halfway between two: Y/Z from |u + t·e^{jθ}| at 30° off, computed here.
    #[test]
    fn the_shortcut_reads_low_between_places_and_is_wrong_beyond_the_mass() {
        let low = |share: f64| {
            let left = Complex64::from_polar(100.0 * share, 30_f64.to_radians());
            moved_mass(&readings(left, 100.0, 6, 0.0, true)).unwrap().shortcut.unwrap() / (100.0 * share)
        };
        assert!((low(0.1) - 0.866).abs() < 0.005, "{}", low(0.1));
        assert!((low(0.3) - 0.8457).abs() < 5e-4 && low(2.0) < 0.25, "{} {}", low(0.3), low(2.0));
    }

    #[test]
    fn with_phase_two_places_are_enough() {
        let left = Complex64::from_polar(70.0, 2.0);
        let read = |mass: Complex64| MovedReading {
            mass,
            shown: Shown::Vector((left + mass) * Complex64::from_polar(0.03, 1.0)),
        };
        let found = moved_mass(&[read(Complex64::from(50.0)), read(Complex64::new(0.0, 50.0))]).unwrap();
        assert!((found.possible[0].left - left).norm() < 1e-9 && found.possible[0].give_or_take.is_none());
    }

    #[test]
    fn what_does_not_tell_is_refused() {
        let one = readings(Complex64::from(10.0), 100.0, 2, 0.0, true);
        assert_eq!(moved_mass(&one), Err(MovedMassFault::TooFewPlaces { found: 2, needed: 3 }));
        let mut mixed = readings(Complex64::from(10.0), 100.0, 6, 0.0, true);
        mixed[0].shown = Shown::Vector(Complex64::ONE);
        assert_eq!(moved_mass(&mixed), Err(MovedMassFault::Mixed));
        let none: Vec<MovedReading> = readings(Complex64::from(10.0), 100.0, 6, 0.0, true)
            .into_iter()
            .map(|own| MovedReading { shown: Shown::Amplitude(0.0), ..own })
            .collect();
        assert_eq!(moved_mass(&none), Err(MovedMassFault::NoEffect));
    }
}
