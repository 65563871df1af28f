//! The shaft's angle as a smooth function of time through its pulses.
//!
//! # Method
//!
//! The times of the pulses are t = s + e, with e the pulses' own jitter and s smooth: s minimises
//! Σ (t − s)² + λ Σ (third differences of s)², and λ is the most likely one given the pulses alone (restricted maximum
//! likelihood of third differences that are independent; E. T. Whittaker, Proc. Edinburgh Math. Soc. 41 (1923) 63,
//! and G. Wahba, Annals of Statistics 13 (1985) 1378, both from memory). A steady speed and a steady drift of the speed
//! have no third differences and pass unchanged. Between the smoothed pulses the angle is a cubic spline.

use std::f64::consts::TAU;

use super::turns::Mark;

/// log₁₀ λ from here to there: from through every pulse to smooth over some sixty turns.
const SMOOTHING: (f64, f64) = (-3.0, 10.0);
/// A pulse this many scatters off its neighbours is left out, if it is also `LEAST_OFF` of a turn off.
const OFF: f64 = 9.0;
const LEAST_OFF: f64 = 0.008;

/// The shaft's angle over a run of pulses.
#[derive(Debug, Clone)]
pub(super) struct Path {
    time: Vec<f64>,
    angle: Vec<f64>,
    /// Second derivatives of the angle at the knots.
    bend: Vec<f64>,
    /// For each knot how far its pulse came behind the smooth angle, in radians.
    pub late: Vec<f64>,
    /// One sigma of a pulse, in radians.
    pub jitter: f64,
    /// Pulses left out, and the worst of them in turns.
    pub dirty: (usize, f64),
}

impl Path {
    /// Through four marks or more.
    pub fn through(marks: &[Mark]) -> Self {
        let (marks, dirty) = without_dirty(marks);
        let turns: Vec<f64> = marks.iter().map(|mark| f64::from(mark.turn)).collect();
        let times: Vec<f64> = marks.iter().map(|mark| mark.time).collect();
        let (errors, sigma) = jitter_of(&turns, &times);
        let time: Vec<f64> = times.iter().zip(&errors).map(|(time, error)| time - error).collect();
        let angle: Vec<f64> = turns.iter().map(|turn| TAU * turn).collect();
        let bend = bend(&time, &angle);
        let mut path = Self { time, angle, bend, late: Vec::new(), jitter: 0.0, dirty };
        path.late = (0..times.len()).map(|knot| path.at_knot(knot, times[knot]) - path.angle[knot]).collect();
        let span = (path.angle.last().copied().unwrap_or(0.0), path.time.last().copied().unwrap_or(1.0));
        path.jitter =
            sigma * span.0 / (span.1 - path.time.first().copied().unwrap_or(0.0)).max(f64::MIN_POSITIVE);
        path
    }

    /// Angle of a knot as its pulse counts it.
    pub fn knots(&self) -> impl Iterator<Item = (f64, f64)> {
        self.angle.iter().copied().zip(self.late.iter().copied())
    }

    fn at_knot(&self, knot: usize, time: f64) -> f64 {
        let last = self.time.len().saturating_sub(2);
        let piece = if time < self.time[knot] { knot.saturating_sub(1) } else { knot };
        self.on_piece(piece.min(last), time)
    }

    fn on_piece(&self, piece: usize, time: f64) -> f64 {
        let (from, to) = (self.time[piece], self.time[piece + 1]);
        let length = to - from;
        let (left, right) = ((to - time) / length, (time - from) / length);
        let curve = |share: f64| share * (share * share - 1.0) * length * length / 6.0;
        left * self.angle[piece]
            + right * self.angle[piece + 1]
            + curve(left) * self.bend[piece]
            + curve(right) * self.bend[piece + 1]
    }

    /// The angle in radians at times that grow on the whole.
    pub fn angles<'a>(&'a self, times: &'a [f64]) -> impl Iterator<Item = f64> + 'a {
        let last = self.time.len().saturating_sub(2);
        let mut piece = 0;
        times.iter().map(move |&time| {
            while piece < last && time >= self.time[piece + 1] {
                piece += 1;
            }
            while piece > 0 && time < self.time[piece] {
                piece -= 1;
            }
            self.on_piece(piece, time)
        })
    }
}

