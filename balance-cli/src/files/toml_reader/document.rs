//! One or two TOML texts read as one.

use std::cell::{Cell, RefCell};
use std::collections::BTreeMap;
use std::ops::Range;

use balance_core::quantity::Units;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::merge::merged;
use super::section::{Part, Section};
use crate::files::limits;
use crate::files::nearest::{did_you_mean, listed};
use crate::files::problem::{Fault, Place, Problem, Source, shown, sort_by_place};

/// One text and its tables.
pub(super) struct Layer<'s> {
    pub(super) source: &'s Source,
    pub(super) table: DeTable<'s>,
}

/// The job's text over the shop's: the first text that has a key wins.
pub struct Document<'s> {
    layers: Vec<Layer<'s>>,
    faults: RefCell<Vec<Problem>>,
    units: Cell<Units>,
    /// Sections requested so far, and the keys requested in each.
    asked: RefCell<BTreeMap<&'static str, Vec<&'static str>>>,
    /// Keys of one text that are overruled by an alternative key in the winning text.
    overruled: RefCell<Vec<(&'static str, &'static str)>>,
}

impl<'s> Document<'s> {
    /// Reads the texts, the winning one first.
    ///
    /// # Errors
    ///
    /// Every syntax fault of every text.
    pub fn parse(sources: &[&'s Source]) -> Result<Self, Vec<Problem>> {
        let mut layers = Vec::new();
        let mut faults = Vec::new();
        for source in sources {
            let (table, errors) = DeTable::parse_recoverable(&source.text);
            faults.extend(syntax_faults(source, &errors));
            layers.push(Layer { source, table: table.into_inner() });
        }
        if faults.is_empty() {
            Ok(Self {
                layers,
                faults: RefCell::default(),
                units: Cell::default(),
                asked: RefCell::default(),
                overruled: RefCell::default(),
            })
        } else {
            Err(faults)
        }
    }

    /// The units in which faults name what they found; metric until [`show_in`](Self::show_in) says otherwise.
    #[must_use]
    pub fn units(&self) -> Units {
        self.units.get()
    }

    /// Names amounts in these units from now on.
    pub fn show_in(&self, units: Units) {
        self.units.set(units);
    }

    /// The section `[name]`, keys of all texts together; it may be empty.
    pub fn section(&self, name: &'static str) -> Section<'_, 's> {
        self.note_asked(name);
        let mut parts = Vec::new();
        for (layer, spanned) in self.found(name) {
            match spanned.get_ref() {
                DeValue::Table(table) => parts.push(Part { layer, table, span: spanned.span() }),
                _ => self.wrong_shape(layer, spanned, name, &format!("`[{name}]`")),
            }
        }
        Section::new(self, name, parts)
    }

    /// The sections `[[name]]` of the first text that has any.
    pub fn sections(&self, name: &'static str) -> Vec<Section<'_, 's>> {
        self.sections_up_to(name, limits::SECTIONS)
    }

    /// The same with another limit to their number; the keys that a section lacks are those of the section with the
    /// same `name` in the other text.
    pub fn sections_by_name(&self, name: &'static str, most: usize) -> Vec<Section<'_, 's>> {
        let mut sections = self.sections_up_to(name, most);
        for (layer, spanned) in self.found(name).skip(1) {
            let DeValue::Array(array) = spanned.get_ref() else { continue };
            for element in array {
                let DeValue::Table(table) = element.get_ref() else { continue };
                if let Some(section) = sections.iter_mut().find(|section| section.is_named_as(table)) {
                    section.add(Part { layer, table, span: element.span() });
                }
            }
        }
        sections
    }

    /// The same with another limit to their number.
    pub fn sections_up_to(&self, name: &'static str, most: usize) -> Vec<Section<'_, 's>> {
        self.note_asked(name);
        let Some((layer, spanned)) = self.found(name).next() else { return Vec::new() };
        let allowed = format!("`[[{name}]]`");
        let DeValue::Array(array) = spanned.get_ref() else {
            self.wrong_shape(layer, spanned, name, &allowed);
            return Vec::new();
        };
        if array.len() > most {
            let found = format!("{} sections `[[{name}]]`", array.len());
            let fault = Fault::new("too-many", found, format!("at most {most}"), "is this a job file?");
            self.add(fault.at(self.place(layer, spanned.span())));
        }
        let mut sections = Vec::new();
        for element in array.iter().take(most) {
            match element.get_ref() {
                DeValue::Table(table) => {
                    let part = Part { layer, table, span: element.span() };
                    sections.push(Section::new(self, name, vec![part]));
                }
                _ => self.wrong_shape(layer, element, name, &allowed),
            }
        }
        sections
    }

    /// The keys before the first section, such as `format`. Each text is handled separately.
    pub fn heads(&self) -> Vec<Section<'_, 's>> {
        (0..self.layers.len())
            .map(|layer| {
                let part = Part { layer, table: &self.layers[layer].table, span: 0..0 };
                Section::new(self, HEAD, vec![part])
            })
            .collect()
    }

    /// Refuses every section and key that was not requested and returns all faults, in the order of their
    /// places.
    #[must_use]
    pub fn finish(self) -> Vec<Problem> {
        for layer in 0..self.layers.len() {
            self.refuse_unknown(layer);
        }
        let mut faults = self.faults.into_inner();
        let files: Vec<&str> = self.layers.iter().map(|layer| layer.source.file.as_str()).collect();
        sort_by_place(&mut faults, &files);
        faults
    }

    /// The faults noted so far; they are not reported again.
    pub fn take_faults(&self) -> Vec<Problem> {
        self.faults.take()
    }

    /// All texts merged, with only the winning values, for a record; call it after everything has been read.
    #[must_use]
    pub fn merged_text(&self) -> String {
        merged(&self.layers, &self.overruled.borrow())
    }

    pub(super) fn overrule(&self, section: &'static str, keys: &[&'static str]) {
        self.overruled.borrow_mut().extend(keys.iter().map(|key| (section, *key)));
    }

