//! A bow that was balanced at the stand's speed partly comes back at another speed.

use crate::grade::{ShrinksWith, SystematicTerm};
use crate::influence::Which;
use crate::quantity::Speed;
use crate::run::RunSet;
use crate::shaft::BowBetweenSpeeds;
use num_complex::Complex64;

use super::limits::Limits;

/// The systematic term of a verdict: the share of a bow that comes back between stand and service speed, times half the
/// vector sum of the weights that were fitted, in each plane. `None` without a critical speed above both, without
/// weights, or where the speeds are the same.
pub(super) fn bow_term(
    set: &RunSet,
    limits: &Limits,
    stand: Option<Speed>,
    which: Which,
) -> Option<SystematicTerm> {
    let bow = BowBetweenSpeeds::new(stand?, limits.service_speed?, limits.critical_speed?)?;
    let fitted = fitted_sum(set, which).norm();
    let size = bow.returning_share.abs() * fitted / 2.0;
    (size > 0.0).then(|| SystematicTerm {
        name: "bow between stand and service speed".into(),
        sizes: vec![size; limits.planes.len()],
        shrinks: ShrinksWith::ServiceSpeed,
    })
}

/// The vector sum of everything that is on in the last check run, in g·mm; zero as found.
fn fitted_sum(set: &RunSet, which: Which) -> Complex64 {
    let last = set.last_check_block().last().copied().filter(|_| which == Which::Now);
    let Some(row) = last else { return Complex64::ZERO };
    set.rows()[row].loads.iter().sum()
}
