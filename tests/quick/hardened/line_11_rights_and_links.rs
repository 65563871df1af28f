//! 11. The user's mask, write protection and links are respected.

use std::os::unix::fs::{MetadataExt, PermissionsExt};

use super::workshop::{Workshop, on, process};

#[test]
fn line_11_new_files_follow_the_users_mask() {
    for mask in ["077", "027", "022"] {
        let shop = Workshop::usual();
        let script = format!("umask {mask}; exec \"$0\" \"$@\"");
        let run = |words: &[&str]| {
            let said = std::process::Command::new("sh")
                .current_dir(shop.beside(""))
                .args(["-c", &script, env!("CARGO_BIN_EXE_balance-under-test")])
                .args(words)
                .output()
                .unwrap();
            assert!(said.status.success(), "{}", String::from_utf8_lossy(&said.stderr));
        };
        run(&["report", "WP-0417"]);
        run(&["new", "WP-0999"]);
        run(&["archive", "add", "WP-0417", "--archive", "a.sqlite"]);
        run(&["archive", "backup", "b.sqlite", "--archive", "a.sqlite"]);
        let mask = u32::from_str_radix(mask, 8).unwrap();
        for (name, wanted) in [
            ("WP-0417/report.html", 0o666),
            ("WP-0999/job.toml", 0o666),
            ("a.sqlite", 0o666),
            ("b.sqlite", 0o666),
            ("WP-0999", 0o777),
        ] {
            let mode = std::fs::metadata(shop.beside(name)).unwrap().mode() & 0o777;
            assert_eq!(mode, wanted & !mask, "{name} under {mask:o}: {mode:o}");
        }
    }
}

#[test]
fn line_11_a_write_protected_file_stays_and_rights_stay() {
    let shop = Workshop::usual();
    let runs = shop.job().join("runs.csv");
    let before = shop.runs();
    std::fs::set_permissions(&runs, std::fs::Permissions::from_mode(0o444)).unwrap();
    let said = on(&["correct", "--append"], &shop.job());
    assert!(said.code == 2 && said.talk.contains("is write-protected"), "{said:?}");
    assert_eq!(shop.runs(), before);
    std::fs::set_permissions(&runs, std::fs::Permissions::from_mode(0o640)).unwrap();
    assert_eq!(on(&["correct", "--append"], &shop.job()).code, 0);
    assert_eq!(std::fs::metadata(&runs).unwrap().mode() & 0o777, 0o640);
}

#[test]
fn line_11_a_link_keeps_pointing_where_it_does() {
    let shop = Workshop::usual();
    let (runs, elsewhere) = (shop.job().join("runs.csv"), shop.beside("shared.csv"));
    std::fs::rename(&runs, &elsewhere).unwrap();
    std::os::unix::fs::symlink("../shared.csv", &runs).unwrap();
    assert_eq!(on(&["correct", "--append"], &shop.job()).code, 0);
    assert!(std::fs::symlink_metadata(&runs).unwrap().is_symlink());
    assert!(std::fs::read_to_string(&elsewhere).unwrap().contains("\n4,check"));
}

#[test]
fn line_11_unfinished_files_of_killed_writers_are_cleared_when_they_are_old() {
    let shop = Workshop::usual();
    let (old, new) = (shop.job().join(".balance-old"), shop.job().join(".balance-new"));
    std::fs::write(&old, "half").unwrap();
    std::fs::write(&new, "another writer is at it").unwrap();
    let two_hours_ago = std::time::SystemTime::now() - std::time::Duration::from_secs(7200);
    std::fs::File::options().write(true).open(&old).unwrap().set_modified(two_hours_ago).unwrap();
    assert!(process().arg("report").arg(shop.job()).output().unwrap().status.success());
    assert!(!old.exists() && new.exists());
}
