//! A question about the job: what is asked, how its answer is read, where the answer goes.

use crate::files::job_edit::Spot;

/// How an answer is read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// Masses, a bare number being in this unit.
    Masses(&'static str),
    /// Lengths, a bare number being in this unit.
    Lengths(&'static str),
    /// Speeds in revolutions a minute.
    Speeds,
    /// Shares in per cent.
    Shares,
    /// A text as it is.
    Free,
    /// One of these, by its number or its words.
    Choice(&'static [&'static str]),
    /// The unit of the dials: one of these by its number, or another word.
    DialUnit(&'static [&'static str]),
    /// `G16`, or 16.
    Grade,
    /// 1 for this word.
    Yes(&'static str),
}

/// What Enter means.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Enter {
    /// The question is left out for now.
    LeavesOut,
    /// Nothing: an answer is wanted, and `1` says that all is as it should be.
    AsksAgain,
}

/// A question about the job.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Question {
    /// What it is remembered by.
    pub name: &'static str,
    /// Where the values of its answer go, in order.
    pub spots: Vec<Spot>,
    /// How its answer is read.
    pub kind: Kind,
    /// What is said before it is asked, each a paragraph.
    pub before: Vec<String>,
    /// What is asked.
    pub words: String,
    /// What Enter means.
    pub enter: Enter,
}

impl Question {
    /// A question whose answer goes to this place of the job file.
    pub fn new(
        name: &'static str,
        section: &'static str,
        key: &'static str,
        kind: Kind,
        words: impl Into<String>,
    ) -> Self {
        let spots = vec![Spot { section, number: None, key }];
        Self { name, spots, kind, before: Vec::new(), words: words.into(), enter: Enter::LeavesOut }
    }
}
