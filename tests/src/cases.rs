//! Published cases as data: `tests/cases/<source>/<case>.json`, and the runner that compares them with our answers.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use serde::Deserialize;
use serde_json::Value;

use crate::record::record;

/// The evidence for an expected value.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Evidence {
    /// A published standard.
    Standard,
    /// A worked example of a textbook, seen in the source.
    Textbook,
    /// A paper.
    Paper,
    /// Measured data that anyone can download.
    #[serde(rename = "open data")]
    OpenData,
    /// Another program's answer.
    #[serde(rename = "independent code")]
    IndependentCode,
    /// Remembered from a book and recomputed.
    #[serde(rename = "from memory")]
    FromMemory,
    /// Computed again by other means.
    Recomputed,
}

impl Evidence {
    /// As written in a case file.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Standard => "standard",
            Self::Textbook => "textbook",
            Self::Paper => "paper",
            Self::OpenData => "open data",
            Self::IndependentCode => "independent code",
            Self::FromMemory => "from memory",
            Self::Recomputed => "recomputed",
        }
    }
}

/// The sense of a tolerance.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum ToleranceKind {
    /// In the expected value's own unit.
    #[default]
    Absolute,
    /// As a share of the expected value.
    Relative,
}

/// One expected value.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(untagged)]
pub enum Expected {
    /// A plain number, compared within the tolerance of the case.
    Number(f64),
    /// As printed: compared within half a unit of its last digit unless it has its own tolerance with a
    /// reason.
    Printed(Printed),
}

/// A value with the digits it was printed with.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Printed {
    /// The digits as printed in the source.
    pub printed: String,
    /// How far an answer may be off, if not half a unit of the last digit.
    pub tolerance: Option<f64>,
    /// The reason for the tolerance.
    pub tolerance_reason: Option<String>,
}

/// One case.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Case {
    /// `<source>/<case>`, from its path.
    #[serde(skip)]
    pub name: String,
    /// The part of the library it belongs to: a runner takes the cases of one room.
    pub room: String,
    /// What is asked.
    pub check: String,
    /// Where the figures come from, to the page.
    pub source: String,
    /// The evidence for them.
    pub evidence: Evidence,
    /// How the source counts angles, and what else is needed to read its numbers.
    pub convention: Option<String>,
    /// As printed, with units.
    pub inputs: Value,
    /// The source's answers. The name of an angle (in degrees) ends in "angle": it is compared round the turn.
    #[serde(default)]
    pub expected: BTreeMap<String, Expected>,
    /// For expected values that are plain numbers.
    pub tolerance: Option<f64>,
    /// Its sense.
    #[serde(default)]
    pub tolerance_kind: ToleranceKind,
    /// The reason for the tolerance.
    pub tolerance_reason: Option<String>,
    /// Our own recomputation in full digits; must agree to 1e-9 (of the value, or degrees for angles).
    #[serde(default)]
    pub exact: BTreeMap<String, f64>,
    /// Remarks: errors in the source, licences.
    pub note: Option<String>,
}

/// How closely recomputed values must be met.
pub const EXACT: f64 = 1e-9;

/// One comparison.
#[derive(Debug, Clone, PartialEq)]
pub struct Comparison {
    /// Name of the value.
    pub name: String,
    /// What it should be.
    pub wanted: f64,
    /// Our answer.
    pub got: f64,
    /// The difference: in the value's unit, for exact relative comparisons as a share.
    pub off: f64,
    /// The allowed difference.
    pub tolerance: f64,
    /// Whether it is one of the exact ones.
    pub exact: bool,
}

impl Comparison {
    /// Whether it agrees; a value that is not a number never agrees.
    #[must_use]
    pub fn holds(&self) -> bool {
        self.off <= self.tolerance
    }
}

/// Every case of every room, in the order of their names.
///
/// # Errors
///
/// Every file that is not a case, with its fault.
pub fn all_cases() -> Result<Vec<Case>, Vec<String>> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("cases");
    let (mut cases, mut faults) = (Vec::new(), Vec::new());
    for path in json_files(&root) {
        match read(&root, &path) {
            Ok(case) => cases.push(case),
            Err(fault) => faults.push(format!("{}: {fault}", path.display())),
        }
    }
    if faults.is_empty() { Ok(cases) } else { Err(faults) }
}