/// Leaves pulses out that are far off the cubic through their four neighbours; the first and the last two stay.
fn without_dirty(marks: &[Mark]) -> (Vec<Mark>, (usize, f64)) {
    let mut kept = marks.to_vec();
    let mut dirty = (0, 0.0_f64);
    loop {
        let off: Vec<f64> = kept.windows(5).map(off_neighbours).collect();
        let mut sorted: Vec<f64> = off.iter().map(|own| own.abs()).collect();
        sorted.sort_unstable_by(f64::total_cmp);
        let scatter = sorted.get(sorted.len() / 2).copied().unwrap_or(0.0) * 1.4826;
        let worst = (0..off.len()).max_by(|&one, &other| off[one].abs().total_cmp(&off[other].abs()));
        let Some(worst) = worst.filter(|&at| off[at].abs() > (OFF * scatter).max(LEAST_OFF)) else { break };
        if dirty.0 * 10 > marks.len() {
            break;
        }
        kept.remove(worst + 2);
        dirty = (dirty.0 + 1, dirty.1.max(off[worst].abs()));
    }
    (kept, dirty)
}

/// How far the middle of five marks is off the cubic through the others, in turns.
fn off_neighbours(five: &[Mark]) -> f64 {
    let at = |mark: &Mark| f64::from(mark.turn) - f64::from(five[2].turn);
    let others = [&five[0], &five[1], &five[3], &five[4]];
    let expected: f64 = others
        .iter()
        .map(|own| {
            let share: f64 = others
                .iter()
                .filter(|other| other.edge != own.edge)
                .map(|other| at(other) / (at(other) - at(own)))
                .product();
            share * own.time
        })
        .sum();
    let turn = (five[4].time - five[0].time) / (at(&five[4]) - at(&five[0]));
    (five[2].time - expected) / turn
}

/// The jitter of each time, and one sigma of it.
fn jitter_of(turns: &[f64], times: &[f64]) -> (Vec<f64>, f64) {
    let still = (vec![0.0; times.len()], 0.0);
    if times.len() < 7 {
        return still;
    }
    let rows: Vec<[f64; 4]> = turns.windows(4).map(third_difference).collect();
    let seen: Vec<f64> = rows.iter().zip(times.windows(4)).map(|(row, times)| dot(row, times)).collect();
    let smallest = f64::EPSILON * times.iter().fold(0.0_f64, |most, time| most.max(time.abs()));
    if seen.iter().all(|own| own.abs() <= 16.0 * smallest) {
        return still;
    }
    let products = products(&rows);
    let steps = 40;
    let at = |step: usize| SMOOTHING.0 + (SMOOTHING.1 - SMOOTHING.0) * step as f64 / f64::from(steps);
    let fits = (0..=steps as usize).map(|step| Banded::fit(&products, &seen, 10_f64.powf(-at(step))));
    let best = fits.min_by(|one, other| one.unlikely.total_cmp(&other.unlikely));
    let Some(best) = best else { return still };
    let mut errors = vec![0.0; times.len()];
    for (from, (row, weight)) in rows.iter().zip(&best.solution).enumerate() {
        for (error, own) in errors[from..from + 4].iter_mut().zip(row) {
            *error += own * weight;
        }
    }
    (errors, best.variance.sqrt())
}

fn dot(row: &[f64; 4], times: &[f64]) -> f64 {
    // From the first time on, for differences of large times lose digits.
    row.iter().zip(times).map(|(own, time)| own * (time - times[0])).sum()
}

/// Weights of the third difference at four places, those of even spacing where they are even.
fn third_difference(at: &[f64]) -> [f64; 4] {
    std::array::from_fn(|own| {
        let others = (0..4).filter(|other| *other != own);
        6.0 / others.map(|other| at[own] - at[other]).product::<f64>()
    })
}

/// The products of the rows with themselves and with the next three.
fn products(rows: &[[f64; 4]]) -> Vec<[f64; 4]> {
    let product = |one: usize, apart: usize| {
        let Some(other) = rows.get(one + apart) else { return 0.0 };
        rows[one][apart..].iter().zip(other).map(|(a, b)| a * b).sum()
    };
    (0..rows.len()).map(|row| std::array::from_fn(|apart| product(row, apart))).collect()
}

/// A solved system of a symmetric matrix with three diagonals beside the main one.
struct Banded {
    solution: Vec<f64>,
    variance: f64,
    /// Minus twice the log likelihood, but for a constant.
    unlikely: f64,
}

