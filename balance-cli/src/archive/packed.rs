//! Files as an archive keeps them: packed (Zstandard, RFC 8878) where that saves room, otherwise as they are. The only
//! place that names the packing library.
//!
//! Reports are alike in most of their words and lines; a dictionary of what they have in common makes each a third
//! smaller and takes a tenth of the time that as small a result costs without it. An archive holds a copy of the
//! dictionary, so that any reader of Zstandard can unpack its files.
//!
//! What is unpacked is not believed: a stated size counts only up to [`limits::PACKED`], and unpacking stops where
//! more comes out than was stated.

use std::borrow::Cow;
use std::io::Read;
use std::sync::LazyLock;

use zstd::bulk::Compressor;
use zstd::dict::{DecoderDictionary, EncoderDictionary};
use zstd::stream::read::Decoder;

use super::Digest;
use super::digest::Digesting;
use crate::files::limits;

/// The dictionary, which names itself by a number. Never change one that was released: archives need it. How it was
/// made: DEVELOPERS.md.
pub(super) const DICTIONARY: (i64, &[u8]) = (40_001, include_bytes!("../../../data/packing/1.zdict"));

/// From here on a higher level costs more time than it saves room: 3 ms for a report.
const LEVEL: i32 = 6;

static TO_PACK: LazyLock<EncoderDictionary<'static>> =
    LazyLock::new(|| EncoderDictionary::copy(DICTIONARY.1, LEVEL));
static TO_UNPACK: LazyLock<DecoderDictionary<'static>> =
    LazyLock::new(|| DecoderDictionary::copy(DICTIONARY.1));

/// What a packed file needs beside its bytes: size, digest, and unpacking at every reading.
const BESIDE: usize = 64;

/// A file that does not get smaller at its beginning is kept as it is: a photograph, a recording.
const SAMPLE: usize = 1 << 16;

/// How a file is kept.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Kept<'a> {
    /// The bytes to be stored.
    pub bytes: Cow<'a, [u8]>,
    /// If they are packed: how to unpack them.
    pub packed: Option<Packed>,
}

/// What is kept beside packed bytes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Packed {
    /// How many bytes come out.
    pub size: u64,
    /// SHA-256 of the packed bytes: some of their bits change nothing that comes out.
    pub digest: Digest,
}

/// Why packed bytes cannot be unpacked.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub(super) enum PackFault {
    /// More than any file of a record has.
    #[error("it states {0} bytes, at most {most} are unpacked", most = limits::PACKED)]
    States(u64),
    /// More comes out than is stated.
    #[error("it unpacks to more than the {0} bytes it states")]
    More(u64),
    /// Less comes out than is stated.
    #[error("it unpacks to {found} bytes and states {stated}")]
    Less {
        /// How many came out.
        found: u64,
        /// How many are stated.
        stated: u64,
    },
    /// There are bytes after its end.
    #[error("{0} bytes follow its end")]
    Rest(usize),
    /// It is not packed as RFC 8878 says.
    #[error("it cannot be unpacked: {0}")]
    Broken(String),
    /// The packed bytes are not those that were stored.
    #[error("its packed bytes were changed after they were stored")]
    Changed,
    /// The size is stated without the digest, or the digest without the size.
    #[error("size and digest of its packed bytes are not both there")]
    Half,
}

/// How to keep these bytes.
pub(super) fn kept(bytes: &[u8]) -> Kept<'_> {
    let as_it_is = Kept { bytes: Cow::Borrowed(bytes), packed: None };
    let size = bytes.len() as u64;
    let sample = &bytes[..bytes.len().min(SAMPLE)];
    if size > limits::PACKED || (sample.len() < bytes.len() && smaller(sample).is_none()) {
        return as_it_is;
    }
    let Some(packed) = smaller(bytes) else { return as_it_is };
    // The packed bytes will be all there is: they must unpack to what was given.
    let stated = Packed { size, digest: Digest::of(&packed) };
    match unpacked(&packed, stated) {
        Ok(same) if same == bytes => Kept { bytes: Cow::Owned(packed), packed: Some(stated) },
        _ => as_it_is,
    }
}

/// The packed bytes, if they save at least an eighth.
fn smaller(bytes: &[u8]) -> Option<Vec<u8>> {
    let packed =
        Compressor::with_prepared_dictionary(&TO_PACK).and_then(|mut own| own.compress(bytes)).ok()?;
    (packed.len() + BESIDE <= bytes.len() - bytes.len() / 8).then_some(packed)
}

/// The bytes that were packed.
pub(super) fn unpacked(bytes: &[u8], stated: Packed) -> Result<Vec<u8>, PackFault> {
    let mut all = Vec::new();
    unpack(bytes, stated, &mut |piece| all.extend_from_slice(piece))?;
    Ok(all)
}

