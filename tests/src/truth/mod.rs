//! Shafts whose truth is known and independent of the program's model, and a technician who balances them.
//!
//! The program sees a runs file and a job file; the truth is a shaft on springs with heavy spots all along
//! it. What is left at the supports follows from statics and is never computed from coefficients.

pub mod ask;
pub mod dial;
pub mod hand;
pub mod job_text;
pub mod setting;
pub mod shaft;
pub mod sheet;
pub mod stand;
pub mod tally;
pub mod technician;
