/// The earlier state that the masses of a run are added to: only later masses are listed.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(from = "String", into = "String")
)]
pub enum OnTopOf {
    /// The shaft as found: every mass that is on is listed, those of earlier check runs are off.
    AsFound,
    /// The earlier run with this label, whose masses are still on.
    Run(String),
}

impl OnTopOf {
    /// The word in a runs file for [`OnTopOf::AsFound`].
    pub const AS_FOUND: &'static str = "as found";

    /// The text in a runs file.
    #[must_use]
    pub fn word(&self) -> &str {
        match self {
            Self::AsFound => Self::AS_FOUND,
            Self::Run(label) => label,
        }
    }

    /// The label of the run, if it is one.
    #[must_use]
    pub fn label(&self) -> Option<&str> {
        match self {
            Self::AsFound => None,
            Self::Run(label) => Some(label),
        }
    }
}

impl From<String> for OnTopOf {
    fn from(word: String) -> Self {
        if word == Self::AS_FOUND { Self::AsFound } else { Self::Run(word) }
    }
}

impl From<OnTopOf> for String {
    fn from(base: OnTopOf) -> Self {
        base.word().to_owned()
    }
}
