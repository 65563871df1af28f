//! The record that can be opened again: a report's files come out byte for byte, and nothing that is damaged, hostile or
//! too much is written.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use balance_tests::program::{Said, balance};
use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;

/// A PNG of one dot, from memory of the format; checked with `file`.
const DOT: &str =
    "iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAAAAAA6fptVAAAACklEQVR4nGNgAAAAAgABSK+kcQAAAABJRU5ErkJggg==";

/// The demo's job with a logo, two photographs and a runout file: everything that a job is made of.
fn job(place: &Path) -> PathBuf {
    let depot = place.join("depot");
    assert_eq!(balance(["demo".into(), depot.clone().into_os_string()]).code, 0);
    let job = depot.join("WP-0417");
    let dot = STANDARD.decode(DOT).expect("base64");
    for name in ["depot/logo.png", "depot/WP-0417/Räumer, front.png"] {
        std::fs::write(place.join(name), &dot).expect("written");
    }
    // A second picture with other bytes: what comes after a PNG's end is not looked at.
    std::fs::write(job.join("rear.png"), [&dot[..], b"rear"].concat()).expect("written");
    let shop = std::fs::read_to_string(depot.join("shop.toml")).expect("the demo has a shop");
    let with_logo = shop.replace("[shop]\n", "[shop]\nlogo = \"logo.png\"\n");
    std::fs::write(depot.join("shop.toml"), with_logo).expect("written");
    append(
        &job.join("job.toml"),
        "\n[[photo]]\nfile = \"Räumer, front.png\"\nshows = \"front yoke\"\n[[photo]]\nfile = \"rear.png\"\n",
    );
    job
}

fn append(file: &Path, words: &str) {
    let text = std::fs::read_to_string(file).expect("the file is there");
    std::fs::write(file, text + words).expect("written");
}

fn report(job: &Path, words: &[&str]) -> String {
    let said = balance(
        ["report".into(), job.as_os_str().to_owned()]
            .into_iter()
            .chain(words.iter().map(|word| (*word).into())),
    );
    assert_eq!(said.code, 0, "{}", said.talk);
    std::fs::read_to_string(job.join("report.html")).expect("the report is there")
}

fn reopen(report: &Path, folder: &Path) -> Said {
    balance(["reopen".into(), report.as_os_str().to_owned(), folder.as_os_str().to_owned()])
}

fn contents(folder: &Path) -> BTreeMap<String, Vec<u8>> {
    let entries =
        std::fs::read_dir(folder).expect("the folder is there").map(|entry| entry.expect("an entry"));
    let one = |entry: std::fs::DirEntry| {
        (entry.file_name().to_string_lossy().into_owned(), std::fs::read(entry.path()).expect("a file"))
    };
    entries.map(one).collect()
}

fn over_all(page: &str) -> &str {
    page.split_once("<code class=\"over-all\">")
        .expect("page one has a digest")
        .1
        .split('<')
        .next()
        .expect("one")
}

#[test]
fn report_reopened_and_reported_again_has_the_same_digests() {
    let place = tempfile::tempdir().expect("a folder");
    let job = job(place.path());
    let first = report(&job, &[]);
    let back = place.path().join("back");
    let said = reopen(&job.join("report.html"), &back);
    assert_eq!((said.code, said.talk.as_str()), (0, ""));
    assert!(said.answer.contains("not proof against forgery"), "{}", said.answer);
    let mut wanted = contents(&job);
    wanted.retain(|name, _| name.ends_with(".toml") || name.ends_with(".csv"));
    for (name, from) in [
        ("shop.toml", "../shop.toml"),
        ("logo.png", "../logo.png"),
        ("Räumer, front.png", "Räumer, front.png"),
        ("rear.png", "rear.png"),
    ] {
        wanted.insert(name.into(), std::fs::read(job.join(from)).expect("a file"));
    }
    // The logo and the first photograph are the same picture: it is inside once, and comes out under both names.
    assert_eq!(contents(&back), wanted);
    let second = report(&back, &[]);
    assert_eq!(over_all(&first), over_all(&second));
    let made = |page: &str| {
        let rest = page.split_once("class=\"made\">").expect("a date").1;
        rest.split('<').next().expect("a date").to_owned()
    };
    let body = |page: &str| page.split_once("</style>").expect("a style sheet").1.replace(&made(page), "");
    assert_eq!(body(&first), body(&second), "more than the date differs");
}

