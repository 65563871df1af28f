//! Digests of the files a report was made from: whoever has the files can tell whether they are the ones.

use crate::archive::Digest;

/// A file that was read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct InputFile {
    /// Its name without folders.
    pub name: String,
    /// SHA-256 of its bytes, 64 hexadecimal digits.
    pub sha256: String,
    /// How many bytes it has.
    pub size: usize,
    /// What is in it, if the report carries it as a file; a picture is carried where it is seen.
    pub text: Option<Vec<u8>>,
}

impl InputFile {
    /// The digest of some bytes.
    #[must_use]
    pub fn of(name: impl Into<String>, bytes: &[u8]) -> Self {
        Self { name: name.into(), sha256: Digest::of(bytes).to_string(), size: bytes.len(), text: None }
    }

    /// The same, with its bytes to be carried inside the report.
    #[must_use]
    pub fn carried(name: impl Into<String>, bytes: &[u8]) -> Self {
        Self { text: Some(bytes.to_vec()), ..Self::of(name, bytes) }
    }
}

/// Every file that was read, and one digest over all.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Digests {
    /// In the order in which they were read.
    pub files: Vec<InputFile>,
}

impl Digests {
    /// One digest for all files: SHA-256 of the lines that `sha256sum` prints for them, in this order.
    #[must_use]
    pub fn over_all(&self) -> String {
        Digest::of(self.lines().as_bytes()).to_string()
    }

    /// The lines that `sha256sum` prints for them.
    #[must_use]
    pub fn lines(&self) -> String {
        self.files.iter().map(|file| format!("{}  {}\n", file.sha256, file.name)).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// FIPS 180-4's own example: SHA-256 of "abc" (from memory; `printf abc | sha256sum` says the same).
    #[test]
    fn the_digest_is_sha_256() {
        let file = InputFile::of("job.toml", b"abc");
        assert_eq!(file.sha256, "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
    }

    /// `printf '%s  %s\n' ba78…15ad job.toml | sha256sum`, coreutils 9.1.
    #[test]
    fn the_digest_over_all_is_what_sha256sum_makes_of_its_own_lines() {
        let digests = Digests { files: vec![InputFile::of("job.toml", b"abc")] };
        assert_eq!(digests.over_all(), "653837dca61b0de4cac1fdd1305cd0f6a8e2dad548bcc56c212872dfb73fb432");
    }
}
