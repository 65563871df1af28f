//! The circle that holds 95 % of noise that is larger in one direction than across it.

/// Steps round the half turn; the integrand is smooth and periodic, so that few steps are exact to rounding
/// unless one deviation is far below the other.
const STEPS: usize = 256;

/// The radius of the circle about the mean that holds 95 % of a two-dimensional normal law with these standard
/// deviations along its main axes, in the same unit.
///
/// # Method
///
/// In coordinates in which the law is circular, its length is Rayleigh's and its direction even, so
/// P(r > R) = mean over ψ of exp(−R²/(2·(a²cos²ψ + b²sin²ψ))) \[derived here\]; R by bisection.
///
/// ```
/// # #[cfg(feature = "checks")]
/// # fn shown() {
/// use balance_core::chance::ellipse_95;
/// // Equal axes: sqrt(−2·ln 0.05). One axis alone: the normal law's 1.960.
/// assert!((ellipse_95(3.0, 3.0) / 3.0 - 2.447_746_830_680_816).abs() < 1e-12);
/// assert!((ellipse_95(1.0, 0.0) - 1.959_964).abs() < 2e-3);
/// # }
/// # #[cfg(feature = "checks")]
/// # shown();
/// ```
#[must_use]
pub fn ellipse_95(first: f64, second: f64) -> f64 {
    let (long, short) = (first.max(second), first.min(second).max(0.0));
    let possible = long.is_finite() && long > 0.0 && short.is_finite();
    if !possible {
        return if long == 0.0 { 0.0 } else { f64::NAN };
    }
    let share = short / long;
    let (mut low, mut high) = (1.9, 2.5);
    for _ in 0..60 {
        let middle = low + (high - low) / 2.0;
        if beyond(middle, share) > 0.05 {
            low = middle;
        } else {
            high = middle;
        }
    }
    long * low
}

/// P(r > R) for main axes of one and this share of one.
fn beyond(radius: f64, share: f64) -> f64 {
    let at = |step: usize| {
        let (sine, cosine) = (std::f64::consts::PI * (step as f64 + 0.5) / STEPS as f64).sin_cos();
        (-radius * radius / (2.0 * (cosine * cosine + share * share * sine * sine))).exp()
    };
    (0..STEPS).map(at).sum::<f64>() / STEPS as f64
}

#[cfg(test)]
mod tests {
    use super::*;

    // SciPy 1.17: brentq on ∫ φ(x)·(2Φ(sqrt(R² − x²)/b) − 1) dx = 0.95, the same law in its own coordinates; one axis
    // alone is the normal law's quantile.
    #[test]
    fn agrees_with_scipy() {
        for (share, wanted) in [
            (0.0, 1.959_963_984_540_054),
            (0.2, 1.970_407_501_044_7),
            (0.5, 2.035_858_720_285_608),
            (0.8, 2.230_287_285_654_888),
        ] {
            let found = ellipse_95(1.0, share);
            assert!((found - wanted).abs() < 1e-8, "{share}: {found}, wanted {wanted}");
        }
    }

    #[test]
    fn the_order_and_the_unit_of_the_axes_do_not_matter() {
        assert_eq!(ellipse_95(1.0, 0.4), ellipse_95(0.4, 1.0));
        assert!((ellipse_95(10.0, 4.0) / ellipse_95(1.0, 0.4) - 10.0).abs() < 1e-12);
        assert!(ellipse_95(f64::INFINITY, 1.0).is_nan());
        assert_eq!(ellipse_95(0.0, 0.0), 0.0);
    }
}
