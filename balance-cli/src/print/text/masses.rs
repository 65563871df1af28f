//! What goes on.

use balance_core::correction::Correction;
use balance_core::correction::weights::WeightPlan;

/// What goes on: pieces from the box, or masses that still have to be weighed out.
#[derive(Clone, Copy)]
pub(super) enum Masses<'a> {
    Weights(&'a WeightPlan),
    Ideal(&'a Correction),
}
