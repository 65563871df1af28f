//! The rooms of the library tell one story: a room uses the rooms before it, never one after it.

use std::fs;
use std::path::{Path, PathBuf};

/// In the order of the story.
const ROOMS: [&str; 9] =
    ["quantity", "caution", "chance", "linear", "shaft", "run", "influence", "grade", "correction"];

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

/// The rooms named after `crate::` in code that is no comment; `use crate::{a, b}` counts as well.
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