    /// A place in one of the texts.
    pub(super) fn place(&self, layer: usize, bytes: Range<usize>) -> Place {
        Place::span(self.layers[layer].source.clone(), bytes)
    }

    /// Notes a fault, up to a limit, and each only once: a section may be read for two purposes.
    pub(super) fn add(&self, problem: Problem) {
        let mut faults = self.faults.borrow_mut();
        if faults.len() < limits::FAULTS && !faults.contains(&problem) {
            faults.push(problem);
        }
    }

    pub(super) fn note_key(&self, section: &'static str, key: &'static str) {
        let mut asked = self.asked.borrow_mut();
        let keys = asked.entry(section).or_default();
        if !keys.contains(&key) {
            keys.push(key);
        }
    }

    fn note_asked(&self, section: &'static str) {
        self.asked.borrow_mut().entry(section).or_default();
    }

    fn found(&self, name: &'static str) -> impl Iterator<Item = (usize, &Spanned<DeValue<'s>>)> {
        self.layers.iter().enumerate().filter_map(move |(at, layer)| Some((at, layer.table.get(name)?)))
    }

    fn wrong_shape(&self, layer: usize, spanned: &Spanned<DeValue<'s>>, name: &str, allowed: &str) {
        let found = match spanned.get_ref() {
            DeValue::Table(_) => format!("`{name}` with single brackets"),
            DeValue::Array(_) => format!("`{name}` with double brackets, or as a list"),
            _ => format!("`{name}` as a value"),
        };
        let hint = format!("write {allowed} on a separate line, then its keys");
        self.add(Fault::new("wrong-shape", found, allowed, hint).at(self.place(layer, spanned.span())));
    }

    fn refuse_unknown(&self, layer: usize) {
        let asked = self.asked.borrow();
        let heads = asked.get(HEAD).map(Vec::as_slice).unwrap_or_default();
        for (key, value) in &self.layers[layer].table {
            let name: &str = key.get_ref();
            match asked.get_key_value(name) {
                // The keys of a section with the wrong shape were never requested.
                Some((_, keys)) if keys.is_empty() => {}
                Some((_, keys)) => self.refuse_unknown_keys(layer, name, keys, value.get_ref()),
                None if heads.contains(&name) => {}
                None => {
                    let known: Vec<&str> = asked.keys().copied().filter(|name| *name != HEAD).collect();
                    let found = format!("`{}` is not a section of a job file", shown(name));
                    let hint = did_you_mean(name, known.iter().copied()).unwrap_or_else(|| TAKE_OUT.into());
                    let fault = Fault::new("unknown-section", found, listed(known.iter().copied()), hint);
                    self.add(fault.at(self.place(layer, key.span())));
                }
            }
        }
    }

