//! One fault of a file: where it is, what was found, what is allowed, what to do.

use std::ops::Range;
use std::sync::Arc;

use crate::clean::one_line;

/// The text of a file and its name.
#[derive(Debug, Clone, PartialEq)]
pub struct Source {
    /// The file's name as the user knows it.
    pub file: String,
    /// All of its text.
    pub text: Arc<str>,
}

impl Source {
    /// A text and its file's name.
    #[must_use]
    pub fn new(file: impl Into<String>, text: impl Into<Arc<str>>) -> Self {
        Self { file: file.into(), text: text.into() }
    }

    /// Line and column, both from 1, of a byte in the text.
    #[must_use]
    pub fn line_and_column(&self, byte: usize) -> (u64, usize) {
        let before = self.text.get(..byte).unwrap_or(&self.text);
        let line_start = before.rfind('\n').map_or(0, |at| at + 1);
        let line = before.matches('\n').count() as u64 + 1;
        (line, before[line_start..].chars().count() + 1)
    }
}

/// Where in a file a fault is.
#[derive(Debug, Clone, PartialEq)]
pub enum Place {
    /// The file as a whole.
    WholeFile {
        /// Its name.
        file: String,
    },
    /// A stretch of a text.
    Span(Box<Stretch>),
    /// A line of a table, or one cell of it.
    Cell {
        /// The file's name.
        file: String,
        /// From 1, as an editor counts them.
        line: u64,
        /// The column's header, if the fault is in one cell.
        column: Option<Box<str>>,
    },
}

/// A stretch of a text, in bytes.
#[derive(Debug, Clone, PartialEq)]
pub struct Stretch {
    /// The text it is in.
    pub source: Source,
    /// Where it begins and ends.
    pub bytes: Range<usize>,
}

impl Place {
    /// A stretch of a text, in bytes.
    #[must_use]
    pub fn span(source: Source, bytes: Range<usize>) -> Self {
        Self::Span(Box::new(Stretch { source, bytes }))
    }

    /// A cell of a table, by its column's header; without one the whole line.
    #[must_use]
    pub fn cell(file: &str, line: u64, column: Option<&str>) -> Self {
        Self::Cell { file: file.into(), line, column: column.map(Into::into) }
    }

    /// The file's name.
    #[must_use]
    pub fn file(&self) -> &str {
        match self {
            Self::WholeFile { file } | Self::Cell { file, .. } => file,
            Self::Span(stretch) => &stretch.source.file,
        }
    }

    /// The line, from 1, if the place is not the whole file.
    #[must_use]
    pub fn line(&self) -> Option<u64> {
        match self {
            Self::WholeFile { .. } => None,
            Self::Span(stretch) => Some(stretch.source.line_and_column(stretch.bytes.start).0),
            Self::Cell { line, .. } => Some(*line),
        }
    }
}

/// What is wrong, without the place.
#[derive(Debug, Clone, PartialEq)]
pub struct Fault {
    /// A stable word for programs, such as `no-unit`.
    pub code: &'static str,
    /// What was found: a lower-case fragment that names the value.
    pub found: String,
    /// What is allowed there.
    pub allowed: String,
    /// What to do about it.
    pub hint: String,
}

impl Fault {
    /// A fault: its code, what was found, what is allowed, what to do.
    #[must_use]
    pub fn new(
        code: &'static str,
        found: impl Into<String>,
        allowed: impl Into<String>,
        hint: impl Into<String>,
    ) -> Self {
        Self { code, found: found.into(), allowed: allowed.into(), hint: hint.into() }
    }

    /// The fault at its place.
    #[must_use]
    pub fn at(self, place: Place) -> Problem {
        Problem {
            code: self.code,
            place,
            found: self.found.into(),
            allowed: Some(self.allowed.into()),
            hint: Some(self.hint),
        }
    }
}

/// A fault of a file, ready to be reported.
#[derive(Debug, Clone, PartialEq)]
pub struct Problem {
    /// A stable word for programs, such as `no-unit`.
    pub code: &'static str,
    /// Where it is.
    pub place: Place,
    /// What was found: a lower-case fragment that names the value.
    pub found: Box<str>,
    /// What is allowed there.
    pub allowed: Option<Box<str>>,
    /// What to do about it.
    pub hint: Option<String>,
}

impl Problem {
    /// A fault of a file as a whole.
    #[must_use]
    pub fn of_file(code: &'static str, file: impl Into<String>, found: impl Into<String>) -> Self {
        Self::at(code, Place::WholeFile { file: file.into() }, found)
    }

    /// A fault at a place.
    #[must_use]
    pub fn at(code: &'static str, place: Place, found: impl Into<String>) -> Self {
        Self { code, place, found: found.into().into(), allowed: None, hint: None }
    }

