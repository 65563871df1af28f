//! `[runout]`: where the dial indicator's readings are.

use std::path::Path;

use crate::files::problem::{Fault, shown};
use crate::files::toml_reader::Document;

pub(in crate::files::job) fn read_file(document: &Document<'_>) -> Option<String> {
    let section = document.section("runout");
    let file = section.needed("file", section.text("file"))?;
    if is_plain_name(&file) {
        return Some(file);
    }
    let found = format!("`{}` is in another folder", shown(&file));
    let hint = "put the table beside the job file, because a record keeps it with the job";
    section.fault("file", Fault::new("other-folder", found, "a file in the job's folder", hint));
    None
}

/// Whether a text names a file without a folder.
#[must_use]
pub fn is_plain_name(name: &str) -> bool {
    let plain = Path::new(name).file_name().is_some_and(|last| last == name);
    plain && !name.contains(['/', '\\', ':'])
}
