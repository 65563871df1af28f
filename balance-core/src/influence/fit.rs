//! The regression of one sensor at one speed.

use num_complex::Complex64;

use super::design::{Layout, Role, known_coefficients};
use super::prior::SensorPrior;
use crate::chance::chi_squared_quantile;
use crate::linear::{CMatrix, CVector, gain, refined, rows, singular_values, whitening};
use crate::run::{Observed, ReadingNoise, RunKind, RunSet, crosstalk};
use crate::shaft::{PlaneId, SensorId};

/// What the regression of a sensor needs besides the runs.
pub(super) struct FitInput<'a> {
    pub set: &'a RunSet,
    pub group: usize,
    pub sensor: SensorId,
    /// For every row of the set.
    pub roles: &'a [Role],
    /// For every row of the set.
    pub clock: &'a [f64],
    pub drift: bool,
    /// For every plane whether the runs (or a prior) determine its coefficient.
    pub told: &'a [bool],
    pub prior: Option<&'a SensorPrior>,
}

/// Why one sensor has no fit.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum FitFault {
    NotRead,
    Dependent { planes: Vec<PlaneId>, never_loaded: bool },
    DriftNotDeterminable,
    OutOfRange,
}

/// Variance per component of a figure that is linear in the readings, by where it comes from.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Variance {
    /// The total, including correlations.
    pub total: f64,
    /// The part of the readings that the figure uses directly.
    pub reading: f64,
    /// The part of the influence coefficients and the fitted baseline, by the readings behind them.
    pub coefficients: f64,
    /// The part of placing and weighing the masses of those runs by hand.
    pub placement: f64,
    /// The part that the steps of the dials leave: equal repeats on one step do not make it smaller.
    pub steps: f64,
}

/// The influence coefficients of one sensor at one speed, and how every reading enters them.
#[derive(Debug, Clone)]
pub struct SensorFit {
    /// Reading per g·mm (per g where masses are compared at one radius), for each plane; zero for a plane
    /// whose response the runs do not show.
    pub coefficients: Vec<Complex64>,
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
    /// The noise variance per component for each row; empty: no figure for the noise.
    reading_variances: Vec<f64>,
    placement_variances: Vec<f64>,
    /// The uncertainty from the steps of the dial, per component for each row; empty: no step is known.
    step_variances: Vec<f64>,
    /// For each row the first row of the same state with the very same reading: they share one error of the step.
    same_step: Vec<usize>,
    /// For each row the limit that the reading was below; zero where the dial showed a value.
    below: Vec<f64>,
    /// What each row was multiplied by: one over its standard deviation, or 1 without a figure for the noise.
    weights: Vec<f64>,
    /// Weighted residual sum of squares and its complex degrees of freedom, apart from the prior.
    pub(super) misfit: (f64, f64),
    known: bool,
    /// Whether the reading noise is stated.
    stated: bool,
    /// Whether every reading states its own uncertainty.
    all_own: bool,
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

    /// Degrees of freedom for the gate: a stated figure is taken as exact, as in the test of the scatter; one
    /// that was estimated, or is larger than stated, counts with its own degrees of freedom.
    pub(super) fn degrees_of_gate(&self) -> f64 {
        if self.stated && !self.above_stated { f64::INFINITY } else { self.degrees_of_freedom }
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
        variance.steps = self.step_variance(&(direct + &through));
        variance.total += variance.steps;
        Some(variance)
    }

    /// The uncertainty from the steps of the dial in a sum of readings: equal readings of one state share
    /// their error.
    fn step_variance(&self, shares: &CVector) -> f64 {
        if self.step_variances.is_empty() {
            return 0.0;
        }
        let mut together = vec![Complex64::ZERO; self.rows.len()];
        for (row, share) in shares.iter().enumerate() {
            together[self.same_step[row]] += share;
        }
        together.iter().zip(&self.step_variances).map(|(share, own)| share.norm_sqr() * own).sum()
    }

    /// How far `direct · readings + columns · estimate` can be off because readings were below what the dial shows, in
    /// the sensor's unit: a bound, which no repeat makes smaller.
    pub(super) fn below_bound(&self, direct: &CVector, columns: &CVector) -> f64 {
        if self.below.iter().all(|limit| *limit == 0.0) {
            return 0.0;
        }
        let through = self.gain.transpose() * columns;
        let off = |row: usize| (direct[row] + through[row]).norm() * self.below[row];
        (0..self.rows.len()).map(off).sum()
    }

