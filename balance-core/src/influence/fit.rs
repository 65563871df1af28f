//! The regression of one sensor at one speed.

use num_complex::Complex64;

use super::design::{Layout, Role, known_coefficients};
use super::prior::SensorPrior;
use crate::chance::chi_squared_quantile;
use crate::linear::{CMatrix, CVector, gain, refined, singular_values, whitening};
use crate::run::{ReadingNoise, RunKind, RunSet, crosstalk};

/// What the regression of a sensor needs besides the runs.
pub(super) struct FitInput<'a> {
    pub set: &'a RunSet,
    pub group: usize,
    pub sensor: usize,
    /// For every row of the set.
    pub roles: &'a [Role],
    /// For every row of the set.
    pub clock: &'a [f64],
    pub drift: bool,
    pub prior: Option<&'a SensorPrior>,
}

/// Why one sensor has no fit.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum FitFault {
    NotRead,
    Dependent { planes: Vec<usize>, never_loaded: bool },
    DriftNotDeterminable,
    OutOfRange,
}

/// Variance per component of a figure that is linear in the readings, by where it comes from.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Variance {
    /// Everything, correlations included.
    pub total: f64,
    /// The part of the readings that the figure uses directly.
    pub reading: f64,
    /// The part of the influence coefficients and the fitted baseline, by the readings behind them.
    pub coefficients: f64,
    /// The part of placing and weighing the masses of those runs by hand.
    pub placement: f64,
}

/// The influence coefficients of one sensor at one speed, and how every reading enters them.
#[derive(Debug, Clone)]
pub struct SensorFit {
    /// Reading per g·mm (per g where masses are compared at one radius), for each plane.
    pub coefficients: CVector,
    /// Complex degrees of freedom behind the noise figure; infinite: exactly known.
    pub degrees_of_freedom: f64,
    /// Whether the scatter of the runs was clearly larger than the stated noise (and then counts instead of it).
    pub above_stated: bool,
    /// The rows in which the sensor was read.
    pub(super) rows: Vec<usize>,
    pub(super) layout: Layout,
    pub(super) estimate: CVector,
    /// Columns × rows: how each reading enters each estimated column.
    gain: CMatrix,
    /// Columns × prior rows.
    prior_gain: CMatrix,
    /// Per component for each row; empty: no figure for the noise.
    reading_variances: Vec<f64>,
    placement_variances: Vec<f64>,
    /// What each row was multiplied by: one over its standard deviation, or 1 without a figure for the noise.
    weights: Vec<f64>,
    /// Weighted residual sum of squares and its complex degrees of freedom, apart from the prior.
    pub(super) misfit: (f64, f64),
    known: bool,
}

impl SensorFit {
    /// Whether there is any figure for the noise.
    #[must_use]
    pub fn noise_known(&self) -> bool {
        !self.reading_variances.is_empty()
    }

    /// Whether more rows than unknowns entered: the runs could contradict each other.
    #[must_use]
    pub fn redundant(&self) -> bool {
        self.misfit.1 > 0.0
    }

    /// Whether the coefficients are those of a stand that shows unbalance itself.
    #[must_use]
    pub fn coefficients_given(&self) -> bool {
        self.known
    }

    /// Variance per component of `direct · readings + columns · estimate`; `None` without a figure for the noise.
    pub(super) fn variance(&self, direct: &CVector, columns: &CVector) -> Option<Variance> {
        if !self.noise_known() {
            return None;
        }
        let through = self.gain.transpose() * columns;
        let by_prior = self.prior_gain.transpose() * columns;
        let mut variance = Variance {
            total: by_prior.norm_squared(),
            coefficients: by_prior.norm_squared(),
            ..Variance::default()
        };
        for row in 0..self.rows.len() {
            let (reading, placement) = (self.reading_variances[row], self.placement_variances[row]);
            let placed = through[row].norm_sqr() * placement;
            variance.total += (direct[row] + through[row]).norm_sqr() * reading + placed;
            variance.reading += direct[row].norm_sqr() * reading;
            variance.coefficients += through[row].norm_sqr() * reading;
            variance.placement += placed;
        }
        Some(variance)
    }

