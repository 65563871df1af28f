//! Findings of an inspection and marks that say how pieces go together.

/// What happens to a part.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub enum PartDecision {
    /// It stays.
    Keep,
    /// It is replaced.
    Replace,
}

impl PartDecision {
    /// The word in a job file.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Keep => "keep",
            Self::Replace => "replace",
        }
    }

    /// The decision of this word.
    #[must_use]
    pub fn from_word(word: &str) -> Option<Self> {
        [Self::Keep, Self::Replace].into_iter().find(|decision| decision.word() == word)
    }
}

/// One part that was inspected.
#[derive(Debug, Clone, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct InspectionItem {
    /// Which part: a word of the ready list ("steady bearing") or the user's own.
    pub part: String,
    /// What was found.
    pub finding: String,
    /// What was measured, with its unit.
    pub measured: Option<String>,
    /// The limit it was compared with, with its unit.
    pub limit: Option<String>,
    /// What happens to it; `None` while that is open.
    pub decision: Option<PartDecision>,
}

/// Marks that say in which position two pieces go together. In any other position the record is void.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MatchMark {
    /// Which two pieces: "front yoke and gearbox flange".
    pub between: String,
    /// What the mark looks like: "two punch dots".
    pub mark: String,
}