/// A shop file above the reopened folder changes nothing: its own is used alone.
#[test]
fn a_reopened_job_uses_its_own_shop_file_alone() {
    let place = tempfile::tempdir().expect("a folder");
    let job = job(place.path());
    let first = report(&job, &[]);
    let other = place.path().join("other-shop");
    std::fs::create_dir(&other).expect("a folder");
    std::fs::write(other.join("shop.toml"), "[stand]\nreading_noise = \"40 %\"\n").expect("written");
    assert_eq!(reopen(&job.join("report.html"), &other.join("back")).code, 0);
    assert_eq!(over_all(&report(&other.join("back"), &[])), over_all(&first));
}

/// Every byte of every file inside, changed on its own in turn (a sample of them): always refused, nothing written.
#[test]
fn one_byte_changed_in_a_file_inside_is_refused() {
    let place = tempfile::tempdir().expect("a folder");
    let job = job(place.path());
    let page = report(&job, &[]);
    let (changed, back) = (place.path().join("changed.html"), place.path().join("back"));
    let starts: Vec<usize> = page.match_indices(" data-sha256=\"").map(|(at, _)| at).collect();
    assert_eq!(starts.len(), 7, "job, shop, runs and runout as links; logo and two photographs as pictures");
    for start in starts {
        let begin = start + page[start..].find(";base64,").expect("bytes") + ";base64,".len();
        let end = begin + page[begin..].find('"').expect("an end");
        for at in (begin..end - 4).step_by(((end - begin) / 5).max(1)) {
            let other = if page.as_bytes()[at] == b'A' { "B" } else { "A" };
            let bad = format!("{}{other}{}", &page[..at], &page[at + 1..]);
            std::fs::write(&changed, bad).expect("written");
            let said = reopen(&changed, &back);
            assert!(said.code == 2 && said.talk.contains("is not what its digest says"), "{}", said.talk);
            assert!(!back.exists() && said.answer.is_empty());
        }
    }
    let list = page.replacen("  runs.csv\n", "  runs.txt\n", 1);
    std::fs::write(&changed, list).expect("written");
    let said = reopen(&changed, &back);
    assert!(
        said.code == 2 && said.talk.contains("does not agree with the digest on page one"),
        "{}",
        said.talk
    );
}

/// A report as somebody could forge it: every digest agrees.
fn forged(files: &[(&str, &[u8])]) -> String {
    use balance_cli::archive::Digest;
    let lines: String =
        files.iter().map(|(name, bytes)| format!("{}  {name}\n", Digest::of(bytes))).collect();
    let escaped =
        lines.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;").replace('"', "&quot;");
    let links: String = files
        .iter()
        .map(|(_, bytes)| {
            let text = STANDARD.encode(bytes);
            format!("<a data-sha256=\"{}\" href=\"data:text/plain;base64,{text}\">x</a>", Digest::of(bytes))
        })
        .collect();
    format!(
        "<code class=\"over-all\">{}</code><data class=\"made-from\" data-format=\"balance-files/1\" value=\"{escaped}\"></data>{links}",
        Digest::of(lines.as_bytes())
    )
}

#[test]
fn names_that_lead_elsewhere_are_refused_and_nothing_is_written() {
    let place = tempfile::tempdir().expect("a folder");
    let (page, back) = (place.path().join("forged.html"), place.path().join("back"));
    let names = [
        "../evil.toml",
        "/tmp/evil.toml",
        "a/b.toml",
        "..\\evil.toml",
        "C:\\evil.toml",
        "C:evil.toml",
        "CON",
        "nul.csv",
        "..",
        ".",
        ".balance-1",
        "evil.toml.",
        "evil.toml ",
        "a\u{202e}gpj.exe",
        "a\tb",
        "a<b",
        "a\"b",
    ];
    for name in names {
        std::fs::write(&page, forged(&[("job.toml", b"format = 1\n"), (name, b"evil")])).expect("written");
        let said = reopen(&page, &back);
        assert!(said.code == 2 && said.talk.contains("is no plain file name"), "{name:?}: {}", said.talk);
        assert!(!back.exists(), "{name:?}");
        assert_eq!(contents(place.path()).len(), 1, "{name:?}: something was written");
    }
    std::fs::write(&page, forged(&[("job.toml", b"a"), ("JOB.toml", b"b")])).expect("written");
    let said = reopen(&page, &back);
    assert!(said.code == 2 && said.talk.contains("is there twice"), "{}", said.talk);
    // A forged report whose names are plain is taken: digests show damage, not forgery, and the program says so.
    std::fs::write(&page, forged(&[("job.toml", b"format = 1\n")])).expect("written");
    let said = reopen(&page, &back);
    assert!(said.code == 0 && said.answer.contains("not proof against forgery"), "{}", said.talk);
}

