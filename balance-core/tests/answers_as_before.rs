//! Many jobs of every kind are answered exactly as before: every number, word, caution and step.
//!
//! The jobs were drawn at random from the texts of `fuzz/src/lib.rs` and chosen so that together they show every advice,
//! caution, explanation and next step that such jobs have. The expected answers come from the program itself: they prove
//! nothing (published cases, simulated shafts and 60-digit references do that), but no change of an answer stays
//! unnoticed, whichever part of the library it comes from. Renew them with `WRITE_EXPECTED=1`, look at the difference,
//! and write what changed and why under *Results* in the changelog.

#![cfg(feature = "serde")]

use balance_core::answer::{
    Answer, Case, LimitsAnswer, LimitsQuestion, Missing, ShaftAnswer, assumed_bearings, compared,
    critical_curve, json, moved, quarter_turn, solve, trials_of,
};
use balance_core::correction::TrialAdvice;
use balance_core::grade::PlaneVerdict;
use balance_core::influence::Which;
use recorded::Recorded;
use serde_json::{Value, json};
use std::fmt::Write as _;
use std::path::Path;

#[path = "answers/recorded.rs"]
mod recorded;

/// What an answer may differ by: sums in another order, another processor's mathematics.
const SAME: f64 = 1e-8;

/// Of how many cases one is asked for the shaft before it spins.
const SHAFT_OF_EVERY: usize = 5;

fn parsed(line: &str) -> Value {
    serde_json::from_str(line).expect("JSON")
}

/// Everything the library says about a case; what takes longest, the shaft before it spins, about some of them.
fn said(number: usize, case: &Case) -> Value {
    let question = LimitsQuestion {
        shaft: &case.shaft,
        job: &case.job,
        setup: case.runs.setup(),
        speed: case.runs.groups().first().and_then(|group| group.speed),
        case: Some(case),
    };
    let limits = LimitsAnswer::new(&question);
    let before = limits.as_ref().ok().and_then(|limits| limits.before.clone());
    let curve = before.map(|before| format!("{:?}", critical_curve(&before, None)));
    let shaft = number.is_multiple_of(SHAFT_OF_EVERY).then(|| before_it_spins(case, curve.as_ref()));
    let limits =
        limits.map_or_else(|missing| json!({ "missing": missing }), |limits| parsed(&json::limits(&limits)));
    let quarter_turn = format!("{:?}", quarter_turn(&case.runs));
    let answer = match solve(case) {
        Ok(answer) => answered(&answer),
        Err(unsolved) => json!({
            "unsolved": unsolved.to_string(),
            "hints": unsolved.missing.iter().map(Missing::hint).collect::<Vec<_>>(),
            "refused": json::refused_verdict(&unsolved).map(|line| parsed(&line)),
        }),
    };
    let refusal = LimitsAnswer::new(&question).ok().and_then(|limits| limits.refusal());
    let refusal = refusal.map(|refusal| (refusal.text(case.job.units), refusal.code()));
    let told = |own: &TrialAdvice| (format!("{own:?}"), own.sentences(question.setup, case.job.units));
    let trials = number
        .is_multiple_of(SHAFT_OF_EVERY)
        .then(|| trials_of(&question).iter().map(told).collect::<Vec<_>>());
    json!({ "answer": answer, "limits": limits, "refusal": refusal, "trials": trials, "shaft": shaft,
        "quarter_turn": quarter_turn })
}

fn before_it_spins(case: &Case, curve: Option<&String>) -> Value {
    let speed = case.runs.groups().first().and_then(|group| group.speed);
    ShaftAnswer::new(&case.shaft, &case.job, speed).map_or_else(
        |faults| json!({ "faults": faults.iter().map(ToString::to_string).collect::<Vec<_>>() }),
        |shaft| {
            json!({
                "answer": parsed(&json::shaft(&shaft, &[])),
                "bearings": format!("{:?}", assumed_bearings(&case.job)),
            "curve": curve,
            })
        },
    )
}

fn answered(answer: &Answer) -> Value {
    let verdict = |which| {
        json::verdict(answer, which).map_or_else(|none| json!(none.to_string()), |line| parsed(&line))
    };
    let state = |which| {
        let judged = answer.verdict_on(which).ok()?;
        let deciding = judged.deciding();
        let give_or_take: Vec<Option<f64>> =
            deciding.verdict.planes.iter().map(PlaneVerdict::give_or_take).collect();
        let shares = deciding.budget.as_ref().map(|budget| {
            let planes = 0..deciding.verdict.planes.len();
            planes.map(|plane| format!("{:?}", budget.shares(plane))).collect::<Vec<_>>()
        });
        Some(json!({ "word": judged.state_word(), "deciding": format!("{deciding:?}"),
            "give_or_take": give_or_take, "shares": shares }))
    };
    let states = [Which::Now, Which::AsFound].map(state);
    let rows = answer.runs.rows();
    let explanation = answer.explain().map(|found| parsed(&json::explanation(answer, &found)));
    json!({
        "correction": parsed(&json::correction(answer)),
        "now": verdict(Which::Now),
        "as_found": verdict(Which::AsFound),
        "explanation": explanation,
        "gain_of_one_more_run": answer.gain_of_one_more_run(),
        "for_sisters": answer.for_sisters(),
        "check_row": format!("{:?}", answer.check_row()),
        "sure_readings": format!("{:?}", answer.sure_readings),
        "done": answer.done(),
        "never_read_as_found": parsed(&json::verdict_without_initial(&answer.shaft)),
        "states": states,
        "what_went_wrong": answer.what_went_wrong(),
        "compared": rows.iter().map(|row| format!("{:?}", compared(answer, row))).collect::<Vec<_>>(),
        "moved": rows.windows(2).map(|pair| format!("{:?}", moved(&pair[0], &pair[1]))).collect::<Vec<_>>(),
    })
}

