//! Texts that people typed, made safe to show: nothing in a name can colour a terminal, move its cursor,
//! reverse its letters or begin a new line. Stored bytes stay as they are.

use std::borrow::Cow;
use std::fmt::Write as _;
use std::io::Write;

use crate::page::{BOLD_MARKS, Page};

/// Whether a letter moves, hides or reverses the text next to it: control characters, the marks of writing
/// direction (Unicode Standard Annex 9, 2.1 to 2.6), and line ends other than line feed.
#[must_use]
pub fn is_hidden(letter: char) -> bool {
    letter.is_control()
        || matches!(letter,
            '\u{061c}' | '\u{200e}' | '\u{200f}' | '\u{2028}'..='\u{202e}' | '\u{2066}'..='\u{2069}' | '\u{feff}')
}

/// A text on one line: hidden letters and line ends are written as `\u{1b}`.
#[must_use]
pub fn one_line(text: &str) -> Cow<'_, str> {
    if !text.contains(is_hidden) {
        return Cow::Borrowed(text);
    }
    let mut shown = String::with_capacity(text.len() + 8);
    for letter in text.chars() {
        if is_hidden(letter) {
            let _ = write!(shown, "{}", letter.escape_unicode());
        } else {
            shown.push(letter);
        }
    }
    Cow::Owned(shown)
}

/// A spreadsheet runs a cell that begins like a formula (OWASP, "CSV Injection"): an apostrophe before it makes it a text.
#[must_use]
pub fn no_formula(text: &str) -> Cow<'_, str> {
    let begins = text.starts_with(['=', '+', '-', '@', '\t', '\r']);
    if begins { Cow::Owned(format!("'{text}")) } else { Cow::Borrowed(text) }
}

/// How hidden letters are written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Escape {
    /// For people: `\u{1b}`.
    Shown,
    /// For people at the stand: a bell tells them that a reading was taken.
    ShownWithBells,
    /// Inside JSON: `\u001b`.
    Json,
}

impl Escape {
    fn passes(self, letter: char) -> bool {
        let bell = letter == '\u{7}' && self == Self::ShownWithBells;
        !is_hidden(letter) || bell || matches!(letter, '\n' | '\t')
    }
}

/// The single exit for every text: line feed and tab pass, every other hidden letter is made visible.
pub struct Clean<'a> {
    stream: &'a mut dyn Write,
    escape: Escape,
    /// The beginning of a letter whose rest is still to come.
    begun: Vec<u8>,
    /// Whether the page's own marks for bold pass, if it shows bold.
    bold: bool,
}

impl<'a> Clean<'a> {
    /// Everything for `stream` comes through here.
    pub fn new(stream: &'a mut dyn Write, escape: Escape) -> Self {
        Self { stream, escape, begun: Vec::new(), bold: false }
    }

    /// The same for a page that may show bold: its two marks pass, and nothing else can be smuggled in by a
    /// name.
    pub fn with_bold(stream: &'a mut dyn Write, escape: Escape, page: Page) -> Self {
        Self { bold: page.shows_bold() && escape != Escape::Json, ..Self::new(stream, escape) }
    }

    fn put(&mut self, text: &str) -> std::io::Result<()> {
        let mut rest = text;
        while let Some(at) = rest.find(|letter| !self.escape.passes(letter)) {
            let (before, from) = rest.split_at(at);
            let mut letters = from.chars();
            let code = letters.next().map_or(0, u32::from);
            self.stream.write_all(before.as_bytes())?;
            if let Some(mark) = BOLD_MARKS.into_iter().find(|mark| self.bold && from.starts_with(mark)) {
                self.stream.write_all(mark.as_bytes())?;
                rest = &from[mark.len()..];
                continue;
            }
            match self.escape {
                Escape::Shown | Escape::ShownWithBells => write!(self.stream, "\\u{{{code:x}}}")?,
                Escape::Json => write!(self.stream, "\\u{code:04x}")?,
            }
            rest = letters.as_str();
        }
        self.stream.write_all(rest.as_bytes())
    }
}

impl Write for Clean<'_> {
    fn write(&mut self, bytes: &[u8]) -> std::io::Result<usize> {
        self.begun.extend_from_slice(bytes);
        let all = std::mem::take(&mut self.begun);
        let mut rest = all.as_slice();
        loop {
            match std::str::from_utf8(rest) {
                Ok(text) => return self.put(text).map(|()| bytes.len()),
                Err(error) => {
                    let (good, other) = rest.split_at(error.valid_up_to());
                    // Guaranteed by `valid_up_to`.
                    self.put(std::str::from_utf8(good).unwrap_or_default())?;
                    let Some(wrong) = error.error_len() else {
                        self.begun = other.to_vec();
                        return Ok(bytes.len());
                    };
                    self.put("\u{fffd}")?;
                    rest = &other[wrong..];
                }
            }
        }
    }

    fn flush(&mut self) -> std::io::Result<()> {
        self.stream.flush()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn cleaned(pieces: &[&[u8]], escape: Escape) -> String {
        let mut out = Vec::new();
        let mut clean = Clean::new(&mut out, escape);
        pieces.iter().for_each(|piece| clean.write_all(piece).unwrap());
        String::from_utf8(out).unwrap()
    }

    #[test]
    fn hidden_letters_are_shown_and_everything_else_passes() {
        let text = "a\tb\nµ ⠿ é";
        assert_eq!(cleaned(&[text.as_bytes()], Escape::Shown), text);
        let evil = "x\u{1b}[31m\u{7}\0\r\u{9b}\u{202e}y";
        assert_eq!(
            cleaned(&[evil.as_bytes()], Escape::Shown),
            "x\\u{1b}[31m\\u{7}\\u{0}\\u{d}\\u{9b}\\u{202e}y"
        );
        assert_eq!(one_line("a\nMEETS"), "a\\u{a}MEETS");
        // JSON stays JSON, with the same text.
        let json = serde_json::json!({"text": evil}).to_string();
        let shown = cleaned(&[json.as_bytes()], Escape::Json);
        assert!(!shown.contains(is_hidden));
        assert_eq!(serde_json::from_str::<serde_json::Value>(&shown).unwrap()["text"], evil);
    }

    #[test]
    fn the_marks_of_bold_pass_on_a_page_that_shows_it_and_nothing_else_does() {
        use crate::page::Emphasis;
        let text = "\u{1b}[1mNEXT\u{1b}[0m \u{1b}[31mred";
        let said = |emphasis| {
            let mut out = Vec::new();
            let mut clean = Clean::with_bold(&mut out, Escape::Shown, Page::new(80, emphasis));
            clean.write_all(text.as_bytes()).unwrap();
            String::from_utf8(out).unwrap()
        };
        assert_eq!(said(Emphasis::Bold), "\u{1b}[1mNEXT\u{1b}[0m \\u{1b}[31mred");
        assert!(!said(Emphasis::Plain).contains('\u{1b}'));
    }

    #[test]
    fn letters_that_come_in_pieces_are_put_together() {
        let bytes = "é\u{202e}".as_bytes();
        let pieces: Vec<&[u8]> = bytes.chunks(1).collect();
        assert_eq!(cleaned(&pieces, Escape::Shown), "é\\u{202e}");
        assert_eq!(cleaned(&[b"a\xff", b"b"], Escape::Shown), "a\u{fffd}b");
    }
}
