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

/// How somebody came to read an answer.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Reader {
    /// By a command: the next command may be named.
    OfACommand,
    /// In the guided entry, which does the next step by itself and shows the rest when asked for `all`.
    Guided,
}

/// An answer and what stands beside it.
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
    /// Who reads it.
    pub reader: Reader,
}

impl<'a> View<'a> {
    /// An answer as known from the files.
    #[must_use]
    pub fn new(answer: &'a Answer, file: Option<&'a JobFile>) -> Self {
        Self {
            answer,
            file,
            loose: Loose::StillOn,
            waiting: None,
            page: Page::default(),
            reader: Reader::OfACommand,
        }
    }

    /// How to ask for the rest of a short answer.
    #[must_use]
    pub fn ask_for_all(&self) -> &'static str {
        match self.reader {
            Reader::OfACommand => "With --all",
            Reader::Guided => "Type all to read",
        }
    }

    /// The units of the answer.
    #[must_use]
    pub fn units(&self) -> Units {
        self.answer.job.units
    }
}
