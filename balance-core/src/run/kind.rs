//! Kinds of run.

/// What a run was for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub enum RunKind {
    /// As found: nothing added yet.
    Initial,
    /// With trial masses on, which come off again.
    Trial,
    /// The advised weights under clamps: they come off or get welded; it gives no verdict.
    Tried,
    /// With the weights that stay on; it gives the verdict.
    Check,
}

impl RunKind {
    /// The word in a runs file.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Initial => "initial",
            Self::Trial => "trial",
            Self::Tried => "tried",
            Self::Check => "check",
        }
    }
}
