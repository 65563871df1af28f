//! A job and its runs to the answer, and the answer to every kind of words. A verdict and weights never come from runs that
//! contradict themselves or a shaft that must not spin.
#![no_main]

use std::sync::Arc;

use balance_cli::files::JobFile;
use balance_cli::files::problem::Source;
use balance_cli::files::runs::read_all;
use balance_cli::print::text;
use balance_cli::view::View;
use balance_core::answer::{Advice, Case, json, solve};
use balance_core::influence::Which;
use balance_fuzz::{Hand, Share, job, runs};
use libfuzzer_sys::fuzz_target;

static SHARE: Share = Share::of("whole job");

fuzz_target!(|data: &[u8]| {
    let mut hand = Hand::new(data);
    let (Ok(job), Ok(runs)) = (job(&mut hand), runs(&mut hand)) else { return };
    let Ok(runs) = hand.with_slips(runs) else { return };
    let file = JobFile::read(&Source::new("job.toml", job), None).ok();
    let shafts = read_all(&runs[..], "runs.csv", file.as_ref());
    let set = shafts.ok().and_then(|shafts| shafts.first().and_then(|shaft| shaft.run_set().ok()));
    SHARE.note(file.is_some() && set.is_some());
    let (Some(file), Some(set)) = (file, set) else { return };
    let case = Case::new("WP-0417".into(), Arc::clone(&file.job), set);
    let Ok(answer) = solve(&case) else { return };
    let view = View::new(&answer, Some(&file));
    let words = text::correction(&view);
    assert!(!words.contains("NaN") && !words.split_whitespace().any(|word| word == "inf"), "{words}");
    let line: serde_json::Value = serde_json::from_str(&json::correction(&answer)).expect("JSON");
    if let Advice::MustNotSpin(_) | Advice::HeldBack(_) = answer.advice() {
        assert!(line["weights"].as_array().is_none_or(Vec::is_empty), "{line}");
    }
    if let Ok(judged) = answer.verdict_on(Which::Now) {
        assert!(!text::verdict(&view, &judged).is_empty());
    }
    if let Ok(line) = json::verdict(&answer, Which::Now) {
        serde_json::from_str::<serde_json::Value>(&line).expect("JSON");
    }
});
