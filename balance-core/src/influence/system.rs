//! All sensors at all speeds as one system: weighted influence matrix and state.

use num_complex::Complex64;

use super::estimate::Influence;
use super::fit::{SensorFit, Variance};
use super::state::{SensorState, State, Which};
use crate::linear::{CMatrix, CVector, SingularValues, inverse_gain, refined, singular_values};
use crate::run::RunSet;
use crate::shaft::PlaneId;

/// One line of the system: a sensor at a speed.
#[derive(Debug, Clone)]
pub struct Line<'a> {
    /// Index of the speed group.
    pub group: usize,
    /// How the sensor responds.
    pub fit: &'a SensorFit,
    /// What it shows now.
    pub state: SensorState,
    /// How much it counts in the least squares.
    pub weight: f64,
}

/// Which sensors a system includes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[non_exhaustive]
pub enum Lines {
    /// Every sensor with a fit.
    All,
    /// Only sensors that were actually read in this state.
    Measured,
}

/// The system `state + A·loads` of some speed groups.
#[derive(Debug, Clone)]
pub struct System<'a> {
    /// Every sensor with a fit at every speed, in order.
    pub lines: Vec<Line<'a>>,
    planes: usize,
    /// The planes to which some line is known to respond.
    told: Vec<PlaneId>,
    /// Lines × planes: the weighted influence coefficients.
    weighted: CMatrix,
    /// Planes × lines: its least-squares inverse.
    gain: CMatrix,
    /// Planes × lines: what turns readings into unbalances.
    inverse: CMatrix,
    parts: SingularValues,
}

impl<'a> System<'a> {
    /// The system of the given speed groups in a state of the shaft.
    #[must_use]
    pub fn of(set: &RunSet, influence: &'a Influence, groups: &[usize], which: Which) -> Self {
        Self::with(set, influence, groups, which, Lines::All)
    }

    /// The same with a choice of sensors.
    #[must_use]
    pub fn with(set: &RunSet, influence: &'a Influence, groups: &[usize], which: Which, take: Lines) -> Self {
        let weights = sensor_weights(set);
        let mut lines = Vec::new();
        for &group in groups {
            let state = State::of(set, influence, group, which);
            for ((sensor, fit), state) in influence.groups[group].fits().zip(state.sensors) {
                if take == Lines::Measured && state.measured == 0 {
                    continue;
                }
                lines.push(Line { group, fit, state, weight: weights[sensor] });
            }
        }
        let planes = set.setup().planes.len();
        let weighted = CMatrix::from_fn(lines.len(), planes, |line, plane| {
            lines[line].fit.coefficients[plane] * lines[line].weight
        });
        let told: Vec<PlaneId> =
            PlaneId::all(planes).filter(|&plane| lines.iter().any(|line| line.fit.tells(plane))).collect();
        let (gain, parts) = if told.len() == planes {
            (inverse_gain(&weighted), singular_values(&weighted))
        } else {
            of_told_planes(&weighted, &told)
        };
        let mut inverse = gain.clone();
        for (at, line) in lines.iter().enumerate() {
            inverse.column_mut(at).scale_mut(line.weight);
        }
        Self { lines, planes, told, parts, weighted, gain, inverse }
    }

    /// What turns readings into unbalances: planes × lines.
    pub(crate) fn inverse(&self) -> &CMatrix {
        &self.inverse
    }

    /// The number of lines, and of planes whose response they show.
    #[must_use]
    pub fn shape(&self) -> (usize, usize) {
        (self.lines.len(), self.told.len())
    }

    /// For each plane whether some line is known to respond to it.
    #[must_use]
    pub fn tells(&self) -> Vec<bool> {
        PlaneId::all(self.planes).map(|plane| self.told.contains(&plane)).collect()
    }

    /// Condition of the weighted influence matrix in g·mm.
    #[must_use]
    pub fn condition(&self) -> f64 {
        if self.lines.len() < self.told.len() { f64::INFINITY } else { self.parts.condition() }
    }

    /// The combination of plane unbalances that the sensors see least, of length one.
    #[must_use]
    pub fn weak_direction(&self) -> Vec<Complex64> {
        let last = self.parts.values.len().saturating_sub(1);
        if self.parts.right.ncols() == 0 {
            return Vec::new();
        }
        self.parts.right.column(last).iter().copied().collect()
    }

