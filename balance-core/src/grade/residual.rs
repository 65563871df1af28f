//! What is left, from the readings of the check run: never from a forecast.

use num_complex::Complex64;

use crate::influence::{Influence, Lines, System, Which};
use crate::linear::CMatrix;
use crate::run::RunSet;

/// Why what is left cannot be told.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum ResidualFault {
    /// There is no run of the state asked about at the highest speed.
    #[error("no {which} run was read{at_speed}")]
    NotRead {
        /// "check" or "initial".
        which: &'static str,
        /// " at 1800 rpm", or nothing.
        at_speed: String,
    },
    /// Fewer sensors were read than there are planes.
    #[error("{sensors} sensor(s) read in the {which} run cannot tell what is left at {planes} places")]
    TooFewSensors {
        /// How many were read.
        sensors: usize,
        /// How many places there are.
        planes: usize,
        /// "check" or "initial".
        which: &'static str,
    },
}

/// What is left at one speed, as unbalance in the correction planes, with its uncertainty by where it comes from.
///
/// Covariances are complex, planes × planes, per component, (g·mm)².
#[derive(Debug, Clone)]
pub struct MeasuredResidual {
    /// Index of the speed group.
    pub group: usize,
    /// One unbalance for each correction plane, g·mm.
    pub unbalance: Vec<Complex64>,
    /// From the check readings' own noise (their mean's).
    pub reading: Option<CMatrix>,
    /// From the influence coefficients.
    pub coefficients: Option<CMatrix>,
    /// From placing and weighing the trial masses by hand.
    pub placement: Option<CMatrix>,
    /// From the scatter between mountings (of their mean), reading noise included; `None` with one mounting.
    pub mountings_scatter: Option<CMatrix>,
    /// How many mountings were measured.
    pub mountings: usize,
    /// How many check rows the mean is of.
    pub runs: usize,
    /// Complex degrees of freedom behind the reading noise.
    pub degrees_of_freedom: f64,
}

/// What is left in a state of the shaft at one speed.
///
/// # Method
///
/// u = A⁺·v with v the mean of the measured readings; every reading is followed through v and A into u to first order.
///
/// # Errors
///
/// [`ResidualFault`] if the state was not read at this speed, or by fewer sensors than there are planes.
pub fn measured_residual(
    set: &RunSet,
    influence: &Influence,
    group: usize,
    which: Which,
) -> Result<MeasuredResidual, ResidualFault> {
    let block = match which {
        Which::Now => set.last_check_block(),
        Which::AsFound => set.initial_block(),
    };
    let word = if which == Which::Now { "check" } else { "initial" };
    let runs = block.iter().filter(|&&row| set.rows()[row].group == group).count();
    if runs == 0 {
        let at_speed =
            set.groups()[group].speed.map_or_else(String::new, |s| format!(" at {:.0} rpm", s.rpm()));
        return Err(ResidualFault::NotRead { which: word, at_speed });
    }
    let system = System::with(set, influence, &[group], which, Lines::Measured);
    let (sensors, planes) = system.shape();
    if sensors < planes {
        return Err(ResidualFault::TooFewSensors { sensors, planes, which: word });
    }
    let unbalance = system.unbalance();
    let opposite: Vec<Complex64> = unbalance.iter().map(|value| -value).collect();
    let variances = system.variances_after(&opposite);
    let part = |pick: fn(&crate::influence::Variance) -> f64| {
        variances.as_ref().map(|lines| system.plane_covariance(&lines.iter().map(pick).collect::<Vec<f64>>()))
    };
    let by_mounting = by_mounting(&system);
    Ok(MeasuredResidual {
        group,
        reading: part(|variance| variance.reading),
        // What the coefficients add to the total, correlations with the check readings included.
        coefficients: part(|variance| (variance.total - variance.reading - variance.placement).max(0.0))
            .zip(system.turning_covariance(&opposite))
            .map(|(seen, turning)| seen + turning),
        placement: part(|variance| variance.placement),
        mountings_scatter: scatter(&by_mounting),
        mountings: by_mounting.len().max(1),
        runs,
        degrees_of_freedom: system.degrees_of_freedom(),
        unbalance,
    })
}

/// What is left in each mounting in which every sensor was read.
fn by_mounting(system: &System<'_>) -> Vec<Vec<Complex64>> {
    let Some(first) = system.lines.first() else { return Vec::new() };
    let reading_in = |name: &str| -> Option<Vec<Complex64>> {
        system
            .lines
            .iter()
            .map(|line| {
                line.state.by_mounting.iter().find(|(own, _)| own == name).map(|(_, reading)| *reading)
            })
            .collect()
    };
    let names = first.state.by_mounting.iter().map(|(name, _)| name);
    names.filter_map(|name| reading_in(name)).map(|readings| system.unbalance_of(&readings)).collect()
}

/// Covariance per component of the mean over mountings, from their scatter; `None` for fewer than two.
fn scatter(mountings: &[Vec<Complex64>]) -> Option<CMatrix> {
    let count = mountings.len();
    let planes = mountings.first()?.len();
    if count < 2 {
        return None;
    }
    let mean = |plane: usize| mountings.iter().map(|own| own[plane]).sum::<Complex64>() / count as f64;
    let means: Vec<Complex64> = (0..planes).map(mean).collect();
    let divisor = 2.0 * (count * (count - 1)) as f64;
    Some(CMatrix::from_fn(planes, planes, |one, other| {
        let product = |own: &Vec<Complex64>| (own[one] - means[one]) * (own[other] - means[other]).conj();
        mountings.iter().map(product).sum::<Complex64>() / divisor
    }))
}
