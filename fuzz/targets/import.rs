//! Whole folders into the archive and out of it again, through the program.
#![no_main]

use std::ffi::OsString;
use std::path::Path;

use balance_cli::streams::Streams;
use balance_fuzz::{Hand, Share, job, runs};
use libfuzzer_sys::fuzz_target;

static SHARE: Share = Share::of("import");

fn balance(words: &[&str], archive: &Path) -> (u8, String) {
    let (mut answer, mut talk) = (Vec::new(), Vec::new());
    let mut input: &[u8] = &[];
    let mut streams = Streams::new(&mut input, &mut answer, &mut talk);
    let words = ["balance", "archive"].iter().chain(words).map(OsString::from);
    let words = words.chain(["--archive".into(), archive.as_os_str().to_owned()]);
    let code = balance_cli::run(words, &mut streams).code();
    (code, String::from_utf8_lossy(&answer).into_owned())
}

fuzz_target!(|data: &[u8]| {
    let mut hand = Hand::new(data);
    let folder = tempfile::tempdir_in(if Path::new("/dev/shm").is_dir() { "/dev/shm" } else { "." })
        .expect("a folder");
    let jobs = folder.path().join("jobs");
    for number in 0..2 {
        let own = jobs.join(number.to_string());
        std::fs::create_dir_all(&own).expect("a folder");
        let (Ok(job), Ok(runs)) = (job(&mut hand), runs(&mut hand)) else { return };
        let (Ok(job), Ok(runs)) = (hand.with_slips(job), hand.with_slips(runs)) else { return };
        std::fs::write(own.join("job.toml"), job).expect("a file");
        std::fs::write(own.join("runs.csv"), runs).expect("a file");
    }
    let archive = folder.path().join("a.sqlite");
    let (_, said) = balance(&["import", &jobs.to_string_lossy()], &archive);
    SHARE.note(!said.starts_with("0 stored"));
    assert_eq!(balance(&["check"], &archive).0, 0, "what was taken in is whole");
    balance(&["list"], &archive);
    balance(&["find", "front"], &archive);
    if balance(&["show", "1"], &archive).0 == 0 {
        let out = folder.path().join("out");
        assert_eq!(balance(&["show", "1", "--into", &out.to_string_lossy()], &archive).0, 0);
        assert!(out.join("job.toml").is_file());
    }
});
