//! The least unbalance a stand can reach (U_mar): a known mass at places all round, in one plane.

use num_complex::Complex64;

use super::{MovedMassFault, MovedReading, moved_mass};
use crate::grade::GRADES;
use crate::quantity::{QuantityFault, Speed, UnbalanceAmount};

/// The mass of the test as a multiple of the least unbalance that is claimed.
pub const TEST_MASS: f64 = 10.0;
/// Readings must lie within these shares of their mean.
pub const LIMIT_LINES: [f64; 2] = [0.88, 1.12];
/// Half the distance between the limit lines.
const WIDTH: f64 = 0.12;
/// Fewer places do not count as all round.
pub const FEWEST_PLACES: usize = 8;

/// One reading of the test.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TestPoint {
    /// Where the mass was, degrees from the zero mark as masses are counted.
    pub degrees: f64,
    /// What was read, in the stand's unit.
    pub reading: f64,
    /// The reading as a share of the mean.
    pub share: f64,
}

impl TestPoint {
    /// Whether it lies between the limit lines.
    #[must_use]
    pub fn within(self) -> bool {
        self.share >= LIMIT_LINES[0] && self.share <= LIMIT_LINES[1]
    }
}

/// The test in one plane.
#[derive(Debug, Clone, PartialEq)]
pub struct LeastUnbalanceTest {
    /// The mass that was moved round, as unbalance.
    pub test_mass: UnbalanceAmount,
    /// The least unbalance that was claimed: a tenth of that.
    pub claimed: UnbalanceAmount,
    /// Mean of the readings, in the stand's unit.
    pub mean: f64,
    /// Every reading in the order of the places.
    pub points: Vec<TestPoint>,
    /// The least unbalance that these readings would support: the claim at which the worst reading would lie on a limit
    /// line.
    pub reached: UnbalanceAmount,
    /// What is left in the test shaft in this plane, by the fit, g·mm; `None`: the readings do not tell.
    pub left: Option<f64>,
}

impl LeastUnbalanceTest {
    /// Whether every reading lies between the limit lines.
    #[must_use]
    pub fn passed(&self) -> bool {
        self.points.iter().all(|point| point.within())
    }
}

/// Why a test does not count.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum LeastUnbalanceFault {
    /// Too few places.
    #[error("the mass was read at {found} place(s); the test needs at least {FEWEST_PLACES}, evenly round")]
    TooFewPlaces {
        /// How many.
        found: usize,
    },
    /// The places leave a gap.
    #[error("between {from:.0} and {to:.0} degrees no place was read; the places must go evenly round")]
    Gap {
        /// Degrees.
        from: f64,
        /// Degrees.
        to: f64,
    },
    /// The mass was not the same everywhere.
    #[error("the mass is not the same at every place ({least} to {most} g.mm)")]
    MassChanges {
        /// g·mm.
        least: f64,
        /// g·mm.
        most: f64,
    },
    /// Not one reading.
    #[error("the readings are zero or out of range")]
    OutOfRange,
}

