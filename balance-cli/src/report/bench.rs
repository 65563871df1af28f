//! The record of the bench: what was found on a shaft that was not read yet. No run, no verdict, no weight.

use balance_core::answer::ShaftAnswer;
use balance_core::shaft::{PointFor, missing_points};
use maud::{DOCTYPE, Markup, PreEscaped, html};

use super::heading::{Masthead, who};
use super::pages_after::photographs;
use super::pieces::{part, table};
use super::{Digests, Photo, Picture, condition, handover, style};
use crate::files::JobFile;
use crate::page::Page;
use crate::paper::Paper;
use crate::print::text;

/// Everything the record of the bench is made of.
#[derive(Debug, Clone)]
pub struct BenchInput<'a> {
    /// What the shaft is called.
    pub shaft: &'a str,
    /// The job, with everything that was written down.
    pub file: &'a JobFile,
    /// The check before it spins and what planned changes do; `None`: its description makes no sense yet.
    pub answer: Option<&'a ShaftAnswer>,
    /// Photographs.
    pub photos: Vec<Photo>,
    /// The shop's logo.
    pub logo: Option<Picture>,
    /// When the record is made, ready to print.
    pub made_at: String,
    /// The program's version.
    pub version: &'a str,
    /// Digests of everything that was read.
    pub digests: Digests,
    /// What it is printed on.
    pub paper: Paper,
}

/// The record as one HTML file: same input, same bytes.
#[must_use]
pub fn bench_html(input: &BenchInput<'_>) -> String {
    let BenchInput { shaft, made_at, version, digests, paper, .. } = input;
    let foot = style::Foot { shaft, made_at, version, digests, paper: *paper };
    let page = html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                // Nothing is loaded and nothing runs, whatever texts stand in the record.
                meta http-equiv="Content-Security-Policy"
                    content="default-src 'none'; img-src data:; style-src 'unsafe-inline'";
                title { (input.shaft) " – findings of the bench" }
                style { (PreEscaped(style::sheet_of(&foot))) }
            }
            body {
                (page_one(input))
                div.pages-after { (part("What it was made from", &made_from(input))) }
            }
        }
    };
    page.into_string()
}

/// The files, and the job as it was read.
fn made_from(input: &BenchInput<'_>) -> Markup {
    let files = input.digests.files.iter();
    let rows: Vec<Vec<String>> = files.map(|file| vec![file.name.clone(), file.sha256.clone()]).collect();
    html! {
        (table(&["File", "SHA-256"], &rows))
        h3 { "The job as typed, with the shop's values" }
        pre { (input.file.merged_text.trim()) }
    }
}

fn page_one(input: &BenchInput<'_>) -> Markup {
    let (paper, job) = (&input.file.paperwork, &input.file.job);
    let head = Masthead { title: "Findings of the bench", shaft: input.shaft, made_at: &input.made_at };
    html! {
        main.page-one {
            (head.html(Some(&paper.shop), input.logo.as_ref()))
            div.who { (who(paper.heading.clone())) }
            section {
                p.big { "NOT BALANCED YET" }
                p {
                    "This is what was found on the bench. No run was read: there is no verdict, and no weight may be put on. "
                    "Local codes, the vehicle maker's approval and licensed practice come first."
                }
            }
            (part("Marks", &marks(input)))
            (part("The shaft as received and as built",
                &condition::states(job.units, paper.received.as_ref(), paper.built.as_ref())))
            (part("Inspection", &inspection(input)))
            (part("Joints, length and runout", &lengths(input)))
            @if !input.photos.is_empty() { (part("Photographs", &photographs(&input.photos))) }
            (handover::signatures(&paper.people))
            p.origin {
                "balance " (input.version) " · SHA-256 of what it was made from "
                code { (input.digests.over_all()) }
            }
        }
    }
}

fn marks(input: &BenchInput<'_>) -> Markup {
    let marks = &input.file.paperwork.match_marks;
    html! {
        @if marks.is_empty() {
            p { "None is written down. Mark every pair of pieces before it is taken apart." }
        } @else {
            ul { @for mark in marks { li { (mark.between) ": " (mark.mark) } } }
        }
    }
}

fn inspection(input: &BenchInput<'_>) -> Markup {
    let items = &input.file.job.shaft.inspection;
    let steady = !input.file.job.shaft.steady_bearings.is_empty();
    let open = missing_points(items, if steady { PointFor::WithSteadyBearing } else { PointFor::Every });
    html! {
        (condition::findings(items))
        @if !open.is_empty() { p { b { "Not looked at, or not decided yet: " } (open.join(", ")) "." } }
    }
}

/// What planned changes do, and what was checked.
fn lengths(input: &BenchInput<'_>) -> Markup {
    let words =
        input.answer.map(|answer| text::lengths(Page::default(), answer, input.file)).unwrap_or_default();
    html! {
        @for line in paragraphs(&words) { p { (line) } }
        (condition::checked(input.file.job.units, input.answer.map(|answer| &answer.before.check)))
    }
}

/// Lines that were broken for a terminal, put together again: what is set in belongs to the line before.
fn paragraphs(text: &str) -> Vec<String> {
    let mut found: Vec<String> = Vec::new();
    for line in text.lines() {
        match found.last_mut().filter(|_| line.starts_with(' ')) {
            Some(before) => *before = format!("{before} {}", line.trim()),
            None => found.push(line.split_whitespace().collect::<Vec<&str>>().join(" ")),
        }
    }
    found
}
