//! What goes into a report beside the view.

use balance_core::answer::Judged;

use super::{Digests, NotInside, Picture, ShaftRecord};
use crate::paper::Paper;
use crate::view::View;

/// The runs as their file has them.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct RunsAsTyped {
    /// The file's name.
    pub file: String,
    /// The header's cells.
    pub titles: Vec<String>,
    /// One row a run, cells as typed.
    pub rows: Vec<Vec<String>>,
}

/// Everything a report is made of.
#[derive(Debug, Clone)]
pub struct ReportInput<'a> {
    /// Every computed fact.
    pub view: &'a View<'a>,
    /// The same question about the shaft as found; `None`: it has no answer.
    pub as_found: Option<Judged>,
    /// What is written down about the shaft and the people.
    pub shaft: ShaftRecord,
    /// The runs as typed.
    pub runs: RunsAsTyped,
    /// The shop's logo.
    pub logo: Option<Picture>,
    /// What it is printed on.
    pub paper: Paper,
    /// When the report is made, ready to print.
    pub made_at: String,
    /// The program's version.
    pub version: &'a str,
    /// Digests of everything that was read.
    pub digests: Digests,
    /// Why the files themselves are not inside; `None`: they are.
    pub not_inside: Option<NotInside>,
}
