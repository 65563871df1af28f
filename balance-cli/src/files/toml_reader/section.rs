//! A section of the job file: returns values by key and notes faults.

use std::ops::Range;

use balance_core::quantity::{Angle, Around, Quantity, Units, parse, shown as amounts};
use toml::de::{DeTable, DeValue};

use super::document::Document;
use super::fault::{no_unit, of_quantity, units};
use crate::files::hidden::hidden_letter;
use crate::files::limits;
use crate::files::nearest::{did_you_mean, listed};
use crate::files::problem::{Fault, Place, shown};

/// One text's share of a section.
pub(super) struct Part<'d, 's> {
    pub(super) layer: usize,
    pub(super) table: &'d DeTable<'s>,
    pub(super) span: Range<usize>,
}

/// An allowed word, and its value.
pub type Choice<T> = (&'static str, T);

/// Which of two alternatives was used.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Given {
    /// Neither.
    Nothing,
    /// The first.
    First,
    /// The second.
    Second,
}

/// A section: `[name]` of all texts together, or one `[[name]]`.
pub struct Section<'d, 's> {
    document: &'d Document<'s>,
    name: &'static str,
    parts: Vec<Part<'d, 's>>,
}

/// A value as it is in a text.
struct Found<'d, 's> {
    layer: usize,
    value: &'d DeValue<'s>,
    span: Range<usize>,
}

impl<'d, 's> Section<'d, 's> {
    pub(super) fn new(document: &'d Document<'s>, name: &'static str, parts: Vec<Part<'d, 's>>) -> Self {
        Self { document, name, parts }
    }

    /// Whether this section of another text has the same `name`.
    pub(super) fn is_named_as(&self, other: &DeTable<'s>) -> bool {
        let name = |table: &DeTable<'s>| Some(table.get("name")?.get_ref().as_str()?.to_owned());
        self.parts
            .first()
            .is_some_and(|own| own.table.get("name").is_some() && name(own.table) == name(other))
    }

    /// Keys of another text, for those that this section lacks.
    pub(super) fn add(&mut self, part: Part<'d, 's>) {
        self.parts.push(part);
    }

    /// The units in which this job's people are answered.
    #[must_use]
    pub fn units(&self) -> Units {
        self.document.units()
    }

    /// A length in mm as a fault names it, in those units.
    #[must_use]
    pub fn entered(&self, millimetres: f64) -> String {
        amounts::entered_length(self.units(), millimetres)
    }

    /// Whether any text has this section.
    #[must_use]
    pub fn is_present(&self) -> bool {
        !self.parts.is_empty()
    }

    /// Which text has the key, 0 for the winning one; `None` if none has it.
    #[must_use]
    pub fn layer_of(&self, key: &'static str) -> Option<usize> {
        self.find(key).map(|found| found.layer)
    }

    /// Where the key's value is in its text, in bytes.
    #[must_use]
    pub fn span_of(&self, key: &'static str) -> Option<Range<usize>> {
        self.find(key).map(|found| found.span)
    }

