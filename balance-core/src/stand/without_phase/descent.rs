//! Down to the nearest best response: maximum likelihood by damped Gauss–Newton steps.

use num_complex::Complex64;

use super::model::SensorResponse;
use crate::chance::Rice;
use crate::linear::RMatrix;

/// Steps are refined until the unknowns move by less than this share of themselves.
const SETTLED: f64 = 1e-12;
const MOST_STEPS: usize = 80;

/// Squares of amplitudes below this share of the largest count as if they were this large.
const SMALL: f64 = 0.1;

/// What is compared with the readings.
#[derive(Clone, Copy, PartialEq)]
enum Compared {
    /// Squares: smooth where a reading passes through zero, so that no side of it is a trap.
    Squares,
    /// Amplitudes, by their likelihood.
    Amplitudes,
}

/// The amplitudes of one sensor with their deviations, in units in which loads and readings are about one.
#[derive(Debug, Clone)]
pub(super) struct Amplitudes {
    pub loads: Vec<Vec<Complex64>>,
    pub amplitudes: Vec<f64>,
    /// One sigma of each component.
    pub deviations: Vec<f64>,
    /// Whether the deviations are known, so that the law of Rice can be used; otherwise they are only weights.
    pub known: bool,
}

impl Amplitudes {
    fn law(&self, row: usize, response: &SensorResponse) -> Option<Rice> {
        Rice::new(response.reading(&self.loads[row]).norm(), self.deviations[row])
    }

    /// −ln likelihood, up to a constant.
    pub(super) fn misfit(&self, response: &SensorResponse) -> f64 {
        let of_row = |row: usize| {
            if self.known {
                return self.law(row, response).map_or(f64::INFINITY, |law| law.misfit(self.amplitudes[row]));
            }
            self.off(row, response).powi(2) / 2.0
        };
        (0..self.amplitudes.len()).map(of_row).sum()
    }

    /// How far a reading is from the response, in deviations.
    pub(super) fn off(&self, row: usize, response: &SensorResponse) -> f64 {
        (self.amplitudes[row] - response.reading(&self.loads[row]).norm()) / self.deviations[row]
    }

    /// Sum of squares of those.
    pub(super) fn sum_of_squares(&self, response: &SensorResponse) -> f64 {
        (0..self.amplitudes.len()).map(|row| self.off(row, response).powi(2)).sum()
    }

    /// What each reading pulls, in deviations, and how each unknown moves each amplitude, in deviations.
    fn slopes(&self, response: &SensorResponse, compared: Compared) -> (RMatrix, RMatrix) {
        let (rows, columns) = (self.amplitudes.len(), 1 + 2 * response.gains.len());
        let mut jacobian = RMatrix::zeros(rows, columns);
        let mut pull = RMatrix::zeros(rows, 1);
        for row in 0..rows {
            let deviation = self.deviations[row];
            let reading = response.reading(&self.loads[row]);
            let length = reading.norm();
            let direction = if length > 0.0 { reading.conj() / length } else { Complex64::ONE };
            jacobian[(row, 0)] = direction.re / deviation;
            for (plane, load) in self.loads[row].iter().enumerate() {
                let turned = direction * load;
                jacobian[(row, 1 + 2 * plane)] = turned.re / deviation;
                jacobian[(row, 2 + 2 * plane)] = -turned.im / deviation;
            }
            let off = match self.law(row, response).filter(|_| self.known) {
                Some(law) => law.pull(self.amplitudes[row]),
                None => self.amplitudes[row] - length,
            };
            pull[(row, 0)] = off / deviation;
            if compared == Compared::Squares {
                pull[(row, 0)] = self.off_in_squares(row, response);
                let steeper = length / self.amplitudes[row].max(SMALL);
                jacobian.row_mut(row).scale_mut(steeper);
            }
        }
        (jacobian, pull)
    }

    fn off_in_squares(&self, row: usize, response: &SensorResponse) -> f64 {
        let read = self.amplitudes[row];
        let off = read * read - response.reading(&self.loads[row]).norm_sqr();
        off / (2.0 * read.max(SMALL) * self.deviations[row])
    }

    fn misfit_of(&self, response: &SensorResponse, compared: Compared) -> f64 {
        match compared {
            Compared::Amplitudes => self.misfit(response),
            Compared::Squares => {
                (0..self.amplitudes.len()).map(|row| self.off_in_squares(row, response).powi(2)).sum::<f64>()
                    / 2.0
            }
        }
    }

    /// The nearest response that no small change improves.
    pub(super) fn descend(&self, start: &SensorResponse) -> SensorResponse {
        let near = self.down(start, Compared::Squares);
        self.down(&near, Compared::Amplitudes)
    }

    fn down(&self, start: &SensorResponse, compared: Compared) -> SensorResponse {
        let mut here = start.clone();
        let mut misfit = self.misfit_of(&here, compared);
        let mut damping = 1e-3;
        for _ in 0..MOST_STEPS {
            let (jacobian, pull) = self.slopes(&here, compared);
            let normal = jacobian.transpose() * &jacobian;
            let right = jacobian.transpose() * pull;
            let Some(step) = damped(&normal, &right, damping) else { break };
            let unknowns = here.unknowns();
            let moved: Vec<f64> = unknowns.iter().zip(step.iter()).map(|(own, step)| own + step).collect();
            let there = SensorResponse::of(&moved);
            let found = self.misfit_of(&there, compared);
            let size = unknowns.iter().map(|own| own * own).sum::<f64>().sqrt();
            if found <= misfit {
                (here, misfit, damping) = (there, found, (damping / 5.0).max(1e-12));
            } else {
                damping *= 8.0;
            }
            if step.norm() <= SETTLED * size || damping > 1e12 {
                break;
            }
        }
        here
    }

    /// Covariance of the unknowns; `None` where the readings leave a direction open.
    ///
    /// A reading of a deviations' length says a²/(1 + a²) of what a long one says \[exact in both limits\].
    pub(super) fn covariance(&self, response: &SensorResponse) -> Option<RMatrix> {
        let (mut jacobian, _) = self.slopes(response, Compared::Amplitudes);
        for row in 0..self.amplitudes.len() {
            let length = response.reading(&self.loads[row]).norm() / self.deviations[row];
            let told = if self.known { length / length.hypot(1.0) } else { 1.0 };
            jacobian.row_mut(row).scale_mut(told);
        }
        let normal = jacobian.transpose() * &jacobian;
        let scale: Vec<f64> = normal.diagonal().iter().map(|own| own.sqrt()).collect();
        if scale.iter().any(|own| !(own.is_finite() && *own > 0.0)) {
            return None;
        }
        let size = scale.len();
        let scaled = RMatrix::from_fn(size, size, |i, j| normal[(i, j)] / (scale[i] * scale[j]));
        let inverse = scaled.cholesky()?.inverse();
        let found = RMatrix::from_fn(size, size, |i, j| inverse[(i, j)] / (scale[i] * scale[j]));
        found.iter().all(|entry| entry.is_finite()).then_some(found)
    }
}

/// (N + damping·diag N)⁻¹·right.
fn damped(normal: &RMatrix, right: &RMatrix, damping: f64) -> Option<RMatrix> {
    let mut matrix = normal.clone();
    let floor = normal.diagonal().iter().copied().fold(0.0, f64::max) * 1e-12;
    for at in 0..matrix.nrows() {
        matrix[(at, at)] += damping * matrix[(at, at)] + floor;
    }
    let step = matrix.cholesky()?.solve(right);
    step.iter().all(|entry| entry.is_finite()).then_some(step)
}
