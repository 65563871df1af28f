//! Breaking lines and laying out cautions.

use balance_core::caution::Caution;
use balance_core::quantity::Units;

/// The width of an answer: a stand's small screen.
pub const WIDTH: usize = 80;

/// A space at which no line is broken: "balance verify" stays together.
pub const TOGETHER: char = '\u{a0}';

/// At most this many cautions stand in an answer, worst first.
const MOST_CAUTIONS: usize = 3;

/// Breaks a text into lines of [`WIDTH`], later lines indented.
pub fn wrapped(first: &str, rest: &str, text: &str) -> String {
    let mut lines = String::new();
    let mut line = first.to_owned();
    let mut begun = false;
    for word in text.split_ascii_whitespace() {
        let space = usize::from(begun);
        if begun && line.chars().count() + space + word.chars().count() > WIDTH {
            lines.push_str(line.trim_end());
            lines.push('\n');
            line = rest.to_owned();
            begun = false;
        }
        if begun {
            line.push(' ');
        }
        line.push_str(word);
        begun = true;
    }
    lines.push_str(line.trim_end());
    lines.push('\n');
    lines.replace(TOGETHER, " ")
}

/// The worst cautions in the reader's units, and how many more there are.
pub fn cautions(units: Units, found: &[Caution]) -> String {
    let mut text = String::new();
    for caution in found.iter().take(MOST_CAUTIONS) {
        let head = format!("{}: ", caution.level().word().to_uppercase());
        text.push_str(&wrapped(&head, "   ", &caution.words(units)));
    }
    if found.len() > MOST_CAUTIONS {
        let more = found.len() - MOST_CAUTIONS;
        text.push_str(&format!("({more} more under cautions in the --json answer.)\n"));
    }
    text
}
