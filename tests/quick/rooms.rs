//! The rooms of the library are in order: a room uses the rooms before it, never one after it.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

/// In their order.
const ROOMS: [&str; 12] = [
    "quantity",
    "caution",
    "chance",
    "linear",
    "shaft",
    "run",
    "influence",
    "grade",
    "correction",
    "stand",
    "job",
    "answer",
];

/// The rooms of the program and what each may use of the others. `command` is the top: it calls every room,
/// and every room that works through a job (`stand`) opens it in the same way as the commands.
const PROGRAM: [(&str, &[&str]); 9] = [
    ("files", &["clean", "files", "paper"]),
    ("programs", &["files"]),
    ("typed", &["files"]),
    ("archive", &["clean", "files"]),
    ("draw", &["draw", "paper"]),
    ("print", &["clean", "files", "page", "view"]),
    ("report", &["archive", "draw", "files", "page", "paper", "picture", "print", "report", "view"]),
    (
        "stand",
        &[
            "command", "draw", "exit", "files", "page", "picture", "print", "programs", "run", "stand",
            "streams", "typed", "view",
        ],
    ),
    (
        "command",
        &[
            "archive", "args", "draw", "exit", "files", "help", "page", "paper", "picture", "print",
            "programs", "report", "run", "stand", "streams", "typed", "view",
        ],
    ),
];

/// These choose words, units and places; they contain no formula of the trade.
const NO_FORMULA: [&str; 4] = ["print", "report", "draw", "command"];

fn sources(folder: &Path, found: &mut Vec<PathBuf>) {
    for entry in fs::read_dir(folder).expect("the library's sources can be listed") {
        let path = entry.expect("an entry can be read").path();
        if path.is_dir() {
            sources(&path, found);
        } else if path.extension().is_some_and(|ending| ending == "rs") {
            found.push(path);
        }
    }
}

fn place(room: &str) -> Option<usize> {
    ROOMS.iter().position(|own| *own == room)
}

/// The rooms named after `crate::` in code, not in comments; `use crate::{a, b}` counts as well.
fn used(text: &str) -> Vec<String> {
    let code: String = text
        .lines()
        .filter(|line| !line.trim_start().starts_with("//"))
        .map(|line| format!("{line} "))
        .collect();
    let mut rooms = Vec::new();
    for rest in code.split("crate::").skip(1) {
        let names = match rest.strip_prefix('{') {
            Some(list) => list.split('}').next().unwrap_or_default().split(',').collect(),
            None => vec![rest],
        };
        for name in names {
            let word: String =
                name.trim().chars().take_while(|c| c.is_ascii_alphanumeric() || *c == '_').collect();
            rooms.push(word);
        }
    }
    rooms
}

#[test]
fn a_room_uses_only_the_rooms_before_it() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("../balance-core/src");
    let mut files = Vec::new();
    sources(&root, &mut files);
    let (mut checked, mut faults) = (0, Vec::new());
    for path in files {
        let inside = path.strip_prefix(&root).expect("the file is below the root");
        let first = inside.components().next().expect("a file has a name").as_os_str().to_string_lossy();
        let Some(own) = place(first.trim_end_matches(".rs")) else { continue };
        let text = fs::read_to_string(&path).expect("a source can be read");
        checked += 1;
        for room in used(&text) {
            if let Some(other) = place(&room).filter(|other| *other > own) {
                faults.push(format!("{} uses {}, a later room", inside.display(), ROOMS[other]));
            }
        }
    }
    assert!(checked > 50, "only {checked} sources were read");
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

#[test]
fn the_matrix_library_is_named_in_one_room_only() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("../balance-core/src");
    let mut files = Vec::new();
    sources(&root, &mut files);
    let elsewhere: Vec<String> = files
        .iter()
        .filter(|path| !path.starts_with(root.join("linear")))
        .filter(|path| fs::read_to_string(path).expect("a source can be read").contains("nalgebra"))
        .map(|path| path.display().to_string())
        .collect();
    assert!(elsewhere.is_empty(), "{elsewhere:?}");
}

/// The matrix library's types, as the library names them.
const MATRICES: [&str; 4] = ["CMatrix", "CVector", "RMatrix", "SingularValues"];

/// A public field's line, or a public function from its name to its body.
fn public_heads(text: &str) -> impl Iterator<Item = &str> {
    let code = text.split("#[cfg(test)]").next().unwrap_or_default();
    code.match_indices("pub ").filter_map(|(at, _)| {
        let line_start = code[..at].rfind('\n').map_or(0, |end| end + 1);
        let rest = &code[at..];
        let line = rest.lines().next().unwrap_or_default();
        let end = if line.contains("fn ") { rest.find(['{', ';']) } else { Some(line.len()) };
        code[line_start..at].trim().is_empty().then(|| &rest[..end.unwrap_or(rest.len())])
    })
}

