//! From a set of runs to influence coefficients.

use super::design::{Role, clock, initial_repeated};
use super::fault::InfluenceFault;
use super::fit::{FitFault, FitInput, SensorFit, fit};
use super::gate::{Agreement, agreement, blocks, last_change};
use super::prior::Prior;
use crate::caution::Caution;
use crate::chance::chi_squared_quantile;
use crate::run::RunSet;
use crate::shaft::{PlaneId, SensorId};

/// Whether drift of the readings is allowed for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub enum Drift {
    /// No drift, whatever the runs show.
    Ignored,
    /// Drift is fitted and removed where an initial run was repeated after the trials: then the runs show it.
    #[default]
    WhereTold,
    /// Drift proportional to time (or to the row's place) is fitted and removed, if the runs can show it.
    Fitted,
}

/// What the estimator is given besides the runs.
#[derive(Debug, Clone, Copy)]
pub struct Options<'a> {
    /// Whether to fit a drift.
    pub drift: Drift,
    /// The prior from sister shafts.
    pub prior: Option<&'a Prior>,
}

impl Default for Options<'_> {
    /// Nothing besides the runs: no drift, no sister shafts. A job's own default is [`Drift::WhereTold`].
    fn default() -> Self {
        Self { drift: Drift::Ignored, prior: None }
    }
}

/// A tried or check block and whether it agrees with the runs before it.
#[derive(Debug, Clone, PartialEq)]
pub struct JudgedBlock {
    /// Its rows.
    pub rows: Vec<usize>,
    /// Whether it agrees.
    pub agreement: Agreement,
}

impl JudgedBlock {
    /// Whether it disagrees with the runs before it.
    #[must_use]
    pub fn disagrees(&self) -> bool {
        self.agreement == Agreement::Disagrees
    }
}

/// The influence coefficients at one speed.
#[derive(Debug, Clone)]
pub struct GroupInfluence {
    /// For each sensor its fit; `None`: it could not be used.
    pub sensors: Vec<Option<SensorFit>>,
    /// The tried and check blocks in order.
    pub blocks: Vec<JudgedBlock>,
    /// Whether the last change of weights changed the readings as the coefficients predict, so that a run
    /// that did not fit before it no longer casts doubt on them.
    pub last_change_fits: bool,
    /// Whether drift was measured and is removed.
    pub drift_measured: bool,
    pub(super) clock: Vec<f64>,
}

impl GroupInfluence {
    /// The sensors with a fit.
    pub fn fits(&self) -> impl Iterator<Item = (SensorId, &SensorFit)> {
        SensorId::numbered(&self.sensors).filter_map(|(sensor, fit)| fit.as_ref().map(|fit| (sensor, fit)))
    }

    /// Whether a block disagreed with the runs before it.
    #[must_use]
    pub fn disagrees(&self) -> bool {
        self.contradicting().next().is_some()
    }

    /// The blocks that disagreed with the runs before them.
    pub fn contradicting(&self) -> impl Iterator<Item = &JudgedBlock> {
        self.blocks.iter().filter(|block| block.disagrees())
    }

    /// Whether a block that disagreed casts doubt on what is measured now: the last change of weights did not show
    /// that the coefficients hold.
    #[must_use]
    pub fn in_doubt(&self) -> bool {
        self.disagrees() && !self.last_change_fits
    }

    /// For each plane whether some sensor is known to respond to a mass there.
    #[must_use]
    pub fn tells(&self, planes: usize) -> Vec<bool> {
        PlaneId::all(planes).map(|plane| self.fits().any(|(_, fit)| fit.tells(plane))).collect()
    }
}

/// The influence coefficients of a shaft, speed by speed.
#[derive(Debug, Clone)]
pub struct Influence {
    /// In the order of the set's speed groups.
    pub groups: Vec<GroupInfluence>,
    /// The cautions.
    pub cautions: Vec<Caution>,
    /// What the runs do not show: empty unless from [`estimate_as_far_as_told`].
    pub untold: Vec<InfluenceFault>,
    /// What the estimator was given.
    told: (Drift, Option<Prior>),
}

