//! The lines of a runs file, prepared for the CSV reader, and where each record begins.
//!
//! The CSV reader's own line numbers are wrong after CRLF, blank lines and comments, so this scanner removes
//! them itself and remembers the line of each record that it passes on.

use std::collections::VecDeque;
use std::io::{BufRead, BufReader, ErrorKind, Read};

use crate::files::decode::{Encoding, decode, is_utf16, without_mark};

/// The longest line, and the longest cell with line breaks in it, in bytes.
const LONGEST: usize = 1 << 20;

/// How a runs file is laid out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Layout {
    /// What stands between cells: a comma or a semicolon.
    pub separator: u8,
}

impl Layout {
    /// The layout of a header line.
    #[must_use]
    pub fn of_header(line: &[u8]) -> Self {
        let mut quoted = false;
        let (mut commas, mut semicolons) = (0, 0);
        for byte in line {
            match byte {
                b'"' => quoted = !quoted,
                b',' if !quoted => commas += 1,
                b';' if !quoted => semicolons += 1,
                _ => {}
            }
        }
        Self { separator: if semicolons > commas { b';' } else { b',' } }
    }
}

/// Why no more lines can be read.
#[derive(Debug, Clone, PartialEq)]
pub struct LineFault {
    /// A stable word for programs.
    pub code: &'static str,
    /// The line, from 1.
    pub line: u64,
    /// What was found.
    pub found: String,
    /// What to do.
    pub hint: &'static str,
}

/// Reads lines of any encoding and line end; passes on UTF-8 with LF, without blank lines and comments.
pub struct Lines<R> {
    source: BufReader<R>,
    layout: Layout,
    /// The number of the last line read.
    line: u64,
    raw: Vec<u8>,
    ready: Vec<u8>,
    taken: usize,
    /// Where the passed-on records began, oldest first.
    starts: VecDeque<u64>,
    /// The line where the open quoted cell began.
    open_quote: Option<u64>,
    quoted_bytes: usize,
    encoding: Encoding,
    fault: Option<LineFault>,
}

impl<R: Read> Lines<R> {
    /// Finds the header line, whose layout applies to the whole file.
    ///
    /// # Errors
    ///
    /// Any error of the source.
    pub fn new(source: R) -> std::io::Result<Self> {
        let mut lines = Self {
            source: BufReader::with_capacity(1 << 16, source),
            layout: Layout { separator: b',' },
            line: 0,
            raw: Vec::new(),
            ready: Vec::new(),
            taken: 0,
            starts: VecDeque::new(),
            open_quote: None,
            quoted_bytes: 0,
            encoding: Encoding::Utf8,
            fault: None,
        };
        while lines.read_line()? {
            if !lines.skips() {
                lines.layout = Layout::of_header(&lines.raw);
                lines.hand_on();
                break;
            }
        }
        Ok(lines)
    }

    /// How the file is laid out.
    pub fn layout(&self) -> Layout {
        self.layout
    }

    /// The line where the next record began, in the order in which records are passed on.
    pub fn next_start(&mut self) -> u64 {
        self.starts.pop_front().unwrap_or(self.line)
    }

    /// Whether any line so far was not UTF-8.
    pub fn encoding(&self) -> Encoding {
        self.encoding
    }

    /// Why reading stopped before the end, if it did.
    pub fn fault(&self) -> Option<&LineFault> {
        self.fault.as_ref()
    }

    /// Reads the next line without its end; `false` at the end of the file or at a fault.
    fn read_line(&mut self) -> std::io::Result<bool> {
        if self.fault.is_some() {
            return Ok(false);
        }
        self.raw.clear();
        let limit = LONGEST as u64;
        if (&mut self.source).take(limit).read_until(b'\n', &mut self.raw)? == 0 {
            self.end_in_quote();
            return Ok(false);
        }
        self.line += 1;
        if self.raw.last() == Some(&b'\n') {
            self.raw.pop();
            if self.raw.last() == Some(&b'\r') {
                self.raw.pop();
            }
        }
        if self.line == 1 && !self.strip_mark() {
            return Ok(false);
        }
        Ok(self.check_line())
    }

    fn strip_mark(&mut self) -> bool {
        if is_utf16(&self.raw) {
            return self.stop(
                "not-utf8",
                "text in UTF-16",
                "save the table as CSV in UTF-8, not as Unicode text",
            );
        }
        let mark = self.raw.len() - without_mark(&self.raw).len();
        self.raw.drain(..mark);
        true
    }

    fn check_line(&mut self) -> bool {
        if self.raw.len() + 1 >= LONGEST {
            return self.stop("too-long", "a line of more than a million letters", "is this a runs file?");
        }
        if self.raw.last() == Some(&b'\r') {
            self.raw.pop();
        }
        if self.raw.contains(&b'\r') {
            return self.stop(
                "line-end",
                "a carriage return inside a line",
                "save the file with line ends LF or CRLF",
            );
        }
        true
    }

    fn end_in_quote(&mut self) {
        if let Some(line) = self.open_quote {
            self.line = line;
            self.stop("open-quote", "a quote that is never closed", "close the quote at the end of the cell");
        }
    }

    fn stop(&mut self, code: &'static str, found: &str, hint: &'static str) -> bool {
        self.fault = Some(LineFault { code, line: self.line.max(1), found: found.into(), hint });
        false
    }

    fn skips(&self) -> bool {
        self.open_quote.is_none() && is_skipped(&self.raw, self.layout)
    }

