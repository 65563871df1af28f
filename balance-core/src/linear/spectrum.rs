//! Fourier transforms: the only place that names their library.

use std::sync::Arc;

use num_complex::Complex64;

/// Spectra of one size.
///
/// ```
/// # #[cfg(feature = "checks")]
/// # fn shown() {
/// use balance_core::{Complex64, linear::Spectra};
/// let wave: Vec<Complex64> = (0..6).map(|n| Complex64::cis(std::f64::consts::TAU * 2.0 * f64::from(n) / 8.0)).collect();
/// let powers = Spectra::of(8).powers(&wave);
/// assert!((powers[2] - 36.0).abs() < 1e-12);
/// # }
/// # #[cfg(feature = "checks")]
/// # shown();
/// ```
pub struct Spectra {
    transform: Arc<dyn rustfft::Fft<f64>>,
}

impl Spectra {
    /// Of so many values; at least one.
    #[must_use]
    pub fn of(size: usize) -> Self {
        Self { transform: rustfft::FftPlanner::new().plan_fft_forward(size.max(1)) }
    }

    /// Power |Σ x_n·e^(−2πj·n·m/size)|² for every m below the size, the values padded with zeros.
    #[must_use]
    pub fn powers(&self, values: &[Complex64]) -> Vec<f64> {
        let size = self.transform.len();
        let mut padded: Vec<Complex64> = values.iter().copied().take(size).collect();
        padded.resize(size, Complex64::ZERO);
        self.transform.process(&mut padded);
        padded.iter().map(Complex64::norm_sqr).collect()
    }
}
