//! 3. The program never makes its own runs file unreadable, and no row that it reported as written is lost.

use std::io::Write;
use std::process::Stdio;

use super::workshop::{HEADER, JOB, ROWS, Workshop, on, process};

#[test]
fn line_3_rows_for_many_shafts_are_put_below_their_shafts() {
    let rows: String = ["s1", "s2", "s3"]
        .iter()
        .flat_map(|shaft| ROWS.lines().map(move |row| format!("{shaft},{row}\n")))
        .collect();
    let shop = Workshop::new(JOB, &format!("# depot\nshaft,{HEADER}{rows}# end"));
    let said = on(&["correct", "--append"], &shop.job());
    assert_eq!(said.code, 0, "{}", said.talk);
    assert_eq!(said.talk.matches("is ready in").count(), 3, "{}", said.talk);
    let runs = shop.runs();
    let lines: Vec<&str> = runs.lines().map(|line| line.split(",1800").next().unwrap()).collect();
    let wanted = ["s1,1,initial", "s1,2,trial", "s1,3,trial", "s1,4,check", "s2,1,initial"];
    assert_eq!(lines[2..7], wanted);
    assert_eq!(lines.last(), Some(&"# end"));
    // It reads: three rows wait for their readings, and no second ones are added below them.
    assert_eq!(on(&["correct"], &shop.job()).code, 0);
    let said = on(&["correct", "--append"], &shop.job());
    assert_eq!((said.code, said.talk.matches("waits for its readings").count()), (2, 3), "{}", said.talk);
    assert_eq!(shop.runs(), runs);
}

#[test]
fn line_3_of_two_appends_at_once_none_loses_a_row_it_acknowledged() {
    for round in 0..30 {
        let shop = Workshop::usual();
        let start = || process().args(["correct", "--append"]).arg(shop.job()).spawn().unwrap();
        let both = [start(), start()].map(|child| child.wait_with_output().unwrap());
        let acknowledged = both.iter().filter(|said| said.status.success()).count();
        let rows = shop.runs().lines().filter(|line| line.starts_with("4,check")).count();
        assert_eq!((acknowledged, rows), (1, 1), "round {round}: {both:?}");
        let told = both.iter().find(|said| !said.status.success()).unwrap();
        let told = String::from_utf8_lossy(&told.stderr);
        assert!(
            told.contains("run `4` is already in the file") || told.contains("row 4 waits for its readings"),
            "{told}"
        );
    }
}

#[test]
fn line_3_two_stands_on_one_job_never_both_take_a_run() {
    let tube = "[tube]\nouter_diameter = \"88.9 mm\"\nwall = \"2.4 mm\"\nlength = \"1385 mm\"\nmaterial = \"steel\"\n";
    let job = JOB.replace("phase = \"lag\"", "phase = \"lag\"\nzero_mark = \"paint\"");
    let job = format!("{}{tube}", job.replace("[stand]", "[stand]\nreading_unit = \"mm/s\""));
    let shop = Workshop::new(&job, HEADER);
    let mut stands: Vec<_> = (0..2)
        .map(|_| process().args(["stand"]).arg(shop.job()).stdin(Stdio::piped()).spawn().unwrap())
        .collect();
    let mut typing: Vec<_> = stands.iter_mut().map(|stand| stand.stdin.take().unwrap()).collect();
    // Both have read the empty file and ask before either writes.
    std::thread::sleep(std::time::Duration::from_millis(500));
    for typed in &mut typing {
        writeln!(typed, "ss\n\n\n1800 5.29 230 3.24 69\n1").unwrap();
    }
    drop(typing);
    let said: Vec<_> = stands.into_iter().map(|stand| stand.wait_with_output().unwrap()).collect();
    let all: Vec<String> =
        said.iter().map(|said| String::from_utf8_lossy(&said.stdout).into_owned()).collect();
    let taken = all.iter().filter(|words| words.contains("Taken: run 1")).count();
    let rows = shop.runs().lines().skip(1).count();
    assert_eq!(taken, rows, "{all:?}\n{}", shop.runs());
    assert_eq!(rows, 1, "{all:?}\n{}", shop.runs());
    assert!(all.iter().any(|words| words.contains("run `1` is already in the file")), "{all:?}");
}

#[test]
fn line_3_what_another_program_writes_meanwhile_is_not_lost() {
    use balance_cli::files::write::{Existing, change_file, write_file};
    let shop = Workshop::usual();
    let runs = shop.job().join("runs.csv");
    let told = change_file(&runs, 1 << 20, |before| {
        // An editor that does not use locks saves at this moment.
        std::fs::write(&runs, "theirs").unwrap();
        Ok([before, b"ours"].concat())
    });
    assert_eq!(told.unwrap_err()[0].code, "changed-meanwhile");
    assert_eq!(shop.runs(), "theirs");
    assert_eq!(write_file(&runs, b"x", Existing::ReplaceIfStill(b"theirs")), Ok(()));
    let names: Vec<_> =
        std::fs::read_dir(shop.job()).unwrap().map(|entry| entry.unwrap().file_name()).collect();
    assert_eq!(names.len(), 2, "nothing else is left: {names:?}");
}