    /// Passes the line on to the CSV reader.
    fn hand_on(&mut self) {
        if self.open_quote.is_none() {
            self.starts.push_back(self.line);
        }
        let (text, encoding) = decode(&self.raw);
        if encoding == Encoding::Windows1252 {
            self.encoding = encoding;
        }
        self.ready.extend_from_slice(text.as_bytes());
        self.ready.push(b'\n');
        self.follow_quotes();
    }

    /// Whether a quoted cell goes on in the next line, by the CSV reader's own rules.
    fn follow_quotes(&mut self) {
        if self.open_quote.is_none() && !self.raw.contains(&b'"') {
            return;
        }
        let open = ends_in_quote(&self.raw, self.layout.separator, self.open_quote.is_some());
        self.quoted_bytes = if open { self.quoted_bytes + self.raw.len() } else { 0 };
        self.open_quote = if open { self.open_quote.or(Some(self.line)) } else { None };
        if self.quoted_bytes > LONGEST {
            self.end_in_quote();
        }
    }
}

impl<R: Read> Read for Lines<R> {
    fn read(&mut self, buffer: &mut [u8]) -> std::io::Result<usize> {
        if self.taken == self.ready.len() {
            self.ready.clear();
            self.taken = 0;
            while self.ready.len() < buffer.len().min(1 << 16) {
                match self.read_line() {
                    Ok(true) if self.skips() => {}
                    Ok(true) => self.hand_on(),
                    Ok(false) => break,
                    Err(error) if error.kind() == ErrorKind::Interrupted => {}
                    Err(error) => return Err(error),
                }
            }
        }
        let count = buffer.len().min(self.ready.len() - self.taken);
        buffer[..count].copy_from_slice(&self.ready[self.taken..self.taken + count]);
        self.taken += count;
        Ok(count)
    }
}

/// The header line of a runs file with its line end, as UTF-8.
#[must_use]
pub fn header_of(bytes: &[u8]) -> Option<String> {
    let commas = Layout { separator: b',' };
    let lines = without_mark(bytes).split_inclusive(|byte| *byte == b'\n');
    let header = lines.into_iter().find(|line| !is_skipped(line.trim_ascii_end(), commas))?;
    Some(decode(header).0.into_owned())
}

/// Whether a line outside quotes is blank, has only empty cells, or is a comment.
pub(super) fn is_skipped(line: &[u8], layout: Layout) -> bool {
    let line = without_mark(line).trim_ascii_start();
    let blank = |byte: &u8| matches!(byte, b' ' | b'\t' | b'\r') || *byte == layout.separator;
    line.first() == Some(&b'#') || line.iter().all(blank)
}

/// Whether a line ends inside a quoted cell.
pub(super) fn ends_in_quote(line: &[u8], separator: u8, begins_in_quote: bool) -> bool {
    let mut at = 0;
    let mut quoted = begins_in_quote;
    loop {
        if !quoted {
            quoted = line.get(at) == Some(&b'"');
            at += usize::from(quoted);
        }
        if quoted {
            match end_of_quoted(line, at) {
                Some(end) => at = end,
                None => return true,
            }
        }
        match line.get(at..).and_then(|rest| rest.iter().position(|byte| *byte == separator)) {
            Some(next) => at += next + 1,
            None => return false,
        }
        quoted = false;
    }
}

/// The byte after the quote that closes the cell; a doubled quote is a letter of the cell.
fn end_of_quoted(line: &[u8], mut at: usize) -> Option<usize> {
    loop {
        at += line.get(at..)?.iter().position(|byte| *byte == b'"')? + 1;
        if line.get(at) != Some(&b'"') {
            return Some(at);
        }
        at += 1;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn cleaned(bytes: &[u8]) -> (String, Vec<u64>, Option<LineFault>) {
        let mut lines = Lines::new(bytes).unwrap();
        let mut text = String::new();
        lines.read_to_string(&mut text).unwrap();
        (text, lines.starts.iter().copied().collect(), lines.fault.clone())
    }

    #[test]
    fn marks_comments_blank_lines_and_line_ends_are_taken_out() {
        let (text, starts, fault) =
            cleaned(b"\xef\xbb\xbf# depot\r\n\r\na;b\r\n1;2\n;;\n  # x\n\"3\n\n#4\";5");
        assert_eq!(text, "a;b\n1;2\n\"3\n\n#4\";5\n");
        assert_eq!(starts, [3, 4, 7]);
        assert_eq!(fault, None);
    }

    #[test]
    fn a_quote_in_the_middle_of_a_cell_is_a_letter() {
        let (text, starts, fault) = cleaned(b"a,b\n5\" tube,1\n\"x\"\"y\",2\n");
        assert_eq!(text, "a,b\n5\" tube,1\n\"x\"\"y\",2\n");
        assert_eq!(starts, [1, 2, 3]);
        assert_eq!(fault, None);
    }

    #[test]
    fn an_open_quote_utf16_and_old_line_ends_stop_with_their_line() {
        let code = |bytes: &[u8]| cleaned(bytes).2.map(|fault| (fault.code, fault.line));
        assert_eq!(code(b"a,b\n1,\"2\n3,4\n"), Some(("open-quote", 2)));
        assert_eq!(code(b"\xff\xfea\0"), Some(("not-utf8", 1)));
        assert_eq!(code(b"a,b\r1,2\r"), Some(("line-end", 1)));
        let long = vec![b'a'; 3 << 20];
        assert_eq!(code(&long), Some(("too-long", 1)));
    }
}
