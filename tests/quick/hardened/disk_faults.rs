//! Every write, sync, rename and new folder fails in turn, or the program ends just before it: nothing that
//! was acknowledged is lost, and nothing half done has a final name. The points are counted first, so that
//! none is missed.

use std::path::Path;
use std::process::{Command, Output};
use std::sync::OnceLock;

use balance_cli::archive::{Archive, Opening, SqliteArchive};

use super::shim::shimmed;
use super::workshop::{Workshop, process};

/// One operation of the program, and what must be true of the files afterwards.
struct Deed {
    name: &'static str,
    /// Lays out the files it works on.
    lay_out: fn() -> Workshop,
    words: fn(&Workshop) -> Vec<std::ffi::OsString>,
    /// Whether it was done; panics if anything is half done.
    done: fn(&Workshop) -> bool,
}

fn words(words: &[&str], paths: &[&Path]) -> Vec<std::ffi::OsString> {
    let paths = paths.iter().map(|path| path.as_os_str().to_owned());
    words.iter().map(std::ffi::OsString::from).chain(paths).collect()
}

/// No record, or whole ones; how many.
fn records(archive: &Path) -> u64 {
    match SqliteArchive::open(archive, Opening::default()) {
        Ok(archive) => {
            let report = archive.check().unwrap();
            assert_eq!(report.faults, []);
            report.records
        }
        Err(fault) => {
            assert!(!archive.exists(), "half an archive: {fault}");
            0
        }
    }
}

/// A job and an archive that holds it; made once, then copied.
fn with_record() -> Workshop {
    static MADE: OnceLock<Vec<u8>> = OnceLock::new();
    let shop = Workshop::usual();
    let archive = MADE.get_or_init(|| std::fs::read(first_record().beside("a.sqlite")).unwrap());
    std::fs::write(shop.beside("a.sqlite"), archive).unwrap();
    std::fs::write(shop.job().join("runs.csv"), shop.runs() + "# read again\n").unwrap();
    shop
}

fn first_record() -> Workshop {
    let shop = Workshop::usual();
    let said = process()
        .args(words(&["archive", "add"], &[&shop.job()]))
        .arg("--archive")
        .arg(shop.beside("a.sqlite"))
        .output();
    assert!(said.unwrap().status.success());
    shop
}

/// A job and an archive of layout 1 with two other records.
fn with_older_archive() -> Workshop {
    let shop = Workshop::usual();
    std::fs::write(shop.beside("a.sqlite"), include_bytes!("../../archives/depot_v1.sqlite")).unwrap();
    shop
}

fn whole_report(shop: &Workshop) -> bool {
    let report = shop.job().join("report.html");
    let whole = |text: String| assert!(text.trim_end().ends_with("</html>"), "half a report");
    std::fs::read_to_string(report).map(whole).is_ok()
}

const DEEDS: [Deed; 7] = [
    Deed {
        name: "append",
        lay_out: Workshop::usual,
        words: |shop| words(&["correct", "--append"], &[&shop.job()]),
        done: |shop| {
            let before = Workshop::usual().runs();
            let runs = shop.runs();
            let row = runs.strip_prefix(&before).expect("rows of before are there");
            assert!(
                row.is_empty() || (row.starts_with("4,check") && row.ends_with('\n')),
                "half a row: {row:?}"
            );
            !row.is_empty()
        },
    },
    Deed {
        name: "add, first record",
        lay_out: Workshop::usual,
        words: |shop| {
            words(&["archive", "add"], &[&shop.job(), Path::new("--archive"), &shop.beside("a.sqlite")])
        },
        done: |shop| records(&shop.beside("a.sqlite")) == 1,
    },
    Deed {
        name: "add, second record",
        lay_out: with_record,
        words: |shop| {
            words(&["archive", "add"], &[&shop.job(), Path::new("--archive"), &shop.beside("a.sqlite")])
        },
        done: |shop| {
            let count = records(&shop.beside("a.sqlite"));
            assert!(count >= 1, "a record that was stored before is lost");
            count == 2
        },
    },
    Deed {
        name: "add to layout 1",
        lay_out: with_older_archive,
        words: |shop| {
            words(&["archive", "add"], &[&shop.job(), Path::new("--archive"), &shop.beside("a.sqlite")])
        },
        done: |shop| {
            let archive = SqliteArchive::open(&shop.beside("a.sqlite"), Opening::default()).unwrap();
            let second = archive.show(2).unwrap().line.digest.to_string();
            assert_eq!(second, include_str!("../../archives/depot_v1.digest").trim());
            records(&shop.beside("a.sqlite")) == 3
        },
    },
    Deed {
        name: "report",
        lay_out: Workshop::usual,
        words: |shop| words(&["report"], &[&shop.job()]),
        done: whole_report,
    },
    Deed {
        name: "backup",
        lay_out: with_record,
        words: |shop| {
            words(
                &["archive", "backup"],
                &[&shop.beside("b.sqlite"), Path::new("--archive"), &shop.beside("a.sqlite")],
            )
        },
        done: |shop| {
            assert_eq!(records(&shop.beside("a.sqlite")), 1, "the archive itself");
            records(&shop.beside("b.sqlite")) == 1
        },
    },
    Deed {
        name: "import",
        lay_out: Workshop::usual,
        words: |shop| {
            words(
                &["archive", "import"],
                &[&shop.beside(""), Path::new("--archive"), &shop.beside("a.sqlite")],
            )
        },
        done: |shop| records(&shop.beside("a.sqlite")) == 1,
    },
];

