//! The index test: what turns with the fixture and what turns with the shaft.

use num_complex::Complex64;

use crate::chance::{CIRCLE_95, chi_squared_quantile, circle_factor};
use crate::linear::{CMatrix, CVector, gain};

/// A reading with the shaft in one position of its fixture.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct IndexReading {
    /// How far the shaft was turned in the fixture, degrees, counted as masses are.
    pub turned: f64,
    /// The reading in one plane, counted from the fixture's mark.
    pub reading: Complex64,
}

impl IndexReading {
    /// From a reading that is counted from the shaft's own mark, which turns with the shaft.
    #[must_use]
    pub fn from_the_shaft(turned: f64, reading: Complex64) -> Self {
        Self { turned, reading: reading * Complex64::cis(turned.to_radians()) }
    }
}

/// What the index test separates, in the readings' unit.
#[derive(Debug, Clone, PartialEq)]
pub struct IndexTest {
    /// What stays with the fixture, counted from its mark.
    pub fixture: Complex64,
    /// What turns with the shaft, counted from its mark.
    pub shaft: Complex64,
    /// At how many different positions it was read.
    pub positions: usize,
    /// Readings more than unknowns.
    pub redundancy: usize,
    /// Standard deviation of a component about the fit: how well the shaft comes back into its fixture, reading noise
    /// included. `None` with two readings.
    pub scatter: Option<f64>,
    /// Radius of the 95 % circle of either; `None` where the scatter is not known.
    pub give_or_take: Option<f64>,
    /// How far each reading is from the fit, in the order given.
    pub off: Vec<f64>,
}

impl IndexTest {
    /// Complex rms with which readings repeat from one mounting to the next; `None` where it is not known.
    #[must_use]
    pub fn mounting_scatter(&self) -> Option<f64> {
        self.scatter.map(|own| own * std::f64::consts::SQRT_2)
    }

    /// Whether the readings fit a fixture and a shaft at all, if one component of a reading scatters by this much
    /// \[p = 0.001\]; `None` with two readings, which always fit.
    #[must_use]
    pub fn fits(&self, deviation: f64) -> Option<bool> {
        let degrees = 2.0 * self.redundancy as f64;
        let sum = self.off.iter().map(|own| own * own).sum::<f64>();
        (self.redundancy > 0).then(|| sum <= deviation * deviation * chi_squared_quantile(0.999, degrees))
    }
}

/// Why an index test does not count.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum IndexFault {
    /// Only one position.
    #[error(
        "the shaft was read in {found} position(s) of its fixture; at least 2 are needed, and 3 check themselves"
    )]
    TooFewPositions {
        /// How many.
        found: usize,
    },
    /// A number is out of range.
    #[error("a reading is not a number")]
    OutOfRange,
}

