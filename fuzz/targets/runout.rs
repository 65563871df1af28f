//! Tables of a dial indicator.
#![no_main]

use balance_cli::files::render_all;
use balance_cli::files::runout::runout_of;
use balance_core::quantity::Units;
use balance_fuzz::{Hand, Share, runout};
use libfuzzer_sys::fuzz_target;

static SHARE: Share = Share::of("runout");

fuzz_target!(|data: &[u8]| {
    let Some(text) = Hand::new(data).text(data, runout) else { return };
    let read = runout_of(&text[..], "runout.csv", None, Units::Metric);
    SHARE.note(read.is_ok());
    if let Err(faults) = read {
        assert!(!render_all(&faults).is_empty());
    }
});