    /// The unbalances (one for each plane) that would make the readings the sensors show in this state.
    #[must_use]
    pub fn unbalance(&self) -> Vec<Complex64> {
        let readings: Vec<Complex64> = self.lines.iter().map(|line| line.state.reading).collect();
        self.unbalance_of(&readings)
    }

    /// The same from given readings, one for each line.
    #[must_use]
    pub fn unbalance_of(&self, readings: &[Complex64]) -> Vec<Complex64> {
        let counted = self.lines.iter().zip(readings).map(|(line, reading)| reading * line.weight);
        let right = CVector::from_iterator(self.lines.len(), counted);
        refined(&self.gain, &self.weighted, &right).iter().copied().collect()
    }

    /// Each line's reading after adding these loads.
    #[must_use]
    pub fn readings_after(&self, loads: &[Complex64]) -> Vec<Complex64> {
        self.lines.iter().map(|line| line.state.reading + line.fit.effect(loads)).collect()
    }

    /// Each line's variance per component of that reading; `None` if a line has no figure for its noise.
    #[must_use]
    pub fn variances_after(&self, loads: &[Complex64]) -> Option<Vec<Variance>> {
        self.lines.iter().map(|line| line.state.variance_after(line.fit, loads)).collect()
    }

    /// Moves line variances into the planes: full complex covariance per component, A⁺ S A⁺ᴴ.
    pub(crate) fn plane_covariance(&self, line_variances: &[f64]) -> CMatrix {
        let spread = CVector::from_iterator(line_variances.len(), line_variances.iter().map(|&v| v.into()));
        &self.inverse * CMatrix::from_diagonal(&spread) * self.inverse.adjoint()
    }

    /// What wrong coefficients add to the covariance of the unbalances, per component, because they turn the
    /// least squares itself; `None` if a line has no figure for its noise. `loads` is the correction.
    ///
    /// # Method
    ///
    /// Small errors δA turn the answer by (AᴴW²A)⁻¹ δAᴴ W² r, with r the part of the readings that is not an
    /// unbalance in the planes and remains: dial runout, a bent yoke. Nothing is added with as many sensors
    /// as planes. With fewer the smallest masses turn by (1 − A⁺A) δAᴴ A⁺ᴴ w.
    ///
    /// # Source
    ///
    /// Derivative of the pseudo-inverse: G. H. Golub, V. Pereyra, SIAM J. Numer. Anal. 10 (1973) 413 \[from
    /// memory\]. Without this term four sensors on two planes with a third of the readings unexplained leave
    /// 82 to 92 of 100 true masses inside their 95 % circles, with it 95 (simulated here, 2026-11).
    pub(crate) fn turning_covariance(&self, loads: &[Complex64]) -> Option<CMatrix> {
        let planes = self.planes;
        let tall = self.lines.len() >= self.told.len();
        let load = CVector::from_column_slice(loads);
        let by_line = if tall { self.weighted_left(loads) } else { self.inverse.adjoint() * &load };
        let mut errors = CMatrix::zeros(planes, planes);
        for (line, size) in self.lines.iter().zip(by_line.iter()) {
            errors += line.fit.covariance_matrix()?.conjugate() * Complex64::from(size.norm_sqr() / 2.0);
        }
        let turn = if tall { self.inverse_normal() } else { self.unseen() };
        Some(&turn * errors * turn.adjoint())
    }

    /// How far each line's reading after these loads can be off because readings were below what the dial shows, in the
    /// sensor's unit.
    #[must_use]
    pub fn below_bounds(&self, loads: &[Complex64]) -> Vec<f64> {
        self.lines.iter().map(|line| line.state.below_bound(line.fit, loads)).collect()
    }

    /// Sum of squares of the part of the readings that no loads explain, each line over its own variance per
    /// component, after the least squares weighted by these variances.
    #[must_use]
    pub fn misfit(&self, variances: &[f64]) -> f64 {
        let weight = |line: usize| 1.0 / variances[line].max(f64::MIN_POSITIVE).sqrt();
        let answers = CMatrix::from_fn(self.lines.len(), self.told.len(), |line, at| {
            self.lines[line].fit.coefficients[self.told[at]] * weight(line)
        });
        let readings = CVector::from_iterator(
            self.lines.len(),
            self.lines.iter().enumerate().map(|(at, line)| line.state.reading * weight(at)),
        );
        let explained = refined(&inverse_gain(&answers), &answers, &readings);
        (readings - answers * explained).norm_squared()
    }

