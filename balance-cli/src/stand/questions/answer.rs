//! An answer to a question, as it goes into the job file: as typed, with its unit.

use balance_core::quantity::{Length, Mass, Quantity, Speed};

use super::question::{Kind, Question};
use crate::files::job_edit::NewValue;
use crate::files::runs::can_be_a_dial_unit;
use crate::files::toml_reader::Percent;
use crate::stand::line::is_yes;
use crate::typed::amounts;

/// The values of an answer.
///
/// # Errors
///
/// Words for people.
pub fn read(question: &Question, text: &str) -> Result<Vec<NewValue>, String> {
    let one = |value: &str| vec![NewValue::text(question.spots[0], value)];
    match &question.kind {
        Kind::Masses(unit) => values::<Mass>(question, text, unit),
        Kind::Lengths(unit) => values::<Length>(question, text, unit),
        Kind::Speeds => values::<Speed>(question, text, "rpm"),
        Kind::Shares => values::<Percent>(question, text, "%"),
        Kind::OneOrEach(unit) => one_or_each(question, text, unit),
        Kind::Pieces(unit) => pieces(question, text, unit),
        Kind::Free => Ok(one(text)),
        Kind::Listed(listed) => {
            let named = text.parse::<usize>().ok().and_then(|at| listed.get(at.checked_sub(1)?));
            match named {
                Some(name) => Ok(one(name)),
                None if text.chars().any(char::is_alphabetic) => Ok(one(text)),
                None if listed.is_empty() => Err("A few words, such as SB3 auger drive.".into()),
                None => Err(format!(
                    "A number from the list, 1 to {}, or the type in your own words.",
                    listed.len()
                )),
            }
        }
        Kind::Units(choices) => {
            let named = text.parse::<usize>().ok().and_then(|at| choices.get(at.checked_sub(1)?));
            let found = named.or_else(|| choices.iter().find(|(_, word)| word.eq_ignore_ascii_case(text)));
            found
                .map(|(_, word)| one(word))
                .ok_or_else(|| format!("A number from the list, 1 to {}.", choices.len()))
        }
        Kind::Yes(word) if is_yes(text) => Ok(one(word)),
        Kind::Yes(_) => Err("1 = yes, Enter = leave it open.".into()),
        Kind::Grade => {
            let number = text.trim_start_matches(['g', 'G']).trim().replace(',', ".");
            let grade = number.parse::<f64>().ok().filter(|grade| grade.is_finite() && *grade > 0.0);
            grade
                .map(|grade| one(&format!("G{grade}")))
                .ok_or_else(|| "A grade is a number such as 16.".into())
        }
        Kind::DialUnit(choices) => match numbered(choices, text) {
            Some(choice) => Ok(one(choice)),
            None if can_be_a_dial_unit(text) => Ok(one(text)),
            None => Err(format!("A number from the list, 1 to {}, or a unit such as mm/s.", choices.len())),
        },
        Kind::Choice(choices) => {
            let found = numbered(choices, text)
                .or_else(|| choices.iter().find(|choice| choice.eq_ignore_ascii_case(text)));
            found.map(|choice| one(choice)).ok_or_else(|| {
                format!("A number from the list, or Enter to leave it out: 1 to {}.", choices.len())
            })
        }
    }
}

fn numbered(choices: &'static [&'static str], text: &str) -> Option<&'static &'static str> {
    text.parse::<usize>().ok().and_then(|at| choices.get(at.checked_sub(1)?))
}

/// One length for all spots, or one for each.
fn one_or_each(question: &Question, text: &str, unit: &str) -> Result<Vec<NewValue>, String> {
    let found = amounts(text)?;
    if let [only] = &found[..] {
        only.of::<Length>(unit)?;
        let words = only.text(unit);
        return Ok(question.spots.iter().map(|spot| NewValue::text(*spot, &words)).collect());
    }
    values::<Length>(question, text, unit)
}

/// A section for every mass.
fn pieces(question: &Question, text: &str, unit: &str) -> Result<Vec<NewValue>, String> {
    let found = amounts(text)?;
    if found.is_empty() || found.iter().any(|amount| amount.at) {
        return Err("The masses with a space between, such as 5 10 15.".into());
    }
    let one = |(at, amount): (usize, &crate::typed::Amount)| {
        let mass = amount.of::<Mass>(unit)?;
        if mass.grams() <= 0.0 {
            return Err("A weight of nothing is no weight.".into());
        }
        let spot = crate::files::job_edit::Spot { number: Some(at), ..question.spots[0] };
        Ok(NewValue::text(spot, &amount.text(unit)))
    };
    found.iter().enumerate().map(one).collect()
}

/// One value for every spot, each as typed.
fn values<Q: Quantity>(question: &Question, text: &str, unit: &str) -> Result<Vec<NewValue>, String> {
    let found = amounts(text)?;
    if found.len() != question.spots.len() {
        let wanted = match question.spots.len() {
            1 => "One number is wanted".to_owned(),
            count => format!("{count} numbers are wanted"),
        };
        return Err(format!("{wanted}, {} were typed.", found.len()));
    }
    let one = |(spot, amount): (&crate::files::job_edit::Spot, &crate::typed::Amount)| {
        amount.of::<Q>(unit).map(|_| NewValue::text(*spot, &amount.text(unit)))
    };
    question.spots.iter().zip(&found).map(one).collect()
}
