//! 8. One stated limit for every count: huge files end in a message, quickly and with little memory.

use std::time::{Duration, Instant};

use super::workshop::{HEADER, JOB, ROWS, Workshop, on, process};

/// Runs the program with at most 400 MB; returns the exit status, the messages, and how long it took.
fn bounded(verb: &str, shop: &Workshop) -> (Option<i32>, String, Duration) {
    let begun = Instant::now();
    let mut command = std::process::Command::new("sh");
    let limited = "ulimit -v 400000; exec \"$0\" \"$@\"";
    let said = command
        .args(["-c", limited, env!("CARGO_BIN_EXE_balance-under-test"), verb])
        .arg(shop.job())
        .output()
        .unwrap();
    (said.status.code(), String::from_utf8_lossy(&said.stderr).into_owned(), begun.elapsed())
}

fn assert_refused(shop: &Workshop, told: &str) {
    for verb in ["correct", "report"] {
        let (code, said, time) = bounded(verb, shop);
        let short: String = said.chars().take(2000).collect();
        assert_eq!(code, Some(2), "{verb}: {short}");
        assert!(said.contains(told), "{verb}: {told}: {short}");
        assert!(time < Duration::from_secs(20), "{verb}: {time:?}");
        assert!(said.len() < 300_000, "{} bytes told", said.len());
    }
}

#[test]
fn line_8_rows_planes_sensors_sections_and_faults_have_a_limit() {
    let check = |number: usize| format!("{number},check,1800,,,,,5.29,230,3.24,69\n");
    let many: String = (4..1004).map(check).collect();
    assert_refused(
        &Workshop::new(JOB, &format!("{HEADER}{ROWS}{many}")),
        "1003 rows; allowed: at most 60 of one shaft",
    );

    let bad = "x,y,z\n".repeat(1_000_000);
    assert_refused(&Workshop::new(JOB, &format!("{HEADER}{bad}")), "runs.csv:2");

    let planes: String = (0..60).map(|at| format!(",p{at} mass [g],p{at} angle [deg]")).collect();
    let sensors: String = (0..60).map(|at| format!(",s{at} amplitude [mm/s],s{at} phase [deg]")).collect();
    let wide = format!(
        "run,kind,speed [rpm]{planes}{sensors}\n1,initial,1800{}{}\n",
        ",".repeat(120),
        ",1,2".repeat(60)
    );
    let shop = Workshop::new(JOB, &wide);
    std::fs::remove_file(shop.job().join("job.toml")).unwrap();
    let said = on(&["correct"], &shop.job().join("runs.csv"));
    assert!(
        said.code == 2 && said.talk.contains("60 places for weights; allowed: at most 16"),
        "{}",
        said.talk
    );
    assert!(said.talk.contains("60 sensors; allowed: at most 32"), "{}", said.talk);

    let weights = "[[weight]]\nmass = \"5 g\"\n".repeat(20_000);
    assert_refused(
        &Workshop::new(&format!("{JOB}{weights}"), &Workshop::usual().runs()),
        "20000 sections `[[weight]]`",
    );
    let huge = format!("{JOB}# {}\n", "x".repeat(2 << 20));
    assert_refused(&Workshop::new(&huge, &Workshop::usual().runs()), "allowed: 1048576 bytes");
    let broken = format!("{JOB}{}", "x\n".repeat(200_000));
    assert_refused(&Workshop::new(&broken, &Workshop::usual().runs()), "job.toml:");
    let unknown: String = (0..40_000).map(|at| format!("k{at} = 1\n")).collect();
    assert_refused(&Workshop::new(&format!("{JOB}{unknown}"), &Workshop::usual().runs()), "is not a key of");
}

/// The largest accepted file is answered in time.
#[test]
fn line_8_the_largest_shaft_that_is_read_is_answered_in_time() {
    let check = |number: usize| format!("{number},check,1800,,,,,0.16,321,0.44,96\n");
    let many: String = (4..61).map(check).collect();
    let shop = Workshop::new(JOB, &format!("{HEADER}{ROWS}{many}"));
    for verb in ["correct", "verify", "report"] {
        let begun = Instant::now();
        let said = process().arg(verb).arg(shop.job()).output().unwrap();
        println!("{verb}: 60 rows in {:?}", begun.elapsed());
        assert!(
            said.status.code().is_some_and(|code| code != 2),
            "{}",
            String::from_utf8_lossy(&said.stderr)
        );
        assert!(begun.elapsed() < Duration::from_secs(60), "{verb}: {:?}", begun.elapsed());
    }
}