    /// Whether a row was below what the dial shows, and the limit.
    pub(super) fn limit_below(&self, row: usize) -> Option<f64> {
        self.below.get(row).copied().filter(|limit| *limit > 0.0)
    }

    /// Whether the runs (or a prior, or the stand itself) show how the sensor responds to a mass in this
    /// plane.
    #[must_use]
    pub fn tells(&self, plane: PlaneId) -> bool {
        if self.known {
            return self.coefficients.get(plane.index()).is_some_and(|own| *own != Complex64::ZERO);
        }
        self.layout.plane_column(plane).is_some()
    }

    /// Complex variance of each coefficient's estimate, per component; `None` without a figure for the noise.
    #[must_use]
    pub fn coefficient_variance(&self, plane: PlaneId) -> Option<f64> {
        if self.known {
            return Some(0.0);
        }
        let Some(own) = self.layout.plane_column(plane) else { return Some(0.0) };
        let direct = CVector::zeros(self.rows.len());
        let mut columns = CVector::zeros(self.layout.columns());
        columns[own] = Complex64::new(1.0, 0.0);
        self.variance(&direct, &columns).map(|variance| variance.total)
    }

    /// Full complex covariance `E(ε·εᴴ)` of the coefficients, planes × planes, like that of a prior; `None` without a
    /// figure for the noise.
    #[must_use]
    pub fn coefficient_covariance(&self) -> Option<Vec<Vec<Complex64>>> {
        self.covariance_matrix().map(|matrix| rows(&matrix))
    }

    /// The same, as a matrix.
    pub(super) fn covariance_matrix(&self) -> Option<CMatrix> {
        let planes = self.coefficients.len();
        if self.known {
            return Some(CMatrix::zeros(planes, planes));
        }
        if !self.noise_known() {
            return None;
        }
        let found = self.layout.planes.len();
        let by_reading = self.gain.rows(self.layout.first_plane(), found).into_owned();
        let by_prior = self.prior_gain.rows(self.layout.first_plane(), found);
        let mut scaled = by_reading.clone();
        for row in 0..self.rows.len() {
            scaled.column_mut(row).scale_mut(self.reading_variances[row] + self.placement_variances[row]);
        }
        let mut own = scaled * by_reading.adjoint() + by_prior * by_prior.adjoint();
        self.add_step_covariance(&by_reading, &mut own);
        // Both components together: twice the variance of one.
        own *= Complex64::from(2.0);
        let mut covariance = CMatrix::zeros(planes, planes);
        for (row, &one) in self.layout.planes.iter().enumerate() {
            for (column, &other) in self.layout.planes.iter().enumerate() {
                covariance[(one.index(), other.index())] = own[(row, column)];
            }
        }
        Some(covariance)
    }

    fn add_step_covariance(&self, by_reading: &CMatrix, covariance: &mut CMatrix) {
        if self.step_variances.is_empty() {
            return;
        }
        let mut together = CMatrix::zeros(by_reading.nrows(), by_reading.ncols());
        for row in 0..self.rows.len() {
            let mut own = together.column_mut(self.same_step[row]);
            own += by_reading.column(row);
        }
        for (row, variance) in self.step_variances.iter().enumerate() {
            let own = together.column(row).into_owned();
            *covariance += &own * own.adjoint() * Complex64::from(*variance);
        }
    }

    /// Variance per component of the noise of a further reading of about this amplitude; `None`: no figure.
    #[must_use]
    pub fn next_reading_variance(&self, set: &RunSet, amplitude: f64) -> Option<f64> {
        let estimated = self.usual_variance();
        match set.setup().noise.reading_variance(amplitude) {
            Some(stated) if !self.above_stated && !self.all_own => Some(stated),
            _ => estimated,
        }
    }

    /// Standard deviation per component of a reading with this stated variance; the estimated one where none is
    /// stated or the stated one is too small; `None`: no figure.
    #[must_use]
    pub fn next_reading_deviation(&self, stated: Option<f64>) -> Option<f64> {
        let estimated = self.usual_variance();
        stated.filter(|_| !self.above_stated).or(estimated).map(f64::sqrt)
    }

