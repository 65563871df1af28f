//! How much of one end's unbalance shows at the other, on a stand that shows unbalance itself.

use super::{MeasuredResidual, ShrinksWith, SystematicTerm, Transfer};
use crate::run::{RunSet, crosstalk};
use crate::shaft::PlaneId;

/// What shows at the other end shows again at the first, and so on: this many repeats is beyond any digit for
/// a share of a third.
const ROUNDS: usize = 40;

/// The name of the term.
pub const CROSSTALK: &str = "one end showing at the other";

/// The systematic term of ends that show at each other; `None` for a stand that shows vibration, or if
/// nothing is stated and no trial run measured it.
///
/// # Units
///
/// Sizes in g·mm, one for each tolerance plane.
///
/// # Method
///
/// A stand that separates the ends shows at each of them what is there and, unknown in angle, a share of what
/// is at the others ([`crosstalk`]). What is really there may exceed what is shown by at most δ = S·(|u| +
/// δ), with S the shares and
/// |u| the amounts shown; moved to the tolerance planes by the absolute levers. \[derived here\]
#[must_use]
pub fn crosstalk_term(
    set: &RunSet,
    residual: &MeasuredResidual,
    transfer: &Transfer,
) -> Option<SystematicTerm> {
    let shares = between_planes(set);
    if shares.iter().flatten().all(|share| *share == 0.0) {
        return None;
    }
    let hidden = hidden(&shares, &residual.unbalance.iter().map(|own| own.norm()).collect::<Vec<f64>>());
    let levers = transfer.levers();
    let sizes = levers
        .iter()
        .map(|row| row.iter().zip(&hidden).map(|(lever, own)| lever.abs() * own).sum())
        .collect();
    Some(SystematicTerm { name: CROSSTALK.into(), sizes, shrinks: ShrinksWith::Nothing })
}

/// For each plane, the share of each other plane's unbalance that shows there: the largest of its sensors.
fn between_planes(set: &RunSet) -> Vec<Vec<f64>> {
    let (shares, setup) = (crosstalk(set), set.setup());
    let of_pair = |at: PlaneId, from: PlaneId| {
        let own = setup.sensor_ids().filter(|&sensor| setup.sensors[sensor].shows.plane() == Some(at));
        own.map(|sensor| shares[sensor][from]).fold(0.0, f64::max)
    };
    setup.plane_ids().map(|at| setup.plane_ids().map(|from| of_pair(at, from)).collect()).collect()
}

fn hidden(shares: &[Vec<f64>], shown: &[f64]) -> Vec<f64> {
    let mut hidden = vec![0.0; shown.len()];
    for _ in 0..ROUNDS {
        let most: Vec<f64> = shown.iter().zip(&hidden).map(|(shown, hidden)| shown + hidden).collect();
        hidden =
            shares.iter().map(|row| row.iter().zip(&most).map(|(share, most)| share * most).sum()).collect();
    }
    hidden
}

#[cfg(test)]
mod tests {
    use super::*;

    // By hand: 400 g·mm shown at one end only, a share of 0.1: at the other at most 0.1·(400 + δ) = 40/0.99, and back.
    #[test]
    fn what_may_hide_goes_to_and_fro() {
        let shares = [vec![0.0, 0.1], vec![0.1, 0.0]];
        let found = hidden(&shares, &[400.0, 0.0]);
        assert!((found[1] - 40.0 / 0.99).abs() < 1e-9 && (found[0] - 4.0 / 0.99).abs() < 1e-9, "{found:?}");
    }
}
