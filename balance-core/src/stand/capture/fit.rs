//! Sums over the points of a stretch, and the least squares they give.

use super::model::{BASE, MOST, Stage, ToneFit};
use crate::linear::{Block, Normal, RMatrix, RVector};

/// Products of the columns with each other and with some sensors' samples, block by block.
pub(super) struct Sums {
    grams: Vec<RMatrix>,
    /// For each sensor asked for, and each block.
    rights: Vec<Vec<RVector>>,
}

/// Unknowns of one sensor.
pub(super) struct Fit {
    pub solution: RVector,
    pub normal: Normal,
    /// Each block's columns, and their products with what is left over.
    pub blocks: Vec<Block>,
    /// Σ of what the model explains, squared.
    pub explained: f64,
}

/// Adds up the columns' products over the stretch.
pub(super) fn sums(stage: &Stage<'_>, sensors: &[usize], tones: &[ToneFit], with_frequency: bool) -> Sums {
    let mut columns = [0.0; MOST];
    let count = BASE + tones.len() * if with_frequency { 3 } else { 2 };
    let mut sums = Sums { grams: Vec::new(), rights: vec![Vec::new(); sensors.len()] };
    for bounds in stage.blocks.windows(2) {
        let mut gram = [[0.0; MOST]; MOST];
        let mut rights = vec![[0.0; MOST]; sensors.len()];
        for at in bounds[0]..bounds[1] {
            stage.columns(at, tones, with_frequency, &mut columns);
            add_products(&mut gram, &columns, stage.weight[at], count);
            for (right, &sensor) in rights.iter_mut().zip(sensors) {
                let value = stage.values[sensor][at];
                for (sum, column) in right[..count].iter_mut().zip(&columns) {
                    *sum += value * column;
                }
            }
        }
        sums.grams.push(RMatrix::from_fn(count, count, |i, j| gram[i][j]));
        for (own, right) in sums.rights.iter_mut().zip(&rights) {
            own.push(RVector::from_column_slice(&right[..count]));
        }
    }
    sums
}

/// Adds a point's products. Unused columns are zero, so that their number can be one of few that are known when this is
/// compiled: most of the work is here.
fn add_products(gram: &mut [[f64; MOST]; MOST], columns: &[f64; MOST], weight: f64, count: usize) {
    if count <= 12 {
        add::<12>(gram, columns, weight);
    } else if count <= 16 {
        add::<16>(gram, columns, weight);
    } else {
        add::<MOST>(gram, columns, weight);
    }
}

#[inline]
fn add<const COUNT: usize>(gram: &mut [[f64; MOST]; MOST], columns: &[f64; MOST], weight: f64) {
    for row in 0..COUNT {
        let own = weight * columns[row];
        for column in 0..COUNT {
            gram[row][column] += own * columns[column];
        }
    }
}

impl Sums {
    /// The columns' products of the whole stretch, factored; `None` if the columns do not separate.
    pub fn normal(&self) -> Option<Normal> {
        let first = self.grams.first()?;
        let whole = self.grams.iter().skip(1).fold(first.clone(), |sum, gram| sum + gram);
        Normal::new(whole)
    }

    /// The fit of the sensor that was asked for as the `own`th.
    pub fn fit(&self, own: usize, normal: Normal) -> Option<Fit> {
        let rights = self.rights.get(own)?;
        let first = rights.first()?;
        let right = rights.iter().skip(1).fold(first.clone(), |sum, right| sum + right);
        let solution = normal.solve(&right);
        let blocks = self
            .grams
            .iter()
            .zip(rights)
            .map(|(gram, right)| Block { gram: gram.clone(), score: right - gram * &solution })
            .collect();
        let explained = solution.dot(&right);
        solution.iter().all(|value| value.is_finite()).then_some(Fit { solution, normal, blocks, explained })
    }
}

/// What the fit leaves over, at a point: with a slow wave these have the same inner product as the samples left over.
pub(super) fn left_over(
    stage: &Stage<'_>,
    (sensor, at): (usize, usize),
    tones: &[ToneFit],
    solution: &RVector,
    columns: &mut [f64; MOST],
) -> f64 {
    let count = stage.columns(at, tones, false, columns);
    let model: f64 = columns[..count].iter().zip(solution.iter()).map(|(column, own)| column * own).sum();
    stage.values[sensor][at] - stage.weight[at] * model
}
