//! Names for what spreadsheets and hasty typing do to numbers.

/// What probably happened to a text that should be a number, and what to do.
#[must_use]
pub fn accident(text: &str) -> Option<&'static str> {
    if text.starts_with('#') && text.len() > 1 {
        Some("this is a spreadsheet's error mark: correct the formula and save the table again")
    } else if text.starts_with('=') {
        Some("this is a formula: save the table with values instead of formulas")
    } else if is_thousands(text) {
        Some("write thousands without a separator: 1800, not 1,800")
    } else if is_date(text) {
        Some(
            "a spreadsheet may have turned it into a date (1-2 becomes 2 January): format the column as text, then type it again",
        )
    } else if text.contains('@') {
        Some("amplitude and phase, or mass and angle, go into two columns")
    } else if text.contains('\u{2212}') || text.contains('\u{2013}') {
        Some("use the plain hyphen as minus sign: -")
    } else if text.starts_with(|first: char| first.is_ascii_digit())
        && text.ends_with(|last: char| last.is_alphabetic() || matches!(last, '°' | '%'))
    {
        Some("the unit is in the header, the cell contains only the number")
    } else {
        None
    }
}

/// Whether a text is a number with thousands separators: 1,800 · 1.234.567 · 1'800 · 1 800 · 1,800.5.
#[must_use]
pub fn is_thousands(text: &str) -> bool {
    let text = text.trim_start_matches(['-', '+']);
    let whole = match text.rfind(['.', ',']) {
        // A last sign that differs from the others is the decimal sign.
        Some(at) if text[..at].contains([',', '.', '\'', ' ']) && !text[..at].contains(&text[at..=at]) => {
            &text[..at]
        }
        _ => text,
    };
    let mut groups = whole.split([',', '.', '\'', ' ', '\u{a0}', '\u{202f}']);
    let first = groups.next().unwrap_or_default();
    let rest: Vec<&str> = groups.collect();
    let digits = |group: &str| group.bytes().all(|byte| byte.is_ascii_digit());
    (1..=3).contains(&first.len())
        && digits(first)
        && !rest.is_empty()
        && rest.iter().all(|group| group.len() == 3 && digits(group))
}

/// Month names' beginnings in English and German.
const MONTHS: [&str; 15] =
    ["jan", "feb", "mar", "mär", "apr", "may", "mai", "jun", "jul", "aug", "sep", "oct", "okt", "nov", "dec"];

fn is_date(text: &str) -> bool {
    let lower = text.to_lowercase();
    let named = MONTHS.iter().any(|month| lower.contains(month)) || lower.contains("dez");
    if named && lower.contains(|letter: char| letter.is_ascii_digit()) {
        return true;
    }
    let parts: Vec<&str> = text.trim_end_matches('.').split(['-', '/', '.']).collect();
    let numeric = parts.iter().all(|part| !part.is_empty() && part.bytes().all(|byte| byte.is_ascii_digit()));
    numeric && (parts.len() == 3 || parts.len() == 2 && text.contains(['-', '/']))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn accidents_are_named() {
        let cases = [
            ("2-Jan", "date"),
            ("02. Jan", "date"),
            ("Mär 26", "date"),
            ("02.01.2026", "date"),
            ("2026-01-02", "date"),
            ("1-2", "date"),
            ("1,800", "thousands"),
            ("1.234.567", "thousands"),
            ("1'800", "thousands"),
            ("1 800", "thousands"),
            ("1,800.5", "thousands"),
            ("#REF!", "error mark"),
            ("#DIV/0!", "error mark"),
            ("=A1+B2", "formula"),
            ("5.29@230", "two columns"),
            ("\u{2212}5", "hyphen"),
            ("20 g", "header"),
            ("230°", "header"),
        ];
        for (text, word) in cases {
            assert!(accident(text).is_some_and(|hint| hint.contains(word)), "{text}: {:?}", accident(text));
        }
        for text in ["5.29", "abc", "", "1,80", "12,3456", "1800", "#"] {
            assert_eq!(accident(text), None, "{text}");
        }
    }
}