    /// Which of two groups of keys was used; the winning text decides, and both in one text are a fault.
    pub fn either(&self, first: &[&'static str], second: &[&'static str]) -> Given {
        let layer = |keys: &[&'static str]| keys.iter().filter_map(|key| self.layer_of(key)).min();
        match (layer(first), layer(second)) {
            (None, None) => Given::Nothing,
            (Some(_), None) => Given::First,
            (None, Some(_)) => Given::Second,
            (Some(one), Some(other)) if one < other => {
                self.document.overrule(self.name, second);
                Given::First
            }
            (Some(one), Some(other)) if one > other => {
                self.document.overrule(self.name, first);
                Given::Second
            }
            (Some(_), Some(_)) => {
                self.refuse_both(first, second);
                Given::First
            }
        }
    }

    fn refuse_both(&self, first: &[&'static str], second: &[&'static str]) {
        let here = |keys: &[&'static str]| keys.iter().copied().find(|key| self.layer_of(key).is_some());
        if let (Some(one), Some(other)) = (here(first), here(second)) {
            let found = format!("`{one}` and `{other}` in one section");
            self.fault(
                other,
                Fault::new("both-given", found, "one of the two", "remove one of the two lines"),
            );
        }
    }

    /// A text that is not empty, on one line: several lines are joined.
    pub fn text(&self, key: &'static str) -> Option<String> {
        self.lines(key).map(|text| text.lines().map(str::trim).collect::<Vec<_>>().join(" "))
    }

    /// A text that is not empty, with its lines.
    pub fn lines(&self, key: &'static str) -> Option<String> {
        let text = self.string(key, "a text in quotes")?;
        if text.trim().is_empty() {
            let found = format!("`{key}` is empty");
            self.fault(
                key,
                Fault::new("empty-text", found, "a text that is not empty", "fill it in, or remove the line"),
            );
            return None;
        }
        Some(text.trim().to_owned())
    }

    /// A plain number, finite and zero or more.
    pub fn number(&self, key: &'static str) -> Option<f64> {
        match as_number(self.find(key)?.value) {
            Some(number) if limits::is_measurable(number) && number >= 0.0 => return Some(number),
            Some(number) => {
                let found = format!("`{number}` is not possible here");
                self.fault(
                    key,
                    Fault::new(
                        "out-of-range",
                        found,
                        "zero or more",
                        "leave the line out if it is not known",
                    ),
                );
            }
            None => self.wrong_type(key, "a number without quotes"),
        }
        None
    }

    /// A whole number, zero or more.
    pub fn count(&self, key: &'static str) -> Option<usize> {
        let count = match self.find(key)?.value {
            DeValue::Integer(number) => usize::from_str_radix(number.as_str(), number.radix()).ok(),
            _ => None,
        };
        if count.is_none() {
            self.wrong_type(key, "a whole number, zero or more, without quotes");
        }
        count
    }

    /// `true` or `false`.
    pub fn flag(&self, key: &'static str) -> Option<bool> {
        let flag = self.find(key)?.value.as_bool();
        if flag.is_none() {
            self.wrong_type(key, "true or false, without quotes");
        }
        flag
    }

    /// A value with its unit, in quotes: `"14.2 kg"`.
    pub fn quantity<Q: Quantity>(&self, key: &'static str) -> Option<Q> {
        self.find(key)?;
        if let Some(number) = self.bare_number(key) {
            self.fault(key, no_unit::<Q>(&number));
            return None;
        }
        let text = self.string(key, &units::<Q>())?;
        match parse::<Q>(&text) {
            Ok(value) if limits::is_measurable(value.base()) => return Some(value),
            Ok(_) => {
                let found = format!("`{}` is not a possible {}", shown(&text), Q::WORD);
                let hint = "are the exponent and the unit right?";
                self.fault(
                    key,
                    Fault::new("out-of-range", found, "a value that is possible for a measurement", hint),
                );
            }
            Err(fault) => self.fault(key, of_quantity::<Q>(&text, &fault)),
        }
        None
    }

    /// A place round the tube, in quotes: `"287 deg"`, or on the tape `"222 mm"`.
    pub fn around(&self, key: &'static str) -> Option<Around> {
        match self.find(key)?.value.as_str().map(str::parse::<Around>) {
            Some(Ok(around)) => Some(around),
            _ => self.quantity::<Angle>(key).map(Around::Angle),
        }
    }

    /// A value with its unit that is above zero.
    pub fn positive<Q: Quantity>(&self, key: &'static str) -> Option<Q> {
        let value = self.quantity::<Q>(key)?;
        if value.base() > 0.0 {
            return Some(value);
        }
        let found = format!("a {} of zero makes no sense here", Q::WORD);
        self.fault(
            key,
            Fault::new("out-of-range", found, "above zero", "leave the line out if it is not known"),
        );
        None
    }

    /// One of a few words.
    pub fn choice<T: Clone>(&self, key: &'static str, choices: &[Choice<T>]) -> Option<T> {
        let words = || choices.iter().map(|(word, _)| *word);
        let allowed = format!("in quotes, one of: {}", listed(words()));
        let text = self.string(key, &allowed)?;
        if let Some((_, value)) = choices.iter().find(|(word, _)| *word == text.trim()) {
            return Some(value.clone());
        }
        let found = format!("`{}` is not a choice for `{key}`", shown(&text));
        let hint = did_you_mean(&text, words()).unwrap_or_else(|| "write one of these words exactly".into());
        self.fault(key, Fault::new("unknown-choice", found, allowed, hint));
        None
    }

    /// The name of something that exists: its index among the names.
    pub fn one_of(&self, key: &'static str, what: &str, names: &[String]) -> Option<usize> {
        let text = self.text(key)?;
        if let Some(at) = names.iter().position(|name| *name == text) {
            return Some(at);
        }
        let known = || names.iter().map(String::as_str);
        let found = format!("`{}` is not the name of a {what}", shown(&text));
        let allowed = if names.is_empty() { format!("none: there is no {what}") } else { listed(known()) };
        let hint = did_you_mean(&text, known())
            .unwrap_or_else(|| format!("give every {what} a section with its name"));
        self.fault(key, Fault::new("unknown-name", found, allowed, hint));
        None
    }

    /// A text, or a plain number, read by its own rule; `example` is an example of it.
    pub fn text_read_as<T>(
        &self,
        key: &'static str,
        (allowed, example): (&str, &str),
        read: impl FnOnce(&str) -> Option<T>,
    ) -> Option<T> {
        let text = match self.bare_number(key) {
            Some(number) => number,
            None => self.string(key, allowed)?,
        };
        let value = read(text.trim());
        if value.is_none() {
            let found = format!("`{}` cannot be read as `{key}`", shown(&text));
            self.fault(
                key,
                Fault::new("not-readable", found, allowed, format!("it looks like this: {key} = {example}")),
            );
        }
        value
    }

    /// A required value: notes a fault if the key is missing.
    pub fn needed<T>(&self, key: &'static str, value: Option<T>) -> Option<T> {
        if value.is_none() && self.find(key).is_none() {
            let found = format!("`{key}` is missing in `{}`", self.name);
            let hint = format!("add a line `{key} = …` to it");
            self.fault(
                key,
                Fault::new("missing-key", found, format!("a `{}` with `{key}`", self.name), hint),
            );
        }
        value
    }

    /// Notes a fault if the key is missing.
    pub fn needed_key(&self, key: &'static str) {
        self.needed::<()>(key, None);
    }

    /// Notes a fault at the value of a key, or at the section if the key is missing; a missing section has no
    /// fault.
    pub fn fault(&self, key: &'static str, fault: Fault) {
        let at_key = self.find(key).map(|found| self.document.place(found.layer, found.span));
        if let Some(place) = at_key.or_else(|| self.own_place()) {
            self.document.add(fault.at(place));
        }
    }

    fn own_place(&self) -> Option<Place> {
        self.parts.first().map(|part| self.document.place(part.layer, part.span.clone()))
    }

    fn find(&self, key: &'static str) -> Option<Found<'d, 's>> {
        self.document.note_key(self.name, key);
        self.parts.iter().find_map(|part| {
            let spanned = part.table.get(key)?;
            Some(Found { layer: part.layer, value: spanned.get_ref(), span: spanned.span() })
        })
    }

    fn string(&self, key: &'static str, allowed: &str) -> Option<String> {
        let text = self.find(key)?.value.as_str().map(str::to_owned);
        match &text {
            None => self.wrong_type(key, allowed),
            Some(text) => {
                if let Some(fault) = hidden_letter(text) {
                    self.fault(key, fault);
                    return None;
                }
            }
        }
        text
    }

    fn bare_number(&self, key: &'static str) -> Option<String> {
        match self.find(key)?.value {
            DeValue::Integer(number) => Some(number.to_string()),
            DeValue::Float(number) => Some(number.to_string()),
            _ => None,
        }
    }

    fn wrong_type(&self, key: &'static str, allowed: &str) {
        let Some(found) = self.find(key) else { return };
        let hint = match found.value {
            DeValue::String(_) => "remove the quotes",
            DeValue::Integer(_) | DeValue::Float(_) | DeValue::Boolean(_) | DeValue::Datetime(_)
                if allowed.contains("in quotes") =>
            {
                "put it in quotes"
            }
            _ => "one key has one value",
        };
        let what = kind_of(found.value);
        self.fault(key, Fault::new("wrong-type", format!("`{key}` is {what}"), allowed, hint));
    }
}

fn as_number(value: &DeValue<'_>) -> Option<f64> {
    match value {
        DeValue::Integer(number) => {
            i64::from_str_radix(number.as_str(), number.radix()).ok().map(|whole| whole as f64)
        }
        DeValue::Float(number) => number.as_str().parse().ok(),
        _ => None,
    }
}

fn kind_of(value: &DeValue<'_>) -> &'static str {
    match value {
        DeValue::String(_) => "a text",
        DeValue::Integer(_) | DeValue::Float(_) => "a number",
        DeValue::Boolean(_) => "true or false",
        DeValue::Datetime(_) => "a date",
        DeValue::Array(_) => "a list",
        DeValue::Table(_) => "a section",
    }
}
