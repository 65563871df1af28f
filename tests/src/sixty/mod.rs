//! The same answers in 60-digit arithmetic by another method: normal equations and elimination instead of QR.

mod number;
mod reference;

pub use number::Big;
pub use reference::{Reference, reference};
