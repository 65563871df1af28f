//! Pictures that belong in the record.

use crate::files::disk::is_below;
use crate::files::problem::{Fault, shown};
use crate::files::toml_reader::{Document, Section};

/// `[[photo]]`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PhotoFile {
    /// A PNG or JPEG file, relative to the job's folder.
    pub file: String,
    /// What it shows.
    pub shows: String,
}

/// A file in the folder of the text that names it, or below.
pub(super) fn file_below(section: &Section<'_, '_>, key: &'static str) -> Option<String> {
    let file = section.text(key)?;
    if is_below(&file) {
        return Some(file);
    }
    let found = format!("`{}` is in another folder", shown(&file));
    let hint = "put a copy beside this file: a report is mailed and must not contain other files from the \
               disk";
    section.fault(key, Fault::new("other-folder", found, "a file in this folder or below it", hint));
    None
}

pub(super) fn read(document: &Document<'_>) -> Vec<PhotoFile> {
    document
        .sections("photo")
        .iter()
        .filter_map(|section| {
            let file = section.needed("file", file_below(section, "file"));
            let shows = section.text("shows").unwrap_or_default();
            Some(PhotoFile { file: file?, shows })
        })
        .collect()
}
