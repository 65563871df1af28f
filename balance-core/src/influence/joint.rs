//! All runs in one fit, without a gate: how well a whole story agrees.

use num_complex::Complex64;

use super::design::{Role, clock};
use super::estimate::{Options, drift_told};
use super::fit::{FitFault, FitInput, SensorFit, fit};
use crate::run::RunSet;
use crate::shaft::SensorId;

/// How well one sensor at one speed agrees with a story.
#[derive(Debug, Clone, PartialEq)]
pub struct SensorJoint {
    /// Index of the speed group.
    pub group: usize,
    /// Which sensor.
    pub sensor: SensorId,
    /// The coefficients, one for each plane; empty where they are given, not fitted.
    pub coefficients: Vec<Complex64>,
    /// Sum of squared misfits (the prior's included), each over its variance per component; in the sensor's unit
    /// squared where no noise is stated.
    pub squares: f64,
    /// Complex degrees of freedom of that sum.
    pub degrees: f64,
    /// ln det of the rows' information about the unknowns, and of the rows' variances, in two components
    /// each.
    pub log_spread: f64,
}

/// How well all runs together agree with one set of coefficients.
#[derive(Debug, Clone, PartialEq)]
pub struct Joint {
    /// Every sensor with a fit, at every speed.
    pub sensors: Vec<SensorJoint>,
}

impl Joint {
    /// Sum of the squared misfits.
    #[must_use]
    pub fn squares(&self) -> f64 {
        self.sensors.iter().map(|sensor| sensor.squares).sum()
    }

    /// Complex degrees of freedom of that sum.
    #[must_use]
    pub fn degrees(&self) -> f64 {
        self.sensors.iter().map(|sensor| sensor.degrees).sum()
    }
}

/// Fits every sensor at every speed with all rows at once, except those in `apart`; `None` if a sensor in the
/// runs cannot be fitted.
#[must_use]
pub fn joint(set: &RunSet, options: &Options<'_>, apart: &[usize]) -> Option<Joint> {
    fit_all(set, options, apart, |_| true)
}

/// The same with all rows, stopping at the first sensor that scatters clearly more than the stated noise
/// allows: a quick way through many stories, most of which are far off.
#[must_use]
pub fn joint_within_noise(set: &RunSet, options: &Options<'_>) -> Option<Joint> {
    fit_all(set, options, &[], |fit| !fit.above_stated)
}

fn fit_all(
    set: &RunSet,
    options: &Options<'_>,
    apart: &[usize],
    goes_on: impl Fn(&SensorFit) -> bool,
) -> Option<Joint> {
    let roles: Vec<Role> = (0..set.rows().len())
        .map(|row| apart.iter().position(|own| *own == row).map_or(Role::Enters, Role::Apart))
        .collect();
    let clock = clock(set);
    let told = vec![true; set.setup().planes.len()];
    let mut sensors = Vec::new();
    for group in 0..set.groups().len() {
        for sensor in set.setup().sensor_ids() {
            let prior = options.prior.and_then(|prior| prior.of(group, sensor));
            let input = FitInput {
                set,
                group,
                sensor,
                roles: &roles,
                clock: &clock,
                drift: drift_told(set, group, options.drift),
                told: &told,
                prior,
            };
            match fit_as_far_as_told(input) {
                Ok(fit) if !goes_on(&fit) => return None,
                Ok(fit) => sensors.push(SensorJoint {
                    group,
                    sensor,
                    coefficients: if fit.coefficients_given() {
                        Vec::new()
                    } else {
                        fit.coefficients.clone()
                    },
                    squares: fit.misfit.0 + prior.map_or(0.0, |prior| fit.prior_distance(prior)),
                    degrees: fit.misfit.1,
                    log_spread: fit.log_spread(),
                }),
                Err(FitFault::NotRead) => {}
                Err(_) => return None,
            }
        }
    }
    Some(Joint { sensors })
}

/// The fit, without the drift where the runs cannot show it.
fn fit_as_far_as_told(mut input: FitInput<'_>) -> Result<SensorFit, FitFault> {
    match fit(&input) {
        Err(FitFault::DriftNotDeterminable) => {
            input.drift = false;
            fit(&input)
        }
        other => other,
    }
}
