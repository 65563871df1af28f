//! How one sensor responds, as far as a sensor without phase can tell.

use num_complex::Complex64;

/// A run as one sensor without phase saw it.
#[derive(Debug, Clone, PartialEq)]
pub struct AmplitudeRun {
    /// For each plane the unbalance that was on, g·mm.
    pub loads: Vec<Complex64>,
    /// For each plane the complex variance of that from placing and weighing by hand, (g·mm)².
    pub load_variances: Vec<f64>,
    /// What the sensor showed, in its unit.
    pub amplitude: f64,
    /// Variance per component of a reading this large, in the sensor's unit squared; `None`: no noise is stated.
    pub variance: Option<f64>,
}

impl AmplitudeRun {
    /// A run with masses that are exact.
    #[must_use]
    pub fn exact(loads: Vec<Complex64>, amplitude: f64, variance: Option<f64>) -> Self {
        Self { load_variances: vec![0.0; loads.len()], loads, amplitude, variance }
    }
}

/// One sensor's response: the amplitude of its reading with nothing added, taken as the zero of its own phase, and for
/// each plane the reading that 1 g·mm at angle zero causes, its phase counted from there.
#[derive(Debug, Clone, PartialEq)]
pub struct SensorResponse {
    /// The reading with nothing added, in the sensor's unit; zero or more.
    pub baseline: f64,
    /// Reading per g·mm, for each plane.
    pub gains: Vec<Complex64>,
}

impl SensorResponse {
    /// The reading with these loads (g·mm, one for each plane), its phase counted from the reading with nothing added.
    #[must_use]
    pub fn reading(&self, loads: &[Complex64]) -> Complex64 {
        self.baseline + self.gains.iter().zip(loads).map(|(gain, load)| gain * load).sum::<Complex64>()
    }

    /// From the unknowns of the fit; a negative baseline is the same response turned by half a turn.
    pub(super) fn of(unknowns: &[f64]) -> Self {
        let sign = if unknowns[0] < 0.0 { -1.0 } else { 1.0 };
        let gains = unknowns[1..].chunks_exact(2).map(|pair| Complex64::new(pair[0], pair[1]) * sign);
        Self { baseline: unknowns[0].abs(), gains: gains.collect() }
    }

    pub(super) fn unknowns(&self) -> Vec<f64> {
        let gains = self.gains.iter().flat_map(|gain| [gain.re, gain.im]);
        std::iter::once(self.baseline).chain(gains).collect()
    }
}
