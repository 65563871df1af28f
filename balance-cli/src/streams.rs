//! Where the program talks: answers to one stream, progress and faults to the other.

use std::io::{BufRead, Write};

/// The three streams of a run of the program.
pub struct Streams<'a> {
    /// What is typed.
    pub input: &'a mut dyn BufRead,
    /// Answers, and the cautions that belong to them.
    pub answer: &'a mut dyn Write,
    /// Talk: faults and progress.
    pub talk: &'a mut dyn Write,
}
