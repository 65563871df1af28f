//! Statistics over many simulated shafts and jobs, with one file for each subject. `cargo test --workspace`,
//! and so CI, runs them all.

mod capture_statistics;
mod estimator_statistics;
mod explain_statistics;
mod known_type_statistics;
mod manufactured_jobs;
mod recorded_jobs;
mod simulated_stand;
mod trial_statistics;
mod verdict_statistics;
mod verdict_truth;
mod weight_brute_force;
mod weight_statistics;
mod without_phase_statistics;
