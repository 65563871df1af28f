//! How one shaft responds, as kept in a record: influence coefficients with their covariance.

use num_complex::Complex64;

use super::{Influence, Options, OwnAnswers, Prior, SensorFit, SensorPrior, estimate};
use crate::quantity::Speed;
use crate::run::{Convention, MassAngle, RunSet};
use crate::shaft::Shows;

/// A complex number as two.
pub(super) type Pair = [f64; 2];

/// How one shaft responds, from its own runs. Angles are counted against the rotation, whatever the job does.
#[derive(Debug, Clone, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct ShaftAnswers {
    /// Names of the correction planes, front to rear.
    pub planes: Vec<String>,
    /// The unit of unbalance: `g.mm`, or `g` where masses are compared at one radius.
    pub per: String,
    /// Speed by speed.
    pub speeds: Vec<SpeedAnswers>,
}

/// The response at one speed.
#[derive(Debug, Clone, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct SpeedAnswers {
    /// The stand's speed; `None`: the runs have none.
    pub speed_rpm: Option<f64>,
    /// Sensor by sensor.
    pub sensors: Vec<SensorAnswers>,
}

/// One sensor's response, plane by plane.
#[derive(Debug, Clone, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct SensorAnswers {
    /// As the job names it.
    pub name: String,
    /// The unit of its amplitude.
    pub unit: String,
    /// Reading per unit of unbalance at angle 0.
    pub coefficients: Vec<Pair>,
    /// Complex covariance of the coefficients.
    pub covariance: Vec<Vec<Pair>>,
    /// The prior from sister shafts, where the runs alone do not determine every coefficient: it is included
    /// in the figures above.
    pub prior: Option<PriorAnswers>,
}

/// The prior from sister shafts, before the runs.
#[derive(Debug, Clone, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct PriorAnswers {
    /// Mean coefficients.
    pub mean: Vec<Pair>,
    /// Complex covariance about them.
    pub covariance: Vec<Vec<Pair>>,
}

impl ShaftAnswers {
    /// The response of a shaft, for its record. `influence` is the estimate that was used, `prior` the part
    /// of it from sister shafts.
    ///
    /// The runs are tried alone first; only if they do not determine every coefficient is the estimate with
    /// the prior used, and the prior is kept with it so that it can be taken out again. Sensors without a
    /// figure for the noise, and those that show unbalance themselves, are left out; `None` if none is left.
    #[must_use]
    pub fn of(set: &RunSet, influence: &Influence, prior: Option<&Prior>) -> Option<Self> {
        let alone = prior.and_then(|_| estimate(set, &Options::default()).ok());
        let (influence, prior) = match &alone {
            Some(alone) => (alone, None),
            None => (influence, prior),
        };
        let setup = set.setup();
        let mirror = Mirror::of(&setup.convention);
        let speeds: Vec<SpeedAnswers> = (0..set.groups().len())
            .map(|group| {
                let usable = influence.groups[group]
                    .fits()
                    .filter(|(sensor, _)| setup.sensors[*sensor].shows == Shows::Vibration);
                let sensors = usable.filter_map(|(sensor, fit)| {
                    let prior = prior.and_then(|prior| prior.of(group, sensor));
                    mirror.sensor(&setup.sensors[sensor], fit, prior)
                });
                SpeedAnswers {
                    speed_rpm: set.groups()[group].speed.map(Speed::rpm),
                    sensors: sensors.collect(),
                }
            })
            .filter(|speed: &SpeedAnswers| !speed.sensors.is_empty())
            .collect();
        (!speeds.is_empty()).then(|| Self {
            planes: setup.planes.iter().map(|plane| plane.name.clone()).collect(),
            per: per(set).into(),
            speeds,
        })
    }

    /// The response at this speed, within 1 %.
    pub(super) fn at(&self, speed_rpm: Option<f64>) -> Option<&SpeedAnswers> {
        self.speeds.iter().find(|own| same_speed(own.speed_rpm, speed_rpm))
    }
}

impl SensorAnswers {
    /// The information from the shaft's own runs; `None` if the figures are damaged or give none.
    pub(super) fn own(&self) -> Option<OwnAnswers> {
        let (coefficients, covariance) = (vector(&self.coefficients), matrix(&self.covariance));
        match &self.prior {
            None => OwnAnswers::new(&coefficients, &covariance),
            Some(prior) => {
                let prior = SensorPrior { mean: vector(&prior.mean), covariance: matrix(&prior.covariance) };
                OwnAnswers::without_prior(&coefficients, &covariance, &prior)
            }
        }
    }
}

/// The unit of unbalance of a set of runs.
pub(super) fn per(set: &RunSet) -> &'static str {
    if set.setup().planes.iter().all(|plane| plane.radius.is_some()) { "g.mm" } else { "g" }
}

/// Whether two speeds belong to one group: they are within 1 %, or neither is stated.
pub(super) fn same_speed(one: Option<f64>, other: Option<f64>) -> bool {
    match (one, other) {
        (Some(one), Some(other)) => (one - other).abs() <= 0.01 * one.abs().max(other.abs()),
        (None, None) => true,
        _ => false,
    }
}

/// Counting masses with the rotation mirrors every vector: between that and the archive's own counting.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Mirror {
    AsItIs,
    Mirrored,
}

impl Mirror {
    pub fn of(convention: &Convention) -> Self {
        match convention.mass_angle {
            MassAngle::AgainstRotation => Self::AsItIs,
            MassAngle::WithRotation => Self::Mirrored,
        }
    }

    pub fn vector(self, vector: &[Complex64]) -> Vec<Complex64> {
        vector.iter().map(|value| if self == Self::Mirrored { value.conj() } else { *value }).collect()
    }

    pub fn matrix(self, rows: &[Vec<Complex64>]) -> Vec<Vec<Complex64>> {
        rows.iter().map(|row| self.vector(row)).collect()
    }

    fn sensor(
        self,
        sensor: &crate::shaft::Sensor,
        fit: &SensorFit,
        prior: Option<&SensorPrior>,
    ) -> Option<SensorAnswers> {
        let covariance = fit.coefficient_covariance()?;
        // If the runs themselves raised the noise, it no longer matches the prior's share: such an estimate
        // cannot be taken apart.
        if prior.is_some() && fit.above_stated {
            return None;
        }
        Some(SensorAnswers {
            name: sensor.name.clone(),
            unit: sensor.unit.clone(),
            coefficients: pairs(&self.vector(&fit.coefficients)),
            covariance: rows(&self.matrix(&covariance)),
            prior: prior.map(|prior| PriorAnswers {
                mean: pairs(&self.vector(&prior.mean)),
                covariance: rows(&self.matrix(&prior.covariance)),
            }),
        })
    }
}

fn pairs(vector: &[Complex64]) -> Vec<Pair> {
    vector.iter().map(|value| [value.re, value.im]).collect()
}

fn rows(matrix: &[Vec<Complex64>]) -> Vec<Vec<Pair>> {
    matrix.iter().map(|row| pairs(row)).collect()
}

fn vector(pairs: &[Pair]) -> Vec<Complex64> {
    pairs.iter().map(|[re, im]| Complex64::new(*re, *im)).collect()
}

fn matrix(rows: &[Vec<Pair>]) -> Vec<Vec<Complex64>> {
    rows.iter().map(|row| vector(row)).collect()
}
