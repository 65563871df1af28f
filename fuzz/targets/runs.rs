//! Runs files: read, made a consistent set, a row added and read back.
#![no_main]

use balance_cli::files::JobFile;
use balance_cli::files::problem::Source;
use balance_cli::files::runs::{NewRun, RowTexts, read_all, with_runs};
use balance_fuzz::{Hand, Share, job, runs};
use libfuzzer_sys::fuzz_target;

static SHARE: Share = Share::of("runs");

fuzz_target!(|data: &[u8]| {
    let mut hand = Hand::new(data);
    // The job first: what its sensors show decides the columns of the runs.
    let file = job(&mut hand).ok().and_then(|text| JobFile::read(&Source::new("job.toml", text), None).ok());
    let Some(text) = hand.text(data, runs) else { return };
    let shafts = read_all(&text[..], "runs.csv", file.as_ref());
    SHARE.note(shafts.is_ok());
    let Ok(shafts) = shafts else { return };
    for shaft in &shafts {
        let _ = shaft.run_set();
        let Some(last) = shaft.runs.last() else { continue };
        let run = balance_core::run::Run { label: "new".into(), ..last.clone() };
        let new = NewRun { shaft: shaft.shaft.clone(), run, texts: RowTexts::default() };
        if let Ok(longer) = with_runs(&text, "runs.csv", file.as_ref(), &[new]) {
            let back = read_all(&longer[..], "runs.csv", file.as_ref()).expect("what is written reads back");
            assert_eq!(
                back.iter().map(|shaft| shaft.runs.len()).sum::<usize>(),
                shafts.iter().map(|shaft| shaft.runs.len()).sum::<usize>() + 1
            );
        }
    }
});
