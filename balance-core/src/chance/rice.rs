//! The amount of a vector that is known up to circular noise.
//!
//! The length of a circular complex normal vector is not normal: it follows the law of Rice. Near zero this matters
//! most, since noise can only make a short vector longer.

use std::sync::OnceLock;

use statrs::function::erf::erfc;

use super::bessel::{ratio_i1_i0, scaled_i0};

/// Beyond this many standard deviations off the mean a tail is below 10⁻³⁰⁰.
const NOTHING_LEFT: f64 = 38.0;

/// From here on the mean is so many deviations from zero that the law is simply normal (off by 1/mean).
const STRAIGHT: f64 = 1e13;

/// The tail is followed until the density has fallen by exp(−42) ≈ 6·10⁻¹⁹.
const FALL: f64 = 42.0;

const PANELS: usize = 4;
const NODES: usize = 16;

/// The law of |u| for a circular complex normal u with a known mean and a standard deviation in each component.
///
/// # Units
///
/// Mean, deviation and limit are in one unit, whichever it is.
///
/// # Method
///
/// P(|u| ≤ T) = ∫₀ᵇ x·exp(−(x−a)²/2)·e^(−ax)·I₀(ax) dx with a = |mean|/s, b = T/s: composite Gauss–Legendre over the
/// stretch next to b where the density is not negligible, on whichever side of b is the smaller, so that neither tail
/// is found as a difference. b − a enters as (T − |mean|)/s, free of cancellation.
///
/// # Source
///
/// S. O. Rice, Bell System Technical Journal 24 (1945) 46; it is the noncentral χ² law with two degrees of freedom.
/// Checked against SciPy and mpmath by `tests/reference/check_rice.py`.
///
/// # Example
///
/// ```
/// # #[cfg(feature = "checks")]
/// # fn shown() -> Result<(), Box<dyn std::error::Error>> {
/// use balance_core::chance::Rice;
/// // With no mean it is Rayleigh's law: 95 % lie within sqrt(−2·ln 0.05) = 2.4477 deviations.
/// let law = Rice::new(0.0, 1.0).ok_or("no law")?;
/// assert!((law.within(2.447_746_830_680_816) - 0.95).abs() < 1e-15);
/// assert!((law.beyond(2.447_746_830_680_816) - 0.05).abs() < 1e-15);
/// # Ok(())
/// # }
/// # #[cfg(feature = "checks")]
/// # shown().unwrap();
/// ```
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rice {
    mean: f64,
    deviation: f64,
}

impl Rice {
    /// From the length of the mean vector and the standard deviation of each component; `None` if one of them is
    /// negative, infinite or not a number.
    #[must_use]
    pub fn new(mean: f64, deviation: f64) -> Option<Self> {
        let possible = |value: f64| value.is_finite() && value >= 0.0;
        (possible(mean) && possible(deviation)).then_some(Self { mean, deviation })
    }

    /// The probability that the amount is at most `limit`. Absolute error below 10⁻¹⁰ (worst seen: 2·10⁻¹⁵).
    /// A negative limit or one that is not a number holds nothing.
    #[must_use]
    pub fn within(self, limit: f64) -> f64 {
        self.sides(limit).0
    }

    /// The probability that the amount is more than `limit`, small values without cancellation.
    #[must_use]
    pub fn beyond(self, limit: f64) -> f64 {
        self.sides(limit).1
    }

    /// Both, within and beyond, for the price of one.
    #[must_use]
    pub fn sides(self, limit: f64) -> (f64, f64) {
        match self.one_side(limit) {
            Side::Within(p) => (p, 1.0 - p),
            Side::Beyond(q) => (1.0 - q, q),
        }
    }

