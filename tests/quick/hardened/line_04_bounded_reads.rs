//! 4. Nothing that a file names is read without a limit.

use std::path::Path;
use std::time::{Duration, Instant};

use super::workshop::{JOB, Workshop, process};

/// A PNG of this many bytes: only its first eight identify it.
fn picture(path: &Path, bytes: u64) {
    std::fs::write(path, b"\x89PNG\r\n\x1a\n").unwrap();
    std::fs::File::options().write(true).open(path).unwrap().set_len(bytes).unwrap();
}

/// Runs the program with at most 1 GB of memory and 20 s; returns the exit status and the messages.
fn bounded(verb: &str, job: &Path) -> (Option<i32>, String) {
    let mut command = std::process::Command::new("sh");
    let limited = "ulimit -v 1000000; exec \"$0\" \"$@\"";
    command.args(["-c", limited, env!("CARGO_BIN_EXE_balance-under-test"), verb]).arg(job);
    command.stdin(std::process::Stdio::null()).stdout(std::process::Stdio::piped());
    let mut child = command.stderr(std::process::Stdio::piped()).spawn().unwrap();
    let end = Instant::now() + Duration::from_secs(20);
    while child.try_wait().unwrap().is_none() {
        if Instant::now() > end {
            child.kill().unwrap();
            return (None, format!("{verb} {} was not done in 20 s", job.display()));
        }
        std::thread::sleep(Duration::from_millis(10));
    }
    let said = child.wait_with_output().unwrap();
    (said.status.code(), String::from_utf8_lossy(&said.stderr).into_owned())
}

fn with_photos(names: &[String]) -> Workshop {
    let photos: String = names.iter().map(|name| format!("[[photo]]\nfile = \"{name}\"\n")).collect();
    Workshop::new(&format!("{JOB}{photos}"), &Workshop::usual().runs())
}

#[test]
fn line_4_pipes_and_devices_are_refused() {
    for named in ["job.toml", "runs.csv", "photo.png"] {
        for device in ["/dev/zero", "a pipe"] {
            let shop = with_photos(&["photo.png".into()]);
            let path = shop.job().join(named);
            if path.exists() {
                std::fs::remove_file(&path).unwrap();
            }
            if device == "a pipe" {
                assert!(process().args(["-V"]).output().unwrap().status.success());
                assert!(std::process::Command::new("mkfifo").arg(&path).status().unwrap().success());
            } else {
                // A link inside the folder: its name alone does not show where it leads.
                std::os::unix::fs::symlink(device, &path).unwrap();
            }
            let (code, told) = bounded("report", &shop.job());
            assert_eq!(code, Some(2), "{named} is {device}: {told}");
            let refused = told.contains("is a pipe or a device") || told.contains("is in another folder");
            assert!(refused && told.contains("hint"), "{named} is {device}: {told}");
        }
    }
    let shop = Workshop::usual();
    assert_eq!(bounded("correct", &shop.job().join("job.toml")).0, Some(2));
}

#[test]
fn line_4_a_picture_too_large_is_not_read_and_many_have_a_total() {
    let shop = with_photos(&["photo.png".into()]);
    picture(&shop.job().join("photo.png"), 1 << 30);
    let (code, told) = bounded("report", &shop.job());
    assert_eq!(code, Some(2), "{told}");
    assert!(told.contains("photo.png: has 1073741824 bytes or more; allowed: 8388608 bytes"), "{told}");

    let names: Vec<String> = (0..150).map(|at| format!("photo-{at}.png")).collect();
    let shop = with_photos(&names);
    names.iter().for_each(|name| picture(&shop.job().join(name), 8 << 20));
    let (code, told) = bounded("report", &shop.job());
    assert_eq!(code, Some(2), "{told}");
    assert_eq!(told.matches("too large to mail").count(), 1, "{told}");
    assert!(!shop.job().join("report.html").exists());

    let shop = with_photos(&names[..8]);
    names[..8].iter().for_each(|name| picture(&shop.job().join(name), 8 << 20));
    let (code, told) = bounded("report", &shop.job());
    assert_eq!(code, Some(0), "{told}");
    // With job and runs file they are more than ride inside a report.
    assert!(told.contains("files are not inside the report: they have 6710"), "{told}");
}