impl Influence {
    /// What the estimator was given besides the runs.
    #[must_use]
    pub fn options(&self) -> Options<'_> {
        Options { drift: self.told.0, prior: self.told.1.as_ref() }
    }

    /// The smallest degrees of freedom behind any sensor's noise figure; `None` if some sensor has none.
    #[must_use]
    pub fn degrees_of_freedom(&self) -> Option<f64> {
        let mut fits = self.groups.iter().flat_map(GroupInfluence::fits).map(|(_, fit)| fit);
        fits.try_fold(f64::INFINITY, |least: f64, fit| {
            fit.noise_known().then(|| least.min(fit.degrees_of_freedom))
        })
    }
}

/// Finds the influence coefficients from a set of runs.
///
/// # Method
///
/// One complex linear regression for each sensor and speed (see the module), rows weighted by their standard
/// deviations where noise is stated. Tried and check blocks enter one after the other, each only if it agrees
/// with the rows before it at p = 0.001.
///
/// # Errors
///
/// Every [`InfluenceFault`]: planes that never carried a mass or cannot be distinguished come first.
///
/// # Example
///
/// Initial run 10, a trial of 2 at 0° makes it 12: one unit gives 1.
///
/// ```
/// use balance_core::influence::{Options, estimate};
/// use balance_core::quantity::{Angle, Mass};
/// use balance_core::run::*;
/// use balance_core::shaft::{CorrectionPlane, PlaneId, Sensor};
///
/// let run = |label: &str, kind, masses, amplitude| {
///     Run::new(label, kind, masses, vec![SensorReading::Shown { amplitude, phase: Angle::ZERO }])
/// };
/// let trial = PlacedMass {
///     plane: PlaneId::new(0), change: Change::Added, mass: Mass::from_grams(2.0).unwrap(), angle: Angle::ZERO, radius: None,
///     bead: Mass::from_grams(0.0).unwrap(),
/// };
/// let setup = Setup {
///     planes: vec![CorrectionPlane::named("front")], sensors: vec![Sensor::vibration("front", "mm/s")],
///     convention: Convention::unstated(), noise: Noise::not_stated(),
/// };
/// let runs = vec![run("1", RunKind::Initial, vec![], 10.0), run("2", RunKind::Trial, vec![trial], 12.0)];
/// let set = RunSet::new(setup, runs).unwrap();
/// let influence = estimate(&set, &Options::default()).unwrap();
/// let coefficient = influence.groups[0].sensors[0].as_ref().unwrap().coefficients[0];
/// assert!((coefficient.re - 1.0).abs() < 1e-12 && coefficient.im.abs() < 1e-12);
/// ```
pub fn estimate(set: &RunSet, options: &Options<'_>) -> Result<Influence, Vec<InfluenceFault>> {
    let everything = vec![vec![true; set.setup().planes.len()]; set.groups().len()];
    estimate_planes(set, options, &everything)
}

/// The same for only those planes whose response the runs show: what was measured can be judged as far as
/// those planes allow. What the runs do not show is in [`Influence::untold`], and [`GroupInfluence::tells`]
/// says which planes count; no correction may be taken from it.
///
/// # Errors
///
/// Every [`InfluenceFault`] if the runs show the response to no plane at all, or something else is wrong.
pub fn estimate_as_far_as_told(
    set: &RunSet,
    options: &Options<'_>,
) -> Result<Influence, Vec<InfluenceFault>> {
    let mut told = vec![vec![true; set.setup().planes.len()]; set.groups().len()];
    let mut untold: Vec<InfluenceFault> = Vec::new();
    loop {
        let faults = match estimate_planes(set, options, &told) {
            Ok(found) => return Ok(Influence { untold, ..found }),
            Err(faults) => faults,
        };
        let fewer = without_untold(set, &told, &faults);
        let nothing_left = fewer.iter().any(|group| group.iter().all(|plane| !plane));
        untold.extend(faults);
        if fewer == told || nothing_left {
            return Err(untold);
        }
        told = fewer;
    }
}