    /// The largest mean for which the amount is still within `limit` with at least this probability (between 0 and
    /// 1); `None` if not even a mean of zero is.
    ///
    /// ```
    /// # #[cfg(feature = "checks")]
    /// # fn shown() -> Result<(), Box<dyn std::error::Error>> {
    /// use balance_core::chance::Rice;
    /// // Limit 400 g·mm, give or take 40 g·mm in each direction: up to 332 g·mm may be called within.
    /// let most = Rice::largest_mean(400.0, 40.0, 0.95).ok_or("none")?;
    /// assert!((most / 400.0 - 0.830).abs() < 5e-4);
    /// // With a deviation above 0.4085 of the limit even a reading of zero proves nothing.
    /// assert_eq!(Rice::largest_mean(400.0, 164.0, 0.95), None);
    /// # Ok(())
    /// # }
    /// # #[cfg(feature = "checks")]
    /// # shown().unwrap();
    /// ```
    #[must_use]
    #[cfg_attr(
        not(any(test, feature = "checks")),
        expect(dead_code, reason = "for the project's own checks")
    )]
    pub fn largest_mean(limit: f64, deviation: f64, probability: f64) -> Option<f64> {
        let holds =
            |mean: f64| Self::new(mean, deviation).is_some_and(|law| law.within(limit) >= probability);
        if !holds(0.0) {
            return None;
        }
        let (mut low, mut high) = (0.0, limit + NOTHING_LEFT * deviation);
        if holds(high) {
            return Some(high);
        }
        // Bisection: the probability falls with the mean, and 100 halvings end at neighbouring numbers.
        for _ in 0..100 {
            let middle = low + (high - low) / 2.0;
            if holds(middle) {
                low = middle;
            } else {
                high = middle;
            }
        }
        Some(low)
    }

    /// How badly an amount fits this law: −ln of its density, up to a term that does not depend on the mean. For a
    /// mean of many deviations it is ((amount − mean)/deviation)²/2. Infinite without a deviation unless it fits
    /// exactly.
    #[must_use]
    pub fn misfit(self, amount: f64) -> f64 {
        if self.deviation == 0.0 {
            return if amount == self.mean { 0.0 } else { f64::INFINITY };
        }
        let off = (amount - self.mean) / self.deviation;
        let z = amount / self.deviation * (self.mean / self.deviation);
        off * off / 2.0 - scaled_i0(z).ln()
    }

    /// How much larger than the mean this amount suggests the mean to be, in the amount's unit: the slope of the
    /// log-density with the mean, times the variance. Noise only ever makes a short vector longer, so a reading near
    /// zero says less than it seems to.
    #[must_use]
    pub fn pull(self, amount: f64) -> f64 {
        if self.deviation == 0.0 {
            return amount - self.mean;
        }
        let z = amount / self.deviation * (self.mean / self.deviation);
        amount * ratio_i1_i0(z) - self.mean
    }

    /// The smaller side of the limit, or near enough.
    fn one_side(self, limit: f64) -> Side {
        if limit.is_nan() || limit < 0.0 {
            return Side::Within(0.0);
        }
        if self.deviation == 0.0 {
            return if self.mean <= limit { Side::Beyond(0.0) } else { Side::Within(0.0) };
        }
        let mean = self.mean / self.deviation;
        let off = (limit - self.mean) / self.deviation;
        if off >= NOTHING_LEFT {
            return Side::Beyond(0.0);
        }
        if off <= -NOTHING_LEFT {
            return Side::Within(0.0);
        }
        if mean >= STRAIGHT {
            return Side::Within(erfc(-off / std::f64::consts::SQRT_2) / 2.0);
        }
        let reach = (off * off + 2.0 * FALL).sqrt() - off.abs();
        let edge = limit / self.deviation;
        if off > 0.0 && edge > 1.0 {
            Side::Beyond(integral(mean, off, reach))
        } else {
            let reach = if off > 0.0 { edge } else { reach.min(edge) };
            Side::Within(integral(mean, off - reach, reach))
        }
    }
}

/// A probability, and the side of the limit it belongs to.
enum Side {
    Within(f64),
    Beyond(f64),
}

/// The density integrated from `mean + from` over a length.
fn integral(mean: f64, from: f64, length: f64) -> f64 {
    let half = length / (2 * PANELS) as f64;
    (0..PANELS)
        .map(|panel| {
            let centre = from + half * (2 * panel + 1) as f64;
            let sum: f64 =
                rule().iter().map(|&(node, weight)| weight * density(mean, centre + half * node)).sum();
            sum * half
        })
        .sum()
}

/// The density at `mean + off`, for unit deviation.
fn density(mean: f64, off: f64) -> f64 {
    let amount = (mean + off).max(0.0);
    amount * (-off * off / 2.0).exp() * scaled_i0(mean * amount)
}

/// Nodes and weights of Gauss–Legendre quadrature on [−1, 1], by Newton's method on the Legendre polynomial.
fn rule() -> &'static [(f64, f64); NODES] {
    static RULE: OnceLock<[(f64, f64); NODES]> = OnceLock::new();
    RULE.get_or_init(|| std::array::from_fn(gauss_legendre))
}

