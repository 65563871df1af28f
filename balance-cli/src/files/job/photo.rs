//! Pictures that belong into the record.

use crate::files::toml_reader::Document;

/// `[[photo]]`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PhotoFile {
    /// A PNG or JPEG file, seen from the job's folder.
    pub file: String,
    /// What it shows.
    pub shows: String,
}

pub(super) fn read(document: &Document<'_>) -> Vec<PhotoFile> {
    document
        .sections("photo")
        .iter()
        .filter_map(|section| {
            let file = section.needed("file", section.text("file"));
            let shows = section.text("shows").unwrap_or_default();
            Some(PhotoFile { file: file?, shows })
        })
        .collect()
}
