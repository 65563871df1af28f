//! The few shapes a report is made of.

use maud::{Markup, html};

/// A part of the report under its heading.
pub fn part(title: &str, body: &Markup) -> Markup {
    html! { section { h2 { (title) } (body) } }
}

/// Names and what is known of them; what is not known is left out.
pub fn facts(all: &[(&str, Option<String>)]) -> Markup {
    html! {
        dl.facts {
            @for (name, words) in all {
                @if let Some(words) = words { div { dt { (name) } dd { (words) } } }
            }
        }
    }
}

/// A table with its head; the first column names the row.
pub fn table(head: &[&str], rows: &[Vec<String>]) -> Markup {
    html! {
        table {
            thead { tr { @for cell in head { th scope="col" { (cell) } } } }
            tbody {
                @for row in rows {
                    tr {
                        @for (at, cell) in row.iter().enumerate() {
                            @if at == 0 { th scope="row" { (cell) } } @else { td { (cell) } }
                        }
                    }
                }
            }
        }
    }
}

/// Lines of a list.
pub fn list(lines: &[String]) -> Markup {
    html! { ul { @for line in lines { li { (line) } } } }
}
