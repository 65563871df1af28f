//! What is left, from the readings of the check run: never from a forecast.

use num_complex::Complex64;

use crate::chance::f_quantile;
use crate::influence::{Influence, Line, Lines, System, Variance, Which};
use crate::linear::CMatrix;
use crate::run::RunSet;

use super::Transfer;

/// Why what is left cannot be determined.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum ResidualFault {
    /// There is no run of the requested state at the highest speed.
    #[error("no {which} run was read{at_speed}")]
    NotRead {
        /// "check" or "initial".
        which: &'static str,
        /// " at 1800 rpm", or nothing.
        at_speed: String,
    },
    /// Fewer sensors were read than there are planes.
    #[error("{sensors} sensor(s) read in the {which} run cannot show what is left at {planes} places")]
    TooFewSensors {
        /// How many were read.
        sensors: usize,
        /// How many places there are.
        planes: usize,
        /// "check" or "initial".
        which: &'static str,
    },
}

/// What is left at one speed, as unbalance in the correction planes, with its uncertainty by where it comes
/// from.
///
/// Its covariances are complex, planes × planes, per component, (g·mm)²; [`budget_of`](super::budget_of)
/// moves them to where the limit holds.
#[derive(Debug, Clone)]
pub struct MeasuredResidual {
    /// Index of the speed group.
    pub group: usize,
    /// One unbalance for each correction plane, g·mm; zero for a plane whose response the runs do not show.
    pub unbalance: Vec<Complex64>,
    /// For each correction plane whether the runs show how the shaft responds to a mass there.
    pub told: Vec<bool>,
    /// From the noise of the check readings (of their mean).
    pub(super) reading: Option<CMatrix>,
    /// From the steps of the dials, which equal repeats do not average away.
    pub(super) steps: Option<CMatrix>,
    /// From the influence coefficients.
    pub(super) coefficients: Option<CMatrix>,
    /// From placing and weighing the trial masses by hand.
    pub(super) placement: Option<CMatrix>,
    /// The uncertainty left by readings below the dials' scale.
    pub below: BelowScale,
    /// The part of the readings that no plane explains; `None` with as many sensors as planes.
    pub unexplained: Option<Unexplained>,
    /// What is left in each mounting in which every sensor was read.
    pub by_mounting: Vec<Vec<Complex64>>,
    /// What the baseline of an earlier mounting forecasts to be left, if the check was read in other
    /// mountings.
    pub earlier_mounting: Option<Vec<Complex64>>,
    /// How many mountings were measured.
    pub mountings: usize,
    /// How many check rows the mean is taken over.
    pub runs: usize,
    /// Complex degrees of freedom behind the reading noise.
    pub degrees_of_freedom: f64,
    /// Whether its readings state their own uncertainty, as those out of recordings do.
    pub from_recordings: bool,
    /// Whether drift was measured and removed from the readings.
    pub drift_measured: bool,
}

/// The uncertainty left by readings below the dials' scale: bounds, which no repeat makes smaller.
#[derive(Debug, Clone, PartialEq)]
pub struct BelowScale {
    /// For each line how far its reading can be off, in the sensor's unit.
    bounds: Vec<f64>,
    /// Planes × lines: what turns readings into unbalances.
    inverse: CMatrix,
    /// Whether a reading of the judged state itself was below the scale: reading it again gives no more
    /// information.
    pub in_state: bool,
}

impl BelowScale {
    /// The bound Δ in g·mm for each tolerance plane: Σ_i |(T·A⁺)_ki|·x_i, the product first.
    #[must_use]
    pub fn bound(&self, transfer: &Transfer) -> Vec<f64> {
        let planes = transfer.matrix().nrows();
        if self.bounds.iter().all(|bound| *bound == 0.0) {
            return vec![0.0; planes];
        }
        let Some(moved) = transfer.times(&self.inverse) else { return vec![0.0; planes] };
        let of_plane = |plane: usize| {
            self.bounds.iter().enumerate().map(|(line, bound)| moved[(plane, line)].norm() * bound).sum()
        };
        (0..planes).map(of_plane).collect()
    }
}