    /// Complex variance of each coefficient's estimate, per component; `None` without a figure for the noise.
    #[must_use]
    pub fn coefficient_variance(&self, plane: usize) -> Option<f64> {
        if self.known {
            return Some(0.0);
        }
        let direct = CVector::zeros(self.rows.len());
        let mut columns = CVector::zeros(self.layout.columns());
        columns[self.layout.first_plane() + plane] = Complex64::new(1.0, 0.0);
        self.variance(&direct, &columns).map(|variance| variance.total)
    }

    /// Full complex covariance `E(ε·εᴴ)` of the coefficients, like that of a prior; `None` without a figure for the noise.
    #[must_use]
    pub fn coefficient_covariance(&self) -> Option<CMatrix> {
        let planes = self.coefficients.len();
        if self.known {
            return Some(CMatrix::zeros(planes, planes));
        }
        if !self.noise_known() {
            return None;
        }
        let by_reading = self.gain.rows(self.layout.first_plane(), planes);
        let by_prior = self.prior_gain.rows(self.layout.first_plane(), planes);
        let mut scaled = by_reading.into_owned();
        for row in 0..self.rows.len() {
            scaled.column_mut(row).scale_mut(self.reading_variances[row] + self.placement_variances[row]);
        }
        // Both components together: twice the variance of one.
        Some((scaled * by_reading.adjoint() + by_prior * by_prior.adjoint()) * Complex64::from(2.0))
    }

    /// Variance per component of the noise of a further reading of about this amplitude; `None`: no figure.
    #[must_use]
    pub fn next_reading_variance(&self, set: &RunSet, amplitude: f64) -> Option<f64> {
        let estimated = self.reading_variances.first().copied();
        match set.setup().noise.reading_variance(amplitude) {
            Some(stated) if !self.above_stated => Some(stated),
            _ => estimated,
        }
    }

    /// Standard deviation per component of a reading with this stated variance; the estimated one where none is
    /// stated or the stated one is too small; `None`: no figure.
    #[must_use]
    pub fn next_reading_deviation(&self, stated: Option<f64>) -> Option<f64> {
        let estimated = self.reading_variances.first().copied();
        stated.filter(|_| !self.above_stated).or(estimated).map(f64::sqrt)
    }

    /// The column weights that give the effect of these loads.
    pub(super) fn load_columns(&self, loads: &[Complex64]) -> CVector {
        let mut columns = CVector::zeros(self.layout.columns());
        for plane in 0..self.layout.planes {
            columns[self.layout.first_plane() + plane] = loads[plane];
        }
        columns
    }

    /// The effect of these loads on the reading.
    #[must_use]
    pub fn effect(&self, loads: &[Complex64]) -> Complex64 {
        self.coefficients.iter().zip(loads).map(|(coefficient, load)| coefficient * load).sum()
    }
}

/// Fits one sensor at one speed.
pub(super) fn fit(input: &FitInput<'_>) -> Result<SensorFit, FitFault> {
    let set = input.set;
    let read = |row: &usize| {
        let row = &set.rows()[*row];
        row.group == input.group && row.observed.get(input.sensor).is_some_and(Option::is_some)
    };
    let rows: Vec<usize> = (0..set.rows().len()).filter(read).collect();
    let roles: Vec<Role> = rows.iter().map(|&row| input.roles[row]).collect();
    if !roles.contains(&Role::Enters) && input.prior.is_none() && rows.is_empty() {
        return Err(FitFault::NotRead);
    }
    let planes = set.setup().planes.len();
    let known = known_coefficients(&set.setup().sensors[input.sensor], planes);
    let fitted_planes = if known.is_some() { 0 } else { planes };
    let layout = Layout::new(set, &rows, &roles, input.drift, fitted_planes);
    let design = layout.matrix(set, &rows, &roles, input.clock);
    let readings = readings(input, &rows, &roles, known.as_deref());
    let mut noise = reading_variances(input, &rows);
    if let (Some(noise), Some(known)) = (&mut noise, &known) {
        add_crosstalk(input, &rows, known, noise);
    }
    let regression =
        Regression { input, layout: &layout, design: &design, readings: &readings, known: known.as_deref() };
    let mut placement = vec![0.0; rows.len()];
    let mut solved = regression.solve(noise.as_deref(), &placement)?;
    if placed_by_hand(set, &rows) && noise.is_some() {
        // Placement errors scale with the coefficients: once more with the first estimate of them.
        placement = placement_variances(input, &rows, &solved.coefficients);
        solved = regression.solve(noise.as_deref(), &placement)?;
    }
    Ok(finish(
        rows,
        layout,
        solved,
        Scatter { stated: noise, placement, degrees: set.setup().noise.degrees_of_freedom },
        known.is_some(),
    ))
}

