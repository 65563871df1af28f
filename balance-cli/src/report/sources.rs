//! What the record was made from, so that it can be made again.

use maud::{Markup, html};

use super::ReportInput;
use super::pieces::table;

pub fn sources(input: &ReportInput<'_>) -> Markup {
    let rows: Vec<Vec<String>> =
        input.digests.files.iter().map(|file| vec![file.name.clone(), file.sha256.clone()]).collect();
    html! {
        div.digests { (table(&["File", "SHA-256 of its bytes"], &rows)) }
        p.small { "The digest on page one is that of the lines that sha256sum prints for these files, in this order." }
        @if let Some(file) = input.view.file {
            h3 { "The job as typed, with the shop's values" }
            pre { (file.merged_text.trim()) }
        }
    }
}
