//! Numbers out of bytes, exact and fast: the time to read a recording is the time to read its numbers.

/// Powers of ten that are exact in binary.
const EXACT: [f64; 23] = [
    1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18,
    1e19, 1e20, 1e21, 1e22,
];
/// Whole numbers up to this are exact in binary.
const WHOLE: u64 = 1 << 53;
/// Digits that always fit.
const DIGITS: usize = 18;

/// The number that a cell holds, correctly rounded; `None`: it holds something else.
pub(super) fn number(cell: &[u8], decimal: u8) -> Option<f64> {
    match plain(cell, decimal) {
        Some((value, length)) if length == cell.len() => Some(value),
        _ => by_library(cell, decimal),
    }
}

/// The number at the beginning of the bytes and how many bytes it has; `None`: there is none, or it is none of the
/// plain ones.
///
/// # Method
///
/// Digits without the decimal sign, as a whole number up to 2⁵³, times or over a power of ten up to 10²²: both
/// exact, so one rounding is left (W. D. Clinger, PLDI 1990 \[from memory\]). Everything else is left to the
/// standard library.
pub(super) fn plain(bytes: &[u8], decimal: u8) -> Option<(f64, usize)> {
    let mut at = usize::from(matches!(bytes.first(), Some(b'-' | b'+')));
    let negative = bytes.first() == Some(&b'-');
    let (mut whole, begin) = (0_u64, at);
    at += digits(bytes.get(at..)?, &mut whole);
    let mut count = at - begin;
    let mut power = 0_i32;
    if bytes.get(at) == Some(&decimal) {
        let after = digits(bytes.get(at + 1..)?, &mut whole);
        at += 1 + after;
        count += after;
        power = -i32::try_from(after).ok()?;
    }
    if let Some(b'e' | b'E') = bytes.get(at) {
        let (exponent, length) = exponent_of(bytes.get(at + 1..)?)?;
        power = power.saturating_add(exponent);
        at += 1 + length;
    }
    if count == 0 || count > DIGITS || whole > WHOLE {
        return None;
    }
    let scale = EXACT.get(usize::try_from(power.unsigned_abs()).ok()?)?;
    let size = if power < 0 { whole as f64 / scale } else { whole as f64 * scale };
    Some((if negative { -size } else { size }, at))
}

/// Appends the digits to a whole number; returns how many there were.
fn digits(bytes: &[u8], whole: &mut u64) -> usize {
    let mut count = 0;
    for byte in bytes {
        let digit = byte.wrapping_sub(b'0');
        if digit > 9 {
            break;
        }
        *whole = whole.wrapping_mul(10).wrapping_add(u64::from(digit));
        count += 1;
    }
    count
}

/// The `-5` of `e-5`, and its length.
fn exponent_of(text: &[u8]) -> Option<(i32, usize)> {
    const LONGEST: usize = 4;
    let sign = usize::from(matches!(text.first(), Some(b'-' | b'+')));
    let mut size = 0;
    let count = digits(text.get(sign..)?, &mut size);
    let size = i32::try_from(size).ok().filter(|_| (1..=LONGEST).contains(&count))?;
    Some((if text.first() == Some(&b'-') { -size } else { size }, sign + count))
}

fn by_library(cell: &[u8], decimal: u8) -> Option<f64> {
    let text = std::str::from_utf8(cell).ok()?;
    if decimal == b'.' {
        return text.parse().ok();
    }
    // Only one sign is a decimal sign: 1.5 is none between semicolons with a decimal comma.
    (!text.contains('.')).then(|| text.replace(',', ".").parse().ok()).flatten()
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    #[test]
    fn cells_of_recorders_are_read() {
        let read = |text: &str| number(text.as_bytes(), b'.');
        assert_eq!(read("-0.00123"), Some(-0.00123));
        assert_eq!(read("+5"), Some(5.0));
        assert_eq!(read("1.5e-3"), Some(0.0015));
        assert_eq!(read(".5"), Some(0.5));
        assert_eq!(read("5."), Some(5.0));
        assert_eq!(read("123456789012345678901234567890"), Some(123_456_789_012_345_678_901_234_567_890.0));
        assert_eq!(read("1e400"), Some(f64::INFINITY));
        assert!(read("nan").is_some_and(f64::is_nan));
        assert!(read("-0").is_some_and(|zero| zero == 0.0 && zero.is_sign_negative()));
        for bad in ["", "-", ".", "1,5", "1.2.3", "0x1f", "1e", "1e+", "--1", "1 "] {
            assert_eq!(read(bad), None, "{bad}");
        }
        assert_eq!(number(b"1,5", b','), Some(1.5));
        assert_eq!(number(b"1.5", b','), None);
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(2000))]

        #[test]
        fn every_number_is_that_of_the_standard_library(text in "[-+]?[0-9]{0,20}[.]?[0-9]{0,20}([eE][-+]?[0-9]{1,5})?") {
            let (own, wanted) = (number(text.as_bytes(), b'.'), text.parse::<f64>().ok());
            prop_assert_eq!(own.map(f64::to_bits), wanted.map(f64::to_bits), "{}", text);
        }

        #[test]
        fn every_float_comes_back(bits in any::<u64>()) {
            let value = f64::from_bits(bits);
            prop_assume!(value.is_finite());
            for text in [value.to_string(), format!("{value:e}"), format!("{value:.6}")] {
                let own = number(text.as_bytes(), b'.');
                prop_assert_eq!(own.map(f64::to_bits), text.parse::<f64>().ok().map(f64::to_bits), "{}", text);
            }
        }
    }
}