fn json_files(root: &Path) -> Vec<PathBuf> {
    let inside = |folder: &Path| -> Vec<PathBuf> {
        std::fs::read_dir(folder).into_iter().flatten().flatten().map(|entry| entry.path()).collect()
    };
    let mut files: Vec<PathBuf> = inside(root).iter().flat_map(|source| inside(source)).collect();
    files.retain(|file| file.extension().is_some_and(|extension| extension == "json"));
    files.sort();
    files
}

fn read(root: &Path, path: &Path) -> Result<Case, String> {
    let text = std::fs::read_to_string(path).map_err(|fault| fault.to_string())?;
    let mut case: Case = serde_json::from_str(&text).map_err(|fault| fault.to_string())?;
    let name = path.strip_prefix(root).unwrap_or(path).with_extension("");
    case.name = name.to_string_lossy().replace('\\', "/");
    if case.expected.is_empty() && case.exact.is_empty() {
        return Err("nothing is expected".into());
    }
    for (value, expected) in &case.expected {
        tolerance(&case, expected).map_err(|fault| format!("`{value}`: {fault}"))?;
    }
    Ok(case)
}

/// The value, the allowed difference, and its sense.
fn tolerance(case: &Case, expected: &Expected) -> Result<(f64, f64, ToleranceKind), String> {
    match expected {
        Expected::Number(value) => match (case.tolerance, &case.tolerance_reason) {
            (Some(tolerance), Some(_)) => Ok((*value, tolerance, case.tolerance_kind)),
            _ => Err("a bare number needs the case's tolerance and its reason".into()),
        },
        Expected::Printed(printed) => {
            let value: f64 = printed.printed.parse().map_err(|_| "not printed as a number".to_string())?;
            match (printed.tolerance, &printed.tolerance_reason) {
                (Some(tolerance), Some(_)) => Ok((value, tolerance, ToleranceKind::Absolute)),
                (None, None) => Ok((value, half_a_unit(&printed.printed), ToleranceKind::Absolute)),
                _ => Err("a tolerance needs its reason".into()),
            }
        }
    }
}

/// Half a unit of the last printed digit (and the rounding of the comparison itself).
fn half_a_unit(printed: &str) -> f64 {
    let (digits, exponent) = printed.split_once(['e', 'E']).unwrap_or((printed, "0"));
    let decimals = digits.split_once('.').map_or(0, |(_, decimals)| decimals.len() as i32);
    0.5 * 10_f64.powi(exponent.parse::<i32>().unwrap_or(0) - decimals) * (1.0 + 1e-9)
}

/// The difference of two values; angles round the turn.
fn apart(name: &str, wanted: f64, got: f64) -> f64 {
    let off = (got - wanted).abs();
    if name.ends_with("angle") { (off % 360.0).min(360.0 - off % 360.0) } else { off }
}

impl Case {
    /// Compares the answers with everything expected.
    ///
    /// # Errors
    ///
    /// The names of expected values that have no answer.
    pub fn compare(&self, answers: &BTreeMap<String, f64>) -> Result<Vec<Comparison>, String> {
        let answer = |name: &String| {
            answers.get(name).copied().ok_or_else(|| {
                format!(
                    "{}: no answer `{name}`; there are {:?}",
                    self.name,
                    answers.keys().collect::<Vec<_>>()
                )
            })
        };
        let mut compared = Vec::new();
        for (name, expected) in &self.expected {
            let got = answer(name)?;
            let (wanted, allowed, kind) = tolerance(self, expected)?;
            let scale = if kind == ToleranceKind::Relative { wanted.abs() } else { 1.0 };
            let off = apart(name, wanted, got);
            compared.push(Comparison {
                name: name.clone(),
                wanted,
                got,
                off,
                tolerance: allowed * scale,
                exact: false,
            });
        }
        for (name, &wanted) in &self.exact {
            let got = answer(name)?;
            let scale = if name.ends_with("angle") { 1.0 } else { wanted.abs() };
            let off = apart(name, wanted, got) / scale;
            compared.push(Comparison { name: name.clone(), wanted, got, off, tolerance: EXACT, exact: true });
        }
        Ok(compared)
    }
}

