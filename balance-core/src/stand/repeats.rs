//! The same state read again and again without re-clamping: how far readings scatter, and whether they drift.

use num_complex::Complex64;

use crate::chance::{CIRCLE_95, circle_factor};
use crate::linear::{CMatrix, CVector, gain};

/// Fewer repeats tell too little.
pub const FEWEST_REPEATS: usize = 5;

/// One of the repeats.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Repeat {
    /// Minutes since the first.
    pub minutes: f64,
    /// What was read, in any one unit.
    pub reading: Complex64,
}

/// What repeats show.
#[derive(Debug, Clone, PartialEq)]
pub struct Repeats {
    /// The reading at the middle of the repeats.
    pub middle: Complex64,
    /// How much it changes in an hour, as a vector in the readings' unit.
    pub drift_per_hour: Complex64,
    /// Radius of the drift's 95 % circle, in the same.
    pub drift_give_or_take: f64,
    /// Complex rms of a reading about the drifting mean, in the readings' unit.
    pub scatter: f64,
    /// How many readings there are.
    pub count: usize,
}

impl Repeats {
    /// The scatter as a share of the reading; `None` where nothing was read.
    #[must_use]
    pub fn noise(&self) -> Option<f64> {
        let size = self.middle.norm();
        (size > 0.0).then(|| self.scatter / size)
    }

    /// Whether the drift is clearly more than chance.
    #[must_use]
    pub fn drifts(&self) -> bool {
        self.drift_per_hour.norm() > self.drift_give_or_take
    }

    /// The drift that is to be counted, an hour: with its give or take where it is more than chance, else the give or
    /// take alone.
    #[must_use]
    pub fn counted_drift(&self) -> f64 {
        if self.drifts() {
            self.drift_per_hour.norm() + self.drift_give_or_take
        } else {
            self.drift_give_or_take
        }
    }
}

/// Why repeats do not tell.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum RepeatsFault {
    /// Too few.
    #[error(
        "the shaft as found was read {found} time(s) with its time; at least {FEWEST_REPEATS} are needed"
    )]
    TooFew {
        /// How many.
        found: usize,
    },
    /// All at one time.
    #[error("the readings were all taken at one time")]
    NoTime,
}

/// Scatter and drift of repeats.
///
/// # Units
///
/// Readings in any one unit; drift in that unit an hour.
///
/// # Method
///
/// reading = a + d·(t − middle) by complex least squares.
///
/// # Errors
///
/// [`RepeatsFault`].
///
/// # Example
///
/// ```
/// use balance_core::{Complex64, stand::{Repeat, repeats}};
/// // 2.0 at first, 0.1 more every ten minutes: 0.6 an hour.
/// let at = |k: u32| Repeat { minutes: 10.0 * f64::from(k), reading: Complex64::from(2.0 + 0.1 * f64::from(k)) };
/// let found = repeats(&[0, 1, 2, 3, 4, 5].map(at))?;
/// assert!((found.drift_per_hour.re - 0.6).abs() < 1e-12 && found.scatter < 1e-12);
/// # Ok::<(), balance_core::stand::RepeatsFault>(())
/// ```
pub fn repeats(readings: &[Repeat]) -> Result<Repeats, RepeatsFault> {
    let count = readings.len();
    if count < FEWEST_REPEATS {
        return Err(RepeatsFault::TooFew { found: count });
    }
    let middle = readings.iter().map(|own| own.minutes).sum::<f64>() / count as f64;
    let hours = |row: usize| (readings[row].minutes - middle) / 60.0;
    let design =
        CMatrix::from_fn(
            count,
            2,
            |row, column| {
                if column == 0 { Complex64::ONE } else { Complex64::from(hours(row)) }
            },
        );
    let right = CVector::from_fn(count, |row, _| readings[row].reading);
    let inverse = gain(&design).ok_or(RepeatsFault::NoTime)?;
    let fitted = &inverse * &right;
    let degrees = (count - 2) as f64;
    let scatter = ((&right - &design * &fitted).norm_squared() / degrees).sqrt();
    let component = scatter * std::f64::consts::FRAC_1_SQRT_2;
    Ok(Repeats {
        middle: fitted[0],
        drift_per_hour: fitted[1],
        drift_give_or_take: CIRCLE_95 * circle_factor(degrees) * component * inverse.row(1).norm(),
        scatter,
        count,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn too_few_or_at_one_time_is_refused() {
        let one = Repeat { minutes: 3.0, reading: Complex64::ONE };
        assert_eq!(repeats(&[one; 4]), Err(RepeatsFault::TooFew { found: 4 }));
        assert_eq!(repeats(&[one; 6]), Err(RepeatsFault::NoTime));
    }

    #[test]
    fn scatter_without_drift_is_no_drift() {
        let signs = [1.0, -1.0, -1.0, 1.0, 1.0, -1.0, -1.0, 1.0];
        let at = |(k, sign): (usize, &f64)| Repeat {
            minutes: 5.0 * k as f64,
            reading: Complex64::new(3.0, 0.03 * sign),
        };
        let readings: Vec<Repeat> = signs.iter().enumerate().map(at).collect();
        let found = repeats(&readings).unwrap();
        assert!(!found.drifts() && found.drift_per_hour.norm() < 1e-12);
        // 8 readings off by 0.03 each, over 6 degrees of freedom: 0.03·sqrt(8/6) of 3.
        assert!((found.noise().unwrap() - 0.01 * (8.0_f64 / 6.0).sqrt()).abs() < 1e-12);
        assert_eq!(found.counted_drift(), found.drift_give_or_take);
        // 0.12 in five minutes are 1.44 an hour, and the same scatter hides no such slope.
        let walking: Vec<Repeat> = readings
            .iter()
            .enumerate()
            .map(|(k, own)| Repeat { reading: own.reading + 0.12 * k as f64, ..*own })
            .collect();
        let found = repeats(&walking).unwrap();
        assert!(found.drifts() && (found.drift_per_hour - Complex64::from(1.44)).norm() < 1e-9);
    }
}
