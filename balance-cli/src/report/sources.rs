//! What the record was made from: the files themselves, so that the job can be opened and the record made again.

use maud::{Markup, html};

use super::ReportInput;
use super::carried::{self, NotInside};

pub fn sources(input: &ReportInput<'_>) -> Markup {
    html! {
        @match &input.not_inside {
            None => {
                (carried::list(&input.digests))
                p {
                    "This page carries the files of the job: select a name to save a file, or write all of them into a new folder \
                     with " code { "balance reopen REPORT.html FOLDER" } "."
                }
            },
            Some(NotInside::AsAsked) => p { "This copy was made without the files of the job." },
            Some(NotInside::Because(reason)) => p { "The files of the job are not inside this page: " (reason) "." },
        }
        div.digests {
            table {
                thead { tr { th scope="col" { "File" } th scope="col" { "Bytes" } th scope="col" { "SHA-256" } } }
                tbody {
                    @for file in &input.digests.files {
                        tr { th scope="row" { (carried::entry(file)) } td { (file.size) } td { (file.sha256) } }
                    }
                }
            }
        }
        p.small {
            "The digests show whether a file was damaged or changed by mistake. They are no seal: whoever changes a file on \
             purpose can change its digest too. The digest on page one is that of the lines that sha256sum prints for these \
             files, in this order."
        }
    }
}