/// The digest of the bytes that were packed, without holding them all.
pub(super) fn digest_unpacked(bytes: &[u8], stated: Packed) -> Result<Digest, PackFault> {
    let mut digest = Digesting::new();
    unpack(bytes, stated, &mut |piece| digest.take(piece))?;
    Ok(digest.finish())
}

/// Hands over what comes out, piece by piece and never more than was stated.
fn unpack(bytes: &[u8], stated: Packed, take: &mut dyn FnMut(&[u8])) -> Result<(), PackFault> {
    if stated.size > limits::PACKED {
        return Err(PackFault::States(stated.size));
    }
    let broken = |error: std::io::Error| PackFault::Broken(error.to_string());
    let mut decoder = Decoder::with_prepared_dictionary(bytes, &TO_UNPACK).map_err(broken)?.single_frame();
    let (mut piece, mut found) = (vec![0; SAMPLE], 0);
    loop {
        let count = decoder.read(&mut piece).map_err(broken)?;
        found += count as u64;
        if found > stated.size {
            return Err(PackFault::More(stated.size));
        }
        if count == 0 {
            break;
        }
        take(&piece[..count]);
    }
    match decoder.into_inner().len() {
        0 if found == stated.size => Ok(()),
        0 => Err(PackFault::Less { found, stated: stated.size }),
        rest => Err(PackFault::Rest(rest)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const PLAIN: &[u8] = b"[[sensor]]\nname = \"front\"\nposition = \"0 mm\"\n";
    /// The same packed by the command-line tool of Zstandard 1.5.4: `zstd -6 -D 1.zdict`.
    const BY_THE_TOOL: &[u8] = &[
        0x28, 0xb5, 0x2f, 0xfd, 0x26, 0x41, 0x9c, 0x2c, 0x45, 0x00, 0x00, 0x00, 0x01, 0x00, 0xfd, 0xa8, 0xcc,
        0x01, 0x04, 0xdf, 0xe3, 0xe5, 0x16,
    ];

    fn stated(bytes: &[u8], size: u64) -> Packed {
        Packed { size, digest: Digest::of(bytes) }
    }

    #[test]
    fn what_the_tool_packed_is_unpacked() {
        assert_eq!(unpacked(BY_THE_TOOL, stated(BY_THE_TOOL, PLAIN.len() as u64)), Ok(PLAIN.to_vec()));
        assert_eq!(
            digest_unpacked(BY_THE_TOOL, stated(BY_THE_TOOL, PLAIN.len() as u64)),
            Ok(Digest::of(PLAIN))
        );
    }

    #[test]
    fn only_what_gets_smaller_is_packed() {
        let page = "<tr><td>front</td><td>8.68 mm/s ∠ 211°</td></tr>".repeat(2000);
        let kept_page = kept(page.as_bytes());
        let packed = kept_page.packed.expect("a page gets smaller");
        assert!(kept_page.bytes.len() * 20 < page.len());
        assert_eq!(unpacked(&kept_page.bytes, packed), Ok(page.clone().into_bytes()));
        let job = kept(PLAIN).packed;
        assert!(job.is_none(), "too short to be worth it");
        // Numbers without a pattern (a linear congruential generator), as in a photograph.
        let mut state = 1_u64;
        let mut noise = || {
            state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            (state >> 56) as u8
        };
        let photo: Vec<u8> = (0..200_000).map(|_| noise()).collect();
        for bytes in [&photo[..], &photo[..300], b"", b"a", &[b'a'; 70]] {
            assert_eq!(kept(bytes), Kept { bytes: Cow::Borrowed(bytes), packed: None });
        }
    }

    #[test]
    fn a_stated_size_is_believed_only_up_to_the_limit_and_never_exceeded() {
        let zeros = kept(&[0; 10_000_000]).bytes.into_owned();
        assert!(zeros.len() < 20_000, "a small file that unpacks to a large one");
        for size in [0, 1, 1000, 9_999_999] {
            assert_eq!(unpacked(&zeros, stated(&zeros, size)), Err(PackFault::More(size)));
        }
        let found = 10_000_000;
        let less = Err(PackFault::Less { found, stated: found + 1 });
        assert_eq!(unpacked(&zeros, stated(&zeros, found + 1)), less);
        let large = limits::PACKED + 1;
        assert_eq!(unpacked(&zeros, stated(&zeros, large)), Err(PackFault::States(large)));
    }

    #[test]
    fn cut_lengthened_and_other_bytes_are_named() {
        let whole = kept(&[7; 5000]).bytes.into_owned();
        for cut in 1..whole.len() {
            assert!(
                matches!(unpacked(&whole[..cut], stated(&whole, 5000)), Err(PackFault::Broken(_))),
                "{cut}"
            );
        }
        let longer = [&whole[..], b"more"].concat();
        assert_eq!(unpacked(&longer, stated(&longer, 5000)), Err(PackFault::Rest(4)));
        assert!(matches!(unpacked(b"run,kind\n", stated(b"", 9)), Err(PackFault::Broken(_))));
    }
}
