//! Where the program prints: answers to one stream, progress and faults to the other.

use std::io::{BufRead, ErrorKind, Write};

use crate::page::Page;

/// The three streams of a run of the program.
pub struct Streams<'a> {
    /// The typed input.
    pub input: &'a mut dyn BufRead,
    /// Answers, and the cautions that belong to them.
    pub answer: &'a mut dyn Write,
    /// Faults and progress.
    pub talk: &'a mut dyn Write,
    /// How wide the answers may be, and how text stands out.
    pub page: Page,
}

impl<'a> Streams<'a> {
    /// Three streams and the plain page of 80 letters.
    pub fn new(input: &'a mut dyn BufRead, answer: &'a mut dyn Write, talk: &'a mut dyn Write) -> Self {
        Self { input, answer, talk, page: Page::default() }
    }
}

/// A stream whose reader may close it. Later output is dropped and the work continues, so that the exit
/// status is that of the whole answer.
pub struct MayHangUp<'a> {
    stream: &'a mut dyn Write,
    gone: bool,
}

impl<'a> MayHangUp<'a> {
    /// It is still being read.
    pub fn new(stream: &'a mut dyn Write) -> Self {
        Self { stream, gone: false }
    }

    /// The result of writing something; `dropped` if no one reads it any more.
    fn said<T>(&mut self, told: std::io::Result<T>, dropped: T) -> std::io::Result<T> {
        match told {
            Err(error) if error.kind() == ErrorKind::BrokenPipe => {
                self.gone = true;
                Ok(dropped)
            }
            other => other,
        }
    }
}

impl Write for MayHangUp<'_> {
    fn write(&mut self, bytes: &[u8]) -> std::io::Result<usize> {
        if self.gone {
            return Ok(bytes.len());
        }
        let told = self.stream.write(bytes);
        self.said(told, bytes.len())
    }

    fn flush(&mut self) -> std::io::Result<()> {
        if self.gone {
            return Ok(());
        }
        let told = self.stream.flush();
        self.said(told, ())
    }
}
