//! Published cases as data: `tests/cases/<source>/<case>.json`.
//!
//! A case names its source, the kind of evidence, the check that reads it, its inputs as printed, what is expected
//! with the printed digits, and a tolerance with its reason.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use serde::Deserialize;
use serde_json::Value;

/// One case.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Case {
    /// Book, standard or program with page or clause.
    pub source: String,
    /// How much it is worth.
    pub evidence: Evidence,
    /// Which check computes it.
    pub check: String,
    /// As printed; what is in it depends on the check.
    pub inputs: Value,
    /// Wanted values by name.
    pub expected: BTreeMap<String, Numbers>,
    /// Absolute, in the unit of the values.
    pub tolerance: Tolerance,
    /// Why this much.
    pub tolerance_reason: String,
    /// Where it was read from.
    #[serde(skip)]
    pub path: PathBuf,
}

/// What a case rests on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Evidence {
    /// A published standard.
    Standard,
    /// A textbook.
    Textbook,
    /// An article or a paper.
    Paper,
    /// Measured data open to all.
    #[serde(rename = "open data")]
    OpenData,
    /// Another program of general use.
    #[serde(rename = "independent code")]
    IndependentCode,
    /// A published value as remembered.
    #[serde(rename = "from memory")]
    FromMemory,
    /// Worked out here in another way.
    Recomputed,
}

/// One number or several.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(untagged)]
pub enum Numbers {
    /// One.
    One(f64),
    /// Several.
    Many(Vec<f64>),
}

impl Numbers {
    /// As a list.
    #[must_use]
    pub fn list(&self) -> Vec<f64> {
        match self {
            Self::One(value) => vec![*value],
            Self::Many(values) => values.clone(),
        }
    }
}

/// One tolerance for everything, or one or more by name.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(untagged)]
pub enum Tolerance {
    /// The same for all.
    All(f64),
    /// By name.
    Named(BTreeMap<String, Numbers>),
}

impl Tolerance {
    fn of(&self, name: &str, index: usize) -> Option<f64> {
        match self {
            Self::All(value) => Some(*value),
            Self::Named(named) => match named.get(name)? {
                Numbers::One(value) => Some(*value),
                Numbers::Many(values) => values.get(index).copied(),
            },
        }
    }
}

/// What a check found, by the names of the case's expected values.
pub type Found = BTreeMap<&'static str, Vec<f64>>;

impl Case {
    /// The worst error of the case, as a share of its tolerance.
    ///
    /// # Errors
    ///
    /// A text that says what is missing, too much, or off: wanted, found, difference, tolerance.
    pub fn compare(&self, found: &Found) -> Result<f64, String> {
        let mut worst: f64 = 0.0;
        for (name, wanted) in &self.expected {
            let wanted = wanted.list();
            let values =
                found.get(name.as_str()).ok_or(format!("{}: no `{name}` computed", self.path.display()))?;
            if values.len() != wanted.len() {
                return Err(format!("{}: {name}: {values:?}, wanted {wanted:?}", self.path.display()));
            }
            for (index, (value, wanted)) in values.iter().zip(&wanted).enumerate() {
                let allowed = self
                    .tolerance
                    .of(name, index)
                    .ok_or(format!("{}: {name} has no tolerance", self.path.display()))?;
                let off = difference(name, *value, *wanted);
                // Room for the rounding of a value that sits exactly on half a digit.
                if off.is_nan() || off > allowed * (1.0 + 1e-9) {
                    let place = self.path.display();
                    return Err(format!(
                        "{place}: {name}[{index}]: found {value}, wanted {wanted}, off {off}, allowed {allowed}"
                    ));
                }
                worst = worst.max(off / allowed);
            }
        }
        Ok(worst)
    }
}

/// How far apart two values are; angles on the circle.
fn difference(name: &str, value: f64, wanted: f64) -> f64 {
    let off = value - wanted;
    if name.ends_with("_deg") { ((off + 180.0).rem_euclid(360.0) - 180.0).abs() } else { off.abs() }
}

/// Every case whose check is one of these, in the order of their paths.
///
/// # Errors
///
/// A text that names the file that cannot be read.
pub fn load(checks: &[&str]) -> Result<Vec<Case>, String> {
    let mut paths = Vec::new();
    collect(&Path::new(env!("CARGO_MANIFEST_DIR")).join("cases"), &mut paths)?;
    paths.sort();
    let mut cases = Vec::new();
    for path in paths {
        let text = std::fs::read_to_string(&path).map_err(|fault| format!("{}: {fault}", path.display()))?;
        let case: Case =
            serde_json::from_str(&text).map_err(|fault| format!("{}: {fault}", path.display()))?;
        if checks.contains(&case.check.as_str()) {
            cases.push(Case { path, ..case });
        }
    }
    Ok(cases)
}

fn collect(folder: &Path, into: &mut Vec<PathBuf>) -> Result<(), String> {
    let fault = |fault: std::io::Error| format!("{}: {fault}", folder.display());
    for entry in std::fs::read_dir(folder).map_err(fault)? {
        let path = entry.map_err(fault)?.path();
        if path.is_dir() {
            collect(&path, into)?;
        } else if path.extension().is_some_and(|extension| extension == "json") {
            into.push(path);
        }
    }
    Ok(())
}
