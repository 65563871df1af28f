//! Who is responsible for the work.

use crate::files::toml_reader::Document;

/// `[people]`.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct People {
    /// Who balanced the shaft; without it `[job] by`.
    pub technician: Option<String>,
    /// Who checked it.
    pub checker: Option<String>,
}

pub(super) fn read(document: &Document<'_>, by: Option<&str>) -> People {
    let section = document.section("people");
    People {
        technician: section.text("technician").or_else(|| by.map(str::to_owned)),
        checker: section.text("checker"),
    }
}