    /// The variance of a reading here where no figure of the stand tells: the first, and the largest where every
    /// reading states its own.
    fn usual_variance(&self) -> Option<f64> {
        let mut all = self.reading_variances.iter().copied();
        if self.all_own { all.reduce(f64::max) } else { all.next() }
    }

    /// The mountings with a baseline of their own, in the order of the file.
    #[must_use]
    pub fn mountings(&self) -> &[String] {
        &self.layout.mountings
    }

    /// The fitted reading of a mounting with nothing added; `None` if the runs do not show it.
    #[must_use]
    pub fn baseline(&self, mounting: &str) -> Option<Complex64> {
        self.layout.baseline(mounting).map(|column| self.estimate[column])
    }

    /// The column weights that give the effect of these loads.
    pub(super) fn load_columns(&self, loads: &[Complex64]) -> CVector {
        let mut columns = CVector::zeros(self.layout.columns());
        for (at, &plane) in self.layout.planes.iter().enumerate() {
            columns[self.layout.first_plane() + at] = loads[plane];
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
        row.group == input.group && row.observed.get(input.sensor.index()).is_some_and(Option::is_some)
    };
    let rows: Vec<usize> = (0..set.rows().len()).filter(read).collect();
    let roles: Vec<Role> = rows.iter().map(|&row| role(input, row)).collect();
    let planes = set.setup().planes.len();
    let known = known_coefficients(&set.setup().sensors[input.sensor], planes);
    if rows.is_empty() {
        return Err(FitFault::NotRead);
    }
    let fitted_planes = if known.is_some() {
        Vec::new()
    } else {
        PlaneId::all(planes).filter(|&plane| input.told[plane]).collect()
    };
    let layout = Layout::new(set, &rows, &roles, input.drift, fitted_planes);
    let design = layout.matrix(set, &rows, &roles, input.clock);
    let readings = readings(input, &rows, &roles, known.as_deref());
    let mut scatter = Scatter::stated(input, &rows);
    if let (Some(noise), Some(known)) = (&mut scatter.noise, &known) {
        add_crosstalk(input, &rows, known, noise);
    }
    let regression =
        Regression { input, layout: &layout, design: &design, readings: &readings, known: known.as_deref() };
    let mut solved = regression.solve(&scatter)?;
    if placed_by_hand(set, &rows) {
        // Placement errors scale with the coefficients: fit again with the first estimate of them.
        scatter.placement = placement_variances(input, &rows, &solved.coefficients);
        if scatter.noise.is_some() {
            solved = regression.solve(&scatter)?;
        }
    }
    Ok(finish(rows, layout, solved, scatter, known.is_some()))
}

/// What a row is for at this sensor: a tried or check reading below what the dial shows gives no coefficient.
fn role(input: &FitInput<'_>, row: usize) -> Role {
    let own = &input.set.rows()[row];
    let judged = matches!(own.run.kind, RunKind::Tried | RunKind::Check);
    let below = own.observed[input.sensor].is_some_and(|observed| observed.below.is_some());
    // Block numbers are never above the number of rows, so these are free.
    if judged && below { Role::Apart(input.set.rows().len() + row) } else { input.roles[row] }
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
    coefficients: Vec<Complex64>,
    gain: CMatrix,
    prior_gain: CMatrix,
    weights: Vec<f64>,
    squares: f64,
    degrees: f64,
}

impl Regression<'_> {
    /// Weighted least squares: every row divided by its standard deviation, the prior's rows below.
    fn solve(&self, scatter: &Scatter) -> Result<Solved, FitFault> {
        let rows = self.design.nrows();
        let weight = |row: usize| scatter.weight(row);
        let prior = self.prior_rows()?;
        let of_prior = prior.as_ref().map_or(0, |(matrix, _)| matrix.nrows());
        let columns = self.layout.columns();
        let mut weighted = CMatrix::zeros(rows + of_prior, columns);
        for row in 0..rows {
            for column in 0..columns {
                weighted[(row, column)] = self.design[(row, column)] * weight(row);
            }
        }
        let mut right = CVector::zeros(rows + of_prior);
        for row in 0..rows {
            right[row] = self.readings[row] * weight(row);
        }
        if let Some((matrix, values)) = &prior {
            weighted.view_mut((rows, self.layout.first_plane()), matrix.shape()).copy_from(matrix);
            right.rows_mut(rows, of_prior).copy_from(values);
        }
        let whole = self.independent_gain(&weighted, &prior)?;
        let estimate = refined(&whole, &weighted, &right);
        let misfit = &right - &weighted * &estimate;
        // A value below the dial's scale is not a reading: it neither fits nor scatters.
        let below = |row: usize| scatter.below[row] > 0.0;
        let squares = (0..rows).filter(|&row| !below(row)).map(|row| misfit[row].norm_sqr()).sum();
        let left_over = |row: usize| 1.0 - (weighted.row(row) * whole.column(row))[(0, 0)].re;
        let not_read: f64 = (0..rows).filter(|&row| below(row)).map(left_over).sum();
        let mut by_reading = whole.columns(0, rows).into_owned();
        for row in 0..rows {
            by_reading.column_mut(row).scale_mut(weight(row));
        }
        let coefficients = match self.known {
            Some(known) => known.to_vec(),
            None => {
                let mut all = vec![Complex64::ZERO; self.input.set.setup().planes.len()];
                for (at, &plane) in self.layout.planes.iter().enumerate() {
                    all[plane] = estimate[self.layout.first_plane() + at];
                }
                all
            }
        };
        if !estimate.iter().all(|value| value.is_finite()) {
            return Err(FitFault::OutOfRange);
        }
        Ok(Solved {
            coefficients,
            gain: by_reading,
            prior_gain: whole.columns(rows, of_prior).into_owned(),
            weights: (0..rows).map(weight).collect(),
            squares,
            degrees: (rows + of_prior) as f64 - columns as f64 - not_read,
            estimate,
        })
    }

