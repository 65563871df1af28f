//! What the corrections of a job took away: as found against the last check run.

use crate::grade::{ResidualFault, measured_residual};
use crate::influence::{Drift, InfluenceFault, Options, Which, estimate};
use crate::run::RunSet;

/// One plane before and after, g·mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BeforeAfter {
    /// The unbalance as found.
    pub before: f64,
    /// The unbalance after the last check run.
    pub after: f64,
}

/// Why it cannot be told.
#[derive(Debug, Clone, PartialEq)]
pub enum BeforeAfterFault {
    /// The runs do not show how the shaft responds.
    Response(Vec<InfluenceFault>),
    /// The initial or the check run does not show what was or is left.
    Reading(ResidualFault),
}

/// For each correction plane the unbalance as found and after the last check run, at the first speed.
///
/// # Errors
///
/// [`BeforeAfterFault`].
pub fn before_and_after(set: &RunSet) -> Result<Vec<BeforeAfter>, BeforeAfterFault> {
    let options = Options { drift: Drift::Ignored, prior: None };
    let influence = estimate(set, &options).map_err(BeforeAfterFault::Response)?;
    let left = |which| measured_residual(set, &influence, 0, which).map_err(BeforeAfterFault::Reading);
    let (before, after) = (left(Which::AsFound)?, left(Which::Now)?);
    let both = before.unbalance.iter().zip(&after.unbalance);
    Ok(both.map(|(before, after)| BeforeAfter { before: before.norm(), after: after.norm() }).collect())
}
