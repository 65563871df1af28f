//! Influence-coefficient balancing of welded-tube drive shafts.
//!
//! The rooms of this library tell one story, in this order; a room uses the rooms before it and never one after it:
//!
//! | room | what lives there |
//! |---|---|
//! | [`quantity`] | angles, masses, lengths, speeds, unbalances, readings: values that cannot be nonsense |
//! | [`caution`] | "it worked, but take care", as data |
//! | [`chance`] | the few probability laws a verdict needs |
//! | [`linear`] | complex matrices: the only place that names the matrix library |
//! | [`shaft`] | the shaft itself: tube, planes, sensors, parts |
//! | [`run`] | what was on the shaft and what the stand read: a consistent set, or all its faults |
//! | [`influence`] | the one estimator: runs in, influence coefficients with their uncertainty out |
//! | [`grade`] | balance quality grades, permissible and measured residual, the three-valued verdict |
//! | [`correction`] | ideal masses, and the weights that can be welded |
//! | [`job`] | the job as plain data |
//! | [`answer`] | all of it together: a case in, the whole answer and what may be done now out |
//!
//! The library opens no file, reads no clock, prints nothing and draws no unseeded random number.

pub mod answer;
pub mod caution;
pub mod chance;
pub mod correction;
pub mod grade;
pub mod influence;
pub mod job;
pub mod linear;
pub mod quantity;
pub mod run;
pub mod shaft;

pub use num_complex::Complex64;
