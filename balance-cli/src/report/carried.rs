//! The files that ride inside a report, so that the job can be opened again: how they are written into the page, and how
//! they are taken out.
//!
//! The page holds the list of its files as `sha256sum` prints it, the digest of that list (which page one shows), and the
//! bytes of each file as a `data:` address: of a link for texts, of the picture itself for pictures. Nothing runs. Whoever
//! takes files out believes none of it: names, sizes and digests are checked first.

use std::collections::HashSet;

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use maud::{Markup, html};

use super::Digests;
use super::digest::InputFile;
use crate::archive::Digest;
use crate::files::names::is_plain_file_name;
use crate::files::{Problem, limits, shown};

/// What a page that carries files says of the way they are written.
pub const CARRIES: &str = "balance-files/1";
/// Before the list, before a file's digest, and before the list's digest: letters that no text of the page can hold, for
/// quotes in texts are escaped.
const LIST: &str = "<data class=\"made-from\" data-format=\"balance-files/1\" value=\"";
const OVER_ALL: &str = "<code class=\"over-all\">";
const FILE: &str = " data-sha256=\"";

/// Why the files are not inside a report.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum NotInside {
    /// Nobody wants them there.
    AsAsked,
    /// They cannot be: why, in words.
    Because(String),
}

/// A file inside a report.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FileInside {
    /// A plain file name.
    pub name: String,
    /// What is in it.
    pub bytes: Vec<u8>,
}

/// The list for whoever takes the files out.
pub(super) fn list(digests: &Digests) -> Markup {
    html! { data.made-from data-format=(CARRIES) value=(digests.lines()) {} }
}

/// A file's name; a link that holds its bytes, unless a picture of the page does.
pub(super) fn entry(file: &InputFile) -> Markup {
    html! {
        @match &file.text {
            Some(bytes) => {
                a download=(file.name) data-sha256=(file.sha256)
                    href={ "data:application/octet-stream;base64," (STANDARD.encode(bytes)) } { (file.name) }
            },
            None => (file.name),
        }
    }
}

/// Takes the files out of a report. Either every one agrees with its digest, or none is returned.
///
/// # Errors
///
/// That the page carries no files, or every fault of those it carries.
pub fn files_inside(report: &str, page: &str) -> Result<Vec<FileInside>, Vec<Problem>> {
    let told =
        |code, found: String, hint: &str| Problem::of_file(code, report, found).hinting(hint.to_owned());
    let Some(list) = between(page, LIST, "\"").map(unescaped) else {
        let hint = "only a report of this program that was not written --without-files can be opened again";
        return Err(vec![told("no-files-inside", "has no files inside".into(), hint)]);
    };
    let again = "nothing was written; ask for the report again";
    let stated = between(page, OVER_ALL, "<").unwrap_or_default();
    if Digest::of(list.as_bytes()).to_string() != stated {
        let found = "the list of its files does not agree with the digest on page one";
        return Err(vec![told("damaged", found.into(), again)]);
    }
    let entries: Vec<(&str, &str)> = list.lines().filter_map(|line| line.split_once("  ")).collect();
    let mut problems: Vec<Problem> = Vec::new();
    if entries.is_empty() || entries.len() != list.lines().count() || entries.len() > 2 * limits::SECTIONS {
        problems.push(told(
            "damaged",
            "the list of its files is none that this program writes".into(),
            again,
        ));
    }
    let mut names = HashSet::new();
    for (_, name) in &entries {
        let wrong = match (is_plain_file_name(name), names.insert(name.to_lowercase())) {
            (false, _) => "is no plain file name",
            (true, false) => "is there twice",
            (true, true) => continue,
        };
        let hint = "nothing was written: this report was not made by this program, or was changed";
        problems.push(told("bad-name", format!("a file inside it: `{}` {wrong}", shown(name)), hint));
    }
    let size: usize =
        entries.iter().flat_map(|(digest, _)| encoded(page, digest)).map(|text| text.len() / 4 * 3).sum();
    if size as u64 > limits::CARRIED {
        let found = format!("its files have {size} bytes together");
        let problem = told("too-large", found, "nothing was written");
        problems.push(problem.allowing(format!("{} bytes", limits::CARRIED)));
    }
    if !problems.is_empty() {
        return Err(problems);
    }
    let mut files = Vec::new();
    for (digest, name) in entries {
        match content(page, digest) {
            Some(bytes) => files.push(FileInside { name: name.to_owned(), bytes }),
            None => {
                let found = format!("{name} inside it is not what its digest says: damaged, or changed");
                problems.push(told("damaged", found, again));
            }
        }
    }
    if problems.is_empty() { Ok(files) } else { Err(problems) }
}

/// What is in the file with this digest, if all places where the page holds it agree with the digest.
fn content(page: &str, digest: &str) -> Option<Vec<u8>> {
    let decoded =
        |text: &str| STANDARD.decode(text).ok().filter(|bytes| Digest::of(bytes).to_string() == digest);
    let mut found = None;
    for text in encoded(page, digest) {
        found = Some(decoded(text)?);
    }
    found
}

/// The base64 of the file with this digest, wherever the page holds it; empty where no bytes follow.
fn encoded<'p>(page: &'p str, digest: &str) -> impl Iterator<Item = &'p str> {
    let begin = format!("{FILE}{digest}\"");
    let starts: Vec<usize> = page.match_indices(&begin).map(|(at, begin)| at + begin.len()).collect();
    starts.into_iter().map(move |at| {
        let rest = &page[at..];
        let data = rest.strip_prefix(" href=\"data:").or_else(|| rest.strip_prefix(" src=\"data:"));
        let text = data.and_then(|data| data.split('"').next()).and_then(|data| data.split_once(";base64,"));
        text.map_or("", |(_, text)| text)
    })
}

fn between<'p>(page: &'p str, begin: &str, end: &str) -> Option<&'p str> {
    page.split_once(begin)?.1.split_once(end).map(|(inside, _)| inside)
}

/// The page's own escapes undone.
fn unescaped(text: &str) -> String {
    text.replace("&lt;", "<").replace("&gt;", ">").replace("&quot;", "\"").replace("&amp;", "&")
}