/// The three ways of failing.
const WAYS: [(&str, &[(&str, &str)]); 3] =
    [("fails once", &[]), ("disk stays full", &[("SHIM_STAYS", "1")]), ("ends", &[("SHIM_END_AT", "")])];

fn run(deed: &Deed, shop: &Workshop, change: impl FnOnce(&mut Command)) -> Output {
    let mut command = shimmed();
    command.args((deed.words)(shop));
    change(&mut command);
    command.output().unwrap()
}

/// Every write, sync, rename and new folder of an operation fails in turn.
#[expect(clippy::print_stdout, reason = "people read the table of faults")]
fn every_point(name: &str) {
    let deed = DEEDS.iter().find(|deed| deed.name == name).unwrap();
    let shop = (deed.lay_out)();
    let count = shop.beside("count");
    let said = run(deed, &shop, |command| {
        command.env("SHIM_COUNT", &count);
    });
    assert!(said.status.success(), "{}: {said:?}", deed.name);
    assert!((deed.done)(&shop), "{} does what it says", deed.name);
    let points: u32 = std::fs::read_to_string(&count).unwrap().trim().parse().unwrap();
    assert!(points >= 3, "{}: only {points} calls were seen", deed.name);
    let (mut tried, mut acknowledged, mut refused) = (0, 0, 0);
    for point in 1..=points {
        for (way, variables) in WAYS {
            let shop = (deed.lay_out)();
            let said = run(deed, &shop, |command| {
                if way == "ends" {
                    command.env("SHIM_END_AT", point.to_string());
                } else {
                    command.env("SHIM_FAIL_AT", point.to_string()).envs(variables.iter().copied());
                }
            });
            tried += 1;
            let told = String::from_utf8_lossy(&said.stderr);
            let code = said.status.code();
            let done = (deed.done)(&shop);
            assert!(matches!(code, Some(0 | 2 | 99)), "{} {way} at {point}: {code:?} {told}", deed.name);
            assert!(code != Some(0) || done, "{} {way} at {point}: said done, and is not", deed.name);
            assert!(code != Some(2) || !told.is_empty(), "{} {way} at {point}: nothing was told", deed.name);
            acknowledged += u32::from(code == Some(0));
            refused += u32::from(code == Some(2));
            // A killed program leaves the most behind: the next try must find nothing in its way.
            if way == "ends" {
                let again = process().args((deed.words)(&shop)).output().unwrap();
                let already = done && matches!(deed.name, "append" | "backup");
                assert!(already || again.status.success(), "{} after {way} at {point}: {again:?}", deed.name);
                assert!((deed.done)(&shop), "{} after {way} at {point}", deed.name);
            }
        }
    }
    println!(
        "{:<20} {points:>3} points, {tried:>3} faults: {acknowledged} done all the same, {refused} refused with a \
             message, nothing acknowledged lost, nothing half",
        deed.name
    );
}

#[test]
fn append_under_a_failing_disk() {
    every_point("append");
}

#[test]
fn add_of_a_first_record_under_a_failing_disk() {
    every_point("add, first record");
}

#[test]
fn add_of_a_second_record_under_a_failing_disk() {
    every_point("add, second record");
}

#[test]
fn add_to_an_older_archive_under_a_failing_disk() {
    every_point("add to layout 1");
}

#[test]
fn report_under_a_failing_disk() {
    every_point("report");
}

#[test]
fn backup_under_a_failing_disk() {
    every_point("backup");
}

#[test]
fn import_under_a_failing_disk() {
    every_point("import");
}