fn gauss_legendre(index: usize) -> (f64, f64) {
    let count = NODES as f64;
    let mut node = (std::f64::consts::PI * (index as f64 + 0.75) / (count + 0.5)).cos();
    let mut slope = 1.0;
    for _ in 0..8 {
        let (mut before, mut value) = (1.0, node);
        for degree in 2..=NODES {
            let degree = degree as f64;
            (before, value) =
                (value, ((2.0 * degree - 1.0) * node * value - (degree - 1.0) * before) / degree);
        }
        slope = count * (before - node * value) / (1.0 - node * node);
        node -= value / slope;
    }
    (node, 2.0 / ((1.0 - node * node) * slope * slope))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn law(mean: f64, deviation: f64) -> Rice {
        Rice::new(mean, deviation).unwrap()
    }

    #[test]
    fn agrees_with_scipy_and_mpmath() {
        let table = include_str!("../../../tests/reference/rice.csv");
        let mut count = 0;
        for line in table.lines().filter(|line| !line.starts_with('#')).skip(1) {
            let cells: Vec<f64> = line.split(',').map(|cell| cell.parse().unwrap()).collect();
            let [mean, deviation, limit, within, beyond] = cells[..] else { panic!("five columns: {line}") };
            let law = law(mean, deviation);
            let (p, q) = (law.within(limit), law.beyond(limit));
            assert!((p - within).abs() <= 1e-13, "{line}: within {p}");
            assert!((q - beyond).abs() <= 1e-13, "{line}: beyond {q}");
            // The table goes up to 14 deviations, tails of 10⁻⁴⁴.
            if beyond > 1e-30 {
                assert!((q - beyond).abs() <= 1e-10 * beyond, "{line}: beyond {q}");
            }
            count += 1;
        }
        assert!(count >= 300, "only {count} cases");
    }

    #[test]
    fn no_deviation_is_a_plain_comparison() {
        assert_eq!(law(1.0, 0.0).within(1.0), 1.0);
        assert_eq!(law(1.0, 0.0).within(0.999), 0.0);
        assert_eq!(law(0.0, 0.0).within(0.0), 1.0);
        assert_eq!(law(0.0, 1.0).within(0.0), 0.0);
        assert_eq!(law(0.0, 1.0).within(-1.0), 0.0);
        assert_eq!(law(0.0, 1.0).within(f64::NAN), 0.0);
        assert_eq!(law(0.0, 1.0).within(f64::INFINITY), 1.0);
    }

    #[test]
    fn the_pull_is_the_slope_of_the_misfit() {
        for (mean, deviation, amount) in
            [(3.0, 1.0, 2.0), (0.3, 1.0, 1.5), (50.0, 1.0, 51.0), (1.0, 0.02, 1.03)]
        {
            let step = 1e-5 * deviation;
            let slope = (law(mean + step, deviation).misfit(amount)
                - law(mean - step, deviation).misfit(amount))
                / (2.0 * step);
            let pull = law(mean, deviation).pull(amount);
            assert!(
                (pull + slope * deviation * deviation).abs() < 1e-5 * amount,
                "{mean} {deviation} {amount}: {pull}"
            );
        }
    }

    #[test]
    fn impossible_parameters_make_no_law() {
        for (mean, deviation) in [(-1.0, 1.0), (1.0, -1.0), (f64::NAN, 1.0), (1.0, f64::INFINITY)] {
            assert_eq!(Rice::new(mean, deviation), None);
        }
    }

    // Recomputed with SciPy 1.17: brentq on ncx2.cdf((T/s)², 2, (û/s)²) − 0.95, or 0.975 for each of two equal planes.
    #[test]
    fn the_largest_acceptable_reading_by_its_uncertainty() {
        let one = [(0.05, 0.91645), (0.10, 0.83002), (0.20, 0.64610), (0.30, 0.43819)];
        let two = [(0.05, 0.90068), (0.10, 0.79841), (0.20, 0.58182)];
        for (cases, p) in [(&one[..], 0.95), (&two[..], 0.975)] {
            for &(deviation, wanted) in cases {
                let most = Rice::largest_mean(1.0, deviation, p).unwrap();
                assert!((most - wanted).abs() <= 5e-6, "{deviation} at {p}: {most}, wanted {wanted}");
            }
        }
    }

    // Closed form (Rayleigh): 1/sqrt(−2·ln 0.05) = 0.40854 and 1/sqrt(−2·ln 0.025) = 0.36816.
    #[test]
    fn above_a_ceiling_nothing_can_be_accepted() {
        for (p, ceiling) in [(0.95, 0.408_54), (0.975, 0.368_16)] {
            assert!(Rice::largest_mean(1.0, ceiling - 1e-5, p).is_some());
            assert_eq!(Rice::largest_mean(1.0, ceiling + 1e-5, p), None);
        }
    }
}
