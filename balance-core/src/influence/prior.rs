//! What is known of the coefficients before the first run: from sister shafts.

use crate::linear::{CMatrix, CVector};
use crate::shaft::SensorId;

/// What sister shafts say of one sensor's coefficients.
#[derive(Debug, Clone, PartialEq)]
pub struct SensorPrior {
    /// Mean coefficient for each plane: reading per g·mm.
    pub mean: CVector,
    /// Complex covariance `E(δ·δᴴ)` of a new shaft's coefficients about that mean; Hermitian, positive definite.
    pub covariance: CMatrix,
}

/// What sister shafts say, by speed group and sensor.
#[derive(Debug, Clone, PartialEq)]
pub struct Prior {
    /// `sensors[group][sensor]`; `None`: nothing is known of that sensor.
    pub sensors: Vec<Vec<Option<SensorPrior>>>,
}

impl Prior {
    /// What is known of this sensor at this speed.
    #[must_use]
    pub fn of(&self, group: usize, sensor: SensorId) -> Option<&SensorPrior> {
        self.sensors.get(group)?.get(sensor.index())?.as_ref()
    }
}
