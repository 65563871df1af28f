//! From bytes to text.

use std::borrow::Cow;

/// What the bytes 0x80 to 0x9f mean in Windows-1252 (the Unicode consortium's table CP1252.TXT; the five unused
/// codes stay control characters, as browsers read them).
const WINDOWS_1252: [char; 32] = [
    '€', '\u{81}', '‚', 'ƒ', '„', '…', '†', '‡', 'ˆ', '‰', 'Š', '‹', 'Œ', '\u{8d}', 'Ž', '\u{8f}', '\u{90}',
    '‘', '’', '“', '”', '•', '–', '—', '˜', '™', 'š', '›', 'œ', '\u{9d}', 'ž', 'Ÿ',
];

/// How a stretch of bytes was read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Encoding {
    /// As UTF-8, as it should be.
    Utf8,
    /// As Windows-1252, because it is not UTF-8.
    Windows1252,
}

/// The text of some bytes: UTF-8 if valid, otherwise Windows-1252.
#[must_use]
pub fn decode(bytes: &[u8]) -> (Cow<'_, str>, Encoding) {
    match std::str::from_utf8(bytes) {
        Ok(text) => (Cow::Borrowed(text), Encoding::Utf8),
        Err(_) => (Cow::Owned(bytes.iter().map(|byte| letter(*byte)).collect()), Encoding::Windows1252),
    }
}

fn letter(byte: u8) -> char {
    match byte {
        0x80..=0x9f => WINDOWS_1252[usize::from(byte - 0x80)],
        _ => char::from(byte),
    }
}

/// The bytes without the byte order mark that some programs put at the beginning of UTF-8.
#[must_use]
pub fn without_mark(bytes: &[u8]) -> &[u8] {
    bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes)
}

/// Whether bytes begin as UTF-16 does, which spreadsheets call "Unicode text".
#[must_use]
pub fn is_utf16(bytes: &[u8]) -> bool {
    bytes.starts_with(b"\xff\xfe") || bytes.starts_with(b"\xfe\xff")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn utf8_stays_and_windows_1252_is_recognised() {
        assert_eq!(decode("µm/s".as_bytes()), (Cow::Borrowed("µm/s"), Encoding::Utf8));
        // Bytes from the Unicode consortium's CP1252.TXT: 0xB5 µ, 0x80 €, 0xB0 °.
        let (text, encoding) = decode(b"\xb5m \x80 \xb0");
        assert_eq!((text.as_ref(), encoding), ("µm € °", Encoding::Windows1252));
        assert_eq!(without_mark(b"\xef\xbb\xbfrun"), b"run");
    }
}
