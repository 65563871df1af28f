//! 8. One stated limit for every count: huge files end in a message, quickly and with little memory.

use balance_cli::files::limits::{PLANES, ROWS, SENSORS};
use num_complex::Complex64;

use super::workshop::{HEADER, JOB, ROWS as THREE_ROWS, Workshop, on};

/// Runs the program with at most 400 MB and so many seconds of CPU time (other work on the machine does not count);
/// returns the exit status, none if it needed more, and the messages.
fn bounded(verb: &str, shop: &Workshop, seconds: u32) -> (Option<i32>, String) {
    let limited = format!("ulimit -v 400000; ulimit -t {seconds}; exec \"$0\" \"$@\"");
    let said = std::process::Command::new("sh")
        .args(["-c", &limited, env!("CARGO_BIN_EXE_balance-under-test"), verb])
        .arg(shop.job())
        .output()
        .unwrap();
    (said.status.code(), String::from_utf8_lossy(&said.stderr).into_owned())
}

fn assert_refused(shop: &Workshop, told: &str) {
    for verb in ["correct", "report"] {
        let (code, said) = bounded(verb, shop, 20);
        let short: String = said.chars().take(2000).collect();
        assert_eq!(code, Some(2), "{verb}: {short}");
        assert!(said.contains(told), "{verb}: {told}: {short}");
        assert!(said.len() < 300_000, "{} bytes told", said.len());
    }
}

#[test]
fn line_8_rows_planes_sensors_sections_and_faults_have_a_limit() {
    let check = |number: usize| format!("{number},check,1800,,,,,5.29,230,3.24,69\n");
    let many: String = (4..1004).map(check).collect();
    assert_refused(
        &Workshop::new(JOB, &format!("{HEADER}{THREE_ROWS}{many}")),
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

/// A shaft with as many places, sensors and rows as are accepted; a linear one, so that its readings fit. An initial run, a
/// trial at each place, then check runs with nothing on.
fn largest_shaft() -> Workshop {
    let effect = |sensor: usize, plane: usize| {
        let apart = (plane as f64 * 2.0 - sensor as f64).abs();
        Complex64::from_polar(0.08 / (1.0 + apart), (37 * sensor + 53 * plane + 11 * sensor * plane) as f64)
    };
    let as_found =
        |sensor: usize| Complex64::from_polar(3.0 + (sensor % 5) as f64, 40.0 + (sensor * 71) as f64);
    let place = |at: usize| 80 * (at + 1);
    let mut job = String::from(
        "[job]\nnumber = \"WP-0417\"\n[shaft]\nmass = \"14.2 kg\"\nservice_speed = \"2600 rpm\"\ngrade = \"G16\"\n\
         [convention]\nphase = \"same way as masses\"\nmass_angle = \"against rotation\"\n[stand]\n\
         reading_noise = \"2 %\"\nreading_floor = 0.02\n",
    );
    let mut header = String::from("run,kind,speed [rpm]");
    for plane in 0..PLANES {
        job += &format!(
            "[[correction_plane]]\nname = \"p{plane}\"\nposition = \"{} mm\"\nradius = \"45 mm\"\n",
            place(plane)
        );
        header += &format!(",p{plane} mass [g],p{plane} angle [deg]");
    }
    for sensor in 0..SENSORS {
        job += &format!("[[sensor]]\nname = \"s{sensor}\"\nposition = \"{} mm\"\n", 40 * (sensor + 1));
        header += &format!(",s{sensor} amplitude [mm/s],s{sensor} phase [deg]");
    }
    let mut rows = header + "\n";
    for row in 0..ROWS {
        let kind = if row == 0 {
            "initial"
        } else if row <= PLANES {
            "trial"
        } else {
            "check"
        };
        rows += &format!("{},{kind},1800", row + 1);
        let mass = |plane: usize| match kind {
            "trial" if plane + 1 == row => Complex64::from_polar(20.0, 90_f64.to_radians()),
            _ => Complex64::new(0.0, 0.0),
        };
        for plane in 0..PLANES {
            rows += if mass(plane).norm() > 0.0 { ",20,90" } else { ",," };
        }
        for sensor in 0..SENSORS {
            let read = as_found(sensor)
                + (0..PLANES).map(|plane| effect(sensor, plane) * mass(plane)).sum::<Complex64>();
            rows += &format!(",{:.4},{:.3}", read.norm(), read.arg().to_degrees().rem_euclid(360.0));
        }
        rows.push('\n');
    }
    Workshop::new(&job, &rows)
}

/// The largest accepted shaft is answered in time and in little memory.
#[test]
fn line_8_the_largest_shaft_that_is_read_is_answered_in_time() {
    let shop = largest_shaft();
    for verb in ["correct", "verify", "explain", "report"] {
        let (code, told) = bounded(verb, &shop, 60);
        assert!(code.is_some_and(|code| code != 2), "{verb}: {told}");
    }
}
