//! Digests: SHA-256 over everything a record holds, in one fixed order of bytes.

use std::fmt;

use balance_core::quantity::{Length, Speed};
use sha2::{Digest as _, Sha256};

use super::record::{NewRecord, RecordLine, Role};

/// A SHA-256 digest.
#[derive(Clone, Copy, PartialEq, Eq, Hash)]
pub struct Digest([u8; 32]);

impl Digest {
    /// The digest before the first record.
    pub const NOTHING: Self = Self([0; 32]);

    /// The digest of these bytes.
    #[must_use]
    pub fn of(bytes: &[u8]) -> Self {
        Self(Sha256::digest(bytes).into())
    }

    /// From 32 stored bytes.
    #[must_use]
    pub fn from_bytes(bytes: &[u8]) -> Option<Self> {
        bytes.try_into().ok().map(Self)
    }

    /// From 64 hexadecimal digits, as it is printed.
    #[must_use]
    pub fn from_hex(text: &str) -> Option<Self> {
        if text.len() != 64 || !text.is_ascii() {
            return None;
        }
        let mut bytes = [0; 32];
        for (at, byte) in bytes.iter_mut().enumerate() {
            *byte = u8::from_str_radix(text.get(2 * at..2 * at + 2)?, 16).ok()?;
        }
        Some(Self(bytes))
    }

    /// Its 32 bytes.
    #[must_use]
    pub fn bytes(&self) -> &[u8; 32] {
        &self.0
    }
}

impl fmt::Display for Digest {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.iter().try_for_each(|byte| write!(out, "{byte:02x}"))
    }
}

impl fmt::Debug for Digest {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(out, "{self}")
    }
}

/// The digest of bytes that come piece by piece.
pub(super) struct Digesting(Sha256);

impl Digesting {
    pub(super) fn new() -> Self {
        Self(Sha256::new())
    }

    pub(super) fn take(&mut self, piece: &[u8]) {
        self.0.update(piece);
    }

    pub(super) fn finish(self) -> Digest {
        Digest(self.0.finalize().into())
    }
}

/// The name a file has in its record, and the digest of its bytes.
#[derive(Debug, Clone, Copy)]
pub(super) struct NamedDigest<'a> {
    pub role: Role,
    pub name: &'a str,
    pub digest: Digest,
}

/// Writes values so that two different records never give the same bytes: each with its name, its kind and
/// its length.
struct Canon(Sha256);

impl Canon {
    fn new(what: &str) -> Self {
        let mut canon = Self(Sha256::new());
        canon.text("format", what);
        canon
    }

    fn piece(&mut self, bytes: &[u8]) {
        self.0.update((bytes.len() as u64).to_le_bytes());
        self.0.update(bytes);
    }

    fn value(&mut self, name: &str, kind: u8, bytes: &[u8]) {
        self.piece(name.as_bytes());
        self.0.update([kind]);
        self.piece(bytes);
    }

    fn text(&mut self, name: &str, text: &str) {
        self.value(name, 1, text.as_bytes());
    }

    fn maybe(&mut self, name: &str, text: Option<&str>) {
        match text {
            Some(text) => self.text(name, text),
            None => self.value(name, 0, &[]),
        }
    }

    fn number(&mut self, name: &str, number: Option<f64>) {
        match number {
            Some(number) => self.value(name, 2, &number.to_bits().to_le_bytes()),
            None => self.value(name, 0, &[]),
        }
    }

    fn integer(&mut self, name: &str, integer: Option<i64>) {
        match integer {
            Some(integer) => self.value(name, 3, &integer.to_le_bytes()),
            None => self.value(name, 0, &[]),
        }
    }

    fn files<'a>(&mut self, files: impl Iterator<Item = NamedDigest<'a>>) {
        for file in files {
            self.text(file.role.word(), file.name);
            self.value("digest", 4, file.digest.bytes());
        }
    }

    fn finish(self) -> Digest {
        Digest(self.0.finalize().into())
    }
}

/// What identifies a job when it is stored twice: who and what, and the files people typed or attached.
/// Result, report, program version and time do not count, because they follow from these.
pub(super) fn identity(record: &NewRecord, files: &[NamedDigest<'_>]) -> Digest {
    let mut canon = Canon::new("balance-job/1");
    canon.text("number", &record.number);
    canon.text("customer", &record.customer);
    canon.text("unit", &record.unit);
    canon.text("tag", &record.tag);
    canon.text("technician", &record.technician);
    canon.integer("supersedes", record.supersedes);
    let given = |file: &&NamedDigest<'_>| matches!(file.role, Role::Input | Role::Attachment);
    canon.files(files.iter().filter(given).copied());
    canon.finish()
}

/// The record's own digest: everything on its line, every file, and the digest of the record before.
pub(super) fn record_digest(line: &RecordLine, previous: &Digest, files: &[NamedDigest<'_>]) -> Digest {
    let mut canon = Canon::new("balance-record/1");
    canon.value("previous", 4, previous.bytes());
    canon.integer("id", Some(line.id));
    for (name, text) in [
        ("made_at", &line.made_at),
        ("number", &line.number),
        ("customer", &line.customer),
        ("unit", &line.unit),
        ("tag", &line.tag),
        ("technician", &line.technician),
        ("marks", &line.marks),
        ("weights", &line.weights),
        ("program", &line.program),
    ] {
        canon.text(name, text);
    }
    canon.maybe("shaft_type", line.shaft_type.as_deref());
    canon.maybe("verdict", line.verdict.as_deref());
    canon.maybe("grade", line.grade.as_deref());
    canon.number("outer_diameter_mm", line.tube.outer_diameter.map(Length::millimetres));
    canon.number("wall_mm", line.tube.wall.map(Length::millimetres));
    canon.number("length_mm", line.tube.length.map(Length::millimetres));
    canon.number("service_speed_rpm", line.service_speed.map(Speed::rpm));
    canon.integer("supersedes", line.supersedes);
    canon.files(files.iter().copied());
    canon.finish()
}

#[cfg(test)]
mod tests {
    use super::*;

    // FIPS 180-4's example for "abc" (NIST, SHA256 example values).
    #[test]
    fn sha_256_of_abc() {
        let wanted = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";
        assert_eq!(Digest::of(b"abc").to_string(), wanted);
        assert_eq!(Digest::from_hex(wanted), Some(Digest::of(b"abc")));
        assert_eq!(Digest::from_hex(&wanted[1..]), None);
        assert_eq!(Digest::from_hex(&"é".repeat(32)), None);
    }

    #[test]
    fn a_byte_moved_from_one_field_to_the_next_changes_the_identity() {
        let one = NewRecord { number: "AB".into(), customer: "C".into(), ..NewRecord::default() };
        let other = NewRecord { number: "A".into(), customer: "BC".into(), ..NewRecord::default() };
        assert_ne!(identity(&one, &[]), identity(&other, &[]));
    }
}
