//! 12. A wrong clock is reported; the status is never 101.

use super::shim::shimmed;
use super::workshop::{Workshop, process};

#[test]
fn line_12_a_clock_beyond_every_calendar_is_told() {
    let shop = Workshop::usual();
    let archive = shop.beside("a.sqlite");
    // 400 000 000 000 s after 1970 is in the year 14 645.
    for words in [&["report"][..], &["archive", "--archive", archive.to_str().unwrap(), "add"], &["correct"]]
    {
        let said = shimmed().env("SHIM_CLOCK", "400000000000").args(words).arg(shop.job()).output().unwrap();
        let told = String::from_utf8_lossy(&said.stderr);
        let wanted = if words == ["correct"] { 0 } else { 2 };
        assert_eq!(said.status.code(), Some(wanted), "{words:?}: {told}");
        assert!(wanted == 0 || told.contains("shows an impossible date"), "{told}");
    }
}

#[test]
fn line_12_a_clock_that_ran_backwards_is_told() {
    let shop = Workshop::usual();
    let archive = shop.beside("a.sqlite");
    let add = |clock: &str| {
        let mut command = shimmed();
        command
            .env("SHIM_CLOCK", clock)
            .args(["archive", "add"])
            .arg(shop.job())
            .arg("--archive")
            .arg(&archive);
        let said = command.output().unwrap();
        assert!(said.status.success(), "{}", String::from_utf8_lossy(&said.stderr));
        String::from_utf8(said.stderr).unwrap()
    };
    assert_eq!(add("1900000000"), "");
    std::fs::write(shop.job().join("runs.csv"), shop.runs() + "# again\n").unwrap();
    let told = add("1500000000");
    assert!(told.contains("2017-07-14") && told.contains("2030-03-17") && told.contains("clock"), "{told}");
    let said = process().args(["archive", "check", "--archive"]).arg(&archive).output().unwrap();
    assert!(said.status.success());
    let text = String::from_utf8_lossy(&said.stdout);
    assert!(text.contains("record 2 is dated before record 1: the clock ran backwards"), "{text}");
}

/// The program has no switch that makes it fail, so the computer does: without a clock Rust's own library panics.
#[test]
fn line_12_a_fault_of_the_program_itself_ends_in_exit_2_and_says_so() {
    let shop = Workshop::usual();
    let said = shimmed().env("SHIM_NO_CLOCK", "1").arg("report").arg(shop.job()).output().unwrap();
    let told = String::from_utf8_lossy(&said.stderr);
    assert_eq!(said.status.code(), Some(2), "{told}");
    assert!(
        told.contains("panicked at") && told.contains("a fault of the program, not of your files"),
        "{told}"
    );
    assert!(said.stdout.is_empty(), "{said:?}");
    assert_eq!(std::fs::read_dir(shop.job()).unwrap().count(), 2, "nothing new in the job's folder");
}
