//! Published cases as data: `tests/cases/<source>/<case>.json`.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use balance_core::quantity::{Quantity, parse};
use serde::Deserialize;
use serde_json::Value;

/// How far an answer may lie from the expected value.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum ToleranceKind {
    /// As a share of the expected value.
    Relative,
    /// In the expected value's own unit.
    Absolute,
}

/// One case. Every field but the note is required.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Case {
    /// The room of the library it is about.
    pub room: String,
    /// Which question of that room it asks.
    pub check: String,
    /// Where the figures come from.
    pub source: String,
    /// standard, textbook, paper, open data, independent code, from memory, recomputed.
    pub evidence: String,
    /// As printed, with units.
    pub inputs: Value,
    /// Name of each answer and its value.
    pub expected: BTreeMap<String, f64>,
    /// How far an answer may lie away.
    pub tolerance: f64,
    /// In which sense.
    pub tolerance_kind: ToleranceKind,
    /// Why so much.
    pub tolerance_reason: String,
    /// Anything else.
    pub note: Option<String>,
}

const EVIDENCE: [&str; 7] =
    ["standard", "textbook", "paper", "open data", "independent code", "from memory", "recomputed"];

/// Every case of one room with its path, in the order of the paths.
///
/// # Panics
///
/// If a file cannot be read, is no case, or names no known kind of evidence.
#[must_use]
pub fn cases_of(room: &str) -> Vec<(PathBuf, Case)> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("cases");
    let mut paths = Vec::new();
    for source in std::fs::read_dir(&root).expect("tests/cases exists") {
        let source = source.expect("a directory entry").path();
        paths.extend(
            std::fs::read_dir(&source).into_iter().flatten().map(|case| case.expect("a case").path()),
        );
    }
    paths.retain(|path| path.extension().is_some_and(|extension| extension == "json"));
    paths.sort();
    paths.into_iter().filter_map(|path| read(&path, room).map(|case| (path, case))).collect()
}

fn read(path: &Path, room: &str) -> Option<Case> {
    let text = std::fs::read_to_string(path).expect("a readable case");
    let value: Value =
        serde_json::from_str(&text).unwrap_or_else(|fault| panic!("{}: {fault}", path.display()));
    if value.get("room").and_then(Value::as_str) != Some(room) {
        return None;
    }
    let case: Case =
        serde_json::from_value(value).unwrap_or_else(|fault| panic!("{}: {fault}", path.display()));
    assert!(EVIDENCE.contains(&case.evidence.as_str()), "{}: evidence `{}`", path.display(), case.evidence);
    assert!(!case.expected.is_empty() && !case.source.is_empty() && !case.tolerance_reason.is_empty());
    Some(case)
}

impl Case {
    /// The worst answer as a share of its tolerance: above 1 it is wrong.
    ///
    /// # Panics
    ///
    /// If an expected value has no answer.
    #[must_use]
    pub fn worst(&self, answers: &BTreeMap<String, f64>) -> (f64, String) {
        let mut worst = (0.0, String::new());
        for (name, &expected) in &self.expected {
            let answer = *answers.get(name).unwrap_or_else(|| panic!("{}: no answer `{name}`", self.check));
            let scale = match self.tolerance_kind {
                ToleranceKind::Relative => expected.abs() * self.tolerance,
                ToleranceKind::Absolute => self.tolerance,
            };
            let share = (answer - expected).abs() / scale;
            if !(share <= worst.0) {
                worst = (share, format!("{name}: {answer} for {expected}"));
            }
        }
        worst
    }
}

/// A quantity of a case's inputs, written with its unit.
///
/// # Panics
///
/// If it is missing or no such quantity.
#[must_use]
pub fn quantity<Q: Quantity>(inputs: &Value, name: &str) -> Q {
    optional(inputs, name).unwrap_or_else(|| panic!("no `{name}` in {inputs}"))
}

/// The same, `None` if it is missing.
///
/// # Panics
///
/// If it is no such quantity.
#[must_use]
pub fn optional<Q: Quantity>(inputs: &Value, name: &str) -> Option<Q> {
    let text = inputs.get(name)?.as_str().unwrap_or_else(|| panic!("`{name}` is no text in {inputs}"));
    Some(parse(text).unwrap_or_else(|fault| panic!("`{name}`: {fault}")))
}

/// A bare number of a case's inputs.
///
/// # Panics
///
/// If it is missing or no number.
#[must_use]
pub fn number(inputs: &Value, name: &str) -> f64 {
    inputs.get(name).and_then(Value::as_f64).unwrap_or_else(|| panic!("no number `{name}` in {inputs}"))
}

/// A list of a case's inputs; empty if it is missing.
#[must_use]
pub fn list<'a>(inputs: &'a Value, name: &str) -> &'a [Value] {
    inputs.get(name).and_then(Value::as_array).map_or(&[], Vec::as_slice)
}
