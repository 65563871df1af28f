//! Answers for people: what to do at the stand, in order, in the words of the shop.

mod correction;
mod explanation;
mod heading;
mod limits;
mod shortfall;
pub(crate) mod units;
mod verdict;
mod wrap;

pub use correction::correction;
pub use explanation::explain;
pub(crate) use heading::{counting_of, plane_place_of};
pub use limits::limits;
pub use verdict::verdict;
pub(crate) use wrap::wrapped;
