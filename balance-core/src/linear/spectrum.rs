//! Fourier transforms: the only place that names their library.

use num_complex::Complex64;

/// Power |Σ x_n·e^(−2πj·n·m/size)|² for every m below `size`, the values padded with zeros.
///
/// ```
/// # #[cfg(feature = "checks")]
/// # fn shown() {
/// use balance_core::{Complex64, linear::powers};
/// let wave: Vec<Complex64> = (0..6).map(|n| Complex64::cis(std::f64::consts::TAU * 2.0 * f64::from(n) / 8.0)).collect();
/// let powers = powers(&wave, 8);
/// assert!((powers[2] - 36.0).abs() < 1e-12);
/// # }
/// # #[cfg(feature = "checks")]
/// # shown();
/// ```
#[must_use]
pub fn powers(values: &[Complex64], size: usize) -> Vec<f64> {
    let mut padded: Vec<Complex64> = values.iter().copied().take(size).collect();
    padded.resize(size, Complex64::ZERO);
    if size > 0 {
        rustfft::FftPlanner::new().plan_fft_forward(size).process(&mut padded);
    }
    padded.iter().map(Complex64::norm_sqr).collect()
}
