//! The program as a user runs it, in this process.

use std::ffi::OsString;
use std::io::Cursor;

use balance_cli::page::Page;
use balance_cli::streams::Streams;

/// The output of a run of the program and how it ended.
#[derive(Debug, Clone, PartialEq)]
pub struct Said {
    /// Exit status.
    pub code: u8,
    /// Standard output.
    pub answer: String,
    /// Standard error.
    pub talk: String,
}

/// Runs `balance` with these words after its name.
#[must_use]
pub fn balance<W: Into<OsString>>(words: impl IntoIterator<Item = W>) -> Said {
    balance_with(words, "")
}

/// The same with something to type.
#[must_use]
pub fn balance_with<W: Into<OsString>>(words: impl IntoIterator<Item = W>, typed: &str) -> Said {
    run_on(Page::default(), words, typed)
}

/// The same on a page of another width, or one that shows bold.
#[must_use]
pub fn balance_on<W: Into<OsString>>(page: Page, words: impl IntoIterator<Item = W>) -> Said {
    run_on(page, words, "")
}

fn run_on<W: Into<OsString>>(page: Page, words: impl IntoIterator<Item = W>, typed: &str) -> Said {
    let (mut answer, mut talk) = (Vec::new(), Vec::new());
    let mut input = Cursor::new(typed.as_bytes().to_vec());
    let mut streams = Streams { page, ..Streams::new(&mut input, &mut answer, &mut talk) };
    let arguments = std::iter::once(OsString::from("balance")).chain(words.into_iter().map(Into::into));
    let code = balance_cli::run(arguments, &mut streams).code();
    Said {
        code,
        answer: String::from_utf8_lossy(&answer).into_owned(),
        talk: String::from_utf8_lossy(&talk).into_owned(),
    }
}