/// The test of the least unbalance a stand can reach, in one plane.
///
/// # Units
///
/// The mass in g·mm, readings in any unit of the stand.
///
/// # Method
///
/// A mass of ten times the claimed unbalance at places evenly round (8 at least, 12 usual), the shaft itself balanced
/// beforehand; passed if every reading lies within 0.88 to 1.12 of their mean. What the readings would support: the
/// largest departure from the mean over 0.12, times a tenth of the mass.
///
/// # Source
///
/// H. Bloch and F. Geitner, Machinery Component Maintenance and Repair, p. 296 (ten times U_mar, twelve places 30°
/// apart); limit lines of ISO 21940-21. The standard lets one reading a plane lie outside \[from memory\]; here none may.
///
/// # Errors
///
/// [`LeastUnbalanceFault`].
pub fn least_unbalance(readings: &[MovedReading]) -> Result<LeastUnbalanceTest, LeastUnbalanceFault> {
    let mut on: Vec<&MovedReading> = readings.iter().filter(|own| own.mass != Complex64::ZERO).collect();
    let angle = |own: &MovedReading| own.mass.arg().to_degrees().rem_euclid(360.0);
    on.sort_by(|one, other| angle(one).total_cmp(&angle(other)));
    check_places(&on.iter().map(|own| angle(own)).collect::<Vec<f64>>())?;
    let masses = || on.iter().map(|own| own.mass.norm());
    let (least, most) = (masses().fold(f64::INFINITY, f64::min), masses().fold(0.0, f64::max));
    if most > least * 1.001 {
        return Err(LeastUnbalanceFault::MassChanges { least, most });
    }
    let mean = on.iter().map(|own| own.shown.amplitude()).sum::<f64>() / on.len() as f64;
    if !(mean.is_finite() && mean > 0.0) {
        return Err(LeastUnbalanceFault::OutOfRange);
    }
    let point = |own: &&MovedReading| TestPoint {
        degrees: angle(own),
        reading: own.shown.amplitude(),
        share: own.shown.amplitude() / mean,
    };
    let points: Vec<TestPoint> = on.iter().map(point).collect();
    let worst = points.iter().map(|point| (point.share - 1.0).abs()).fold(0.0, f64::max);
    let amount = |gram_millimetres: f64| {
        UnbalanceAmount::from_gram_millimetres(gram_millimetres).map_err(|_| LeastUnbalanceFault::OutOfRange)
    };
    // Below the mass only: a test shaft with more left than the test mass would fail every reading.
    let left = match moved_mass(readings) {
        Ok(found) => found.possible.iter().map(|own| own.left.norm()).find(|left| *left < most),
        Err(MovedMassFault::TooFewPlaces { .. } | MovedMassFault::Mixed | MovedMassFault::NoEffect) => None,
    };
    Ok(LeastUnbalanceTest {
        test_mass: amount(most)?,
        claimed: amount(most / TEST_MASS)?,
        mean,
        points,
        reached: amount(worst / WIDTH * most / TEST_MASS)?,
        left,
    })
}

/// At least eight places, no two neighbours further apart than half as much again as they would be evenly.
fn check_places(degrees: &[f64]) -> Result<(), LeastUnbalanceFault> {
    let mut places: Vec<f64> = Vec::new();
    for own in degrees {
        if places.last().is_none_or(|last| own - last > 0.5) {
            places.push(*own);
        }
    }
    if places.len() < FEWEST_PLACES {
        return Err(LeastUnbalanceFault::TooFewPlaces { found: places.len() });
    }
    let next = places.iter().skip(1).copied().chain([places[0] + 360.0]);
    let widest = 1.5 * 360.0 / places.len() as f64;
    match places.iter().zip(next).find(|(from, to)| to - *from > widest) {
        Some((from, to)) => Err(LeastUnbalanceFault::Gap { from: *from, to: to.rem_euclid(360.0) }),
        None => Ok(()),
    }
}

/// The lightest shaft whose limit is not below what the stand can reach in each of two planes, kg.
///
/// # Method
///
/// The whole permissible unbalance 9549.3·G·m/n, half of it in each plane, at least U_mar there: m = 2·U_mar·n/(9549.3·G)
/// \[ISO 21940-11; that half is the usual share of a plane is common practice\].
///
/// ```
/// use balance_core::{quantity::*, stand::lightest_shaft};
/// let reached = UnbalanceAmount::from_gram_millimetres(40.0)?;
/// let mass = lightest_shaft(reached, 16.0, Speed::from_rpm(2600.0)?);
/// // 2·40·2600/(9549.2966·16) = 1.36136 kg.
/// assert!((mass - 1.36136).abs() < 5e-6);
/// # Ok::<(), QuantityFault>(())
/// ```
#[must_use]
pub fn lightest_shaft(reached: UnbalanceAmount, grade: f64, service_speed: Speed) -> f64 {
    2.0 * reached.gram_millimetres() * service_speed.rpm() / (30_000.0 / std::f64::consts::PI * grade)
}

