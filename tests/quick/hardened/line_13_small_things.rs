//! 13. Many small things.

use std::os::unix::fs::PermissionsExt;
use std::os::unix::process::CommandExt;

use balance_cli::archive::{Archive, NewRecord, Opening, SqliteArchive};
use balance_tests::archive::record;

use super::shim::shimmed;
use super::workshop::{HEADER, JOB, ROWS, Workshop, on, process};

#[test]
fn line_13_numbers_beyond_all_measure_are_refused() {
    let shop = Workshop::new(JOB, &format!("{HEADER}{}", ROWS.replace("1800", "1e200")));
    let said = on(&["correct"], &shop.job());
    assert!(said.code == 2 && said.talk.contains("1e200"), "{said:?}");
    let shop = Workshop::new(&JOB.replace("14.2 kg", "1e300 kg"), &Workshop::usual().runs());
    let said = on(&["correct"], &shop.job());
    assert!(said.code == 2 && said.talk.contains("1e300 kg"), "{said:?}");
    // The largest accepted number gives no infinite force.
    let shop = Workshop::new(JOB, &format!("{HEADER}{}", ROWS.replace("1800", "999999999999")));
    for verb in ["correct", "limits", "explain"] {
        let said = on(&[verb], &shop.job());
        assert!(!said.answer.contains("inf ") && !said.answer.contains("NaN"), "{verb}: {}", said.answer);
    }
}

#[test]
fn line_13_a_table_for_spreadsheets_holds_no_formula() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("a.sqlite");
    let mut archive = SqliteArchive::open_or_create(&path, Opening::default()).unwrap();
    let formula = "=HYPERLINK(\"http://invalid.\",\"x\")";
    for (at, begin) in ["", "+", "-", "@", "\t"].into_iter().enumerate() {
        let number = format!("{begin}{formula}");
        let customer = number.clone();
        assert!(archive.add(&NewRecord { number, customer, ..record(at as u64) }).is_ok());
    }
    drop(archive);
    let said = on(&["archive", "export", "--csv", "--archive"], &path);
    let mut reader = csv::Reader::from_reader(said.answer.as_bytes());
    for row in reader.records() {
        for cell in &row.unwrap() {
            assert!(!cell.starts_with(['=', '+', '-', '@', '\t']), "{cell}");
        }
    }
}

/// Root reads every folder, so the program runs as somebody else if the test is root's.
#[test]
fn line_13_one_unreadable_folder_does_not_end_an_import() {
    const NOBODY: u32 = 65_534;
    let shop = Workshop::usual();
    let closed = shop.beside("closed");
    let rights = |mode| std::fs::set_permissions(&closed, std::fs::Permissions::from_mode(mode)).unwrap();
    let mut command = process();
    std::fs::create_dir(&closed).unwrap();
    rights(0o000);
    if std::fs::read_dir(&closed).is_ok() {
        for path in [
            shop.beside(""),
            shop.job(),
            shop.job().join("job.toml"),
            shop.job().join("runs.csv"),
            closed.clone(),
        ] {
            std::os::unix::fs::chown(path, Some(NOBODY), Some(NOBODY)).unwrap();
        }
        command.uid(NOBODY).gid(NOBODY);
    }
    let archive = shop.beside("a.sqlite");
    command.args(["archive", "import"]).arg(shop.beside("")).arg("--archive").arg(&archive);
    let said = command.output().unwrap();
    rights(0o755);
    let answer = String::from_utf8_lossy(&said.stdout);
    assert_eq!(said.status.code(), Some(2), "{said:?}");
    assert!(answer.starts_with("1 stored, 0 already there, 1 left out"), "{said:?}");
    assert!(answer.contains("closed") && answer.contains("the folder cannot be read"), "{said:?}");
}

#[test]
fn line_13_new_on_a_full_disk_leaves_nothing_in_the_way() {
    let folder = tempfile::tempdir().unwrap();
    let mut failed = 0;
    for at in 1..40 {
        let name = format!("WP-{at}");
        let mut command = shimmed();
        command.current_dir(folder.path()).env("SHIM_FAIL_AT", at.to_string()).env("SHIM_STAYS", "1");
        let said = command.args(["new", &name]).output().unwrap();
        if said.status.success() {
            break;
        }
        failed += 1;
        assert!(String::from_utf8_lossy(&said.stderr).contains("cannot be written"), "{said:?}");
        assert!(!folder.path().join(&name).exists(), "call {at}: a folder is in the way");
        let again = process().current_dir(folder.path()).args(["new", &name]).output().unwrap();
        assert!(again.status.success(), "call {at}: {}", String::from_utf8_lossy(&again.stderr));
    }
    assert!(failed >= 5, "{failed}");
}

#[test]
fn line_13_a_folder_has_a_name_that_every_system_takes() {
    let folder = tempfile::tempdir().unwrap();
    for name in [" ", "CON", "nul.old", "a:b", "a.", "a ", "x\u{1b}[31m", "a\nb", "com7"] {
        let said = process().current_dir(folder.path()).args(["new", name]).output().unwrap();
        let told = String::from_utf8_lossy(&said.stderr);
        assert!(said.status.code() == Some(2) && told.contains("for example WP-0417"), "{name:?}: {said:?}");
        assert!(!told.contains('\u{1b}'));
    }
    assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 0);
}

#[test]
fn line_13_what_was_not_written_is_told_file_by_file() {
    let shop = Workshop::usual();
    let out = shop.beside("out");
    std::fs::create_dir(&out).unwrap();
    // The second picture cannot be written: the first stays, and the program does not claim that nothing was
    // changed.
    std::fs::create_dir(out.join("readings-rear.svg")).unwrap();
    let said = balance_tests::program::balance([
        "plot".into(),
        shop.job().into_os_string(),
        "--into".into(),
        out.into_os_string(),
    ]);
    assert_eq!(said.code, 2);
    assert!(
        said.answer.contains("readings-front.svg") && said.talk.contains("this file was not changed"),
        "{said:?}"
    );
    assert!(!said.talk.contains("nothing was changed"), "{said:?}");
}
