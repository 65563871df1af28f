//! What is written down about the shaft and the people.

use balance_core::quantity::Length;
use balance_core::shaft::{InspectionItem, MatchMark, Override, ShaftCheck, ShaftState};

use super::Picture;
use crate::files::JobFile;
use crate::files::job::People;

/// A match mark and, if it is known, where it is.
#[derive(Debug, Clone, PartialEq)]
pub struct Mark {
    /// Which pieces, and what it looks like.
    pub mark: MatchMark,
    /// From the front joint centre; only a mark with a place is drawn.
    pub position: Option<Length>,
}

/// A photograph of the job.
#[derive(Debug, Clone, PartialEq)]
pub struct Photo {
    /// What it shows.
    pub words: String,
    /// The picture.
    pub picture: Picture,
}

/// Everything that is written down beside runs and setup. What is not known is left out, and the report says so.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct ShaftRecord {
    /// What was checked before it span.
    pub check: Option<ShaftCheck>,
    /// As it came.
    pub received: Option<ShaftState>,
    /// As it was built.
    pub built: Option<ShaftState>,
    /// Its match marks.
    pub marks: Vec<Mark>,
    /// What was looked at.
    pub inspection: Vec<InspectionItem>,
    /// Who went on against the checks, and why.
    pub overrides: Vec<Override>,
    /// Photographs.
    pub photos: Vec<Photo>,
    /// Who stands for it.
    pub people: People,
}

impl ShaftRecord {
    /// What a job file says of it, and what was checked. Sections of the job file that belong into the record are
    /// filled in here.
    #[must_use]
    pub fn of(file: Option<&JobFile>, check: Option<ShaftCheck>) -> Self {
        let Some(file) = file else { return Self { check, ..Self::default() } };
        let (shaft, paper) = (&file.job.shaft, &file.paperwork);
        let mark = |mark: &MatchMark| Mark { mark: mark.clone(), position: None };
        Self {
            check,
            received: paper.received.clone(),
            built: paper.built.clone(),
            marks: paper.match_marks.iter().map(mark).collect(),
            inspection: shaft.inspection.clone(),
            overrides: shaft.overruling.iter().cloned().collect(),
            people: paper.people.clone(),
            photos: Vec::new(),
        }
    }
}
