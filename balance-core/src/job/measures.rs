//! The shaft's mass, speed, limit and tube.

use crate::grade::{BalancedIn, Criterion};
use crate::quantity::{Length, Mass, Speed};
use crate::shaft::Tube;

/// The measures behind a limit and a critical speed. What is not stated is `None`.
#[derive(Debug, Clone, PartialEq, Default)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct Measures {
    /// The whole shaft's mass, weighed.
    pub mass: Option<Mass>,
    /// Its mass centre, from the front joint centre.
    pub mass_centre: Option<Length>,
    /// The highest speed it can ever reach in service: the grade holds at this speed.
    pub service_speed: Option<Speed>,
    /// Grade, or the shop's own limit.
    pub limit: Option<Criterion>,
    /// Balanced in one plane on purpose (a disc), or in two.
    pub balanced_in: BalancedIn,
    /// The welded tube.
    pub tube: Option<Tube>,
}
