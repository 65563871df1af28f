//! The numbers in a text that a person reads, with the unit after each.

use std::collections::BTreeSet;

/// A number in a text.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Figure {
    /// As written.
    pub number: String,
    /// The word after it.
    pub unit: String,
    /// The words around it, for people.
    pub around: String,
}

/// The numbers of a text; those inside names (`WP-0417`, `G16`, `ISO 21940-11`), dates, times and digests do
/// not count.
#[must_use]
pub fn figures(text: &str) -> Vec<Figure> {
    let letters: Vec<char> = text.chars().collect();
    let (mut found, mut at) = (Vec::new(), 0);
    while at < letters.len() {
        if !letters[at].is_ascii_digit() {
            at += 1;
            continue;
        }
        let end = number_end(&letters, at);
        if !is_name(&letters, at, end) {
            let around = letters[at.saturating_sub(40)..(end + 25).min(letters.len())].iter().collect();
            let number = letters[at..end].iter().collect();
            found.push(Figure { number, unit: unit(&letters[end..]), around });
        }
        at = end;
    }
    found
}

fn number_end(letters: &[char], from: usize) -> usize {
    let digit = |at: usize| letters.get(at).is_some_and(char::is_ascii_digit);
    let mut end = from;
    while digit(end) {
        end += 1;
    }
    if letters.get(end) == Some(&'.') && digit(end + 1) {
        end += 1;
        while digit(end) {
            end += 1;
        }
    }
    let exponent = letters.get(end) == Some(&'e')
        && (digit(end + 1) || letters.get(end + 1) == Some(&'-') && digit(end + 2));
    if exponent {
        end += 2;
        while digit(end) {
            end += 1;
        }
    }
    end
}

/// Whether a number is part of a name, a date, a time or a digest.
fn is_name(letters: &[char], from: usize, end: usize) -> bool {
    let before: String = letters[from.saturating_sub(12)..from].iter().collect();
    let behind: String = letters[end..(end + 12).min(letters.len())].iter().collect();
    let joined = before.ends_with(|letter: char| letter.is_alphabetic() || matches!(letter, '_' | '#'));
    let dashed = before.strip_suffix('-').is_some_and(|rest| rest.ends_with(char::is_alphanumeric))
        || behind.strip_prefix('-').is_some_and(|rest| rest.starts_with(|next: char| next.is_ascii_digit()));
    let standard = ["ISO ", "EN ", "DIN ", "SAE "].iter().any(|word| before.ends_with(word));
    let time = before.ends_with(':') || behind.starts_with(':') && behind[1..].starts_with(char::is_numeric);
    let hex = behind.starts_with(|next: char| next.is_ascii_hexdigit())
        && behind.chars().take(6).filter(char::is_ascii_hexdigit).count() >= 4;
    joined || dashed || standard || time || hex
}

fn unit(behind: &[char]) -> String {
    let spaces = behind.iter().take_while(|letter| matches!(letter, ' ' | '\u{a0}')).count();
    if spaces > 1 {
        return String::new();
    }
    let of_unit = |letter: &&char| letter.is_alphabetic() || matches!(letter, '.' | '·' | '/' | '"' | '°');
    let word: String = behind[spaces..].iter().take_while(of_unit).collect();
    word.trim_end_matches('.').to_owned()
}

impl Figure {
    /// The number of significant digits, without zeros at the front of a number and at the end of a whole
    /// one.
    #[must_use]
    pub fn digits(&self) -> usize {
        let number = self.number.split('e').next().unwrap_or_default();
        let digits: String = number.chars().filter(char::is_ascii_digit).collect();
        let digits = digits.trim_start_matches('0');
        if number.contains('.') { digits.len() } else { digits.trim_end_matches('0').len() }
    }

    /// Whether it is written with a power of ten.
    #[must_use]
    pub fn has_exponent(&self) -> bool {
        self.number.contains('e')
    }
}

/// Every number that was typed into these texts.
#[must_use]
pub fn typed(texts: &[&str]) -> BTreeSet<String> {
    let numbers = |text: &&str| {
        let pieces = text.split(|letter: char| !(letter.is_ascii_digit() || letter == '.'));
        pieces.map(plain).collect::<Vec<String>>()
    };
    texts.iter().flat_map(numbers).collect()
}

/// A number without meaningless zeros.
#[must_use]
pub fn plain(number: &str) -> String {
    number.parse::<f64>().map_or_else(|_| number.to_owned(), |value| value.to_string())
}

/// The text of a page of HTML: without styles, scripts, tags and their attributes.
#[must_use]
pub fn text_of_html(page: &str) -> String {
    let mut text = String::new();
    let mut rest = page;
    while let Some(at) = rest.find('<') {
        text.push_str(&rest[..at]);
        text.push(' ');
        rest = &rest[at..];
        let closing = ["style", "script"].into_iter().find(|name| rest[1..].starts_with(name));
        let end = match closing {
            Some(name) => rest.find(&format!("</{name}>")).map(|at| at + name.len() + 3),
            None => rest.find('>').map(|at| at + 1),
        };
        rest = end.map_or("", |end| &rest[end..]);
    }
    text.push_str(rest);
    text.replace("&quot;", "\"").replace("&amp;", "&").replace("&#39;", "'")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_found_with_their_units_and_names_are_none() {
        let found = figures(
            "WP-0417: 88.89999 mm, 9 1/16 in; ISO 21940-11, 2026-03-14 09:30, G16, 3.9e-2 mm/s, 12350 g.mm",
        );
        let all: Vec<(&str, &str, usize)> =
            found.iter().map(|own| (own.number.as_str(), own.unit.as_str(), own.digits())).collect();
        assert_eq!(
            all,
            [
                ("88.89999", "mm", 7),
                ("9", "", 1),
                ("1", "/", 1),
                ("16", "in", 2),
                ("3.9e-2", "mm/s", 2),
                ("12350", "g.mm", 4)
            ]
        );
        assert!(found[4].has_exponent());
        assert_eq!(text_of_html("<p>a<style>1</style> 2 <b x=\"3\">c</b>").replace(' ', ""), "a2c");
    }
}
