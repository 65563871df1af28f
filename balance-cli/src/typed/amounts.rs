//! A line split into numbers, each with the unit after it.

use balance_core::quantity::{Quantity, QuantityFault, leading_number, parse_in};

/// A number as typed, and its unit.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Amount {
    /// The number as typed, with a decimal point: `52-1/4`.
    pub number: String,
    /// The unit as typed; empty if there is none.
    pub unit: String,
    /// Whether there is an `@` before it.
    pub at: bool,
}

impl Amount {
    /// As typed, with the default unit if none was typed.
    #[must_use]
    pub fn text(&self, usual: &str) -> String {
        format!("{} {}", self.number, if self.unit.is_empty() { usual } else { &self.unit })
    }

    /// Its quantity.
    ///
    /// # Errors
    ///
    /// Words for people.
    pub fn of<Q: Quantity>(&self, usual: &str) -> Result<Q, String> {
        parse_in(&self.text(usual), usual).map_err(|fault| in_words(&fault))
    }
}

/// Why a text is not a value, in words for people.
pub(super) fn in_words(fault: &QuantityFault) -> String {
    match fault {
        QuantityFault::NoUnit { allowed, .. }
        | QuantityFault::UnknownUnit { allowed, .. }
        | QuantityFault::NotANumber { allowed, .. } => format!("{fault} ({})", allowed.join(", ")),
        _ => fault.to_string(),
    }
}

/// Reads numbers separated by spaces, `@`, commas or semicolons. A decimal comma is as good as a point, a
/// number may be a fraction or a whole number with one, and each may be followed by a unit.
///
/// # Errors
///
/// Words for people about the first piece that is not a number.
pub fn amounts(text: &str) -> Result<Vec<Amount>, String> {
    let plain = plain_commas(text)?;
    let mut rest = plain.trim_start_matches(is_between);
    let (mut found, mut at) = (Vec::new(), false);
    while !rest.is_empty() {
        if let Some(after) = rest.strip_prefix('@') {
            if at || found.is_empty() {
                return Err("write an @ between a mass and its place, for example 10@287".into());
            }
            at = true;
            rest = after.trim_start_matches(is_between);
            continue;
        }
        let (amount, after) = amount(rest)?;
        found.push(Amount { at, ..amount });
        at = false;
        rest = after.trim_start_matches(is_between);
    }
    if at { Err("there is no place after the @".into()) } else { Ok(found) }
}

fn is_between(letter: char) -> bool {
    letter.is_whitespace() || matches!(letter, ';' | ',')
}

fn amount(text: &str) -> Result<(Amount, &str), String> {
    let piece = || crate::files::shown(text.split_whitespace().next().unwrap_or(text));
    let (_, after) = leading_number(text).ok_or_else(|| format!("\"{}\" is not a number", piece()))?;
    let number = text[..text.len() - after.len()].trim();
    let digits = |letter: char| letter.is_ascii_digit() || matches!(letter, '.' | '-' | '+' | '/' | ' ');
    if !number.chars().all(digits) {
        return Err(format!("\"{}\" is not a readable number", piece()));
    }
    let of_unit = |letter: char| {
        !(letter.is_ascii_digit() || letter.is_whitespace() || matches!(letter, '@' | ';' | ',' | '+' | '-'))
    };
    // A point begins the next number: .095
    let end = if after.starts_with('.') { Some(0) } else { after.find(|letter: char| !of_unit(letter)) };
    let end = end.unwrap_or(after.len());
    let number = number.split_whitespace().collect::<Vec<&str>>().join(" ");
    Ok((Amount { number, unit: after[..end].to_owned(), at: false }, &after[end..]))
}

