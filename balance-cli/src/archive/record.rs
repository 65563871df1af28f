//! A record as plain data.

use balance_core::quantity::{Length, Speed};

use super::Digest;

/// Outside size of a tube and its length between joint centres; this can be measured when the tag is lost.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct TubeSize {
    /// Outer diameter.
    pub outer_diameter: Option<Length>,
    /// Wall.
    pub wall: Option<Length>,
    /// Joint centre to joint centre.
    pub length: Option<Length>,
}

/// A photo, a scan: any file that belongs to the record.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Attachment {
    /// Its file name.
    pub name: String,
    /// What is in it.
    pub bytes: Vec<u8>,
}

/// The content of a record before it is stored.
///
/// Texts are free and may be empty; what is not stated is `None`.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct NewRecord {
    /// The job's number.
    pub number: String,
    /// Whose shaft it is.
    pub customer: String,
    /// The vehicle or machine and the place in its driveline.
    pub unit: String,
    /// The tag on the shaft.
    pub tag: String,
    /// Who balanced it.
    pub technician: String,
    /// The type of shaft, a key the shop chooses; the responses of shafts of one type are pooled.
    pub shaft_type: Option<String>,
    /// What can be measured on a shaft without a tag.
    pub tube: TubeSize,
    /// The verdict's word: `meets`, `exceeds`, `undecided`.
    pub verdict: Option<String>,
    /// The balance quality grade or limit, as the job has it.
    pub grade: Option<String>,
    /// The highest speed it can reach in service.
    pub service_speed: Option<Speed>,
    /// The match marks in words.
    pub marks: String,
    /// The weights it left with, in words.
    pub weights: String,
    /// Input files verbatim: name and bytes.
    pub inputs: Vec<(String, Vec<u8>)>,
    /// The result as JSON.
    pub result: String,
    /// The report as HTML.
    pub report: Option<Vec<u8>>,
    /// Photos and scans.
    pub attachments: Vec<Attachment>,
    /// How the shaft responds, from its own runs ([`ShaftAnswers`](balance_core::influence::ShaftAnswers) as
    /// JSON).
    pub answers: Option<String>,
    /// The program's version.
    pub program: String,
    /// When the record was made, RFC 3339.
    pub made_at: String,
    /// The record that this one replaces.
    pub supersedes: Option<i64>,
}

/// The role of a stored file in its record.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Role {
    /// Typed by people: job, shop, runs.
    Input,
    /// The result as JSON.
    Result,
    /// The report as HTML.
    Report,
    /// A photo or scan.
    Attachment,
    /// How the shaft responds, as JSON.
    Answers,
}

impl Role {
    /// The word stored for it.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Input => "input",
            Self::Result => "result",
            Self::Report => "report",
            Self::Attachment => "attachment",
            Self::Answers => "answers",
        }
    }

    /// The role with this word.
    #[must_use]
    pub fn of_word(word: &str) -> Option<Self> {
        [Self::Input, Self::Result, Self::Report, Self::Attachment, Self::Answers]
            .into_iter()
            .find(|role| role.word() == word)
    }
}

/// A file of a stored record.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RecordFile {
    /// What it is.
    pub role: Role,
    /// Its file name.
    pub name: String,
    /// SHA-256 of its bytes.
    pub digest: Digest,
    /// What is in it.
    pub bytes: Vec<u8>,
}

/// One record in a list: what fits on a line.
#[derive(Debug, Clone, PartialEq)]
pub struct RecordLine {
    /// The record's number in the archive, from 1.
    pub id: i64,
    /// When it was made, RFC 3339.
    pub made_at: String,
    /// The job's number.
    pub number: String,
    /// Whose shaft it is.
    pub customer: String,
    /// The vehicle or machine.
    pub unit: String,
    /// The tag on the shaft.
    pub tag: String,
    /// Who balanced it.
    pub technician: String,
    /// The type of shaft.
    pub shaft_type: Option<String>,
    /// What can be measured on it.
    pub tube: TubeSize,
    /// The verdict's word.
    pub verdict: Option<String>,
    /// The grade or limit.
    pub grade: Option<String>,
    /// The highest speed in service.
    pub service_speed: Option<Speed>,
    /// The match marks.
    pub marks: String,
    /// The weights it left with.
    pub weights: String,
    /// The program's version.
    pub program: String,
    /// The record it replaces.
    pub supersedes: Option<i64>,
    /// The record that replaces it.
    pub superseded_by: Option<i64>,
    /// SHA-256 over everything in the record and over the record before.
    pub digest: Digest,
}

/// A stored record with all its files.
#[derive(Debug, Clone, PartialEq)]
pub struct Record {
    /// What fits on a line.
    pub line: RecordLine,
    /// Digest of the record before; zeros for the first.
    pub previous: Digest,
    /// Its files in the order given.
    pub files: Vec<RecordFile>,
}

impl Record {
    /// The files of one kind.
    pub fn files_of(&self, role: Role) -> impl Iterator<Item = &RecordFile> {
        self.files.iter().filter(move |file| file.role == role)
    }

    /// The first file of a kind as text; `None` if there is none or it is not UTF-8.
    #[must_use]
    pub fn text_of(&self, role: Role) -> Option<&str> {
        self.files_of(role).next().and_then(|file| std::str::from_utf8(&file.bytes).ok())
    }
}

/// Whether one moment (RFC 3339) is before another; false if either is not a valid moment.
#[must_use]
pub fn is_before(one: &str, other: &str) -> bool {
    let moment = |text: &str| text.parse::<jiff::Timestamp>().ok();
    moment(one).zip(moment(other)).is_some_and(|(one, other)| one < other)
}
