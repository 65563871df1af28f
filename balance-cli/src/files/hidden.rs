//! Letters that cannot be seen in a file and do not belong there.

use super::problem::Fault;

/// The fault of a text with a letter that moves or reverses what is shown: control characters except line
/// feed and tab, and the overrides of writing direction (Unicode Standard Annex 9, 2.1 to 2.5). No one types
/// them on purpose.
pub(super) fn hidden_letter(text: &str) -> Option<Fault> {
    let wrong = |letter: char| {
        letter.is_control() && !matches!(letter, '\n' | '\r' | '\t')
            || matches!(letter, '\u{2028}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
    };
    let letter = text.chars().find(|letter| wrong(*letter))?;
    let found = format!("a letter that cannot be seen (U+{:04X})", u32::from(letter));
    let hint = "type the text again: it may have been copied from somewhere";
    Some(Fault::new("hidden-letter", found, "letters that can be seen", hint))
}

/// The same for a name, which has one line.
pub(super) fn hidden_in_name(text: &str) -> Option<Fault> {
    if text.contains(['\n', '\r', '\t']) {
        let hint = "remove it: a name is on one line";
        return Some(Fault::new(
            "hidden-letter",
            "a line break or tab in a name",
            "a name on one line",
            hint,
        ));
    }
    hidden_letter(text)
}
