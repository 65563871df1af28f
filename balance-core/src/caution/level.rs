//! How serious a caution is.

/// How serious a caution is; the order is worst first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Level {
    /// Do not go on before this is settled.
    Stop,
    /// Go on, but mind this.
    TakeCare,
    /// Good to know.
    General,
}

impl Level {
    /// The word printed and stored: `stop`, `take care`, `general`.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Stop => "stop",
            Self::TakeCare => "take care",
            Self::General => "general",
        }
    }
}