/// Separates fixture and shaft by turning the shaft in its fixture.
///
/// # Units
///
/// Readings in any one unit; the answer is in the same.
///
/// # Method
///
/// reading = fixture + shaft·e^{jα} for the shaft turned by α, by least squares over all positions; with two positions
/// half a turn apart it is F = (A + B)/2 and R = (A − B)/2. From three readings on the fit checks itself.
///
/// # Errors
///
/// [`IndexFault`].
///
/// # Example
///
/// ```
/// use balance_core::{Complex64, stand::{IndexReading, index_test}};
/// let at = |amount: f64, degrees: f64| Complex64::from_polar(amount, degrees.to_radians());
/// let a = IndexReading { turned: 0.0, reading: at(76.086, 35.895) };
/// let b = IndexReading { turned: 180.0, reading: at(164.502, 207.277) };
/// let found = index_test(&[a, b])?;
/// assert!((found.fixture - at(45.0, 200.0)).norm() < 2e-3 && (found.shaft - at(120.0, 30.0)).norm() < 2e-3);
/// # Ok::<(), balance_core::stand::IndexFault>(())
/// ```
pub fn index_test(readings: &[IndexReading]) -> Result<IndexTest, IndexFault> {
    let turn = |own: &IndexReading| Complex64::cis(own.turned.to_radians());
    if readings.iter().any(|own| !(own.turned.is_finite() && own.reading.is_finite())) {
        return Err(IndexFault::OutOfRange);
    }
    let mut positions: Vec<Complex64> = Vec::new();
    for own in readings {
        if !positions.iter().any(|other| (other - turn(own)).norm() < 1e-3) {
            positions.push(turn(own));
        }
    }
    let too_few = IndexFault::TooFewPositions { found: positions.len() };
    if positions.len() < 2 {
        return Err(too_few);
    }
    let rows = readings.len();
    let design = CMatrix::from_fn(
        rows,
        2,
        |row, column| {
            if column == 0 { Complex64::ONE } else { turn(&readings[row]) }
        },
    );
    let right = CVector::from_fn(rows, |row, _| readings[row].reading);
    let inverse = gain(&design).ok_or(too_few)?;
    let fitted = &inverse * &right;
    let off: Vec<f64> = (&right - &design * &fitted).iter().map(|own| own.norm()).collect();
    let redundancy = rows - 2;
    let sum = off.iter().map(|own| own * own).sum::<f64>();
    let scatter = (redundancy > 0).then(|| (sum / (2 * redundancy) as f64).sqrt());
    let widest = inverse.row(0).norm().max(inverse.row(1).norm());
    Ok(IndexTest {
        fixture: fitted[0],
        shaft: fitted[1],
        positions: positions.len(),
        redundancy,
        scatter,
        give_or_take: scatter.map(|own| CIRCLE_95 * circle_factor(redundancy as f64) * own * widest),
        off,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn fixture_and_shaft_are_recovered_for_two_to_twelve_positions() {
        let (fixture, shaft) = (Complex64::from_polar(45.0, 3.49), Complex64::from_polar(120.0, 0.52));
        for positions in 2..=12 {
            for spread in [360.0, 300.0, 90.0] {
                let read = |at: i32| {
                    let turned = spread * f64::from(at) / f64::from(positions);
                    let reading = fixture + shaft * Complex64::cis(turned.to_radians());
                    IndexReading { turned, reading }
                };
                let readings: Vec<IndexReading> = (0..positions).map(read).collect();
                let found = index_test(&readings).unwrap();
                let worst = (found.fixture - fixture).norm().max((found.shaft - shaft).norm());
                assert!(worst < 1e-11 * 120.0, "{positions} over {spread}: {worst}");
                assert_eq!(found.redundancy, positions as usize - 2);
                assert!(found.scatter.is_none_or(|own| own < 1e-11));
            }
        }
    }

    #[test]
    fn readings_from_the_shafts_mark_are_the_same_test() {
        let (fixture, shaft) = (Complex64::from_polar(45.0, 3.49), Complex64::from_polar(120.0, 0.52));
        let read = |turned: f64| {
            let turn = Complex64::cis(turned.to_radians());
            IndexReading::from_the_shaft(turned, shaft + fixture / turn)
        };
        let found = index_test(&[0.0, 120.0, 240.0].map(read)).unwrap();
        assert!((found.fixture - fixture).norm() < 1e-12 && (found.shaft - shaft).norm() < 1e-12);
    }

    #[test]
    fn a_reading_that_does_not_fit_is_noticed_from_three_on() {
        let read = |turned: f64, wrong: f64| IndexReading {
            turned,
            reading: 45.0 + wrong + 120.0 * Complex64::cis(turned.to_radians()),
        };
        let found = index_test(&[read(0.0, 0.0), read(120.0, 9.0), read(240.0, 0.0)]).unwrap();
        assert_eq!((found.fits(5.0), found.fits(0.5)), (Some(true), Some(false)));
        let found = index_test(&[read(0.0, 0.0), read(180.0, 9.0)]).unwrap();
        assert_eq!((found.fits(0.5), found.mounting_scatter()), (None, None));
    }

    /// Of three readings a third of a turn apart, one off by 9: least squares leave a third of it at each (by hand), with
    /// one reading more than unknowns, so s² = 3·3²/2. Either answer is the mean of three with s for each component, and
    /// F₀.₉₅(2, 2) = 19.0 (any table of F): radius² = 2·19·s²/3.
    #[test]
    fn scatter_and_circle_of_three_positions() {
        let read = |turned: f64, wrong: f64| IndexReading {
            turned,
            reading: 45.0 + wrong + 120.0 * Complex64::cis(turned.to_radians()),
        };
        let found = index_test(&[read(0.0, 0.0), read(120.0, 9.0), read(240.0, 0.0)]).unwrap();
        assert!(found.off.iter().all(|own| (own - 3.0).abs() < 1e-12), "{found:?}");
        let scatter = 13.5_f64.sqrt();
        assert!((found.scatter.unwrap() - scatter).abs() < 1e-12, "{found:?}");
        assert!((found.mounting_scatter().unwrap() - 27_f64.sqrt()).abs() < 1e-12, "{found:?}");
        let circle = (2.0 * 19.0 / 3.0_f64).sqrt() * scatter;
        assert!((found.give_or_take.unwrap() - circle).abs() < 1e-9, "{found:?} {circle}");
    }

    #[test]
    fn one_position_separates_nothing() {
        let same = IndexReading { turned: 30.0, reading: Complex64::ONE };
        assert_eq!(index_test(&[same, same]), Err(IndexFault::TooFewPositions { found: 1 }));
        let bad = IndexReading { turned: f64::NAN, reading: Complex64::ONE };
        assert_eq!(index_test(&[same, bad]), Err(IndexFault::OutOfRange));
    }
}
