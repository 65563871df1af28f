//! The true stand: springs and dampers under the supports, and needles that read how fast these move.

use balance_core::Complex64;

use super::shaft::shares;
use crate::random::Random;

/// The stand that carries and reads a shaft.
#[derive(Debug, Clone)]
pub struct TrueStand {
    /// Sensor by sensor: mm/s for each g·mm at each support.
    answers: Vec<Vec<Complex64>>,
}

/// A shaft for a stand: supports (mm), pieces (kg), speed (rpm).
#[derive(Debug, Clone)]
pub struct OnStand<'a> {
    /// Where it is supported, mm.
    pub supports: &'a [f64],
    /// The pieces between, kg.
    pub pieces: &'a [f64],
    /// Where the stand reads, mm.
    pub sensors: &'a [f64],
    /// The least of the limits at the supports, g·mm.
    pub limit: f64,
    /// How fast it turns.
    pub rpm: f64,
}

impl TrueStand {
    /// Springs either well softer or well stiffer than the shaft's mass wants at this speed, dampers, needles of
    /// different gain and phase; the limit at one support alone makes the needle that it moves most show 1.5 to 3 mm/s.
    ///
    /// Motion y of the supports: (K − Ω²M + iΩC)·y ∝ u with u the unbalance at the supports by the lever rule (the
    /// generalised force of a rigid piece) and M the mass matrix of uniform rigid rods, m/6·[2 1; 1 2] for each.
    #[must_use]
    pub fn random(on: &OnStand<'_>, random: &mut Random) -> Self {
        let omega = on.rpm * std::f64::consts::TAU / 60.0;
        let count = on.supports.len();
        let mut matrix = vec![vec![Complex64::ZERO; count]; count];
        let soft = random.below(2) == 0;
        let mut carried = vec![0.0; count];
        for (at, mass) in on.pieces.iter().enumerate() {
            for (row, column, part) in [(0, 0, 2.0), (0, 1, 1.0), (1, 0, 1.0), (1, 1, 2.0)] {
                matrix[at + row][at + column] -= omega * omega * mass * part / 6.0;
            }
            carried[at] += mass / 2.0;
            carried[at + 1] += mass / 2.0;
        }
        for (at, mass) in carried.iter().enumerate() {
            let part = if soft { random.between(0.3, 0.65) } else { random.between(1.6, 2.4) };
            let (own, damping) = (part * omega, random.between(0.05, 0.25));
            matrix[at][at] += mass * Complex64::new(own * own, 2.0 * damping * own * omega);
        }
        let columns: Vec<Vec<Complex64>> = (0..count).map(|at| solve(&matrix, unit(count, at))).collect();
        let needle = |place: &f64| {
            let gain = random.direction() * random.between(0.8, 1.2);
            let carried = shares(on.supports, *place);
            let answer = |column: &Vec<Complex64>| {
                gain * column.iter().zip(&carried).map(|(motion, share)| motion * share).sum::<Complex64>()
            };
            columns.iter().map(answer).collect()
        };
        let mut answers: Vec<Vec<Complex64>> = on.sensors.iter().map(needle).collect();
        let most = answers.iter().flatten().map(|answer| answer.norm()).fold(0.0, f64::max);
        let scale = random.between(1.5, 3.0) / (most * on.limit);
        answers.iter_mut().flatten().for_each(|answer| *answer *= scale);
        Self { answers }
    }

    /// What the needles would show without any error.
    #[must_use]
    pub fn shows(&self, at_supports: &[Complex64]) -> Vec<Complex64> {
        let sensor = |row: &Vec<Complex64>| row.iter().zip(at_supports).map(|(a, u)| a * u).sum();
        self.answers.iter().map(sensor).collect()
    }
}

fn unit(count: usize, at: usize) -> Vec<Complex64> {
    (0..count).map(|own| if own == at { Complex64::ONE } else { Complex64::ZERO }).collect()
}

/// Solves a small system by elimination with the largest pivot.
///
/// # Panics
///
/// If the matrix is singular, which springs and dampers under every support rule out.
#[must_use]
pub fn solve(matrix: &[Vec<Complex64>], right: Vec<Complex64>) -> Vec<Complex64> {
    let count = right.len();
    let mut rows: Vec<Vec<Complex64>> = matrix.to_vec();
    rows.iter_mut().zip(right).for_each(|(row, value)| row.push(value));
    for at in 0..count {
        let largest = (at..count).max_by(|a, b| rows[*a][at].norm().total_cmp(&rows[*b][at].norm()));
        rows.swap(at, largest.expect("there is a row left"));
        let pivot = rows[at].clone();
        assert!(pivot[at].norm() > 0.0, "a stand's matrix is never singular");
        for (_, row) in rows.iter_mut().enumerate().filter(|(index, _)| *index != at) {
            let share = row[at] / pivot[at];
            row.iter_mut().zip(&pivot).for_each(|(own, other)| *own -= share * other);
        }
    }
    (0..count).map(|at| rows[at][count] / rows[at][at]).collect()
}