    fn prior_rows(&self) -> Result<Option<(CMatrix, CVector)>, FitFault> {
        let Some(prior) = self.input.prior.filter(|_| self.known.is_none()) else { return Ok(None) };
        let (mean, covariance) = prior.matrices().ok_or(FitFault::OutOfRange)?;
        if mean.len() != self.input.set.setup().planes.len() {
            return Err(FitFault::OutOfRange);
        }
        // Planes that neither the runs nor a very wide prior tell apart have no column.
        let told: Vec<usize> = self.layout.planes.iter().map(|plane| plane.index()).collect();
        let (mean, covariance) =
            (mean.select_rows(&told), covariance.select_rows(&told).select_columns(&told));
        // Per component, like every other variance here.
        let matrix = whitening(&(covariance * Complex64::new(0.5, 0.0))).ok_or(FitFault::OutOfRange)?;
        let values = &matrix * mean;
        Ok(Some((matrix, values)))
    }

    /// The gain if the columns are independent; otherwise which planes cannot be distinguished.
    fn independent_gain(
        &self,
        weighted: &CMatrix,
        prior: &Option<(CMatrix, CVector)>,
    ) -> Result<CMatrix, FitFault> {
        if !weighted.iter().all(|entry| entry.is_finite()) {
            return Err(FitFault::OutOfRange);
        }
        match gain(weighted) {
            Some(gain) if !nearly_dependent(weighted, &gain) => Ok(gain),
            _ => Err(self.dependent(weighted, prior.is_some())),
        }
    }

