//! All runs as typed: one column a run, one line a cell that was filled.

use maud::{Markup, html};

use super::pieces::table;
use super::{ReportInput, done};

/// As many runs stand side by side; more go below.
const RUNS_ACROSS: usize = 7;

pub fn runs(input: &ReportInput<'_>) -> Markup {
    let runs = &input.runs;
    if runs.rows.is_empty() {
        return html! { p { "There are no runs." } };
    }
    html! {
        @if let Some(read) = done::runs_read(input) { p { (read) } }
        p.small { "Cells as typed in " code { (runs.file) } "; lines without any entry are left out." }
        @for rows in runs.rows.chunks(RUNS_ACROSS) { (block(&runs.titles, rows)) }
    }
}

fn block(titles: &[String], rows: &[Vec<String>]) -> Markup {
    let cell = |row: &Vec<String>, at: usize| row.get(at).cloned().unwrap_or_default();
    let filled = |at: &usize| rows.iter().any(|row| !cell(row, *at).trim().is_empty());
    let columns = titles.len().max(rows.iter().map(Vec::len).max().unwrap_or(0));
    let mut lines: Vec<Vec<String>> = (0..columns)
        .filter(filled)
        .map(|at| {
            let title = titles.get(at).cloned().unwrap_or_default();
            std::iter::once(title).chain(rows.iter().map(|row| cell(row, at))).collect()
        })
        .collect();
    if lines.is_empty() {
        return html! {};
    }
    let head = lines.remove(0);
    let head: Vec<&str> = head.iter().map(String::as_str).collect();
    html! { div.typed { (table(&head, &lines)) } }
}
