//! Seals: the digest of the newest record, kept outside the archive. Someone who recomputes the whole chain
//! of digests, removes the newest records or puts an older copy in the archive's place leaves an archive that
//! is consistent in itself; only a digest written down elsewhere shows it.

use std::path::{Path, PathBuf};

use super::digest::Digest;
use super::operations::CheckFault;
use super::record::RecordLine;
use crate::files::write::{Existing, change_file, write_file};
use crate::files::{Problem, limits, read_bytes, shown_path};

/// The name of the file with the seals, beside the shop file.
pub const SEALS_FILE: &str = "seals.csv";

const HEADER: &str = "record,sha256,date\n";

/// An archive's newest record at one time.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Seal {
    /// The record's number.
    pub record: i64,
    /// Its digest, and through it that of every record before.
    pub digest: Digest,
    /// When it was sealed, RFC 3339.
    pub date: String,
}

impl Seal {
    /// How the archive differs from the seal; `None`: everything is as it was sealed. `records`: all of them.
    #[must_use]
    pub fn broken(&self, records: &[RecordLine]) -> Option<CheckFault> {
        let now = records.iter().find(|line| line.id == self.record);
        let text = match now {
            Some(line) if line.digest == self.digest => return None,
            Some(_) => "is not the record that was sealed",
            None => "was sealed and is no longer there",
        };
        let sealed = format!(
            "{text} ({} on {}): records were changed or an older archive was put back",
            self.digest, self.date
        );
        Some(CheckFault { record: Some(self.record), text: sealed })
    }

    /// A row of the file.
    fn row(&self) -> String {
        format!("{},{},{}\n", self.record, self.digest, self.date)
    }
}

/// The record with a digest that was written down, or what it means if there is none.
///
/// # Errors
///
/// The fault to be reported.
pub fn expected(digest: &str, records: &[RecordLine]) -> Result<i64, CheckFault> {
    let fault = |text: String| CheckFault { record: None, text };
    let wanted = Digest::from_hex(digest.trim()).ok_or_else(|| {
        fault(format!("`{digest}` is not a digest: a digest has 64 digits and letters from a to f"))
    })?;
    let found = records.iter().find(|line| line.digest == wanted);
    found.map(|line| line.id).ok_or_else(|| {
        fault(format!(
            "no record has the digest {wanted}: records were changed or removed, or an older \
                      archive was put back"
        ))
    })
}

/// The seals of a file, oldest first; none if there is no such file.
///
/// # Errors
///
/// A file that cannot be read, or rows that are not seals.
pub fn read_seals(file: &Path) -> Result<Vec<Seal>, Vec<Problem>> {
    let bytes = match read_bytes(file, limits::JOB) {
        Err(problem) if problem.code == "no-file" => return Ok(Vec::new()),
        read => read?,
    };
    let mut reader = csv::ReaderBuilder::new().flexible(true).from_reader(&*bytes);
    let (mut seals, mut problems) = (Vec::new(), Vec::new());
    for (line, row) in (2..).zip(reader.records()) {
        let seal = row.ok().and_then(|row| {
            let (record, digest, date) =
                (row.get(0)?.parse().ok()?, Digest::from_hex(row.get(1)?)?, row.get(2)?);
            Some(Seal { record, digest, date: date.to_owned() })
        });
        match seal {
            Some(seal) => seals.push(seal),
            None => problems.push(
                Problem::of_file("no-seal", shown_path(file), format!("row {line} is not a seal"))
                    .allowing("record,sha256,date".to_owned())
                    .hinting("was it changed? compare it with what you wrote down or mailed".to_owned()),
            ),
        }
    }
    if problems.is_empty() { Ok(seals) } else { Err(problems) }
}

/// Adds a seal to the file; creates the file if necessary.
///
/// # Errors
///
/// The file cannot be written; it is then unchanged.
pub fn keep_seal(file: &Path, seal: &Seal) -> Result<(), Vec<Problem>> {
    if !file.exists() {
        return Ok(write_file(file, format!("{HEADER}{}", seal.row()).as_bytes(), Existing::Keep)?);
    }
    change_file(file, limits::JOB, |before| {
        let gap: &[u8] = if before.ends_with(b"\n") { b"" } else { b"\n" };
        Ok([before, gap, seal.row().as_bytes()].concat())
    })
}

/// Where seals are kept: the named file, otherwise beside the nearest shop file, here or above.
#[must_use]
pub fn seals_place(named: Option<&Path>, shop: Option<&Path>) -> Option<PathBuf> {
    named.map(Path::to_owned).or_else(|| shop.map(|shop| shop.with_file_name(SEALS_FILE)))
}
