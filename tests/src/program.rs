//! The program as a user runs it, in this process.

use std::ffi::OsString;
use std::io::Cursor;

use balance_cli::streams::Streams;

/// What a run of the program said and how it ended.
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
    let (mut answer, mut talk) = (Vec::new(), Vec::new());
    let mut input = Cursor::new(typed.as_bytes().to_vec());
    let mut streams = Streams { input: &mut input, answer: &mut answer, talk: &mut talk };
    let arguments = std::iter::once(OsString::from("balance")).chain(words.into_iter().map(Into::into));
    let code = balance_cli::run(arguments, &mut streams).code();
    Said {
        code,
        answer: String::from_utf8_lossy(&answer).into_owned(),
        talk: String::from_utf8_lossy(&talk).into_owned(),
    }
}
