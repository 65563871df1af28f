//! Answers for people: what to do at the stand, in order, in the words of the shop.

mod correction;
mod explanation;
pub(crate) mod heading;
mod limits;
mod masses;
pub(crate) mod prove;
mod shaft;
mod shaft_parts;
mod short;
mod shortfall;
pub(crate) mod units;
pub(crate) mod verdict;
mod wrap;

pub use correction::correction_in_full;
pub use explanation::explain;
pub(crate) use heading::{counting_of, plane_place_of};
pub use limits::limits;
pub use shaft::{before_first_spin, before_spin_line, lengths, shaft};
pub use short::correction;
pub use verdict::{never_read_as_found, verdict, verdict_in_full};
pub(crate) use wrap::wrapped;