    /// The errors of the coefficients compared with the weakest response of the system: from about a quarter
    /// on, the least-squares solution itself turns, and first-order uncertainty is too small. `None` without
    /// a figure for the noise.
    #[must_use]
    pub fn looseness(&self) -> Option<f64> {
        let mut squares = 0.0;
        for line in &self.lines {
            squares += line.fit.covariance_matrix()?.trace().re * line.weight * line.weight;
        }
        let weakest = self.parts.values.last().copied().unwrap_or(0.0);
        Some(if weakest > 0.0 { squares.sqrt() / weakest } else { f64::INFINITY })
    }

    /// W²·r: the weighted remainder after these loads.
    fn weighted_left(&self, loads: &[Complex64]) -> CVector {
        let left = self.readings_after(loads);
        let counted = self.lines.iter().zip(left).map(|(line, left)| left * line.weight * line.weight);
        CVector::from_iterator(self.lines.len(), counted)
    }

    /// (AᴴW²A)⁻¹, from what turns readings into unbalances.
    fn inverse_normal(&self) -> CMatrix {
        let mut normal = CMatrix::zeros(self.planes, self.planes);
        for (at, line) in self.lines.iter().enumerate().filter(|(_, line)| line.weight != 0.0) {
            let column = self.inverse.column(at);
            normal += column * column.adjoint() / Complex64::from(line.weight * line.weight);
        }
        normal
    }

    /// 1 − A⁺A: the unbalances that no sensor sees.
    fn unseen(&self) -> CMatrix {
        let answers = CMatrix::from_fn(self.lines.len(), self.planes, |line, plane| {
            self.lines[line].fit.coefficients[plane]
        });
        CMatrix::identity(self.planes, self.planes) - &self.inverse * answers
    }

    /// The smallest degrees of freedom behind the lines' noise figures: the most that a circle may claim.
    #[must_use]
    pub fn degrees_of_freedom(&self) -> f64 {
        self.lines.iter().map(|line| line.fit.degrees_of_freedom).fold(f64::INFINITY, f64::min)
    }
}

/// The inverse and the singular values of the planes with a known response; zero for the others.
fn of_told_planes(weighted: &CMatrix, told: &[PlaneId]) -> (CMatrix, SingularValues) {
    let told: Vec<usize> = told.iter().map(|plane| plane.index()).collect();
    let own = weighted.select_columns(&told);
    let found = inverse_gain(&own);
    let mut gain = CMatrix::zeros(weighted.ncols(), weighted.nrows());
    for (row, &plane) in told.iter().enumerate() {
        gain.row_mut(plane).copy_from(&found.row(row));
    }
    let mut parts = singular_values(&own);
    let mut right = CMatrix::zeros(weighted.ncols(), parts.right.ncols());
    for (row, &plane) in told.iter().enumerate() {
        right.row_mut(plane).copy_from(&parts.right.row(row));
    }
    parts.right = right;
    (gain, parts)
}

