//! A question about the job: what is asked, how its answer is read, where the answer goes.

use crate::files::job_edit::Spot;

/// How an answer is read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Kind {
    /// Masses, a bare number being in this unit.
    Masses(&'static str),
    /// Lengths, a bare number being in this unit.
    Lengths(&'static str),
    /// One length for all places of the answer, or one for each; a bare number is in this unit.
    OneOrEach(&'static str),
    /// Any number of masses, each a section of its own; a bare number is in this unit.
    Pieces(&'static str),
    /// Speeds in revolutions a minute.
    Speeds,
    /// Shares in per cent.
    Shares,
    /// A text as it is.
    Free,
    /// A text as it is, or one of these by its number.
    Listed(Vec<String>),
    /// One of these, by its number or its words.
    Choice(&'static [&'static str]),
    /// The shop's units: what is shown, and the word of the job file.
    Units(&'static [(&'static str, &'static str)]),
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
    /// What is said to somebody who does not know; a choice then has "don't know" as its last line.
    pub not_known: Option<&'static str>,
    /// Whether its answer may hold for all jobs of the shop.
    pub for_the_shop: bool,
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
        Self {
            name,
            spots: vec![Spot { section, number: None, key }],
            kind,
            before: Vec::new(),
            words: words.into(),
            enter: Enter::LeavesOut,
            not_known: None,
            for_the_shop: false,
        }
    }
}
