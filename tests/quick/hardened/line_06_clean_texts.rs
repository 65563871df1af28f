//! 6. Whatever people type into a name, it colours no terminal, forges no line and reverses no letters.

use std::ffi::OsString;

use balance_cli::archive::{Archive, NewRecord, Opening, SqliteArchive};
use balance_cli::clean::is_hidden;
use balance_cli::page::Page;
use balance_tests::archive::record;
use balance_tests::program::balance_on;

use super::workshop::{HEADER, JOB, ROWS, Workshop, on};

/// No letter that a terminal obeys, except line feed and tab.
fn assert_clean(said: &balance_tests::program::Said) {
    for text in [&said.answer, &said.talk] {
        let hidden = text.chars().find(|letter| is_hidden(*letter) && !matches!(letter, '\n' | '\t'));
        assert_eq!(hidden, None, "{text:?}");
        assert!(!text.lines().any(|line| line.trim_start().starts_with("MEETS")), "{text}");
    }
}

const EVIL: [&str; 6] = [
    "\u{1b}[32mX",
    "\u{7}X",
    "\0X",
    "\u{9b}31mX",
    "\u{202e}X\u{202c}",
    "X\nMEETS   front joint 1 (allowed 417) g.mm",
];

#[test]
fn line_6_a_job_with_hidden_letters_is_refused_and_line_breaks_forge_nothing() {
    for evil in EVIL {
        let quoted = toml_text(evil);
        for key in ["number = \"WP-0417\"", "name = \"front\""] {
            let name = key.split(' ').next().unwrap();
            let job = JOB.replacen(key, &format!("{name} = {quoted}"), 1);
            let shop = Workshop::new(&job, &format!("{HEADER}{ROWS}"));
            for verb in ["limits", "correct", "verify", "explain", "plot", "report"] {
                for json in [&[][..], &["--json"]] {
                    if !json.is_empty() && matches!(verb, "plot" | "report") {
                        continue;
                    }
                    let said = on(&[&[verb], json].concat(), &shop.job());
                    assert_clean(&said);
                    let breaks_line = evil.contains('\n');
                    assert!(
                        breaks_line || said.talk.contains("a letter that cannot be seen (U+"),
                        "{evil:?}: {said:?}"
                    );
                }
            }
        }
    }
}

fn toml_text(text: &str) -> String {
    let letters = text.chars().map(|letter| match letter {
        ' '..='~' if !"\"\\".contains(letter) => letter.to_string(),
        other => format!("\\u{:04x}", u32::from(other)),
    });
    format!("\"{}\"", letters.collect::<String>())
}

#[test]
fn line_6_labels_and_columns_with_hidden_letters_are_refused() {
    for evil in EVIL {
        let cell = format!("\"{evil}\"");
        let runs = [
            format!("{HEADER}{}", ROWS.replacen('1', &cell, 1)),
            format!(
                "shaft,{HEADER}{}",
                ROWS.lines().map(|row| format!("{cell},{row}\n")).collect::<String>()
            ),
            format!(
                "{}{ROWS}",
                HEADER.replacen("front amplitude [mm/s]", &format!("\"{evil} amplitude [mm/s]\""), 1)
            ),
        ];
        for runs in runs {
            let shop = Workshop::new(JOB, &runs);
            for verb in ["correct", "verify", "explain", "report"] {
                let said = on(&[verb], &shop.job());
                assert_clean(&said);
                assert_eq!(said.code, 2, "{evil:?}: {said:?}");
            }
        }
        // A folder's name cannot be refused: it is shown clean.
        if !evil.contains('\0') {
            let folder = Workshop::usual();
            let strange = folder.beside(evil);
            std::fs::rename(folder.job(), &strange).unwrap();
            for verb in ["correct", "report", "plot"] {
                let said = on(&[verb], &strange);
                assert_clean(&said);
                assert_eq!(said.code, 0, "{said:?}");
            }
        }
    }
}

/// Archives of earlier versions may hold such texts: they are shown, and stay as they are.
#[test]
fn line_6_the_archive_shows_such_texts_clean_and_keeps_them() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("a.sqlite");
    let mut archive = SqliteArchive::open_or_create(&path, Opening::default()).unwrap();
    let all = EVIL.concat();
    let evil = NewRecord {
        number: all.clone(),
        customer: all.clone(),
        unit: all.clone(),
        tag: all.clone(),
        marks: all.clone(),
        shaft_type: Some(all.clone()),
        ..record(1)
    };
    assert!(archive.add(&evil).is_ok());
    drop(archive);
    for verb in [
        &["list"][..],
        &["find", "X"],
        &["show", "1"],
        &["types"],
        &["check"],
        &["export"],
        &["export", "--csv"],
    ] {
        for json in [&[][..], &["--json"]] {
            let words = [&["archive"], verb, json, &["--archive"]].concat();
            let said = on(&words, &path);
            assert_eq!(said.code, 0, "{said:?}");
            let table = verb.contains(&"--csv");
            if table {
                // In a table a line break is in quotes.
                assert!(!said.answer.contains(|letter| is_hidden(letter) && letter != '\n'), "{said:?}");
            } else {
                assert_clean(&said);
            }
            if (!json.is_empty() || verb == ["export"]) && !table && verb != ["check"] && verb != ["types"] {
                let object: serde_json::Value = serde_json::from_str(&said.answer).unwrap();
                assert_eq!(object["number"], all, "JSON says the text itself");
            }
        }
    }
}

/// A stored report is the customer's file, byte for byte; only a terminal, which would obey such letters, gets them shown.
#[test]
fn line_6_a_stored_report_stays_as_it_is_and_colours_no_terminal() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("a.sqlite");
    let mut archive = SqliteArchive::open_or_create(&path, Opening::default()).unwrap();
    let page = format!("<!DOCTYPE html>\n<title>{}</title>\n", EVIL[..5].concat());
    assert!(archive.add(&NewRecord { report: Some(page.clone().into_bytes()), ..record(1) }).is_ok());
    drop(archive);
    let words = || {
        ["archive", "report", "1", "--archive"].map(OsString::from).into_iter().chain([path.clone().into()])
    };
    assert_eq!(balance_on(Page::default(), words()).answer, page);
    let said = balance_on(Page::default().of_terminal(), words());
    assert_clean(&said);
    assert!(
        said.answer.contains("\\u{1b}[32mX") && said.answer.starts_with("<!DOCTYPE html>\n<title>"),
        "{said:?}"
    );
}
