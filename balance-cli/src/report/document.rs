//! The whole file.

use maud::{DOCTYPE, PreEscaped, html};

use super::page_one::page_one;
use super::pages_after::pages_after;
use super::{ReportInput, style};
use crate::files::MADE_BY;

/// The report as one HTML file: same input, same bytes.
#[must_use]
pub fn html(input: &ReportInput<'_>) -> String {
    let page = html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                // Nothing is loaded and nothing runs, whatever texts stand in the record.
                meta http-equiv="Content-Security-Policy"
                    content="default-src 'none'; img-src data:; style-src 'unsafe-inline'";
                meta name="generator" content={ (MADE_BY) (input.version) };
                title { (input.view.answer.shaft) " – record of balancing" }
                style { (PreEscaped(style::sheet(input))) }
            }
            body {
                (page_one(input))
                (pages_after(input))
            }
        }
    };
    page.into_string()
}
