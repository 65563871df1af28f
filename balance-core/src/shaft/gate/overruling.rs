//! Continuing against the gate, with a name and a reason.

/// Someone continues although the gate refuses. This is printed on page one of the record.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(try_from = "(String, String)", into = "(String, String)")
)]
pub struct Override {
    name: String,
    reason: String,
}

/// Why an override is not accepted.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum OverrideFault {
    /// No name is given.
    #[error("an override needs the name of the person responsible")]
    NoName,
    /// The reason is too short to be one.
    #[error("an override needs a reason of at least three words; found {found}")]
    ShortReason {
        /// How many words there are.
        found: usize,
    },
}

impl TryFrom<(String, String)> for Override {
    type Error = String;

    fn try_from((name, reason): (String, String)) -> Result<Self, String> {
        let words = |faults: Vec<OverrideFault>| {
            faults.iter().map(ToString::to_string).collect::<Vec<_>>().join("; ")
        };
        Self::new(&name, &reason).map_err(words)
    }
}

impl From<Override> for (String, String) {
    fn from(overruling: Override) -> Self {
        (overruling.name, overruling.reason)
    }
}

impl Override {
    /// An override with a name and a reason of at least three words.
    ///
    /// # Errors
    ///
    /// Every [`OverrideFault`] found.
    ///
    /// ```
    /// use balance_core::shaft::Override;
    /// assert!(Override::new("J. Stoker", "just because").is_err());
    /// assert!(Override::new("J. Stoker", "checked with a shorter stub").is_ok());
    /// ```
    pub fn new(name: &str, reason: &str) -> Result<Self, Vec<OverrideFault>> {
        let mut faults = Vec::new();
        let has_letter = |word: &&str| word.chars().any(char::is_alphanumeric);
        if !name.chars().any(char::is_alphabetic) {
            faults.push(OverrideFault::NoName);
        }
        let found = reason.split_whitespace().filter(has_letter).count();
        if found < 3 {
            faults.push(OverrideFault::ShortReason { found });
        }
        if faults.is_empty() {
            Ok(Self { name: name.trim().into(), reason: reason.trim().into() })
        } else {
            Err(faults)
        }
    }

    /// The person responsible.
    #[must_use]
    pub fn name(&self) -> &str {
        &self.name
    }

    /// Why.
    #[must_use]
    pub fn reason(&self) -> &str {
        &self.reason
    }
}
