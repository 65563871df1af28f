//! Speaking and listening: a log that grows downward, the question on the last line.

use std::ffi::OsString;
use std::io::{BufRead, Read};
use std::path::Path;

use super::line::{LONGEST, Line, line};
use crate::exit::Exit;
use crate::page::Page;
use crate::streams::Streams;

/// Who sits at the other end.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Listener {
    /// Somebody at a terminal: bells, pictures.
    Terminal,
    /// A pipe or a script: neither bells nor echo.
    Pipe,
}

/// How pictures are shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Pictures {
    /// Drawn with raised dots.
    Drawn,
    /// In words, for a screen reader.
    InWords,
}

/// How to talk.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Manner {
    /// Who listens.
    pub listener: Listener,
    /// How pictures are shown.
    pub pictures: Pictures,
}

/// A talk over the program's streams.
pub struct Talk<'a, 's> {
    streams: &'a mut Streams<'s>,
    manner: Manner,
}

impl<'a, 's> Talk<'a, 's> {
    /// Begins a talk.
    pub fn new(streams: &'a mut Streams<'s>, manner: Manner) -> Self {
        Self { streams, manner }
    }

    /// How pictures are shown.
    pub fn pictures(&self) -> Pictures {
        self.manner.pictures
    }

    /// The page it is written on.
    pub fn page(&self) -> Page {
        self.streams.page
    }

    /// Says a paragraph, broken into lines.
    pub fn say(&mut self, text: &str) -> std::io::Result<()> {
        self.streams.answer.write_all(self.page().wrapped("", "", text).as_bytes())
    }

    /// Says an item of a list.
    pub fn item(&mut self, text: &str) -> std::io::Result<()> {
        self.streams.answer.write_all(self.page().wrapped("  ", "    ", text).as_bytes())
    }

    /// Shows a text as it is.
    pub fn show(&mut self, text: &str) -> std::io::Result<()> {
        writeln!(self.streams.answer, "{}", text.trim_end())
    }

    /// An empty line.
    pub fn gap(&mut self) -> std::io::Result<()> {
        writeln!(self.streams.answer)
    }

    /// One bell: taken.
    pub fn taken(&mut self, text: &str) -> std::io::Result<()> {
        self.bell("\u{7}")?;
        self.say(text)
    }

    /// Two bells: refused.
    pub fn refused(&mut self, text: &str) -> std::io::Result<()> {
        self.bell("\u{7}\u{7}")?;
        self.say(text)
    }

    /// Two bells: something is doubtful, words follow.
    pub fn doubted(&mut self) -> std::io::Result<()> {
        self.bell("\u{7}\u{7}")
    }

    fn bell(&mut self, bell: &str) -> std::io::Result<()> {
        match self.manner.listener {
            Listener::Terminal => self.streams.answer.write_all(bell.as_bytes()),
            Listener::Pipe => Ok(()),
        }
    }

    /// Runs another command of the program, which answers here.
    pub fn command(&mut self, verbs: &[&str], archive: Option<&Path>, folder: &Path) -> Exit {
        let mut words: Vec<OsString> =
            std::iter::once("balance").chain(verbs.iter().copied()).map(OsString::from).collect();
        if let Some(archive) = archive {
            words.extend(["--archive".into(), archive.as_os_str().to_owned()]);
        }
        words.push(folder.as_os_str().to_owned());
        crate::run(words, self.streams)
    }

    /// Asks, and waits for a line; `None` at the end of input. What is too long to be an answer is refused and asked
    /// again.
    pub fn ask(&mut self, question: &str) -> std::io::Result<Option<Line>> {
        loop {
            write!(self.streams.answer, "{question} ")?;
            self.streams.answer.flush()?;
            let heard = read_line(self.streams.input)?;
            if self.manner.listener == Listener::Pipe {
                writeln!(self.streams.answer)?;
            }
            match heard {
                Heard::End => return Ok(None),
                Heard::Line(typed) => return Ok(Some(line(&typed))),
                Heard::TooLong => {
                    self.refused("That line is too long to be an answer. Nothing was taken.")?;
                }
            }
        }
    }
}

/// What came in.
enum Heard {
    Line(String),
    TooLong,
    End,
}

/// Reads up to the end of the line. What was typed before the input ended without Enter does not count.
fn read_line(input: &mut dyn BufRead) -> std::io::Result<Heard> {
    let mut bytes = Vec::new();
    Read::take(&mut *input, 4 * LONGEST as u64).read_until(b'\n', &mut bytes)?;
    if bytes.last() == Some(&b'\n') {
        let text = String::from_utf8_lossy(&bytes).into_owned();
        return Ok(if text.chars().count() > LONGEST { Heard::TooLong } else { Heard::Line(text) });
    }
    if bytes.len() < 4 * LONGEST {
        return Ok(Heard::End);
    }
    loop {
        bytes.clear();
        let count = Read::take(&mut *input, 1 << 16).read_until(b'\n', &mut bytes)?;
        match bytes.last() {
            _ if count == 0 => return Ok(Heard::End),
            Some(b'\n') => return Ok(Heard::TooLong),
            _ => {}
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn heard(bytes: &[u8]) -> Vec<Option<Line>> {
        let mut input = bytes;
        let (mut answer, mut talk) = (Vec::new(), Vec::new());
        let mut streams = Streams::new(&mut input, &mut answer, &mut talk);
        let manner = Manner { listener: Listener::Pipe, pictures: Pictures::InWords };
        let mut talk = Talk::new(&mut streams, manner);
        let mut lines = Vec::new();
        loop {
            lines.push(talk.ask(">").unwrap());
            if lines.last() == Some(&None) {
                return lines;
            }
        }
    }

    #[test]
    fn lines_end_with_enter_and_half_a_line_at_the_end_is_not_taken() {
        let text = |text: &str| Some(Line::Text(text.into()));
        assert_eq!(
            heard(b"5.29 230\r\n\xff\n0\n20"),
            [text("5.29 230"), text("\u{fffd}"), Some(Line::Zero), None]
        );
        let mut long = vec![b'1'; 1 << 20];
        long.extend_from_slice(b"\n7\n");
        assert_eq!(heard(&long), [text("7"), None]);
        assert_eq!(heard(b""), [None]);
    }
}
