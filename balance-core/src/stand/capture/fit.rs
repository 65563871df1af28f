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

/// Adds up the products of offset, slope and harmonics over the stretch, for every sensor.
pub(super) fn base_sums(stage: &Stage<'_>) -> Sums {
    let mut columns = [0.0; MOST];
    let mut sums = Sums { grams: Vec::new(), rights: vec![Vec::new(); stage.values.len()] };
    for bounds in stage.blocks.windows(2) {
        let mut gram = [[0.0; BASE]; BASE];
        let mut rights = vec![[0.0; BASE]; stage.values.len()];
        for at in bounds[0]..bounds[1] {
            stage.base_columns(at, &mut columns);
            let weight = stage.weight[at];
            for row in 0..BASE {
                let own = weight * columns[row];
                // The lower half is the same; pairs are added at once.
                for column in row & !1..BASE {
                    gram[row][column] += own * columns[column];
                }
            }
            for (right, values) in rights.iter_mut().zip(&stage.values) {
                add(right, values[at], &columns);
            }
        }
        sums.grams.push(RMatrix::from_fn(BASE, BASE, |i, j| gram[i.min(j)][i.max(j)]));
        for (own, right) in sums.rights.iter_mut().zip(&rights) {
            own.push(RVector::from_column_slice(right));
        }
    }
    sums
}

/// Adds a multiple of the first columns; their number is known when this is compiled, for most of the work is here.
#[inline]
fn add<const COUNT: usize>(sums: &mut [f64; COUNT], factor: f64, columns: &[f64; MOST]) {
    for (sum, column) in sums.iter_mut().zip(columns) {
        *sum += factor * column;
    }
}

/// The sums of one sensor with tones and their frequencies beside the base, of which it is the `own`th.
pub(super) fn with_tones(base: &Sums, stage: &Stage<'_>, own: usize, tones: &[ToneFit]) -> Sums {
    match tones.len() {
        0 => Sums { grams: base.grams.clone(), rights: vec![base.rights[own].clone()] },
        1 => widened::<{ BASE + 3 }>(base, stage, own, tones),
        2 => widened::<{ BASE + 6 }>(base, stage, own, tones),
        3 => widened::<{ BASE + 9 }>(base, stage, own, tones),
        _ => widened::<MOST>(base, stage, own, tones),
    }
}

fn widened<const COUNT: usize>(base: &Sums, stage: &Stage<'_>, own: usize, tones: &[ToneFit]) -> Sums {
    let mut columns = [0.0; MOST];
    let mut sums = Sums { grams: Vec::new(), rights: vec![Vec::new()] };
    let of_base = base.grams.iter().zip(&base.rights[own]);
    for (bounds, (base_gram, base_right)) in stage.blocks.windows(2).zip(of_base) {
        let mut gram = [[0.0; COUNT]; MOST - BASE];
        let mut right = [0.0; MOST - BASE];
        for at in bounds[0]..bounds[1] {
            stage.base_columns(at, &mut columns);
            stage.tone_columns(at, tones, &mut columns);
            let (weight, value) = (stage.weight[at], stage.values[own][at]);
            for ((row, sum), &column) in gram.iter_mut().zip(&mut right).zip(&columns[BASE..COUNT]) {
                add(row, weight * column, &columns);
                *sum += value * column;
            }
        }
        let entry = |row: usize, column: usize| match (row.checked_sub(BASE), column.checked_sub(BASE)) {
            (Some(tone), _) => gram[tone][column],
            (None, Some(tone)) => gram[tone][row],
            (None, None) => base_gram[(row, column)],
        };
        sums.grams.push(RMatrix::from_fn(COUNT, COUNT, entry));
        let of =
            |row: usize, _: usize| row.checked_sub(BASE).map_or_else(|| base_right[row], |tone| right[tone]);
        sums.rights[0].push(RVector::from_fn(COUNT, of));
    }
    sums
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

/// What a fit leaves over, at a point: with a slow wave these have the same inner product as the samples left over.
#[inline]
pub(super) fn left_over(
    stage: &Stage<'_>,
    (sensor, at): (usize, usize),
    tones: &[ToneFit],
    solution: &RVector,
    columns: &mut [f64; MOST],
) -> f64 {
    stage.base_columns(at, columns);
    let mut model: f64 = columns[..BASE].iter().zip(solution.iter()).map(|(column, own)| column * own).sum();
    for tone in tones {
        let (sine, cosine) = (tone.frequency * stage.place(tone.kind, at)).sin_cos();
        model += tone.cosine * cosine + tone.sine * sine;
    }
    stage.values[sensor][at] - stage.weight[at] * model
}