    fn refuse_unknown_keys(&self, layer: usize, section: &str, known: &[&'static str], value: &DeValue<'s>) {
        match value {
            DeValue::Table(table) => {
                for key in table.keys() {
                    let name: &str = key.get_ref();
                    if !known.contains(&name) {
                        let found = format!("`{}` is not a key of `{section}`", shown(name));
                        let hint =
                            did_you_mean(name, known.iter().copied()).unwrap_or_else(|| TAKE_OUT.into());
                        let fault = Fault::new("unknown-key", found, listed(known.iter().copied()), hint);
                        self.add(fault.at(self.place(layer, key.span())));
                    }
                }
            }
            DeValue::Array(array) => {
                for element in array {
                    if element.get_ref().is_table() {
                        self.refuse_unknown_keys(layer, section, known, element.get_ref());
                    }
                }
            }
            _ => {}
        }
    }
}

/// What to do about a line that is not TOML.
const MEND: &str = "correct this first; other faults of the file are shown after that";

/// What to do about a key or section with an unknown name.
const TAKE_OUT: &str = "remove it, or put a # before it";

/// The name for the keys before the first section; no section can have this name.
const HEAD: &str = "";

/// One fault per line: one syntax error is often reported several times.
fn syntax_faults(source: &Source, errors: &[toml::de::Error]) -> Vec<Problem> {
    let mut faults: Vec<Problem> = Vec::new();
    let (mut lines, mut told) = (LineCount::new(&source.text), None);
    for error in errors {
        if faults.len() == limits::FAULTS {
            break;
        }
        let bytes = within(&source.text, error.span().unwrap_or(0..0));
        let line = lines.at(bytes.start);
        if told == Some(line) {
            continue;
        }
        told = Some(line);
        let fault = unquoted(source, line).unwrap_or_else(|| {
            let found = format!("this is not the form of a job file: {}", error.message());
            Fault::new("toml-syntax", found, "TOML: sections in brackets, `key = value` below them", MEND)
        });
        faults.push(fault.at(Place::span(source.clone(), bytes)));
    }
    faults
}

/// Line numbers of places, which mostly come in order.
struct LineCount<'t> {
    text: &'t str,
    byte: usize,
    line: u64,
}

impl<'t> LineCount<'t> {
    fn new(text: &'t str) -> Self {
        Self { text, byte: 0, line: 1 }
    }

    /// The line, from 1, of a byte.
    fn at(&mut self, byte: usize) -> u64 {
        if byte < self.byte {
            *self = Self::new(self.text);
        }
        self.line += self.text.as_bytes()[self.byte..byte].iter().filter(|own| **own == b'\n').count() as u64;
        self.byte = byte;
        self.line
    }
}

/// The span, moved to letter boundaries inside the text.
fn within(text: &str, span: Range<usize>) -> Range<usize> {
    let boundary = |mut at: usize| {
        at = at.min(text.len());
        while !text.is_char_boundary(at) {
            at -= 1;
        }
        at
    };
    let start = boundary(span.start);
    start..boundary(span.end).max(start)
}

/// `mass = 14.2 kg` without quotes is the most common slip.
fn unquoted(source: &Source, line: u64) -> Option<Fault> {
    let line = source.text.lines().nth(usize::try_from(line).ok()? - 1)?;
    let (key, value) = line.split_once('=')?;
    let value = value.split('#').next()?.trim();
    if value.is_empty() || value.contains(['"', '\'', '[', '{']) {
        return None;
    }
    let hint = format!("write {} = \"{}\"", key.trim(), shown(value));
    let found = format!("`{}` without quotes", shown(value));
    Some(Fault::new("toml-syntax", found, "text, and numbers with a unit, in quotes", hint))
}
