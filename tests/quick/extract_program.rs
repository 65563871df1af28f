//! `balance extract` as a user runs it.
#![expect(clippy::unwrap_used, reason = "tests")]

use std::path::{Path, PathBuf};

use balance_tests::program::{Said, balance};
use balance_tests::recorded::{HEADER, Rig, job_text};
use serde_json::Value;

fn folder(above: &Path) -> PathBuf {
    let folder = above.join("WP-0611");
    std::fs::create_dir_all(&folder).unwrap();
    std::fs::write(folder.join("job.toml"), job_text()).unwrap();
    std::fs::write(folder.join("runs.csv"), format!("{HEADER}\n")).unwrap();
    folder
}

fn extract(recording: &Path, folder: &Path, more: &[&str]) -> Said {
    let mut words: Vec<PathBuf> = ["extract".into(), recording.into(), "--job".into(), folder.into()].into();
    words.extend(more.iter().map(PathBuf::from));
    balance(words)
}

#[test]
fn a_recording_gives_a_reading_in_words_and_in_json() {
    let above = tempfile::tempdir().unwrap();
    let folder = folder(above.path());
    let file = folder.join("now.wav");
    std::fs::write(&file, Rig::new(5).wav()).unwrap();
    let said = extract(&file, &folder, &[]);
    assert_eq!(said.code, 0, "{said:?}");
    assert!(said.answer.contains(" rpm, ") && said.answer.contains("give or take"), "{}", said.answer);
    let words = said.answer.replace('\n', " ");
    assert!(words.contains("Joints make it, weights cannot cure it."), "{}", said.answer);
    assert!(said.answer.lines().all(|line| line.chars().count() <= 80), "{}", said.answer);
    let said = extract(&file, &folder, &["--json"]);
    let found: Value = serde_json::from_str(&said.answer).unwrap();
    assert_eq!(found["format"], "balance-reading/1");
    assert_eq!(found["sensors"][1]["name"], "rear");
    let turns = found["turns"].as_u64().unwrap();
    assert!((100..=181).contains(&turns), "{turns}");
    for sensor in found["sensors"].as_array().unwrap() {
        let (amplitude, sigma) =
            (sensor["amplitude"].as_f64().unwrap(), sensor["amplitude_uncertainty"].as_f64().unwrap());
        assert!(amplitude > 0.0 && sigma > 0.0 && sigma < 0.05 * amplitude.max(1.0), "{sensor}");
    }
}

#[test]
fn append_adds_rows_and_fills_the_one_that_waits() {
    let above = tempfile::tempdir().unwrap();
    let folder = folder(above.path());
    let file = folder.join("now.wav");
    let mut rig = Rig::new(6);
    let mut record = |masses: &[(usize, f64, f64)], more: &[&str]| {
        rig.put_on(masses);
        std::fs::write(&file, rig.wav()).unwrap();
        let said = extract(&file, &folder, more);
        assert_eq!(said.code, 0, "{said:?}");
        said
    };
    assert!(record(&[], &["--append"]).talk.contains("Taken: run 1 is in"));
    record(&[(0, 20.0, 90.0)], &["--append", "--mass", "front=20@90", "--note", "under a hose clamp"]);
    record(&[(1, 20.0, 90.0)], &["--append", "--mass", "rear=20@90"]);
    assert_eq!(balance(["correct".as_ref(), folder.as_os_str(), "--append".as_ref()]).code, 0);
    let waits = std::fs::read_to_string(folder.join("runs.csv")).unwrap();
    let said = record(&[], &["--append"]);
    assert!(said.talk.contains("Taken: run 4 is in"), "{said:?}");
    let runs = std::fs::read_to_string(folder.join("runs.csv")).unwrap();
    assert_eq!(runs.lines().count(), waits.lines().count(), "{runs}");
    let header = runs.lines().next().unwrap();
    assert!(header.ends_with("rear amplitude uncertainty [mm/s],rear phase uncertainty [deg]"), "{header}");
    assert!(runs.contains("2,trial,") && runs.contains("under a hose clamp"), "{runs}");
    // Recorded readings are part of the case, with their own uncertainty.
    let case: Value = serde_json::from_str(&balance(["job".as_ref(), folder.as_os_str()]).answer).unwrap();
    assert!(case["runs"][3]["uncertainties"][0]["amplitude"].as_f64().unwrap() > 0.0);
}

#[test]
fn what_gives_no_reading_is_refused_and_nothing_is_written() {
    let above = tempfile::tempdir().unwrap();
    let folder = folder(above.path());
    let wav = Rig::new(7).wav();
    let silent: Vec<u8> = wav[..44].iter().copied().chain(std::iter::repeat_n(0, wav.len() - 44)).collect();
    let cases: [(&str, &[u8], &str); 6] = [
        ("silent.wav", &silent, "pulse"),
        ("short.wav", &wav[..44 + 6 * 1500], "turns"),
        ("header.wav", &wav[..30], "ends before its first sample"),
        ("empty.wav", b"", "is empty"),
        ("words.csv", b"time [s],pulse,front,rear\n0,1,2,x\n", "found `x`"),
        ("other.csv", b"time [s],pulse,front\n0,1,2\n", "channel 3, which sensor `rear` is said to be"),
    ];
    for (name, bytes, words) in cases {
        let file = folder.join(name);
        std::fs::write(&file, bytes).unwrap();
        let said = extract(&file, &folder, &["--append"]);
        assert_eq!((said.code, said.answer.as_str()), (2, ""), "{name}: {said:?}");
        assert!(said.talk.contains(words) && said.talk.contains("hint:"), "{name}: {}", said.talk);
    }
    let said = extract(&folder.join("none.wav"), &folder, &[]);
    assert!(said.code == 2 && said.talk.contains("there is no such file"), "{said:?}");
    assert_eq!(extract(&folder, &folder, &[]).code, 2);
    assert_eq!(std::fs::read_to_string(folder.join("runs.csv")).unwrap(), format!("{HEADER}\n"));
}

#[test]
fn a_recording_that_was_cut_off_gives_what_is_whole_and_says_so() {
    let above = tempfile::tempdir().unwrap();
    let folder = folder(above.path());
    let wav = Rig::new(8).wav();
    let file = folder.join("cut.wav");
    std::fs::write(&file, &wav[..wav.len() * 2 / 3 + 1]).unwrap();
    let said = extract(&file, &folder, &[]);
    assert_eq!(said.code, 0, "{said:?}");
    assert!(said.answer.contains("ends in the middle of its data"), "{}", said.answer);
}