/// 1 for all sensors when they share a unit, otherwise one over the rms of that unit's unloaded readings; a
/// weight stated by the user takes precedence.
fn sensor_weights(set: &RunSet) -> Vec<f64> {
    let sensors = &set.setup().sensors;
    let one_unit = sensors.windows(2).all(|pair| pair[0].unit == pair[1].unit);
    let of_unit = |unit: &str| {
        let squares: Vec<f64> = set
            .initial_block()
            .iter()
            .flat_map(|&row| set.rows()[row].observed.iter().zip(sensors))
            .filter(|(_, sensor)| sensor.unit == unit)
            .filter_map(|(observed, _)| observed.map(|observed| observed.reading.amplitude().powi(2)))
            .collect();
        let mean = squares.iter().sum::<f64>() / squares.len().max(1) as f64;
        if mean > 0.0 { 1.0 / mean.sqrt() } else { 1.0 }
    };
    let default = |unit: &str| if one_unit { 1.0 } else { of_unit(unit) };
    sensors.iter().map(|sensor| sensor.weight.unwrap_or_else(|| default(&sensor.unit))).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::influence::{Options, estimate};
    use crate::run::RunKind;
    use crate::run::by_hand::{ByHand, exactly, real};

    fn influence(set: &RunSet) -> Influence {
        estimate(set, &Options::default()).unwrap()
    }

    fn weights(set: &RunSet, influence: &Influence) -> Vec<f64> {
        System::of(set, influence, &[0], Which::AsFound).lines.iter().map(|line| line.weight).collect()
    }

    // Initial readings 3 and 5 in mm/s, 30 and 40 in um: rms √17 and √1250.
    #[test]
    fn sensors_of_different_units_count_by_their_first_readings() {
        let runs = ByHand::new(1, 2, exactly(0.1))
            .run(RunKind::Initial, &[], &[real(3.0), real(30.0)])
            .run(RunKind::Initial, &[], &[real(-5.0), Complex64::new(0.0, 40.0)])
            .run(RunKind::Trial, &[real(2.0)], &[real(90.0), real(900.0)]);
        let one_unit = runs.clone().set();
        assert_eq!(weights(&one_unit, &influence(&one_unit)), [1.0, 1.0]);
        let mut two_units = runs.clone();
        two_units.setup.sensors[1].unit = "um".into();
        let set = two_units.clone().set();
        let found = weights(&set, &influence(&set));
        assert!((found[0] - 1.0 / 17f64.sqrt()).abs() < 1e-12, "{found:?}");
        assert!((found[1] - 1.0 / 1250f64.sqrt()).abs() < 1e-12, "{found:?}");
        two_units.setup.sensors[1].weight = Some(0.25);
        let set = two_units.set();
        assert_eq!(weights(&set, &influence(&set))[1], 0.25);
    }

    /// Two sensors on one plane: coefficients 3 and 4, initial readings 6 and 3. Noise 0.1 in each component.
    fn two_sensors() -> RunSet {
        ByHand::new(1, 2, exactly(0.1))
            .run(RunKind::Initial, &[], &[real(6.0), real(3.0)])
            .run(RunKind::Trial, &[real(2.0)], &[real(12.0), real(11.0)])
            .set()
    }

    // Each coefficient is off by 2·0.1²·2/2² (both components), both together by √0.02; the response has the length 5.
    #[test]
    fn looseness_is_the_error_of_the_coefficients_beside_the_weakest_response() {
        let set = two_sensors();
        let influence = influence(&set);
        let system = System::of(&set, &influence, &[0], Which::AsFound);
        let found = system.looseness().unwrap();
        assert!((found - 0.02_f64.sqrt() / 5.0).abs() < 1e-12, "{found}");
        assert!((system.condition() - 1.0).abs() < 1e-12);
    }

    // (3·6 + 4·3)/(3² + 4²) = 1.2: 3.6 and 4.8 of 6 and 3, 2.4² + 1.8² are left. With the variances 1 and 4:
    // (3·6 + 4·3/4)/(3² + 4²/4) = 21/13.
    #[test]
    fn unbalance_is_the_least_squares_of_the_readings() {
        let set = two_sensors();
        let influence = influence(&set);
        let system = System::of(&set, &influence, &[0], Which::AsFound);
        assert!((system.unbalance()[0] - 1.2).norm() < 1e-12);
        assert!((system.misfit(&[1.0, 1.0]) - 9.0).abs() < 1e-12);
        let explained: f64 = 21.0 / 13.0;
        let wanted = (6.0 - 3.0 * explained).powi(2) + (3.0 - 4.0 * explained).powi(2) / 4.0;
        assert!((system.misfit(&[1.0, 4.0]) - wanted).abs() < 1e-12);
        let left = system.readings_after(&[real(-1.2)]);
        assert!((left[0] - 2.4).norm() < 1e-12 && (left[1] + 1.8).norm() < 1e-12, "{left:?}");
        // (3²·v + 4²·w)/25².
        let spread = system.plane_covariance(&[1.0, 4.0]);
        assert!((spread[(0, 0)] - (9.0 + 64.0) / 625.0).norm() < 1e-12, "{spread}");
    }

    // What wrong coefficients turn, by hand: r = (2.4, −1.8) is left, (AᴴA)⁻¹ = 1/25, each coefficient's error 0.01 in both
    // components together, half of it in one: Σ|r|²·0.005/25².
    #[test]
    fn coefficients_turn_the_least_squares_by_what_remains() {
        let set = two_sensors();
        let influence = influence(&set);
        let system = System::of(&set, &influence, &[0], Which::AsFound);
        let turned = system.turning_covariance(&[real(-1.2)]).unwrap();
        assert!((turned[(0, 0)] - 9.0 * 0.005 / 625.0).norm() < 1e-15, "{turned}");
    }
}
