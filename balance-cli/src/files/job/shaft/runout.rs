//! `[runout]`: where the dial indicator's readings are.

use balance_core::shaft::RunoutReading;

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
    Some(RunoutFile { file, readings: Vec::new() })
}
