//! What is known of the coefficients before the first run: from sister shafts.

use num_complex::Complex64;

use crate::linear::{CMatrix, CVector, from_rows};
use crate::shaft::SensorId;

/// One sensor's coefficients, from sister shafts.
#[derive(Debug, Clone, PartialEq)]
pub struct SensorPrior {
    /// Mean coefficient for each plane: reading per g·mm.
    pub mean: Vec<Complex64>,
    /// Complex covariance `E(δ·δᴴ)` of a new shaft's coefficients about that mean, planes × planes; Hermitian, positive
    /// definite.
    pub covariance: Vec<Vec<Complex64>>,
}

impl SensorPrior {
    /// Mean and covariance as matrices; `None` if their sizes do not match.
    pub(super) fn matrices(&self) -> Option<(CVector, CMatrix)> {
        let covariance = from_rows(&self.covariance).filter(|own| own.nrows() == self.mean.len())?;
        Some((CVector::from_column_slice(&self.mean), covariance))
    }
}

/// The prior from sister shafts, by speed group and sensor.
#[derive(Debug, Clone, PartialEq)]
pub struct Prior {
    /// `sensors[group][sensor]`; `None`: nothing is known about that sensor.
    pub sensors: Vec<Vec<Option<SensorPrior>>>,
}

impl Prior {
    /// What is known about this sensor at this speed.
    #[must_use]
    pub fn of(&self, group: usize, sensor: SensorId) -> Option<&SensorPrior> {
        self.sensors.get(group)?.get(sensor.index())?.as_ref()
    }
}