/// The part of the readings that no mass on the planes explains: dial runout, a bend, another unbalance.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Unexplained {
    /// Its size as an unbalance, g·mm: the largest |v − A·u| over the sensor's strongest coefficient.
    pub size: f64,
    /// Whether it is larger than chance allows (p = 0.001); `None` without a figure for the noise.
    pub beyond_chance: Option<bool>,
}

/// What is left in a state of the shaft at one speed.
///
/// # Method
///
/// u = A⁺·v with v the mean of the measured readings, less any measured drift; every reading is followed
/// through v and A into u to first order.
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
    let part = |pick: fn(&Variance) -> f64| {
        variances.as_ref().map(|lines| system.plane_covariance(&lines.iter().map(pick).collect::<Vec<f64>>()))
    };
    let by_mounting = by_mounting(&system);
    Ok(MeasuredResidual {
        group,
        told: system.tells(),
        reading: part(|variance| variance.reading),
        steps: part(|variance| variance.steps),
        // What the coefficients add to the total, including correlations with the check readings.
        coefficients: part(|variance| {
            (variance.total - variance.reading - variance.placement - variance.steps).max(0.0)
        })
        .zip(system.turning_covariance(&opposite))
        .map(|(seen, turning)| seen + turning),
        placement: part(|variance| variance.placement),
        below: BelowScale {
            bounds: system.below_bounds(&opposite),
            inverse: system.inverse().clone(),
            in_state: system.lines.iter().any(|line| line.state.below),
        },
        unexplained: unexplained(&system, &opposite, variances.as_deref()),
        earlier_mounting: (which == Which::Now).then(|| earlier_mounting(set, &system)).flatten(),
        mountings: by_mounting.len().max(1),
        by_mounting,
        runs,
        degrees_of_freedom: system.degrees_of_freedom(),
        drift_measured: influence.groups[group].drift_measured,
        from_recordings: from_recordings(set, &block),
        unbalance,
    })
}

/// Whether every reading of these rows states its own uncertainty.
fn from_recordings(set: &RunSet, block: &[usize]) -> bool {
    block.iter().all(|&row| set.rows()[row].observed.iter().flatten().all(|reading| reading.own))
}

/// What the planes do not explain of the readings.
fn unexplained(
    system: &System<'_>,
    opposite: &[Complex64],
    variances: Option<&[Variance]>,
) -> Option<Unexplained> {
    let (lines, planes) = system.shape();
    if lines <= planes {
        return None;
    }
    let strongest = |line: &Line<'_>| line.fit.coefficients.iter().map(|own| own.norm()).fold(0.0, f64::max);
    let size = system
        .lines
        .iter()
        .zip(system.readings_after(opposite))
        .map(|(line, left)| left.norm() / strongest(line).max(f64::MIN_POSITIVE))
        .fold(0.0, f64::max);
    // A misplaced trial turns the response of all sensors together, so it explains nothing here.
    let own = |variance: &Variance| variance.total - variance.placement;
    let beyond_chance = variances.map(|lines_of| {
        let spread: Vec<f64> = lines_of.iter().map(own).collect();
        let degrees = 2.0 * (lines - planes) as f64;
        let limit = f_quantile(0.999, degrees, 2.0 * system.degrees_of_freedom());
        system.misfit(&spread) / degrees > limit
    });
    Some(Unexplained { size, beyond_chance })
}

/// What the baseline of a mounting without a check run forecasts to be left.
fn earlier_mounting(set: &RunSet, system: &System<'_>) -> Option<Vec<Complex64>> {
    let loads = &set.rows()[*set.last_check_block().last()?].loads;
    let measured = |name: &str| {
        system.lines.iter().any(|line| line.state.by_mounting.iter().any(|(own, _)| own == name))
    };
    let forecast = |name: &str| -> Option<Vec<Complex64>> {
        let of_line = |line: &Line<'_>| Some(line.fit.baseline(name)? + line.fit.effect(loads));
        system.lines.iter().map(of_line).collect()
    };
    let names = system.lines.first()?.fit.mountings();
    names
        .iter()
        .filter(|name| !measured(name))
        .find_map(|name| forecast(name))
        .map(|readings| system.unbalance_of(&readings))
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
