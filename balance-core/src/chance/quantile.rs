//! Quantiles, from the statistics library.

use statrs::distribution::{ChiSquared, ContinuousCDF};

/// The value that a χ² variable with `degrees` degrees of freedom exceeds with probability `1 − p`.
///
/// ```
/// # #[cfg(feature = "checks")]
/// # fn shown() -> Result<(), Box<dyn std::error::Error>> {
/// // Table value, any statistics handbook: χ²₀.₉₅(2) = 5.991.
/// let value = balance_core::chance::chi_squared_quantile(0.95, 2.0);
/// assert!((value - 5.991).abs() < 5e-4);
/// # Ok(())
/// # }
/// # #[cfg(feature = "checks")]
/// # shown().unwrap();
/// ```
#[must_use]
pub fn chi_squared_quantile(p: f64, degrees: f64) -> f64 {
    ChiSquared::new(degrees).map_or(f64::NAN, |law| law.inverse_cdf(p))
}

/// The value that an F variable with `first` and `second` degrees of freedom exceeds with probability `1 − p`.
/// With infinite `second` it is χ²/`first`.
#[must_use]
pub fn f_quantile(p: f64, first: f64, second: f64) -> f64 {
    if second.is_infinite() {
        return chi_squared_quantile(p, first) / first;
    }
    statrs::distribution::FisherSnedecor::new(first, second).map_or(f64::NAN, |law| law.inverse_cdf(p))
}

/// The radius of the circle that holds 95 % of circular noise, in standard deviations of a component: sqrt(−2·ln 0.05).
pub const CIRCLE_95: f64 = 2.447_746_830_680_816;

/// What a standard uncertainty with `nu` complex degrees of freedom is multiplied by so that 2.448 times it is the
/// radius of a 95 % circle: sqrt(F₀.₉₅(2, 2ν)/2.996), in closed form.
///
/// ```
/// # #[cfg(feature = "checks")]
/// # fn shown() -> Result<(), Box<dyn std::error::Error>> {
/// // 2.52, 1.52, 1.31, 1.17, 1.08 for 1, 2, 3, 5, 10.
/// for (nu, factor) in [(1.0, 2.52), (2.0, 1.52), (3.0, 1.31), (5.0, 1.17), (10.0, 1.08)] {
///     assert!((balance_core::chance::circle_factor(nu) - factor).abs() < 0.005);
/// }
/// assert_eq!(balance_core::chance::circle_factor(f64::INFINITY), 1.0);
/// # Ok(())
/// # }
/// # #[cfg(feature = "checks")]
/// # shown().unwrap();
/// ```
#[must_use]
pub fn circle_factor(nu: f64) -> f64 {
    if nu.is_infinite() {
        return 1.0;
    }
    let twenty: f64 = 20.0;
    (nu * (twenty.powf(1.0 / nu) - 1.0) / twenty.ln()).sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn circle_factor_is_the_f_quantile() {
        for nu in [1.0, 2.0, 3.0, 5.0, 10.0, 37.0] {
            let wanted = (f_quantile(0.95, 2.0, 2.0 * nu) / 2.995_732_273_553_991).sqrt();
            assert!((circle_factor(nu) / wanted - 1.0).abs() < 1e-6, "{nu}: {} {wanted}", circle_factor(nu));
        }
    }
}