/// No public field and no public function shows a matrix: what leaves the library is plain figures or the trade's types.
#[test]
fn no_matrix_shows_in_public() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("../balance-core/src");
    let mut files = Vec::new();
    sources(&root, &mut files);
    let (mut checked, mut faults) = (0, Vec::new());
    for path in files.iter().filter(|path| !path.starts_with(root.join("linear"))) {
        let text = fs::read_to_string(path).expect("a source can be read");
        for head in public_heads(&text) {
            checked += 1;
            if MATRICES.iter().any(|name| head.contains(name)) {
                faults.push(format!("{}: {head}", path.display()));
            }
        }
    }
    assert!(checked > 1000, "only {checked} public items were read");
    assert!(faults.is_empty(), "{}", faults.join("\n"));
    let shown = "pub struct A {\n    pub a: CMatrix,\n}\npub fn b(\n    c: &RMatrix,\n) -> f64 {\n";
    let found = public_heads(shown).filter(|head| MATRICES.iter().any(|name| head.contains(name)));
    assert_eq!(found.count(), 2, "a matrix that shows is found");
}

/// The sources of a room of the program, with their text.
/// A name that means two things sends the reader to the wrong room.
#[test]
fn no_two_public_types_share_a_name() {
    let mut files = Vec::new();
    sources(&Path::new(env!("CARGO_MANIFEST_DIR")).join("../balance-core/src"), &mut files);
    let mut seen: BTreeMap<String, PathBuf> = BTreeMap::new();
    let mut twice = Vec::new();
    for path in files {
        let text = fs::read_to_string(&path).expect("a source can be read");
        let named = text
            .lines()
            .filter_map(|line| ["pub struct ", "pub enum "].iter().find_map(|own| line.strip_prefix(own)));
        for rest in named {
            let name: String = rest.chars().take_while(char::is_ascii_alphanumeric).collect();
            if let Some(other) = seen.insert(name.clone(), path.clone()) {
                twice.push(format!("{name}: {} and {}", other.display(), path.display()));
            }
        }
    }
    assert!(seen.len() > 100, "{}", seen.len());
    assert!(twice.is_empty(), "{}", twice.join("\n"));
}

fn program_sources(room: &str) -> Vec<(PathBuf, String)> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("../balance-cli/src").join(room);
    let mut files = Vec::new();
    sources(&root, &mut files);
    files
        .into_iter()
        .map(|path| {
            let text = fs::read_to_string(&path).expect("a source can be read");
            (path, text.split("#[cfg(test)]").next().unwrap_or_default().to_owned())
        })
        .collect()
}

#[test]
fn a_room_of_the_program_uses_only_what_it_may() {
    let (mut checked, mut faults) = (0, Vec::new());
    for (room, allowed) in PROGRAM {
        for (path, text) in program_sources(room) {
            checked += 1;
            for other in used(&text).iter().filter(|other| !allowed.contains(&other.as_str())) {
                faults.push(format!("{} uses {other}", path.display()));
            }
        }
    }
    assert!(checked > 100, "only {checked} sources were read");
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

/// What is named after `balance_core::influence::`, `grade::` and `correction::` in these rooms are types: no function.
#[test]
fn words_and_pictures_hold_no_formula_of_the_trade() {
    let mut faults = Vec::new();
    for room in NO_FORMULA {
        for (path, text) in program_sources(room) {
            for name in ["influence", "grade", "correction"] {
                for rest in text.split(&format!("balance_core::{name}::")).skip(1) {
                    let rest = rest
                        .strip_prefix("weights::")
                        .or_else(|| rest.strip_prefix("explain::"))
                        .unwrap_or(rest);
                    let names: Vec<&str> = match rest.strip_prefix('{') {
                        Some(list) => list.split('}').next().unwrap_or_default().split(',').collect(),
                        None => vec![rest],
                    };
                    let word = |name: &&str| -> String {
                        name.trim().chars().take_while(|c| c.is_ascii_alphanumeric() || *c == '_').collect()
                    };
                    let functions = names.iter().map(word).filter(|word| !word.is_empty()).filter(|word| {
                        // A type begins with a capital letter and has a small one.
                        !(word.starts_with(|c: char| c.is_ascii_uppercase())
                            && word.chars().any(|c| c.is_ascii_lowercase()))
                    });
                    faults.extend(functions.map(|word| format!("{} uses {name}::{word}", path.display())));
                }
            }
        }
    }
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

/// Only `files` and `archive` access the disk.
#[test]
fn the_disk_is_touched_in_two_rooms_only() {
    let rooms = ["command", "draw", "print", "report", "stand"];
    let touches = |(_, text): &(PathBuf, String)| text.contains("std::fs") || text.contains("fs::File");
    let faults: Vec<PathBuf> =
        rooms.into_iter().flat_map(program_sources).filter(touches).map(|(path, _)| path).collect();
    assert!(faults.is_empty(), "{faults:?}");
}