/// The planes that remain without those named in the faults.
fn without_untold(set: &RunSet, told: &[Vec<bool>], faults: &[InfluenceFault]) -> Vec<Vec<bool>> {
    let named = |group: usize, name: &str| {
        faults.iter().any(|fault| {
            let here = fault.speed().is_none_or(|speed| Some(speed) == speed_words(set, group).as_deref());
            here && fault.planes().iter().any(|plane| plane == name)
        })
    };
    let left = |(group, planes): (usize, &Vec<bool>)| {
        let names = set.setup().planes.iter().map(|plane| plane.name.as_str());
        planes.iter().zip(names).map(|(told, name)| *told && !named(group, name)).collect()
    };
    told.iter().enumerate().map(left).collect()
}

/// "1800 rpm" where there are several groups.
fn speed_words(set: &RunSet, group: usize) -> Option<String> {
    (set.groups().len() > 1)
        .then(|| set.groups()[group].speed.map(|speed| format!("{} rpm", speed.rpm())))
        .flatten()
}

fn estimate_planes(
    set: &RunSet,
    options: &Options<'_>,
    told: &[Vec<bool>],
) -> Result<Influence, Vec<InfluenceFault>> {
    let mut groups = Vec::new();
    let (mut cautions, mut faults) = (Vec::new(), Vec::new());
    let clock = clock(set);
    for (group, told) in told.iter().enumerate() {
        let mut estimator = Estimator {
            set,
            group,
            clock: clock.clone(),
            options: *options,
            drift: drift_told(set, group, options.drift),
            told,
            cautions: Vec::new(),
        };
        match estimator.run() {
            Ok(found) => groups.push(found),
            Err(found) => faults.extend(found),
        }
        cautions.append(&mut estimator.cautions);
    }
    faults.dedup();
    if faults.is_empty() {
        let told = (options.drift, options.prior.cloned());
        Ok(Influence { groups, cautions, untold: Vec::new(), told })
    } else {
        Err(faults)
    }
}

/// Whether a drift column belongs in a group's regression.
pub(super) fn drift_told(set: &RunSet, group: usize, drift: Drift) -> bool {
    match drift {
        Drift::Ignored => false,
        Drift::WhereTold => initial_repeated(set, group),
        Drift::Fitted => true,
    }
}

struct Estimator<'a> {
    set: &'a RunSet,
    group: usize,
    clock: Vec<f64>,
    options: Options<'a>,
    /// Whether there is a drift column.
    drift: bool,
    /// For every plane whether it has a coefficient.
    told: &'a [bool],
    cautions: Vec<Caution>,
}

