//! Job files on their own, with every fault reported.
#![no_main]

use balance_cli::files::JobFile;
use balance_cli::files::problem::{Source, render_all};
use balance_fuzz::{Hand, Share, job};
use libfuzzer_sys::fuzz_target;

static SHARE: Share = Share::of("job");

fuzz_target!(|data: &[u8]| {
    let Some(text) = Hand::new(data).text(data, job) else { return };
    let text = String::from_utf8_lossy(&text).into_owned();
    let read = JobFile::read(&Source::new("job.toml", text), None);
    SHARE.note(read.is_ok());
    match read {
        // The merged text is the same job again.
        Ok(file) => drop(
            JobFile::read(&Source::new("merged.toml", file.merged_text), None)
                .map_err(|faults| render_all(&faults))
                .expect("the merged text reads"),
        ),
        Err(faults) => assert!(!render_all(&faults).is_empty()),
    }
});
