//! Why there is no verdict to give.

use crate::grade::ResidualFault;

/// Why there is no verdict, not even an undecided one.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum NoVerdict {
    /// The shaft's own check refuses.
    #[error("the shaft must not spin as it is")]
    MustNotSpin,
    /// Without these there is no limit.
    #[error("without these there is no limit: {}", .0.join("; "))]
    NoLimit(Vec<String>),
    /// The state asked about was not read.
    #[error(transparent)]
    NotRead(#[from] ResidualFault),
}