impl Estimator<'_> {
    fn run(&mut self) -> Result<GroupInfluence, Vec<InfluenceFault>> {
        let blocks = blocks(self.set, self.group);
        let mut roles = self.roles_before_any_check(&blocks);
        let mut fitted = self.fit_settled(&roles)?;
        let mut judged = Vec::new();
        for block in blocks {
            let agreement = agreement(self.set, &fitted, &block);
            if agreement == Agreement::Agrees {
                block.iter().for_each(|&row| roles[row] = Role::Enters);
                fitted = self.fit_settled(&roles)?;
            }
            judged.push(JudgedBlock { rows: block, agreement });
        }
        fitted.last_change_fits = last_change(self.set, &fitted, &judged);
        fitted.blocks = judged;
        self.caution_blocks(&fitted);
        self.caution_scatter(&fitted);
        Ok(fitted)
    }

    fn roles_before_any_check(&self, blocks: &[Vec<usize>]) -> Vec<Role> {
        let role = |row: usize| {
            blocks.iter().position(|block| block.contains(&row)).map_or(Role::Enters, Role::Apart)
        };
        (0..self.set.rows().len()).map(role).collect()
    }

    /// Fits all sensors; drops the drift or the prior, with a caution, where the runs contradict it.
    fn fit_settled(&mut self, roles: &[Role]) -> Result<GroupInfluence, Vec<InfluenceFault>> {
        loop {
            let tried: Vec<Result<SensorFit, FitFault>> =
                self.set.setup().sensor_ids().map(|sensor| self.fit_one(roles, sensor)).collect();
            if self.drift && self.drift_not_told(&tried) {
                self.give_up_drift();
                continue;
            }
            if self.options.prior.is_some() {
                if tried.iter().flatten().any(|fit| !fit.noise_known()) {
                    return Err(vec![InfluenceFault::PriorNeedsNoise]);
                }
                if self.prior_disagrees(roles, &tried) {
                    self.give_up_prior();
                    continue;
                }
            }
            return self.usable(tried);
        }
    }

    fn fit_one(&self, roles: &[Role], sensor: SensorId) -> Result<SensorFit, FitFault> {
        fit(&FitInput {
            set: self.set,
            group: self.group,
            sensor,
            roles,
            clock: &self.clock,
            drift: self.drift,
            told: self.told,
            prior: self.options.prior.and_then(|prior| prior.of(self.group, sensor)),
        })
    }

    /// Whether the runs do not show the drift, or only by using the one difference that shows the scatter of
    /// the readings when that is not stated; then the drift counts as scatter.
    fn drift_not_told(&self, tried: &[Result<SensorFit, FitFault>]) -> bool {
        let unstated = !self.set.noise_stated();
        let takes_all = |fit: &SensorFit| !fit.coefficients_given() && !fit.redundant();
        tried.iter().any(|fit| matches!(fit, Err(FitFault::DriftNotDeterminable)))
            || (unstated && self.options.drift == Drift::WhereTold && tried.iter().flatten().any(takes_all))
    }

    fn give_up_drift(&mut self) {
        self.drift = false;
        if self.options.drift == Drift::Fitted {
            self.cautions.push(Caution::DriftNotDeterminable);
        }
    }

    fn give_up_prior(&mut self) {
        self.options.prior = None;
        self.cautions.push(Caution::PriorDropped);
    }

    /// Whether fit and prior together miss by more than chance allows (p = 0.001).
    fn prior_disagrees(&self, roles: &[Role], tried: &[Result<SensorFit, FitFault>]) -> bool {
        let alone = Self {
            set: self.set,
            group: self.group,
            clock: self.clock.clone(),
            cautions: Vec::new(),
            drift: self.drift,
            told: self.told,
            options: Options { prior: None, ..self.options },
        };
        let mut excess = 0.0;
        let mut degrees = 0.0;
        for (sensor, fit) in SensorId::numbered(tried).filter_map(|(at, fit)| Some((at, fit.as_ref().ok()?)))
        {
            let Some(prior) = self.options.prior.and_then(|prior| prior.of(self.group, sensor)) else {
                continue;
            };
            let without = alone.fit_one(roles, sensor);
            let (squares, own_degrees) = without.map_or((0.0, 0.0), |fit| fit.misfit);
            excess += fit.misfit.0 + fit.prior_distance(prior) - squares;
            degrees += fit.misfit.1 - own_degrees;
        }
        degrees > 0.0 && excess > chi_squared_quantile(0.999, 2.0 * degrees)
    }

    /// The sensors that can be used; a fault if there is none.
    fn usable(
        &mut self,
        tried: Vec<Result<SensorFit, FitFault>>,
    ) -> Result<GroupInfluence, Vec<InfluenceFault>> {
        let failed: Vec<(SensorId, FitFault)> = SensorId::numbered(&tried)
            .filter_map(|(sensor, fit)| fit.as_ref().err().map(|fault| (sensor, fault.clone())))
            .collect();
        if failed.len() == tried.len() {
            let mut faults: Vec<InfluenceFault> =
                failed.iter().flat_map(|(_, fault)| self.explain(fault)).collect();
            faults.dedup();
            return Err(faults);
        }
        if let Some((_, FitFault::OutOfRange)) =
            failed.iter().find(|(_, fault)| *fault == FitFault::OutOfRange)
        {
            return Err(vec![InfluenceFault::OutOfRange]);
        }
        for (sensor, _) in &failed {
            let caution = Caution::SensorLeftOut { sensor: self.set.setup().sensors[*sensor].name.clone() };
            if !self.cautions.contains(&caution) {
                self.cautions.push(caution);
            }
        }
        let sensors = tried.into_iter().map(Result::ok).collect();
        Ok(GroupInfluence {
            sensors,
            blocks: Vec::new(),
            last_change_fits: false,
            drift_measured: self.drift,
            clock: self.clock.clone(),
        })
    }

    fn explain(&self, fault: &FitFault) -> Vec<InfluenceFault> {
        let speed = speed_words(self.set, self.group);
        let name = |plane: &PlaneId| self.set.setup().planes[*plane].name.clone();
        match fault {
            FitFault::Dependent { planes, never_loaded: true } => planes
                .iter()
                .map(|plane| InfluenceFault::PlaneNeverLoaded { plane: name(plane), speed: speed.clone() })
                .collect(),
            FitFault::Dependent { planes, never_loaded: false } => {
                vec![InfluenceFault::PlanesNotSeparated { planes: planes.iter().map(name).collect(), speed }]
            }
            FitFault::OutOfRange => vec![InfluenceFault::OutOfRange],
            FitFault::NotRead | FitFault::DriftNotDeterminable => vec![InfluenceFault::NothingRead { speed }],
        }
    }

    fn caution_blocks(&mut self, fitted: &GroupInfluence) {
        for block in fitted.blocks.iter().filter(|block| block.disagrees()) {
            let run = &self.set.rows()[block.rows[0]].run;
            let run = run.label.clone();
            self.cautions.push(if fitted.last_change_fits {
                Caution::CheckDisagreed { run }
            } else {
                Caution::CheckDisagrees { run, cause: None }
            });
        }
    }

    fn caution_scatter(&mut self, fitted: &GroupInfluence) {
        for (sensor, _) in fitted.fits().filter(|(_, fit)| fit.above_stated) {
            let sensor = self.set.setup().sensors[sensor].name.clone();
            self.cautions.push(Caution::ScatterAboveStated { sensor });
        }
    }
}