struct Regression<'a> {
    input: &'a FitInput<'a>,
    layout: &'a Layout,
    design: &'a CMatrix,
    readings: &'a CVector,
    known: Option<&'a [Complex64]>,
}

struct Solved {
    estimate: CVector,
    coefficients: CVector,
    gain: CMatrix,
    prior_gain: CMatrix,
    weights: Vec<f64>,
    squares: f64,
    degrees: f64,
}

impl Regression<'_> {
    /// Weighted least squares: every row divided by its standard deviation, the prior's rows below.
    fn solve(&self, noise: Option<&[f64]>, placement: &[f64]) -> Result<Solved, FitFault> {
        let rows = self.design.nrows();
        let weight = |row: usize| noise.map_or(1.0, |noise| 1.0 / (noise[row] + placement[row]).sqrt());
        let prior = self.prior_rows()?;
        let below = prior.as_ref().map_or(0, |(matrix, _)| matrix.nrows());
        let columns = self.layout.columns();
        let mut weighted = CMatrix::zeros(rows + below, columns);
        for row in 0..rows {
            for column in 0..columns {
                weighted[(row, column)] = self.design[(row, column)] * weight(row);
            }
        }
        let mut right = CVector::zeros(rows + below);
        for row in 0..rows {
            right[row] = self.readings[row] * weight(row);
        }
        if let Some((matrix, values)) = &prior {
            weighted.view_mut((rows, self.layout.first_plane()), matrix.shape()).copy_from(matrix);
            right.rows_mut(rows, below).copy_from(values);
        }
        let whole = if columns == 0 {
            CMatrix::zeros(0, rows + below)
        } else {
            self.independent_gain(&weighted, &prior)?
        };
        let estimate = refined(&whole, &weighted, &right);
        let misfit = &right - &weighted * &estimate;
        let squares = misfit.rows(0, rows).norm_squared();
        let mut by_reading = whole.columns(0, rows).into_owned();
        for row in 0..rows {
            by_reading.column_mut(row).scale_mut(weight(row));
        }
        let coefficients = match self.known {
            Some(known) => CVector::from_vec(known.to_vec()),
            None => estimate.rows(self.layout.first_plane(), self.layout.planes).into_owned(),
        };
        if !estimate.iter().all(|value| value.is_finite()) {
            return Err(FitFault::OutOfRange);
        }
        Ok(Solved {
            coefficients,
            gain: by_reading,
            prior_gain: whole.columns(rows, below).into_owned(),
            weights: (0..rows).map(weight).collect(),
            squares,
            degrees: (rows + below) as f64 - columns as f64,
            estimate,
        })
    }

    fn prior_rows(&self) -> Result<Option<(CMatrix, CVector)>, FitFault> {
        let Some(prior) = self.input.prior.filter(|_| self.known.is_none()) else { return Ok(None) };
        // Per component, like every other variance here.
        let halved = &prior.covariance * Complex64::new(0.5, 0.0);
        let matrix = whitening(&halved).ok_or(FitFault::OutOfRange)?;
        let values = &matrix * &prior.mean;
        Ok(Some((matrix, values)))
    }

    /// The gain if the columns are independent; otherwise which planes are not told apart.
    fn independent_gain(
        &self,
        weighted: &CMatrix,
        prior: &Option<(CMatrix, CVector)>,
    ) -> Result<CMatrix, FitFault> {
        if !weighted.iter().all(|entry| entry.is_finite()) {
            return Err(FitFault::OutOfRange);
        }
        match gain(weighted) {
            Some(gain) if !nearly_dependent(weighted) => Ok(gain),
            _ => Err(self.dependent(weighted, prior.is_some())),
        }
    }

    fn dependent(&self, weighted: &CMatrix, prior: bool) -> FitFault {
        let first = self.layout.first_plane();
        let changes = |plane: usize| changes_within_mountings(self.design, self.layout, first + plane);
        let never: Vec<usize> = (0..self.layout.planes).filter(|&plane| !prior && !changes(plane)).collect();
        if !never.is_empty() {
            return FitFault::Dependent { planes: never, never_loaded: true };
        }
        if let Some(drift) = self.layout.drift_column() {
            let without = weighted.clone().remove_column(drift);
            if gain(&without).is_some() && !nearly_dependent(&without) {
                return FitFault::DriftNotDeterminable;
            }
        }
        let scaled = unit_columns(weighted);
        let parts = singular_values(&scaled);
        let last = parts.values.len().saturating_sub(1);
        let planes = (0..self.layout.planes)
            .filter(|&plane| parts.right.get((first + plane, last)).is_some_and(|entry| entry.norm() > 0.05))
            .collect();
        FitFault::Dependent { planes, never_loaded: false }
    }
}

