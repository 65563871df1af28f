//! A shaft that was here before.

use crate::files::toml_reader::Document;

/// `[came_back]`: the record of its last visit.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CameBack {
    /// The record's number or name.
    pub record: String,
    /// When that record was made.
    pub date: Option<String>,
    /// What was left where the limit holds when it went out, in words.
    pub left: Option<String>,
}

pub(super) fn read(document: &Document<'_>) -> Option<CameBack> {
    let section = document.section("came_back");
    let (record, date, left) = (section.text("record"), section.text("date"), section.text("left"));
    Some(CameBack { record: record?, date, left })
}
