//! How long a large archive takes: `cargo run --release -p balance-tests --example archive_medians [RECORDS [FILE]]`.
//!
//! Prints the time to add each tenth of the records (it should stay the same), and medians of finding, showing and
//! pooling types. A FILE that holds the records already is only read.

#![expect(clippy::print_stdout, reason = "an example prints its figures")]

use std::time::{Duration, Instant};

use balance_cli::archive::{Archive, ArchiveFault, Opening, Query, SqliteArchive, type_report};
use balance_tests::archive::record;
use balance_tests::random::Random;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let mut arguments = std::env::args().skip(1);
    let records: u64 = arguments.next().map_or(Ok(100_000), |text| text.parse())?;
    let folder = tempfile::tempdir()?;
    let path = arguments.next().map_or_else(|| folder.path().join("archive.sqlite"), Into::into);
    let mut archive = SqliteArchive::open_or_create(&path, Opening::default())?;
    let there = archive.list(1)?.first().map_or(0, |newest| newest.id);
    for tenth in (0..10).filter(|_| there < records as i64) {
        let start = Instant::now();
        for index in records * tenth / 10..records * (tenth + 1) / 10 {
            archive.add(&record(index))?;
        }
        let each = start.elapsed() / u32::try_from(records / 10)?;
        println!("adding, tenth {}: {each:?} a record", tenth + 1);
    }
    println!("file: {} MB", std::fs::metadata(&path)?.len() / 1_000_000);
    let mut random = Random::seeded(1);
    let mut any = || random.below(usize::try_from(records).unwrap_or(1)) as u64;
    for (name, words) in [
        ("find TAG", vec![format!("HP{:06}Q", any())]),
        ("find NUMBER", vec![format!("wp-{:06}", any())]),
        ("find hollin blower 2031", vec!["hollin".into(), "blower".into(), "2031".into()]),
        ("find hollin", vec!["hollin".into()]),
        ("find h", vec!["h".into()]),
        ("find 2031 sweeper rowan", vec!["2031".into(), "sweeper".into(), "rowan".into()]),
        ("find 88.5mm 1385mm", vec!["88.5mm".into(), "1385mm".into()]),
        ("find nothing", vec!["hollin".into(), "zeppelin".into()]),
    ] {
        let query = Query::of(&words);
        let found = archive.find(&query, 50)?.len();
        println!("{name}: {:?} ({found} lines)", median(|| archive.find(&query, 50).map(|_| ()))?);
    }
    println!("show: {:?}", median(|| archive.show(1 + any() as i64).map(|_| ()))?);
    let types = || {
        let histories = archive.types(None)?;
        let reports: Vec<balance_core::influence::TypeReport> = histories.iter().map(type_report).collect();
        assert!(reports.iter().any(|report| report.largest_scatter().is_some()));
        Ok(())
    };
    println!("types: {:?} ({} types)", median(types)?, archive.types(None)?.len());
    let start = Instant::now();
    let report = archive.check()?;
    println!("check: {:?}, {} records, {} faults", start.elapsed(), report.records, report.faults.len());
    Ok(())
}

fn median(mut once: impl FnMut() -> Result<(), ArchiveFault>) -> Result<Duration, ArchiveFault> {
    let mut times = Vec::new();
    for _ in 0..41 {
        let start = Instant::now();
        once()?;
        times.push(start.elapsed());
    }
    times.sort_unstable();
    Ok(times[times.len() / 2])
}