/// The text with decimal commas turned into points, and the commas between weights into spaces:
/// `10@287,15@329` are two weights, because a place has no `@` after it.
fn plain_commas(text: &str) -> Result<String, String> {
    let letters: Vec<char> = text.chars().collect();
    let digit = |at: Option<usize>| at.and_then(|at| letters.get(at)).is_some_and(char::is_ascii_digit);
    let mut plain = letters.clone();
    for (at, _) in letters.iter().enumerate().filter(|(_, letter)| **letter == ',') {
        let between = digit(at.checked_sub(1)) && digit(Some(at + 1));
        plain[at] = if between && !between_weights(&letters, at) { '.' } else { ' ' };
    }
    let plain: String = plain.into_iter().collect();
    let twice = |word: &str| {
        word.split(|letter: char| !(letter.is_ascii_digit() || letter == '.'))
            .any(|piece| piece.matches('.').count() > 1)
    };
    match plain.split_whitespace().find(|word| twice(word)) {
        Some(word) => Err(format!(
            "\"{}\": use one decimal sign only, and a space between numbers",
            crate::files::shown(word)
        )),
        None => Ok(plain),
    }
}

/// Whether the comma is after a place and before the next mass.
fn between_weights(letters: &[char], comma: usize) -> bool {
    let of_number = |letter: &&char| letter.is_ascii_digit() || **letter == '.';
    let before = letters[..comma].iter().rev().skip_while(of_number).find(|letter| !letter.is_whitespace());
    let mut behind = letters[comma + 1..].iter().skip_while(of_number);
    let next = behind.find(|letter| !(letter.is_alphabetic() || letter.is_whitespace()));
    before == Some(&'@') && next == Some(&'@')
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn read(text: &str) -> Vec<String> {
        let one = |amount: &Amount| format!("{}{}", if amount.at { "@" } else { "" }, amount.text("?"));
        amounts(text).unwrap_or_else(|fault| panic!("{text}: {fault}")).iter().map(one).collect()
    }

    #[test]
    fn numbers_and_units_are_cut_as_people_write_them() {
        assert_eq!(read("3.5in .095 52-1/4"), ["3.5 in", ".095 ?", "52-1/4 ?"]);
        assert_eq!(read("3.5 .095 54-1/2"), ["3.5 ?", ".095 ?", "54-1/2 ?"]);
        assert_eq!(read("88,9 2,4 1385 mm"), ["88.9 ?", "2.4 ?", "1385 mm"]);
        assert_eq!(read("20 g @ 90°, 15g 10deg"), ["20 g", "@90 °", "15 g", "10 deg"]);
        assert_eq!(read("10@287,15@329"), ["10 ?", "@287 ?", "15 ?", "@329 ?"]);
        assert_eq!(read("10@287,15g@329"), ["10 ?", "@287 ?", "15 g", "@329 ?"]);
        assert_eq!(read("10,5@287,5"), ["10.5 ?", "@287.5 ?"]);
        assert_eq!(read("10g@258mm,15@3 1/4\""), ["10 g", "@258 mm", "15 ?", "@3 1/4 \""]);
        assert_eq!(read("0.5oz@9 1/16in 0.35oz@1/2 in"), ["0.5 oz", "@9 1/16 in", "0.35 oz", "@1/2 in"]);
        assert_eq!(read("1 9 1/16in"), ["1 ?", "9 1/16 in"]);
        assert_eq!(read(""), Vec::<String>::new());
        for wrong in
            ["heavy", "1e9", "nan", "1.2.3", "1,800.5", "5,29,230", "@5", "5@", "5@@3", "--1", "5 1/0", "٣"]
        {
            assert!(amounts(wrong).is_err(), "{wrong}: {:?}", amounts(wrong));
        }
    }

    proptest! {
        #[test]
        fn any_text_is_read_or_refused(text in ".{0,60}") {
            let _ = amounts(&text);
        }

        #[test]
        fn text_of_the_right_letters_is_read_or_refused(text in "[0-9@,./ ingoz\"°+-]{0,30}") {
            let _ = amounts(&text);
        }
    }
}
