//! What is checked against what: `tests/VERIFICATION.md`, written from the case files and the figures saved
//! by the checks.

use std::collections::BTreeMap;
use std::fmt::Write;

use crate::cases::{Case, all_cases};
use crate::law::LAWS;
use crate::record::recorded;

/// One claim that is not a case file.
struct Claim {
    claim: &'static str,
    source: &'static str,
    evidence: &'static str,
    test: &'static str,
    /// The name under which its figure is saved.
    figure: &'static str,
}

const CLAIMS: [Claim; 18] = [
    Claim {
        claim: "Rounding costs masses, coefficients and forecasts at most 30 times what one rounding of the readings does, by the program's own uncertainty",
        source: "60-digit arithmetic, normal equations and elimination instead of QR",
        evidence: "recomputed",
        test: "manufactured_jobs",
        figure: "rounding",
    },
    Claim {
        claim: "Corrections, coefficients, forecasts, give or take, circles, condition and weak direction of random jobs within 1e-9; the gate decides the same",
        source: "NumPy and SciPy: lstsq, pinv, cond, svd, chi2, f",
        evidence: "independent code",
        test: "reference/check_corrections.py",
        figure: "numpy",
    },
    Claim {
        claim: "What one correction leaves under six run plans, within 5 %",
        source: "NumPy simulation of 4000 shafts each",
        evidence: "independent code",
        test: "estimator_statistics",
        figure: "what one correction leaves",
    },
    Claim {
        claim: "95 % circles of readings hold 94 to 96 of 100, of masses 93 to 96, noise known",
        source: "10 000 simulated shafts for each plan",
        evidence: "recomputed",
        test: "estimator_statistics",
        figure: "coverage, noise known",
    },
    Claim {
        claim: "95 % circles hold at least 94 of 100, noise estimated",
        source: "10 000 simulated shafts for each plan",
        evidence: "recomputed",
        test: "estimator_statistics",
        figure: "coverage, noise estimated",
    },
    Claim {
        claim: "Circles of masses hold 94 to 97 of 100 where part of the readings is not unbalance",
        source: "5000 simulated shafts for each setting; a NumPy simulation gives 95",
        evidence: "independent code",
        test: "estimator_statistics",
        figure: "coverage, readings partly unexplained",
    },
    Claim {
        claim: "Without any figure for the noise nothing is claimed",
        source: "by definition",
        evidence: "recomputed",
        test: "estimator_statistics",
        figure: "nothing claimed",
    },
    Claim {
        claim: "A simulated stand from files to verdict, 1000 shafts: at least 950 in G16 after one \
               correction, `meets` reported for 85 of 100 of them, at most 8 false",
        source: "1 % reading noise, 1 degree placing, weights from a box",
        evidence: "recomputed",
        test: "simulated_stand",
        figure: "simulated stand",
    },
    Claim {
        claim: "Wrong accepts of the verdict among 200 000 shafts (1.0 T rms, s/T 0.10), within four binomial errors of the exact integral",
        source: "SciPy quad and ncx2",
        evidence: "independent code",
        test: "verdict_statistics",
        figure: "verdict, verdict, rms 1 T, s/T 0.1, wrong among accepted",
    },
    Claim {
        claim: "The choice of weights from 2000 small boxes is exactly best, within 1e-9",
        source: "brute force over every pair",
        evidence: "independent code",
        test: "weight_brute_force",
        figure: "weights, brute force",
    },
    Claim {
        claim: "Single mistakes at 2 % noise are named first (or in the pair named together) in at least 98 of 100",
        source: "seeded jobs with one mistake each",
        evidence: "recomputed",
        test: "explain_statistics",
        figure: "mistakes named",
    },
    Claim {
        claim: "A known type meets G16 with two stand runs in at least 98 of 100 shafts",
        source: "seeded sister shafts, 5 % scatter, 2 % noise",
        evidence: "recomputed",
        test: "known_type_statistics",
        figure: "known type, two runs",
    },
    Claim {
        claim: "Readings out of recordings: rms error at most 1.15 of the Cramér-Rao bound, 1.96 of the stated one sigma covers 94 to 96 of 100, in eight conditions (wander, drift, slip tone, jitter, 16 bits, hum)",
        source: "Fisher information of the whole model; 1000 recordings of two sensors for each",
        evidence: "recomputed",
        test: "capture_statistics",
        figure: "capture, eight conditions",
    },
    Claim {
        claim: "Readings out of recordings within 1e-9 of a fit of every sample, variances within 1e-6",
        source: "NumPy and SciPy: lstsq, least_squares, make_interp_spline, eigh",
        evidence: "independent code",
        test: "reference/check_capture.py",
        figure: "capture, scipy",
    },
    Claim {
        claim: "The law of Rice within 1e-10 over 12 160 cases, including extremes",
        source: "SciPy ncx2, mpmath",
        evidence: "independent code",
        test: "reference/check_rice.py",
        figure: "rice",
    },
    Claim {
        claim: "Without phase, three places a plane: leaves no more than three vector runs, at most 2.3 times the vector method on the same runs; circles hold 93 to 97 %",
        source: "seeded shafts, 2 % noise",
        evidence: "recomputed",
        test: "without_phase_statistics",
        figure: "without phase, three places",
    },
    Claim {
        claim: "The same with four places a plane",
        source: "seeded shafts, 2 % noise",
        evidence: "recomputed",
        test: "without_phase_statistics",
        figure: "without phase, four places",
    },
    Claim {
        claim: "A check run without phase meets wrongly at most once in 100 shafts over their limit, and never exceeds",
        source: "seeded shafts, 2 % noise",
        evidence: "recomputed",
        test: "without_phase_statistics",
        figure: "without phase, verdict",
    },
];