#[test]
fn no_folder_is_written_into_that_is_there() {
    let place = tempfile::tempdir().expect("a folder");
    let job = job(place.path());
    report(&job, &[]);
    let back = place.path().join("back");
    std::fs::create_dir(&back).expect("a folder");
    let said = reopen(&job.join("report.html"), &back);
    assert!(said.code == 2 && said.talk.contains("already exists"), "{}", said.talk);
    assert!(contents(&back).is_empty());
}

#[test]
fn more_than_64_mb_are_refused() {
    let place = tempfile::tempdir().expect("a folder");
    let (page, back) = (place.path().join("large.html"), place.path().join("back"));
    let half = vec![b'x'; 33 << 20];
    let other = vec![b'y'; 33 << 20];
    std::fs::write(&page, forged(&[("a.csv", &half), ("b.csv", &other)])).expect("written");
    let said = reopen(&page, &back);
    assert!(said.code == 2 && said.talk.contains("67108864 bytes"), "{}", said.talk);
    assert!(!back.exists());
}

#[test]
fn without_files_there_is_nothing_to_open_and_the_report_says_so() {
    let place = tempfile::tempdir().expect("a folder");
    let job = job(place.path());
    let page = report(&job, &["--without-files"]);
    assert!(page.contains("made without the files of the job") && !page.contains("octet-stream"));
    let said = reopen(&job.join("report.html"), &place.path().join("back"));
    assert!(said.code == 2 && said.talk.contains("has no files inside"), "{}", said.talk);
}

/// What cannot ride along is said; the report is written all the same.
#[test]
fn a_picture_in_a_folder_of_its_own_keeps_the_files_out() {
    let place = tempfile::tempdir().expect("a folder");
    let job = job(place.path());
    std::fs::create_dir(job.join("photos")).expect("a folder");
    std::fs::copy(job.join("rear.png"), job.join("photos/rear.png")).expect("copied");
    let text = std::fs::read_to_string(job.join("job.toml")).expect("a job");
    std::fs::write(job.join("job.toml"), text.replace("\"rear.png\"", "\"photos/rear.png\""))
        .expect("written");
    let said = balance(["report".into(), job.clone().into_os_string()]);
    assert!(
        said.code == 0 && said.talk.contains("photos/rear.png is not a plain file name"),
        "{}",
        said.talk
    );
    assert!(!std::fs::read_to_string(job.join("report.html")).expect("a report").contains("octet-stream"));
}

#[test]
fn the_archive_takes_reports_in_byte_for_byte() {
    let place = tempfile::tempdir().expect("a folder");
    let job = job(place.path());
    let page = report(&job, &[]);
    let mail = place.path().join("mail");
    std::fs::create_dir(&mail).expect("a folder");
    std::fs::write(mail.join("from Kessel.html"), &page).expect("written");
    std::fs::write(mail.join("no report.html"), "<!DOCTYPE html><p>hello").expect("written");
    let archive = place.path().join("archive.db");
    let on = |words: &[&std::ffi::OsStr]| {
        let all = ["archive".into(), "--archive".into(), archive.clone().into_os_string()];
        balance(all.into_iter().chain(words.iter().map(|word| (*word).to_owned())))
    };
    let said = on(&["import".as_ref(), mail.as_os_str()]);
    assert_eq!(
        (said.code, said.answer.as_str()),
        (0, "1 stored, 0 already there, 0 left out\n"),
        "{}",
        said.talk
    );
    // Once more, the report by its own name.
    let said = on(&["import".as_ref(), mail.join("from Kessel.html").as_os_str()]);
    assert_eq!(said.answer, "0 stored, 1 already there, 0 left out\n", "{}", said.talk);
    assert_eq!(on(&["report".as_ref(), "1".as_ref()]).answer, page);
    let out = place.path().join("out");
    assert_eq!(on(&["show".as_ref(), "1".as_ref(), "--into".as_ref(), out.as_os_str()]).code, 0);
    let stored = contents(&out);
    for name in ["job.toml", "runs.csv", "runout.csv", "Räumer, front.png", "rear.png"] {
        assert_eq!(stored[name], std::fs::read(job.join(name)).expect("a file"), "{name}");
    }
    assert_eq!(stored["shop.toml"], std::fs::read(job.join("../shop.toml")).expect("a file"));
    // A damaged report is left out, and why is said.
    std::fs::write(mail.join("from Kessel.html"), page.replacen(";base64,", ";base64,AAAA", 3))
        .expect("written");
    let said = on(&["import".as_ref(), mail.as_os_str()]);
    assert!(said.code == 2 && said.answer.contains("is not what its digest says"), "{}", said.answer);
}
