//! The Bessel function the law of Rice needs.

/// e^(−z)·I₀(z) for z ≥ 0, the modified Bessel function of order zero with its growth taken off.
///
/// # Method
///
/// Below 20 the power series Σ (z²/4)ᵏ/k!², all terms positive; from 20 on the asymptotic series
/// (2πz)^(−1/2)·Σ ((2k−1)!!)²/(k!·(8z)ᵏ), whose smallest term there is of the size of exp(−2z) < 10⁻¹⁷.
///
/// # Source
///
/// Abramowitz and Stegun, Handbook of Mathematical Functions, 9.6.12 and 9.7.1.
pub(super) fn scaled_i0(z: f64) -> f64 {
    if z < 20.0 {
        let quarter = z * z / 4.0;
        return (-z).exp() * sum_of_terms(|k| quarter / (k * k));
    }
    sum_of_terms(|k| (2.0 * k - 1.0).powi(2) / (8.0 * k * z)) / (std::f64::consts::TAU * z).sqrt()
}

/// I₁(z)/I₀(z), the ratio of modified Bessel functions, for z ≥ 0: between 0 and 1.
///
/// # Method
///
/// Below 40 Gauss's continued fraction z/(2 + z²/(4 + z²/(6 + …))) from its tail, all terms positive; from there on
/// the asymptotic series 1 − 1/(2z) − 1/(8z²) − 1/(8z³) − 25/(128z⁴), off by less than 10⁻⁸.
///
/// # Source
///
/// Abramowitz and Stegun, Handbook of Mathematical Functions, 9.6.26 and 9.7.1.
pub(super) fn ratio_i1_i0(z: f64) -> f64 {
    if z >= 40.0 {
        let w = 1.0 / z;
        return 1.0 - w * (0.5 + w * (0.125 + w * (0.125 + w * 25.0 / 128.0)));
    }
    let tail = (1..=80).rev().fold(0.0, |below, k| z * z / (2.0 * f64::from(k) + below));
    if z == 0.0 { 0.0 } else { tail / z }
}

/// 1 + r(1) + r(1)·r(2) + …, until a term no longer counts.
fn sum_of_terms(ratio: impl Fn(f64) -> f64) -> f64 {
    let (mut sum, mut term) = (1.0, 1.0);
    for k in 1..=100 {
        term *= ratio(f64::from(k));
        sum += term;
        if term < sum * 1e-18 || (k > 30 && term < sum * 1e-16) {
            break;
        }
    }
    sum
}

#[cfg(test)]
mod tests {
    use super::*;

    // scipy.special.ive(0, z), SciPy 1.17.
    #[test]
    fn agrees_with_scipy() {
        for (z, wanted) in [
            (0.0, 1.0),
            (0.5, 0.645_035_270_449_150_1),
            (1.0, 0.465_759_607_593_640_43),
            (5.0, 0.183_540_812_609_328_34),
            (19.99, 0.089_803_061_428_909_37),
            (20.0, 0.089_780_311_884_825_99),
            (50.0, 0.056_561_626_647_454_2),
            (1e6, 3.989_423_302_692_458e-4),
        ] {
            let found = scaled_i0(z);
            assert!((found / wanted - 1.0).abs() < 4e-15, "{z}: {found}, wanted {wanted}");
        }
    }

    // scipy.special.ive(1, z)/ive(0, z), SciPy 1.17.
    #[test]
    fn the_ratio_agrees_with_scipy() {
        for (z, wanted) in RATIOS {
            let found = ratio_i1_i0(z);
            assert!((found - wanted).abs() < 2e-8, "{z}: {found}, wanted {wanted}");
        }
    }
    const RATIOS: [(f64, f64); 6] = [
        (0.0, 0.0),
        (0.5, 0.24249961258080188),
        (1.0, 0.4463899658965345),
        (5.0, 0.8933831370440853),
        (39.9, 0.9873881053768655),
        (50.0, 0.9899489673784977),
    ];
}
