//! What people are shown about one shaft: the answer with its paperwork.

use balance_core::answer::Answer;

use crate::files::JobFile;
use crate::page::Page;
use balance_core::quantity::Units;

/// Whether the masses of a last trial or try are still on the shaft.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Loose {
    /// According to the runs they are.
    StillOn,
    /// They have been taken off since.
    Off,
}

/// An answer with its paperwork.
#[derive(Debug, Clone, Copy)]
pub struct View<'a> {
    /// Every fact.
    pub answer: &'a Answer,
    /// The job file; `None`: a runs file on its own.
    pub file: Option<&'a JobFile>,
    /// Whether the masses of a last trial or try are still on.
    pub loose: Loose,
    /// The label of a row at the end of the runs file that waits for its readings.
    pub waiting: Option<&'a str>,
    /// The page it is written on.
    pub page: Page,
}

impl<'a> View<'a> {
    /// An answer as known from the files.
    #[must_use]
    pub fn new(answer: &'a Answer, file: Option<&'a JobFile>) -> Self {
        Self { answer, file, loose: Loose::StillOn, waiting: None, page: Page::default() }
    }

    /// The units of the answer.
    #[must_use]
    pub fn units(&self) -> Units {
        self.answer.job.units
    }
}
