//! Pictures inside the one file.

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;

use crate::archive::Digest;

/// A picture file, ready to stand in a page.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Picture {
    /// The file's bytes as a `data:` address.
    pub address: String,
    /// SHA-256 of its bytes, 64 hexadecimal digits.
    pub sha256: String,
}

/// Why a file cannot stand in a report.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum EmbedFault {
    /// Neither PNG nor JPEG.
    #[error("is neither a PNG nor a JPEG picture")]
    Kind,
}

impl Picture {
    /// A picture from a file's bytes. Its kind is told by the bytes, not by the name. SVG files are refused: they may
    /// carry scripts and load more.
    ///
    /// # Errors
    ///
    /// [`EmbedFault`] for another kind of file.
    pub fn of(bytes: &[u8]) -> Result<Self, EmbedFault> {
        let kind = kind_of(bytes).ok_or(EmbedFault::Kind)?;
        let address = format!("data:{kind};base64,{}", STANDARD.encode(bytes));
        Ok(Self { address, sha256: Digest::of(bytes).to_string() })
    }
}

/// By the first bytes: PNG (ISO/IEC 15948, 5.2) and JPEG (ITU-T T.81, start of image and a marker).
fn kind_of(bytes: &[u8]) -> Option<&'static str> {
    if bytes.starts_with(b"\x89PNG\r\n\x1a\n") {
        Some("image/png")
    } else if bytes.starts_with(b"\xff\xd8\xff") {
        Some("image/jpeg")
    } else {
        None
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// RFC 4648, 10: "foobar" is Zm9vYmFy; a JPEG's first three bytes come out as /9j/.
    #[test]
    fn a_picture_becomes_a_data_address() {
        let picture = Picture::of(b"\xff\xd8\xfffoobar").unwrap();
        assert_eq!(picture.address, "data:image/jpeg;base64,/9j/Zm9vYmFy");
    }

    #[test]
    fn what_is_no_picture_is_refused() {
        assert_eq!(Picture::of(b"<svg onload=alert(1)>"), Err(EmbedFault::Kind));
    }
}