const HEAD: &str = "# What is checked against what\n\n\
Written by `cargo run -p balance-tests --bin verification` after the tests and `tests/reference/check_corrections.py`; a\n\
test checks every column but the last. Standards, textbooks, papers and open data were seen in the source; \"from memory\"\n\
means remembered and recomputed here.\n";

/// The test target that runs the cases of a room.
fn target(room: &str) -> &'static str {
    match room {
        "correction" => "published_cases",
        "grade" => "grade_cases",
        "shaft" => "shaft_cases",
        "stand" => "stand_cases",
        "weights" => "weight_cases",
        _ => "-",
    }
}

/// The whole text.
///
/// # Errors
///
/// Files under `tests/cases` that are not cases.
pub fn text() -> Result<String, Vec<String>> {
    let cases = all_cases()?;
    let mut text = String::from(HEAD);
    text += &counts(&cases);
    text += "\n## Claims and laws\n\n| claim | source | evidence | test | worst |\n|---|---|---|---|---|\n";
    for own in &CLAIMS {
        text += &row([own.claim, own.source, own.evidence, own.test], &figure(own.figure));
    }
    for law in &LAWS {
        let columns = [law.claim, "proptest, random jobs", "recomputed", "laws"];
        text += &row(columns, &figure(&format!("law {}", law.name)));
    }
    text += "\n## Cases\n\n| case | source | evidence | test | worst |\n|---|---|---|---|---|\n";
    for case in &cases {
        let name = format!("{}: {}", case.name, case.check);
        let columns = [name.as_str(), &case.source, case.evidence.word(), target(&case.room)];
        text += &row(columns, &figure(&format!("case {}", case.name)));
    }
    Ok(text)
}

fn counts(cases: &[Case]) -> String {
    let mut counts: BTreeMap<_, usize> = BTreeMap::new();
    for case in cases {
        *counts.entry(case.evidence).or_default() += 1;
    }
    let each: Vec<String> = counts.iter().map(|(kind, count)| format!("{} {count}", kind.word())).collect();
    let mut text = String::new();
    let _ = writeln!(text, "\n{} cases: {}.", cases.len(), each.join(", "));
    text
}

fn figure(name: &str) -> String {
    recorded(name).unwrap_or_else(|| "not run".into())
}

fn row(columns: [&str; 4], worst: &str) -> String {
    let cell = |text: &str| text.replace('|', "/").replace('\n', " ");
    let [claim, source, evidence, test] = columns.map(cell);
    format!("| {claim} | {source} | {evidence} | {test} | {} |\n", cell(worst))
}

/// The text without the last column of its tables: what does not change from machine to machine.
#[must_use]
pub fn stable(text: &str) -> Vec<&str> {
    let without_last = |line: &'_ str| line.trim_end_matches('|').rfind('|').unwrap_or(line.len());
    text.lines().map(|line| if line.starts_with('|') { &line[..without_last(line)] } else { line }).collect()
}