    fn dependent(&self, weighted: &CMatrix, prior: bool) -> FitFault {
        let first = self.layout.first_plane();
        let planes = &self.layout.planes;
        let changes = |at: usize| changes_within_mountings(self.design, self.layout, first + at);
        let never: Vec<PlaneId> =
            (0..planes.len()).filter(|&at| !prior && !changes(at)).map(|at| planes[at]).collect();
        if !never.is_empty() {
            return FitFault::Dependent { planes: never, never_loaded: true };
        }
        if let Some(drift) = self.layout.drift_column() {
            let without = weighted.clone().remove_column(drift);
            if gain(&without).is_some_and(|gain| !nearly_dependent(&without, &gain)) {
                return FitFault::DriftNotDeterminable;
            }
        }
        let scaled = unit_columns(weighted);
        let parts = singular_values(&scaled);
        let last = parts.values.len().saturating_sub(1);
        let planes = (0..planes.len())
            .filter(|&at| parts.right.get((first + at, last)).is_some_and(|entry| entry.norm() > 0.05))
            .map(|at| planes[at])
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

/// Columns with a larger condition than this are separated only by rounding in the file's figures.
const LARGEST_CONDITION: f64 = 1e9;

/// Whether only rounding in the file's figures separates the columns.
fn nearly_dependent(matrix: &CMatrix, gain: &CMatrix) -> bool {
    condition_at_most(matrix, gain) > LARGEST_CONDITION
        && singular_values(&unit_columns(matrix)).condition() > LARGEST_CONDITION
}

/// The condition of the columns scaled to length one is never above this, which costs little: the norm of all entries is
/// never below the largest singular value.
fn condition_at_most(matrix: &CMatrix, gain: &CMatrix) -> f64 {
    let lengths = matrix.column_iter().map(|column| column.norm_squared());
    let squares: f64 = lengths.zip(gain.row_iter()).map(|(length, row)| length * row.norm_squared()).sum();
    (matrix.ncols() as f64 * squares).sqrt()
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

/// Variance per component of each row's reading, its own or that of the stand; `None` if some reading has neither.
///
/// A reading below a hundredth of the sensor's largest counts as that hundredth: no dial is exact at zero.
fn reading_variances(input: &FitInput<'_>, observed: &[Option<Observed>], largest: f64) -> Option<Vec<f64>> {
    let noise = &input.set.setup().noise;
    let unknown = |own: &&Observed| own.variance.is_none() && own.below.is_none();
    let all_below = observed.iter().flatten().all(|own| own.variance.is_none());
    if noise.reading == ReadingNoise::NotStated
        && (all_below || observed.iter().flatten().any(|own| unknown(&own)))
    {
        return None;
    }
    let least = noise.reading_variance(largest / 100.0).unwrap_or(0.0).max(f64::MIN_POSITIVE);
    let of_reading = |own: Observed| match own.variance {
        Some(variance) if own.own => variance.max(f64::MIN_POSITIVE),
        other => other.unwrap_or(0.0).max(least),
    };
    Some(observed.iter().map(|own| own.map_or(least, of_reading)).collect())
}

/// On a stand that shows unbalance a trial at another end shows here by an unknown share, not by zero.
fn add_crosstalk(input: &FitInput<'_>, rows: &[usize], known: &[Complex64], noise: &mut [f64]) {
    let shares = crosstalk(input.set);
    let unit = known.iter().map(|own| own.norm()).fold(0.0, f64::max);
    for (variance, &row) in noise.iter_mut().zip(rows) {
        let row = &input.set.rows()[row];
        if row.run.kind == RunKind::Trial {
            let shown =
                |(plane, load): (PlaneId, &Complex64)| unit * shares[input.sensor][plane] * load.norm();
            *variance += PlaneId::numbered(&row.loads).map(shown).sum::<f64>().powi(2) / 2.0;
        }
    }
}

fn placed_by_hand(set: &RunSet, rows: &[usize]) -> bool {
    rows.iter().any(|&row| set.rows()[row].load_variances.iter().any(|variance| *variance > 0.0))
}

/// Variance per component that placing and weighing the masses adds to each row's reading.
fn placement_variances(input: &FitInput<'_>, rows: &[usize], coefficients: &[Complex64]) -> Vec<f64> {
    let of_row = |&index: &usize| {
        let row = &input.set.rows()[index];
        let terms = coefficients.iter().zip(&row.load_variances);
        terms.map(|(coefficient, variance)| coefficient.norm_sqr() * variance / 2.0).sum()
    };
    rows.iter().map(of_row).collect()
}

/// What is known of the rows' errors before the fit.
struct Scatter {
    /// Stated noise per component; `None`: not stated.
    noise: Option<Vec<f64>>,
    /// Placing and weighing, per component.
    placement: Vec<f64>,
    /// The steps of the dial, per component; empty: no step is known.
    steps: Vec<f64>,
    same_step: Vec<usize>,
    /// The limit of a reading below what the dial shows; zero for one that showed something.
    below: Vec<f64>,
    /// Complex degrees of freedom of the stated noise.
    degrees: f64,
    /// The largest reading.
    largest: f64,
    /// Whether every reading states its own uncertainty.
    all_own: bool,
}

/// How much a reading below the dial's scale counts compared with the others where no noise is stated. Any
/// weight is correct, because what it leaves open counts as a bound.
const WEIGHT_BELOW: f64 = 0.1;
/// A scatter smaller than this share of the largest reading counts as zero: the readings are the same.
const NO_SCATTER: f64 = 1e-9;

impl Scatter {
    fn stated(input: &FitInput<'_>, rows: &[usize]) -> Self {
        let observed: Vec<Option<Observed>> =
            rows.iter().map(|&row| input.set.rows()[row].observed[input.sensor]).collect();
        let step = |own: &Option<Observed>| own.map(|own| own.step_variance.unwrap_or(0.0)).unwrap_or(0.0);
        let known = observed.iter().flatten().any(|own| own.step_variance.is_some());
        let largest = observed.iter().flatten().map(|own| own.reading.amplitude()).fold(0.0, f64::max);
        Self {
            noise: reading_variances(input, &observed, largest),
            placement: vec![0.0; rows.len()],
            steps: if known { observed.iter().map(step).collect() } else { Vec::new() },
            same_step: if known { same_readings(input, rows) } else { Vec::new() },
            below: observed.iter().map(|own| own.and_then(|own| own.below).unwrap_or(0.0)).collect(),
            degrees: input.set.setup().noise.degrees_of_freedom,
            largest,
            all_own: observed.iter().flatten().all(|own| own.own),
        }
    }

    fn weight(&self, row: usize) -> f64 {
        let Some(noise) = &self.noise else {
            return if self.below[row] > 0.0 { WEIGHT_BELOW } else { 1.0 };
        };
        let step = self.steps.get(row).copied().unwrap_or(0.0);
        // Zero, with half the limit as the uncertainty of each component.
        let below = self.below[row].powi(2) / 4.0;
        1.0 / (noise[row] + self.placement[row] + step + below).sqrt()
    }
}

/// For each row the first one of the same state with the very same reading.
fn same_readings(input: &FitInput<'_>, rows: &[usize]) -> Vec<usize> {
    let all = input.set.rows();
    let same = |one: usize, other: usize| {
        let (one, other) = (&all[one], &all[other]);
        one.run.readings[input.sensor] == other.run.readings[input.sensor]
            && one.run.mounting == other.run.mounting
            && one.loads == other.loads
    };
    let first = |at: usize| (0..at).find(|&before| same(rows[before], rows[at])).unwrap_or(at);
    (0..rows.len()).map(first).collect()
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
        step_variances: scatter.steps,
        same_step: scatter.same_step,
        below: scatter.below,
        weights: solved.weights,
        misfit: (solved.squares, solved.degrees),
        known,
        stated: scatter.noise.is_some(),
        all_own: scatter.all_own,
    };
    // A tiny fraction of a degree of freedom is rounding.
    let degrees = if solved.degrees > 1e-6 { solved.degrees } else { 0.0 };
    // Readings below the dial can leave a part of a degree to the others: what these show is still one difference.
    let at_least_one = degrees.max(1.0);
    let per_degree = if degrees > 0.0 { solved.squares / (2.0 * degrees) } else { 0.0 };
    match scatter.noise {
        Some(stated) => {
            fit.reading_variances = stated;
            let pooled = (scatter.degrees + solved.squares / 2.0) / (scatter.degrees + degrees);
            if degrees > 0.0 && solved.squares > chi_squared_quantile(0.999, 2.0 * degrees) {
                fit.above_stated = true;
                fit.degrees_of_freedom = at_least_one.min(scatter.degrees);
                fit.reading_variances.iter_mut().for_each(|variance| *variance *= per_degree);
                fit.placement_variances.iter_mut().for_each(|variance| *variance *= per_degree);
            } else if scatter.degrees.is_finite() && pooled > 1.0 {
                // The stated figure is worth this many degrees of freedom, the runs' scatter its own: never
                // less than stated.
                fit.reading_variances.iter_mut().for_each(|variance| *variance *= pooled);
            }
        }
        // Equal readings show no scatter; without the dial's step the noise is then not known.
        None if degrees > 0.0
            && (!fit.step_variances.is_empty() || per_degree.sqrt() > NO_SCATTER * scatter.largest) =>
        {
            fit.degrees_of_freedom = at_least_one;
            fit.reading_variances = vec![per_degree; fit.rows.len()];
        }
        None => fit.degrees_of_freedom = 0.0,
    }
    fit
}

impl SensorFit {
    /// The squared distance of the fitted coefficients from those of the sister shafts, in their standard
    /// deviations.
    pub(super) fn prior_distance(&self, prior: &SensorPrior) -> f64 {
        let Some((mean, covariance)) = prior.matrices() else { return 0.0 };
        let off = CVector::from_column_slice(&self.coefficients) - mean;
        whitening(&(covariance * Complex64::new(0.5, 0.0)))
            .map_or(0.0, |matrix| (matrix * off).norm_squared())
    }

    /// Logarithm of the determinant of the rows' (and the prior's) information about the columns, ΦᴴWΦ in two
    /// components, and of the rows' variances: the terms of a likelihood besides the misfit.
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

#[cfg(test)]
mod tests {
    use super::super::prior::Prior;
    use super::*;
    use crate::caution::Caution;
    use crate::influence::{Drift, Influence, InfluenceFault, Options, estimate, estimate_as_far_as_told};
    use crate::run::by_hand::{ByHand, exactly, real};
    use crate::run::{Noise, SensorReading};

    fn plain(set: &RunSet) -> Influence {
        estimate(set, &Options::default()).unwrap()
    }

    fn first(influence: &Influence) -> &SensorFit {
        influence.groups[0].sensors[0].as_ref().unwrap()
    }

    /// Two initial runs that read `middle` ± `off`, a trial of 2 that reads `trial`.
    fn repeated(noise: Noise, middle: f64, off: f64, trial: f64) -> RunSet {
        let initial =
            |runs: ByHand, off: f64| runs.run(RunKind::Initial, &[], &[Complex64::new(middle, off)]);
        initial(initial(ByHand::new(1, 1, noise), off), -off)
            .run(RunKind::Trial, &[real(2.0)], &[real(trial)])
            .set()
    }

    // Squares of 2·0.1² with one complex degree of freedom: 0.01 in each component.
    #[test]
    fn noise_that_is_not_stated_is_what_repeats_differ_by() {
        let influence = plain(&repeated(Noise::not_stated(), 10.0, 0.1, 16.0));
        let fit = first(&influence);
        assert!((fit.next_reading_deviation(None).unwrap() - 0.1).abs() < 1e-12);
        assert_eq!((fit.degrees_of_freedom, fit.above_stated), (1.0, false));
        // The coefficient (16 − 10)/2 from two initial runs and one trial: 0.01·(1/2 + 1)/2².
        assert!((fit.coefficients[0] - 3.0).norm() < 1e-12);
        assert!((fit.coefficient_variance(PlaneId::new(0)).unwrap() - 0.003_75).abs() < 1e-12);
        assert!((fit.coefficient_covariance().unwrap()[0][0] - 0.0075).norm() < 1e-12);
    }

    #[test]
    fn readings_that_do_not_differ_tell_no_noise() {
        for (middle, trial) in [(10.0, 16.0), (0.0, 0.0)] {
            let influence = plain(&repeated(Noise::not_stated(), middle, 0.0, trial));
            assert!(!first(&influence).noise_known(), "{middle}");
            assert_eq!(first(&influence).degrees_of_freedom, 0.0, "{middle}");
            assert_eq!(influence.degrees_of_freedom(), None, "{middle}");
        }
    }

    // 2·off²/σ² against χ² with 2 degrees of freedom: at 0.001 up to 13.816 (printed tables).
    #[test]
    fn scatter_clearly_above_what_is_stated_counts_instead() {
        let limit = 0.1 * (13.816_f64 / 2.0).sqrt();
        let within = plain(&repeated(exactly(0.1), 10.0, 0.999 * limit, 16.0));
        assert!(!first(&within).above_stated && first(&within).degrees_of_freedom.is_infinite());
        assert!((first(&within).next_reading_deviation(None).unwrap() - 0.1).abs() < 1e-12);
        let above = plain(&repeated(exactly(0.1), 10.0, 1.001 * limit, 16.0));
        assert!(first(&above).above_stated && first(&above).degrees_of_freedom == 1.0);
        assert!((first(&above).next_reading_deviation(Some(0.01)).unwrap() - 1.001 * limit).abs() < 1e-12);
    }

    // A stated figure counts 10 complex degrees of freedom, the repeats 1: (10 + 2·0.2²/0.1²/2)/11 = 14/11 of the variance.
    // Repeats that scatter less make nothing smaller.
    #[test]
    fn a_stated_figure_is_pooled_with_what_repeats_show() {
        let stated = Noise { degrees_of_freedom: 10.0, ..exactly(0.1) };
        let pooled = plain(&repeated(stated.clone(), 10.0, 0.2, 16.0));
        let found = first(&pooled).next_reading_deviation(None).unwrap();
        assert!((found - 0.1 * (14.0_f64 / 11.0).sqrt()).abs() < 1e-12, "{found}");
        let less = plain(&repeated(stated, 10.0, 0.05, 16.0));
        assert!((first(&less).next_reading_deviation(None).unwrap() - 0.1).abs() < 1e-12);
    }

    #[test]
    fn a_sensor_that_was_never_read_is_left_out() {
        let reading = |amplitude: f64| {
            vec![
                SensorReading::Shown { amplitude, phase: crate::quantity::Angle::ZERO },
                SensorReading::NotRead,
            ]
        };
        let set = ByHand::new(1, 2, exactly(0.1))
            .shown(RunKind::Initial, &[], reading(10.0))
            .shown(RunKind::Trial, &[real(2.0)], reading(16.0))
            .set();
        assert!(plain(&set).groups[0].sensors[1].is_none());
        // Sister shafts tell how it would respond, but not what it shows.
        let own =
            |mean: f64| Some(SensorPrior { mean: vec![real(mean)], covariance: vec![vec![real(0.02)]] });
        let prior = Prior { sensors: vec![vec![own(3.0), own(5.0)]] };
        let influence = estimate(&set, &Options { drift: Drift::Ignored, prior: Some(&prior) }).unwrap();
        assert!(influence.groups[0].sensors[1].is_none());
        assert_eq!(influence.cautions, [Caution::SensorLeftOut { sensor: "sensor 2".into() }]);
    }

    #[test]
    fn planes_that_were_always_loaded_together_are_named() {
        let set = ByHand::new(2, 1, exactly(0.1))
            .run(RunKind::Initial, &[], &[real(10.0)])
            .run(RunKind::Trial, &[real(2.0), real(2.0)], &[real(16.0)])
            .run(RunKind::Trial, &[real(4.0), real(4.0)], &[real(22.0)])
            .set();
        let faults = estimate(&set, &Options::default()).unwrap_err();
        let named: Vec<&String> = faults.iter().flat_map(InfluenceFault::planes).collect();
        assert_eq!(named, ["plane 1", "plane 2"]);
    }

    #[test]
    fn sister_shafts_that_hardly_tell_more_than_the_runs_leave_planes_untold() {
        let loads = |one: f64, third: f64| [real(one), real(one), real(third)];
        let set = ByHand::new(3, 1, exactly(0.1))
            .run(RunKind::Initial, &[], &[real(10.0)])
            .run(RunKind::Trial, &loads(2.0, 0.0), &[real(16.0)])
            .run(RunKind::Trial, &loads(0.0, 2.0), &[real(14.0)])
            .set();
        let wide = |row: usize| (0..3).map(|column| real(if row == column { 1e22 } else { 0.0 })).collect();
        let own = SensorPrior { mean: vec![real(1.0); 3], covariance: (0..3).map(wide).collect() };
        let prior = Prior { sensors: vec![vec![Some(own)]] };
        let options = Options { drift: Drift::Ignored, prior: Some(&prior) };
        let influence = estimate_as_far_as_told(&set, &options).unwrap();
        assert_eq!(influence.groups[0].tells(3), [false, false, true]);
    }

    #[test]
    fn sister_shafts_of_other_planes_are_refused() {
        let set = repeated(exactly(0.1), 10.0, 0.0, 16.0);
        let covariance = vec![vec![real(1.0), real(0.0)], vec![real(0.0), real(1.0)]];
        let own = SensorPrior { mean: vec![real(3.0); 2], covariance };
        let prior = Prior { sensors: vec![vec![Some(own)]] };
        let options = Options { drift: Drift::Ignored, prior: Some(&prior) };
        assert_eq!(estimate(&set, &options).unwrap_err(), [InfluenceFault::OutOfRange]);
    }
}
