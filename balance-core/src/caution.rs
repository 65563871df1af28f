//! "It worked, but take care": cautions are data of a result and belong to the answer.

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

/// A caution: its level, a code that programs can read and a sentence for people.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Caution {
    /// How serious it is.
    pub level: Level,
    /// A stable word for programs, such as `trial-too-small`.
    pub code: &'static str,
    /// What to know and do, for people.
    pub text: String,
}

impl Caution {
    /// A caution of level stop.
    #[must_use]
    pub fn stop(code: &'static str, text: impl Into<String>) -> Self {
        Self { level: Level::Stop, code, text: text.into() }
    }

    /// A caution of level take care.
    #[must_use]
    pub fn take_care(code: &'static str, text: impl Into<String>) -> Self {
        Self { level: Level::TakeCare, code, text: text.into() }
    }

    /// A caution of level general.
    #[must_use]
    pub fn general(code: &'static str, text: impl Into<String>) -> Self {
        Self { level: Level::General, code, text: text.into() }
    }
}
