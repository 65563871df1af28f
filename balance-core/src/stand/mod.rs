//! Proving the stand, and balancing without phase.
//!
//! A verdict is worth what the stand is worth: the least unbalance it can reach (U_mar), how much of an unbalance one
//! correction takes away (URR), what turns with the fixture (index test), and what is left by moving one known mass
//! round. [`capture`] makes readings of a recording; [`without_phase`] balances where
//! the stand shows amplitudes only.

mod before_after;
pub mod capture;
mod index_test;
mod least_unbalance;
mod moved_mass;
mod plane_readings;
mod reduction;
mod repeats;
pub mod without_phase;

pub use repeats::{FEWEST_REPEATS, Repeat, Repeats, RepeatsFault, repeats};

pub use before_after::{BeforeAfter, BeforeAfterFault, before_and_after};
pub use index_test::{IndexFault, IndexReading, IndexTest, index_test};
pub use least_unbalance::{
    FEWEST_PLACES, LIMIT_LINES, LeastUnbalanceFault, LeastUnbalanceTest, TEST_MASS, TestPoint,
    least_unbalance, lightest_shaft, lightest_shafts, test_mass_grams,
};
pub use moved_mass::{LeftByMovedMass, MovedMass, MovedMassFault, MovedReading, Shown, moved_mass};
pub use plane_readings::{
    CountedFrom, drift_readings, index_readings, plane_readings, sensor_repeats, shows_unbalance,
    turned_in_fixture,
};
pub use reduction::{ReductionFault, ReductionPoint, ReductionTest, StandScale, reduction, single_run_ratio};