#[cfg(test)]
mod tests {
    use num_complex::Complex64;

    use super::super::prior::SensorPrior;
    use super::*;
    use crate::run::by_hand::{ByHand, exactly, real};
    use crate::run::{Noise, RunKind};

    /// Initial run 10 (read `initial`, each off by as much as the other), a trial of 2 makes 12: one unit gives 1. Noise 0.1 in
    /// each component, so the coefficient has the variance 0.01·(1 + 1/n)/2² per component from n initial runs.
    fn runs(sensors: usize, initial: &[f64]) -> RunSet {
        let runs = initial.iter().fold(ByHand::new(1, sensors, exactly(0.1)), |runs, off| {
            runs.run(RunKind::Initial, &[], &vec![real(10.0 + off); sensors])
        });
        runs.run(RunKind::Trial, &[real(2.0)], &vec![real(12.0); sensors]).set()
    }

    /// Sister shafts that respond by `off` more, with a variance of 0.01 per component.
    fn sisters(sensors: usize, off: Complex64) -> Prior {
        let own = SensorPrior { mean: vec![real(1.0) + off], covariance: vec![vec![real(0.02)]] };
        Prior { sensors: vec![vec![Some(own); sensors]] }
    }

    fn with(set: &RunSet, prior: &Prior) -> Influence {
        estimate(set, &Options { drift: Drift::Ignored, prior: Some(prior) }).unwrap()
    }

