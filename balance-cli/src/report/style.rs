//! The style sheet, with the foot of every page.

use super::{Digests, ReportInput};
use crate::paper::Paper;

const SHEET: &str = include_str!("report.css");

/// The sheet for one report: number, version and digest stand at the foot of every printed page.
pub fn sheet(input: &ReportInput<'_>) -> String {
    sheet_of(&Foot {
        shaft: &input.view.answer.shaft,
        made_at: &input.made_at,
        version: input.version,
        digests: &input.digests,
        paper: input.paper,
    })
}

/// What stands at the foot of every printed page.
pub struct Foot<'a> {
    pub shaft: &'a str,
    pub made_at: &'a str,
    pub version: &'a str,
    pub digests: &'a Digests,
    pub paper: Paper,
}

/// The sheet for any page.
pub fn sheet_of(foot: &Foot<'_>) -> String {
    let digest: String = foot.digests.over_all().chars().take(16).collect();
    let words = format!("{} · {} · balance {} · {digest}…", foot.shaft, foot.made_at, foot.version);
    SHEET.replace("{FOOT}", &css_string(&words)).replace("{PAPER}", foot.paper.name())
}

/// A text as a CSS string (CSS Syntax Level 3, 4.3.7): everything but plain letters and digits is escaped, so that no
/// text can end the string or the sheet.
pub fn css_string(text: &str) -> String {
    let mut string = String::from("\"");
    for letter in text.chars() {
        match letter {
            letter if letter.is_ascii_alphanumeric() || letter == ' ' => string.push(letter),
            // The null character cannot be escaped.
            '\0' => string.push('\u{fffd}'),
            letter => string.push_str(&format!("\\{:x} ", u32::from(letter))),
        }
    }
    string.push('"');
    string
}

#[cfg(test)]
mod tests {
    use super::css_string;

    #[test]
    fn no_text_ends_the_string_or_the_sheet() {
        assert_eq!(css_string("WP 1"), "\"WP 1\"");
        assert_eq!(css_string("\"</style>\n"), "\"\\22 \\3c \\2f style\\3e \\a \"");
    }
}
