//! A shaft that was here before: its new job begins from the record of its last stay.

use std::path::PathBuf;

use super::line::{Line, is_yes};
use super::open::Beginning;
use super::talk::Talk;
use crate::command::come_back::CameBackWith;
use crate::command::from_archive::{has_records, records_like};
use crate::files::shown_path;

/// As many records as fit on a screen with the question.
const LISTED: usize = 8;

/// Asks whether the shaft was here before. `Some(None)`: it was not; `None`: somebody leaves.
pub(super) fn ask_for_last_stay(
    beginning: &Beginning,
    talk: &mut Talk<'_, '_>,
) -> std::io::Result<Option<Option<PathBuf>>> {
    if !has_records(beginning.archive.clone()) {
        return Ok(Some(None));
    }
    loop {
        let question = "Was this shaft here before? Its tag, job number or record; Enter = no:";
        let words = match talk.ask(question)? {
            None | Some(Line::Leave) => return Ok(None),
            Some(Line::Nothing) => return Ok(Some(None)),
            Some(Line::Text(words)) => words,
            Some(_) => {
                talk.refused(
                    "Words that are in its record, such as HP-12 or WP-0417; Enter = it was not here.",
                )?;
                continue;
            }
        };
        let found = records_like(beginning.archive.clone(), &words, LISTED);
        if found.is_empty() {
            talk.refused("No record in the archive has these words. Fewer words find more.")?;
            continue;
        }
        for record in &found {
            talk.item(&format!("{} = {}", record.id, record.words))?;
        }
        let question = "Start from which record? Enter = the first, its number, or 0 = none of these:";
        match talk.ask(question)? {
            None | Some(Line::Leave) => return Ok(None),
            Some(Line::Nothing) => return Ok(Some(Some(found[0].id.to_string().into()))),
            Some(Line::Text(text)) => {
                if let Some(record) = found.iter().find(|record| record.id.to_string() == text) {
                    return Ok(Some(Some(record.id.to_string().into())));
                }
                if is_yes(&text) {
                    return Ok(Some(Some(found[0].id.to_string().into())));
                }
                talk.refused("That is none of the records listed.")?;
            }
            Some(_) => {}
        }
    }
}

/// What was made, and what the shaft left with.
pub(super) fn made_words(made: &CameBackWith) -> String {
    let files: Vec<String> = made.files.iter().map(|file| shown_path(file)).collect();
    format!("Made: {}. {}", files.join(", "), made.left_with.join(" ")).trim_end().to_owned()
}
