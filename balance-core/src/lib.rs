//! Influence-coefficient balancing of welded-tube drive shafts.
//!
//! The modules of this library, called rooms, are listed in order; a room uses the rooms before it and never
//! one after it:
//!
//! | room | what lives there |
//! |---|---|
//! | [`quantity`] | angles, masses, lengths, speeds, unbalances, readings: values that cannot be nonsense |
//! | [`caution`] | "it worked, but take care", as data |
//! | [`shaft`] | the shaft itself: tube, planes, sensors, parts |
//! | [`run`] | what was on the shaft and what the stand read: a consistent set, or all its faults |
//! | [`influence`] | the one estimator: runs in, influence coefficients with their uncertainty out |
//! | [`grade`] | balance quality grades, permissible and measured residual, the three-valued verdict |
//! | [`correction`] | ideal masses, and the weights that can be welded |
//! | [`stand`] | from a raw recording to a reading, proving the stand, balancing without phase |
//! | [`job`] | the job as plain data |
//! | [`answer`] | all of it together: a case in, the whole answer and what may be done now out |
//!
//! From three runs and a check run to the verdict, and what may be done now:
//!
//! ```
//! use balance_core::{answer::{Advice, Case, solve}, job::Job, run::*, shaft::PlaneId};
//!
//! let job = Job::builder()
//!     .mass("14.2 kg").service_speed("2600 rpm").grade("G16").tube("88.9 mm", "2.4 mm", "1385 mm")
//!     .correction_plane("front", "95 mm", "45.95 mm").correction_plane("rear", "1290 mm", "45.95 mm")
//!     .sensor("front", "0 mm", "mm/s").sensor("rear", "1385 mm", "mm/s")
//!     .reading_noise(0.02, 0.02).weight("5 g", "15 mm", "3 mm").weight("10 g", "25 mm", "3 mm")
//!     .build().map_err(|faults| format!("{faults:?}"))?;
//! let trial = |plane| PlacedMass::grams(PlaneId::new(plane), 20.0, 90.0);
//! let runs = vec![
//!     Run::new("1", RunKind::Initial, vec![], SensorReading::shown(&[(5.29, 230.0), (3.24, 69.0)])?),
//!     Run::new("2", RunKind::Trial, vec![trial(0)?], SensorReading::shown(&[(8.68, 211.0), (3.56, 49.0)])?),
//!     Run::new("3", RunKind::Trial, vec![trial(1)?], SensorReading::shown(&[(5.34, 241.0), (4.38, 124.0)])?),
//! ];
//! let set = RunSet::new(job.setup.clone(), runs).map_err(|faults| format!("{faults:?}"))?;
//! let answer = solve(&Case::new("WP-0417", job, set))?;
//! match answer.advice() {
//!     Advice::Hold(hold) => for plane in &hold.plan.planes {
//!         plane.weights.iter().for_each(|own| println!("{}: {} at {}", plane.name, own.piece.mass, own.angle));
//!     },
//!     other => println!("{}", other.word()),
//! }
//! assert!(answer.judged.is_none(), "no verdict without a check run");
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```
//!
//! The library opens no file, reads no clock, prints nothing and draws no unseeded random number.

pub mod answer;
pub mod caution;
#[cfg(feature = "checks")]
pub mod chance;
#[cfg(not(feature = "checks"))]
mod chance;
pub mod correction;
pub mod grade;
pub mod influence;
pub mod job;
#[cfg(feature = "checks")]
pub mod linear;
#[cfg(not(feature = "checks"))]
mod linear;
pub mod quantity;
pub mod run;
pub mod shaft;
pub mod stand;

pub use num_complex::Complex64;
