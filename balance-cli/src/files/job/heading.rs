//! Whose shaft it is, who balances it, and in which units they read answers.

use balance_core::quantity::Units;

use super::photo::file_below;
use crate::files::toml_reader::Document;
use crate::paper::Paper;

/// `[job]`.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Heading {
    /// The job's number.
    pub number: Option<String>,
    /// Whose it is.
    pub customer: Option<String>,
    /// What it belongs to: vehicle, machine, drive.
    pub unit: Option<String>,
    /// What is stamped on the shaft or attached to it.
    pub tag: Option<String>,
    /// The type whose sister shafts respond alike, as the user names it.
    pub shaft_type: Option<String>,
    /// Who balances it.
    pub by: Option<String>,
    /// Anything else.
    pub note: Option<String>,
}

/// `[shop]`.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Shop {
    /// Its name.
    pub name: Option<String>,
    /// Its address, as printed on a report.
    pub address: Option<String>,
    /// A picture file with its logo, relative to the shop file.
    pub logo: Option<String>,
}

pub(super) fn read_heading(document: &Document<'_>) -> Heading {
    let section = document.section("job");
    let number = section.text("number");
    Heading {
        number: section.needed("number", number),
        customer: section.text("customer"),
        unit: section.text("unit"),
        tag: section.text("tag"),
        shaft_type: section.text("type"),
        by: section.text("by"),
        note: section.text("note"),
    }
}

pub(super) fn read_shop(document: &Document<'_>) -> Shop {
    let section = document.section("shop");
    Shop { name: section.text("name"), address: section.lines("address"), logo: file_below(&section, "logo") }
}

pub(super) fn read_units(document: &Document<'_>) -> Units {
    let choices = [("metric", Units::Metric), ("us", Units::Us), ("both", Units::Both)];
    document.section("show").choice("units", &choices).unwrap_or_default()
}

pub(super) fn read_paper(document: &Document<'_>) -> Option<Paper> {
    let choices = [Paper::A4, Paper::Letter].map(|paper| (paper.name(), paper));
    document.section("show").choice("paper", &choices)
}
