//! Answers for people: what to do at the stand, in order, in the words of the shop.

mod correction;
mod explanation;
mod heading;
mod limits;
mod units;
mod verdict;
mod wrap;

pub use correction::correction;
pub use explanation::explain;
pub use limits::limits;
pub use verdict::verdict;
