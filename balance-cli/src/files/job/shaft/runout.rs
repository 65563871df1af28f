//! `[runout]`: where the dial indicator's readings are.

use std::path::Path;

use balance_core::shaft::RunoutReading;

use crate::files::problem::{Fault, shown};
use crate::files::toml_reader::Document;

/// The readings of a dial indicator.
#[derive(Debug, Clone, PartialEq)]
pub struct RunoutFile {
    /// The file's name, seen from the job file.
    pub file: String,
    /// What it holds; empty until the file is read.
    pub readings: Vec<RunoutReading>,
}

pub(super) fn read(document: &Document<'_>) -> Option<RunoutFile> {
    let section = document.section("runout");
    let file = section.needed("file", section.text("file"))?;
    if is_plain_name(&file) {
        return Some(RunoutFile { file, readings: Vec::new() });
    }
    let found = format!("`{}` lies in another folder", shown(&file));
    let hint = "put the table beside the job file: a record keeps it with the job";
    section.fault("file", Fault::new("other-folder", found, "a file in the job's folder", hint));
    None
}

/// Whether a text names a file without a folder.
#[must_use]
pub fn is_plain_name(name: &str) -> bool {
    let plain = Path::new(name).file_name().is_some_and(|last| last == name);
    plain && !name.contains(['/', '\\', ':'])
}
