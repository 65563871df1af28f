//! Jobs with one mistake in them: what is entered and what was really done.

mod job;
mod kind;
mod says;

pub use job::{Job, NEEDLES, Stand};
pub use kind::{CHECK, Mistake, OfOneWeight, Slip, common_slips, listed};
pub use says::{says, says_the_same};