/// Runs every case of a room, prints the worst of each and the counts by evidence, and records the worst errors.
///
/// # Errors
///
/// Everything that does not agree; also if there was no case at all.
#[expect(clippy::print_stdout, reason = "a test runner tells what it ran")]
pub fn run_room(
    room: &str,
    mut solve: impl FnMut(&Case) -> Result<BTreeMap<String, f64>, String>,
) -> Result<BTreeMap<&'static str, usize>, Vec<String>> {
    let cases: Vec<Case> = all_cases()?.into_iter().filter(|case| case.room == room).collect();
    let (mut counts, mut faults) = (BTreeMap::new(), Vec::new());
    for case in &cases {
        *counts.entry(case.evidence.word()).or_default() += 1;
        match solve(case).and_then(|answers| case.compare(&answers)) {
            Ok(compared) => {
                println!("{} ({}): {}", case.name, case.evidence.word(), worst(&compared));
                record(&format!("case {}", case.name), &worst(&compared));
                faults.extend(compared.iter().filter(|one| !one.holds()).map(|one| {
                    format!(
                        "{}, `{}`: wanted {}, got {}, off by {:e}, allowed {:e}",
                        case.name, one.name, one.wanted, one.got, one.off, one.tolerance
                    )
                }));
            }
            Err(fault) => faults.push(fault),
        }
    }
    println!("{room}: {} cases: {counts:?}", cases.len());
    if cases.is_empty() {
        faults.push(format!("no case of room `{room}` under tests/cases"));
    }
    if faults.is_empty() { Ok(counts) } else { Err(faults) }
}

/// The worst comparisons in a few words.
fn worst(compared: &[Comparison]) -> String {
    let share = |one: &&Comparison| one.off / one.tolerance;
    let worst_of = |exact: bool| {
        compared
            .iter()
            .filter(|one| one.exact == exact)
            .max_by(|one, other| share(one).total_cmp(&share(other)))
    };
    let printed = worst_of(false).map(|one| {
        format!("printed: off by {:.2e} of {} ({} allowed)", one.off, one.name, short(one.tolerance))
    });
    let exact = worst_of(true).map(|one| format!("recomputed: {:.1e}", one.off));
    printed.into_iter().chain(exact).collect::<Vec<_>>().join("; ")
}

fn short(value: f64) -> String {
    format!("{value:.1e}")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn case(expected: &str) -> Case {
        let text = format!(
            r#"{{"room": "r", "check": "c", "source": "s", "evidence": "paper", "inputs": {{}}, "expected": {expected},
                "exact": {{"x": 2.0}}}}"#
        );
        serde_json::from_str(&text).unwrap()
    }

    fn answers(angle: f64, x: f64) -> BTreeMap<String, f64> {
        BTreeMap::from([("the angle".to_string(), angle), ("x".to_string(), x)])
    }

    #[test]
    fn printed_digits_hold_within_half_a_unit_and_angles_round_the_turn() {
        let case = case(r#"{"the angle": {"printed": "359.9"}}"#);
        let compared = case.compare(&answers(-0.06, 2.0)).unwrap();
        assert!(compared.iter().all(Comparison::holds), "{compared:?}");
        assert!(!case.compare(&answers(0.0, 2.0)).unwrap()[0].holds());
        assert!(!case.compare(&answers(f64::NAN, 2.0)).unwrap()[0].holds());
        assert!(!case.compare(&answers(359.9, 2.000_000_1)).unwrap()[1].holds());
    }

    #[test]
    fn a_value_without_an_answer_is_a_fault() {
        assert!(case("{}").compare(&BTreeMap::new()).is_err());
    }

    #[test]
    fn a_bare_number_needs_a_tolerance_with_its_reason() {
        let case = case(r#"{"x": 2.0}"#);
        assert!(case.compare(&answers(0.0, 2.0)).is_err());
    }

    #[test]
    fn half_a_unit_of_the_last_digit() {
        for (printed, wanted) in [("3.977", 5e-4), ("77", 0.5), ("-0.10", 5e-3), ("1.5e3", 50.0)] {
            assert!((half_a_unit(printed) / wanted - 1.0).abs() < 1e-8, "{printed}");
        }
    }
}