impl Banded {
    /// Solves (products + added·1)·x = seen by Cholesky's L·D·Lᵀ.
    fn fit(products: &[[f64; 4]], seen: &[f64], added: f64) -> Self {
        let size = seen.len();
        let mut pivots = vec![0.0; size];
        let mut lower = vec![[0.0; 3]; size];
        let mut solution = seen.to_vec();
        let (mut squares, mut logs) = (0.0, 0.0);
        for row in 0..size {
            let reach = row.min(3);
            let mut own = [0.0; 3];
            let mut pivot = products[row][0] + added;
            for back in (1..=reach).rev() {
                let column = row - back;
                let mut entry = products[column][back];
                for further in back + 1..=reach {
                    let shared = row - further;
                    entry -= own[further - 1] * lower[column][further - back - 1] * pivots[shared];
                }
                own[back - 1] = entry / pivots[column];
            }
            for back in 1..=reach {
                pivot -= own[back - 1] * own[back - 1] * pivots[row - back];
                solution[row] -= own[back - 1] * solution[row - back];
            }
            (pivots[row], lower[row]) = (pivot.max(f64::MIN_POSITIVE), own);
            squares += solution[row] * solution[row] / pivots[row];
            logs += pivots[row].ln();
        }
        for row in (0..size).rev() {
            solution[row] /= pivots[row];
            for ahead in 1..=(size - 1 - row).min(3) {
                solution[row] -= lower[row + ahead][ahead - 1] * solution[row + ahead];
            }
        }
        let variance = squares / size as f64;
        Self { solution, variance, unlikely: size as f64 * variance.ln() + logs }
    }
}

/// Second derivatives at the knots of a cubic spline whose first and last pieces bend evenly.
fn bend(time: &[f64], angle: &[f64]) -> Vec<f64> {
    let size = time.len();
    if size < 3 {
        return vec![0.0; size];
    }
    let step = |at: usize| time[at + 1] - time[at];
    let slope = |at: usize| (angle[at + 1] - angle[at]) / step(at);
    let inner = size - 2;
    let (mut above, mut right) = (vec![0.0; inner], vec![0.0; inner]);
    for row in 0..inner {
        let (before, after) = (step(row), step(row + 1));
        let mut diagonal = 2.0 * (before + after);
        diagonal += if row == 0 { before } else { 0.0 };
        diagonal += if row + 1 == inner { after } else { 0.0 };
        let mut value = 6.0 * (slope(row + 1) - slope(row));
        if row > 0 {
            diagonal -= before * above[row - 1];
            value -= before * right[row - 1];
        }
        (above[row], right[row]) = (if row + 1 < inner { after / diagonal } else { 0.0 }, value / diagonal);
    }
    for row in (0..inner - 1).rev() {
        right[row] -= above[row] * right[row + 1];
    }
    let mut bend = Vec::with_capacity(size);
    bend.push(right[0]);
    bend.extend(&right);
    bend.push(right[inner - 1]);
    bend
}

#[cfg(test)]
mod tests {
    use super::*;

    fn marks(time: impl Fn(f64) -> f64, count: u32) -> Vec<Mark> {
        (0..count).map(|turn| Mark { time: time(f64::from(turn)), turn, edge: turn as usize }).collect()
    }

    #[test]
    fn a_drift_of_the_speed_is_followed_between_pulses() {
        // θ = 100·t + 2·t², so t(turn) by solving for it.
        let time = |turn: f64| (-100.0 + (1e4 + 8.0 * TAU * turn).sqrt()) / 4.0;
        let path = Path::through(&marks(time, 60));
        let times: Vec<f64> = (1..340).map(|n| f64::from(n) / 100.0).collect();
        for (time, angle) in times.iter().zip(path.angles(&times)) {
            let exact = 100.0 * time + 2.0 * time * time;
            assert!((angle - exact).abs() < 1e-6, "{time}: {angle} {exact}");
        }
    }

    #[test]
    fn jitter_is_smoothed_and_told_and_a_dirty_pulse_left_out() {
        let noise = |turn: f64| ((turn * 12.9898).sin() * 43758.5453).fract() * 0.003;
        let bad = |turn: f64| if turn == 30.0 { 0.06 } else { 0.0 };
        let path = Path::through(&marks(|turn| 0.04 * (turn + noise(turn) + bad(turn)), 200));
        assert_eq!(path.dirty.0, 1);
        // Jitter of `fract` of a sine of either sign: rms 0.003/√3 turns.
        let wanted = 0.003 / 3.0_f64.sqrt() * TAU;
        assert!((path.jitter / wanted - 1.0).abs() < 0.15, "{} {wanted}", path.jitter);
        let mean = path.late.iter().sum::<f64>() / path.late.len() as f64;
        assert!(mean.abs() < 1e-9, "{mean}");
        let times: Vec<f64> = (10..190).map(|turn| 0.04 * f64::from(turn)).collect();
        let worst = path.angles(&times).zip(&times).map(|(angle, time)| (angle - time * TAU / 0.04).abs());
        assert!(worst.fold(0.0, f64::max) < 0.6 * wanted);
    }
}