fn same_numbers(one: f64, other: f64) -> bool {
    one == other || (one - other).abs() <= SAME * (1.0 + one.abs().max(other.abs()))
}

/// The same words, with numbers that are the same or nearly so.
fn same_words(one: &str, other: &str) -> bool {
    let words = |text: &str| -> Vec<String> {
        text.split(|letter: char| letter.is_whitespace() || ",()[]{}".contains(letter))
            .map(Into::into)
            .collect()
    };
    let (one, other) = (words(one), words(other));
    let same = |(one, other): (&String, &String)| match (one.parse::<f64>(), other.parse::<f64>()) {
        (Ok(one), Ok(other)) => same_numbers(one, other),
        _ => one == other,
    };
    one.len() == other.len() && one.iter().zip(&other).all(same)
}

/// Where two answers differ.
fn compare(place: &str, before: &Value, now: &Value, found: &mut String) {
    match (before, now) {
        (Value::Number(one), Value::Number(other)) => {
            let (one, other) = (one.as_f64().unwrap_or(f64::NAN), other.as_f64().unwrap_or(f64::NAN));
            if !same_numbers(one, other) {
                let _ = writeln!(found, "{place}: {one} before, {other} now");
            }
        }
        (Value::Object(one), Value::Object(other)) => {
            for key in one.keys().chain(other.keys().filter(|key| !one.contains_key(*key))) {
                let (one, other) =
                    (one.get(key).unwrap_or(&Value::Null), other.get(key).unwrap_or(&Value::Null));
                compare(&format!("{place}.{key}"), one, other, found);
            }
        }
        (Value::Array(one), Value::Array(other)) if one.len() == other.len() => {
            for (at, (one, other)) in one.iter().zip(other).enumerate() {
                compare(&format!("{place}[{at}]"), one, other, found);
            }
        }
        _ if before == now => {}
        (Value::String(one), Value::String(other)) if same_words(one, other) => {}
        _ => drop(writeln!(found, "{place}: {before} before, {now} now")),
    }
}

#[test]
fn every_job_is_answered_as_before() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/answers");
    let cases = std::fs::read_to_string(folder.join("cases.ndjson")).unwrap();
    let expected = folder.join("expected.ndjson");
    let answer_to = |number, line: &str| said(number, &serde_json::from_str(line).unwrap());
    if std::env::var_os("WRITE_EXPECTED").is_some() {
        let lines = cases.lines().enumerate().map(|(number, line)| format!("{}\n", answer_to(number, line)));
        let lines: String = lines.collect();
        std::fs::write(&expected, lines).unwrap();
    }
    let expected = std::fs::read_to_string(expected).unwrap();
    assert!(cases.lines().count() >= 50);
    assert_eq!(expected.lines().count(), cases.lines().count());
    // Whoever changes the library wants every difference; whoever only asks whether there is one stops early.
    let first_is_enough = std::env::var_os("STOP_AT_FIRST").is_some();
    let mut found = String::new();
    for (number, (before, case)) in expected.lines().zip(cases.lines()).enumerate() {
        compare(&format!("case {}", number + 1), &parsed(before), &answer_to(number, case), &mut found);
        if first_is_enough && !found.is_empty() {
            break;
        }
    }
    assert!(found.is_empty(), "answers changed:\n{found}");
}

/// Recordings are read as before: every number and caution.
#[test]
fn every_recording_is_read_as_before() {
    let clean = || Recorded { seconds: 3.0, noise: 0.5, unit: "mm/s", ..Recorded::default() };
    let all = [
        clean(),
        Recorded { hum: 0.6, slip: 0.8, wander: 0.1, ..clean() },
        Recorded { bad_pulses: true, wander: 0.3, ..clean() },
        Recorded { seconds: 60.0, hum: 0.3, growth: 0.3, ..clean() },
        Recorded { slip: 0.5, unit: "um pp", ..clean() },
        Recorded { seconds: 0.2, ..clean() },
    ];
    let now: Vec<Value> = all.iter().map(|own| json!(format!("{:?}", own.read()))).collect();
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/answers/recordings.json");
    if std::env::var_os("WRITE_EXPECTED").is_some() {
        std::fs::write(&path, serde_json::to_string_pretty(&now).unwrap()).unwrap();
    }
    let mut found = String::new();
    compare("recording", &parsed(&std::fs::read_to_string(path).unwrap()), &json!(now), &mut found);
    assert!(found.is_empty(), "readings changed:\n{found}");
}
