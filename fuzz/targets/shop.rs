//! Shop files under a job.
#![no_main]

use balance_cli::files::JobFile;
use balance_cli::files::problem::{Source, render_all};
use balance_fuzz::{Hand, Share, job, shop};
use libfuzzer_sys::fuzz_target;

static SHARE: Share = Share::of("shop");

fuzz_target!(|data: &[u8]| {
    let mut hand = Hand::new(data);
    let Some(text) = hand.text(data, shop) else { return };
    let shop = Source::new("shop.toml", String::from_utf8_lossy(&text).into_owned());
    let Ok(job) = job(&mut hand) else { return };
    let read = JobFile::read(&Source::new("job.toml", job), Some(&shop));
    SHARE.note(read.is_ok());
    if let Err(faults) = read {
        assert!(!render_all(&faults).is_empty());
    }
});