fn unit_columns(matrix: &CMatrix) -> CMatrix {
    let mut scaled = matrix.clone();
    for mut column in scaled.column_iter_mut() {
        let length = column.norm();
        if length > 0.0 {
            column.unscale_mut(length);
        }
    }
    scaled
}

/// Whether rounding in the file's own figures decides how the columns are told apart.
fn nearly_dependent(matrix: &CMatrix) -> bool {
    singular_values(&unit_columns(matrix)).condition() > 1e9
}

fn changes_within_mountings(design: &CMatrix, layout: &Layout, column: usize) -> bool {
    (0..layout.mountings.len()).any(|mounting| {
        let mut loads = (0..design.nrows())
            .filter(|&row| design[(row, mounting)] != Complex64::ZERO)
            .map(|row| design[(row, column)]);
        loads.next().is_some_and(|first| loads.any(|load| load != first))
    })
}

fn readings(input: &FitInput<'_>, rows: &[usize], roles: &[Role], known: Option<&[Complex64]>) -> CVector {
    let value = |(&index, role): (&usize, &Role)| {
        let row = &input.set.rows()[index];
        let shown = row.observed[input.sensor].map_or(Complex64::ZERO, |observed| observed.reading.vector());
        match (known, role) {
            (Some(known), Role::Enters) => {
                shown - known.iter().zip(&row.loads).map(|(a, load)| a * load).sum::<Complex64>()
            }
            _ => shown,
        }
    };
    CVector::from_iterator(rows.len(), rows.iter().zip(roles).map(value))
}

/// Stated variance per component of each row's reading; `None` where nothing is stated.
///
/// A reading below a hundredth of the sensor's largest counts as that: no dial is exact at zero.
fn reading_variances(input: &FitInput<'_>, rows: &[usize]) -> Option<Vec<f64>> {
    let noise = &input.set.setup().noise;
    if noise.reading == ReadingNoise::NotStated {
        return None;
    }
    let observed = |row: &usize| input.set.rows()[*row].observed[input.sensor];
    let largest = rows.iter().filter_map(observed).map(|o| o.reading.amplitude()).fold(0.0, f64::max);
    let least = noise.reading_variance(largest / 100.0).unwrap_or(0.0).max(f64::MIN_POSITIVE);
    Some(rows.iter().map(|row| observed(row).and_then(|o| o.variance).unwrap_or(0.0).max(least)).collect())
}