    /// With what is allowed there.
    #[must_use]
    pub fn allowing(mut self, allowed: impl Into<String>) -> Self {
        self.allowed = Some(allowed.into().into());
        self
    }

    /// With advice, if there is any.
    #[must_use]
    pub fn hinting(mut self, hint: impl Into<Option<String>>) -> Self {
        self.hint = hint.into();
        self
    }

    /// The fault for people: file and line, what was found, what is allowed, and a hint below.
    #[must_use]
    pub fn render(&self) -> String {
        let mut text = printable(&format!("{}: {}", self.where_it_is(), self.found));
        if let Some(allowed) = &self.allowed {
            text.push_str(&printable(&format!("; allowed: {allowed}")));
        }
        if let Some(standing) = self.what_stands_there() {
            text.push_str(&format!("\n  the line reads: {standing}"));
        }
        if let Some(hint) = &self.hint {
            text.push_str(&format!("\n  hint: {}", printable(hint)));
        }
        text
    }

    /// File and line, as an editor counts them; the column by its header.
    fn where_it_is(&self) -> String {
        match &self.place {
            Place::Cell { file, line, column: Some(column) } => format!("{file}:{line}, column \"{column}\""),
            Place::Cell { file, line, column: None } => format!("{file}:{line}"),
            Place::WholeFile { file } => file.clone(),
            Place::Span(stretch) => {
                format!("{}:{}", stretch.source.file, stretch.source.line_and_column(stretch.bytes.start).0)
            }
        }
    }

    /// The line of a job file in which the fault is.
    fn what_stands_there(&self) -> Option<String> {
        let Place::Span(stretch) = &self.place else { return None };
        let (line, _) = stretch.source.line_and_column(stretch.bytes.start);
        let text = stretch.source.text.lines().nth(usize::try_from(line).ok()?.checked_sub(1)?)?.trim();
        (!text.is_empty()).then(|| shown(&printable(text)))
    }
}

impl From<Problem> for Vec<Problem> {
    fn from(problem: Problem) -> Self {
        vec![problem]
    }
}

/// The text without letters that would move a terminal's cursor, colour it or begin a line.
fn printable(text: &str) -> String {
    one_line(text).into_owned()
}

/// A value as shown in a message: short enough for one line.
#[must_use]
pub fn shown(value: &str) -> String {
    const LONGEST: usize = 60;
    if value.chars().count() <= LONGEST {
        return value.into();
    }
    value.chars().take(LONGEST).chain(['…']).collect()
}

/// All faults, one after the other, as [`Problem::render`] prints them.
#[must_use]
pub fn render_all(problems: &[Problem]) -> String {
    let texts: Vec<String> = problems.iter().map(Problem::render).collect();
    texts.join("\n")
}

/// Puts faults in the order of their places, file by file in the order of the names given.
pub fn sort_by_place(problems: &mut [Problem], files: &[&str]) {
    problems.sort_by_key(|problem| {
        let file = files.iter().position(|file| *file == problem.place.file());
        let start = match &problem.place {
            Place::Span(stretch) => stretch.bytes.start as u64,
            Place::Cell { line, .. } => *line,
            Place::WholeFile { .. } => 0,
        };
        (file, start)
    });
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_span_is_told_with_its_line_and_hint_and_its_column_counted_in_letters() {
        let source = Source::new("job.toml", "[job]\nunit = \"größer\" # ä\nmass = 14.2\n");
        let start = source.text.find("14.2").unwrap();
        assert_eq!(source.line_and_column(start), (3, 8));
        let place = Place::span(source, start..start + 4);
        let problem = Problem::at("no-unit", place, "`14.2` has no unit")
            .allowing("g, kg, oz, lb")
            .hinting("write \"14.2 kg\"".to_owned());
        assert_eq!(
            problem.render(),
            "job.toml:3: `14.2` has no unit; allowed: g, kg, oz, lb\n  the line reads: mass = 14.2\n  hint: write \"14.2 kg\""
        );
    }

    #[test]
    fn a_cell_is_told_in_one_line_and_its_hint_below() {
        let place = Place::cell("runs.csv", 7, Some("front phase [deg]"));
        let problem = Problem::at("not-a-number", place, "found `ab\u{1b}[31mc`").allowing("a number");
        assert_eq!(
            problem.render(),
            "runs.csv:7, column \"front phase [deg]\": found `ab\\u{1b}[31mc`; allowed: a number"
        );
        assert_eq!(
            problem.hinting("look again".to_owned()).render().lines().last(),
            Some("  hint: look again")
        );
    }
}
