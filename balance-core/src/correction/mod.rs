//! Ideal masses, and the weights that can be welded.

pub mod weights;
