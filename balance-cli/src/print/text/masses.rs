//! What goes on.

use balance_core::correction::Correction;
use balance_core::correction::weights::WeightPlan;

/// What goes on: pieces out of the box, or masses nobody has weighed out yet.
#[derive(Clone, Copy)]
pub(super) enum Masses<'a> {
    Weights(&'a WeightPlan),
    Ideal(&'a Correction),
}