/// The lightest shaft of each usual grade (G6.3 to G40) that a stand may certify, finest first: grade and kg.
#[must_use]
pub fn lightest_shafts(reached: UnbalanceAmount, service_speed: Speed) -> Vec<(f64, f64)> {
    let grades = GRADES.iter().map(|row| row.millimetres_per_second);
    let usual = grades.filter(|grade| (6.3..=40.0).contains(grade));
    usual.map(|grade| (grade, lightest_shaft(reached, grade, service_speed))).collect()
}

/// The test mass, in grams, for a claimed eccentricity: ten times half the shaft's share.
///
/// # Units
///
/// Shaft in g, eccentricity and radius in the same length; the answer is in g.
///
/// # Errors
///
/// [`QuantityFault`] if a figure is out of range.
///
/// ```
/// use balance_core::stand::test_mass_grams;
/// // Bloch and Geitner p. 296: 50 000 g, 20 millionths of an inch, 4 in: 0.5 g·in a plane, 5 g·in, 1.25 g.
/// assert!((test_mass_grams(50_000.0, 20e-6, 4.0)? - 1.25).abs() < 1e-12);
/// # Ok::<(), balance_core::quantity::QuantityFault>(())
/// ```
pub fn test_mass_grams(shaft: f64, eccentricity: f64, radius: f64) -> Result<f64, QuantityFault> {
    crate::quantity::Mass::from_grams(TEST_MASS * shaft * eccentricity / 2.0 / radius)
        .map(crate::quantity::Mass::grams)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stand::Shown;

    fn test(places: usize, left: Complex64) -> Vec<MovedReading> {
        let mass =
            |at: usize| Complex64::from_polar(500.0, std::f64::consts::TAU * at as f64 / places as f64);
        (0..places)
            .map(|at| MovedReading {
                mass: mass(at),
                shown: Shown::Amplitude(0.1 * (mass(at) + left).norm()),
            })
            .collect()
    }

    #[test]
    fn readings_within_the_limit_lines_pass() {
        let found = least_unbalance(&test(12, Complex64::from(40.0))).unwrap();
        assert!(found.passed() && (found.claimed.gram_millimetres() - 50.0).abs() < 1e-9);
        // The least of 500 ± 40 g·mm is 460; the mean of |500 + 40·e^{jθ}| is 500.80: 8.15 % over 12 % of the claim.
        assert!(
            (found.reached.gram_millimetres() - 50.0 * (1.0 - 460.0 / 500.800_320_513) / 0.12).abs() < 1e-6
        );
        assert!((found.left.unwrap() - 40.0).abs() < 1e-3, "{found:?}");
    }

    #[test]
    fn one_reading_outside_fails() {
        let mut readings = test(12, Complex64::ZERO);
        readings[4].shown = Shown::Amplitude(57.0);
        let found = least_unbalance(&readings).unwrap();
        assert!(!found.passed());
        assert_eq!(found.points.iter().filter(|point| !point.within()).count(), 1);
        assert!(found.reached > found.claimed);
    }

    #[test]
    fn a_test_that_does_not_go_round_is_refused() {
        assert_eq!(
            least_unbalance(&test(6, Complex64::ZERO)),
            Err(LeastUnbalanceFault::TooFewPlaces { found: 6 })
        );
        let half: Vec<MovedReading> = test(16, Complex64::ZERO).into_iter().take(9).collect();
        assert!(matches!(least_unbalance(&half), Err(LeastUnbalanceFault::Gap { .. })));
        let mut changed = test(8, Complex64::ZERO);
        changed[0].mass *= 1.1;
        assert!(matches!(least_unbalance(&changed), Err(LeastUnbalanceFault::MassChanges { .. })));
    }
}