    fn coefficient(influence: &Influence) -> Complex64 {
        influence.groups[0].sensors[0].as_ref().unwrap().coefficients[0]
    }

    // |off|² over the sum of both variances per component is χ² with 2 degrees of freedom for each sensor: at 0.001 up to
    // 13.816, and 18.467 for two sensors (printed tables). What the initial runs differ by among themselves is not the sisters'.
    #[test]
    fn sister_shafts_that_respond_otherwise_than_chance_allows_are_dropped() {
        for (sensors, initial, variance, quantile) in [
            (1, &[0.0][..], 0.005, 13.816),
            (2, &[0.0], 0.005, 18.467 / 2.0),
            (1, &[0.2, -0.2], 0.003_75, 13.816),
        ] {
            let set = runs(sensors, initial);
            let limit = f64::sqrt((variance + 0.01) * quantile);
            let near = with(&set, &sisters(sensors, Complex64::new(0.0, 0.999 * limit)));
            assert!(near.cautions.is_empty(), "{sensors} {initial:?}: {:?}", near.cautions);
            // The mean of both, weighted by the inverse of their variances.
            let share = variance / (variance + 0.01);
            let wanted = Complex64::new(1.0, 0.999 * limit * share);
            assert!((coefficient(&near) - wanted).norm() < 1e-9, "{sensors} {initial:?}");
            let far = with(&set, &sisters(sensors, Complex64::new(0.0, -1.001 * limit)));
            assert_eq!(far.cautions, [Caution::PriorDropped], "{sensors} {initial:?}");
            assert!((coefficient(&far) - 1.0).norm() < 1e-9, "{sensors} {initial:?}");
        }
    }

    #[test]
    fn sister_shafts_need_a_figure_for_the_noise() {
        let set = ByHand::new(1, 1, Noise::not_stated())
            .run(RunKind::Initial, &[], &[real(10.0)])
            .run(RunKind::Trial, &[real(2.0)], &[real(12.0)])
            .set();
        let prior = sisters(1, real(0.0));
        let options = Options { drift: Drift::Ignored, prior: Some(&prior) };
        assert_eq!(estimate(&set, &options).unwrap_err(), [InfluenceFault::PriorNeedsNoise]);
    }

    // Initial runs 10 and 14 at minutes 0 and 20, a trial of 2 at minute 5 that reads 13: drift 0.2 a minute, so 12 without it.
    #[test]
    fn a_repeated_initial_run_takes_the_drift_out() {
        let runs = ByHand::new(1, 1, exactly(0.1))
            .run(RunKind::Initial, &[], &[real(10.0)])
            .at_minute(0.0)
            .run(RunKind::Trial, &[real(2.0)], &[real(13.0)])
            .at_minute(5.0);
        let repeated = runs.clone().run(RunKind::Initial, &[], &[real(14.0)]).at_minute(20.0).set();
        let found = |set: &RunSet, drift| estimate(set, &Options { drift, prior: None }).unwrap();
        for drift in [Drift::WhereTold, Drift::Fitted] {
            let influence = found(&repeated, drift);
            assert!((coefficient(&influence) - 1.0).norm() < 1e-12 && influence.groups[0].drift_measured);
        }
        // Without drift the mean of the initial runs is 12.
        let ignored = found(&repeated, Drift::Ignored);
        assert!((coefficient(&ignored) - 0.5).norm() < 1e-12 && !ignored.groups[0].drift_measured);
        let once = found(&runs.set(), Drift::Fitted);
        assert_eq!(once.cautions, [Caution::DriftNotDeterminable]);
        assert!((coefficient(&once) - 1.5).norm() < 1e-12 && !once.groups[0].drift_measured);
    }
}