/// On a stand that shows unbalance a trial at another end shows here by an unknown share, not by nothing.
fn add_crosstalk(input: &FitInput<'_>, rows: &[usize], known: &[Complex64], noise: &mut [f64]) {
    let shares = crosstalk(input.set);
    let unit = known.iter().map(|own| own.norm()).fold(0.0, f64::max);
    for (variance, &row) in noise.iter_mut().zip(rows) {
        let row = &input.set.rows()[row];
        if row.run.kind == RunKind::Trial {
            let shown =
                |(plane, load): (usize, &Complex64)| unit * shares[(input.sensor, plane)] * load.norm();
            *variance += row.loads.iter().enumerate().map(shown).sum::<f64>().powi(2) / 2.0;
        }
    }
}

fn placed_by_hand(set: &RunSet, rows: &[usize]) -> bool {
    rows.iter().any(|&row| set.rows()[row].load_variances.iter().any(|variance| *variance > 0.0))
}

/// Variance per component that placing and weighing the masses adds to each row's reading.
fn placement_variances(input: &FitInput<'_>, rows: &[usize], coefficients: &CVector) -> Vec<f64> {
    let of_row = |&index: &usize| {
        let row = &input.set.rows()[index];
        let terms = coefficients.iter().zip(&row.load_variances);
        terms.map(|(coefficient, variance)| coefficient.norm_sqr() * variance / 2.0).sum()
    };
    rows.iter().map(of_row).collect()
}

struct Scatter {
    stated: Option<Vec<f64>>,
    placement: Vec<f64>,
    degrees: f64,
}

/// Settles the noise figure: stated, or estimated from the degrees of freedom, or unknown.
fn finish(rows: Vec<usize>, layout: Layout, solved: Solved, scatter: Scatter, known: bool) -> SensorFit {
    let mut fit = SensorFit {
        coefficients: solved.coefficients,
        degrees_of_freedom: scatter.degrees,
        above_stated: false,
        rows,
        layout,
        estimate: solved.estimate,
        gain: solved.gain,
        prior_gain: solved.prior_gain,
        reading_variances: Vec::new(),
        placement_variances: scatter.placement,
        weights: solved.weights,
        misfit: (solved.squares, solved.degrees),
        known,
    };
    let per_degree = if solved.degrees > 0.0 { solved.squares / (2.0 * solved.degrees) } else { 0.0 };
    match scatter.stated {
        Some(stated) => {
            fit.reading_variances = stated;
            if solved.degrees > 0.0 && solved.squares > chi_squared_quantile(0.999, 2.0 * solved.degrees) {
                fit.above_stated = true;
                fit.degrees_of_freedom = solved.degrees.min(scatter.degrees);
                fit.reading_variances.iter_mut().for_each(|variance| *variance *= per_degree);
                fit.placement_variances.iter_mut().for_each(|variance| *variance *= per_degree);
            }
        }
        None if solved.degrees > 0.0 => {
            fit.degrees_of_freedom = solved.degrees;
            fit.reading_variances = vec![per_degree; fit.rows.len()];
        }
        None => fit.degrees_of_freedom = 0.0,
    }
    fit
}

impl SensorFit {
    /// How far the fitted coefficients are from what sister shafts say, squared, in their standard deviations.
    pub(super) fn prior_distance(&self, prior: &SensorPrior) -> f64 {
        let halved = &prior.covariance * Complex64::new(0.5, 0.0);
        whitening(&halved).map_or(0.0, |matrix| (matrix * (&self.coefficients - &prior.mean)).norm_squared())
    }

    /// Logarithm of the determinant of what the rows (and the prior) say of the columns, ΦᴴWΦ in two components, and
    /// of the rows' variances: what a likelihood has besides the misfit.
    pub(super) fn log_spread(&self) -> f64 {
        let rows = self.gain.ncols();
        let mut spread = CMatrix::zeros(self.gain.nrows(), rows + self.prior_gain.ncols());
        for (row, weight) in self.weights.iter().enumerate() {
            spread.set_column(row, &(self.gain.column(row) / Complex64::from(*weight)));
        }
        for row in 0..self.prior_gain.ncols() {
            spread.set_column(rows + row, &self.prior_gain.column(row));
        }
        let information: f64 = singular_values(&spread).values.iter().map(|value| -value.ln()).sum();
        let variances: f64 = self.weights.iter().map(|weight| -weight.ln()).sum();
        4.0 * (information + variances)
    }
}
