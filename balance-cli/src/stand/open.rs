//! Finding or making the job's folder.

use std::path::{Path, PathBuf};

use super::line::{Line, is_yes};
use super::session::Session;
use super::talk::{Manner, Talk};
use crate::command::come_back::new_job_like;
use crate::exit::Exit;
use crate::files::job::JOB_FILE;
use crate::files::{Problem, render_all, shown_path};
use crate::streams::Streams;

/// What a session begins with.
#[derive(Debug, Clone)]
pub struct Beginning {
    /// The job's folder, if it was named.
    pub folder: Option<PathBuf>,
    /// The folder of an earlier job of this shaft or a sister, or the number of its record.
    pub from: Option<PathBuf>,
    /// The archive of that record, if not the usual one.
    pub archive: Option<PathBuf>,
    /// How to talk.
    pub manner: Manner,
}

/// Leads through a job from where its files stand.
///
/// # Errors
///
/// A stream that cannot be read or written.
pub fn guide(beginning: &Beginning, streams: &mut Streams<'_>) -> std::io::Result<Exit> {
    let folder = {
        let mut talk = Talk::new(streams, beginning.manner);
        match folder(beginning, &mut talk)? {
            Opened::Folder(folder) => folder,
            Opened::Left => return Ok(Exit::Done),
            Opened::Faulty(problems) => {
                talk.refused("There is nothing to work on:")?;
                talk.show(&render_all(&problems))?;
                return Ok(Exit::CouldNot);
            }
        }
    };
    Session::new(streams, beginning.manner, &folder).run()
}

enum Opened {
    Folder(PathBuf),
    Left,
    Faulty(Vec<Problem>),
}

fn folder(beginning: &Beginning, talk: &mut Talk<'_, '_>) -> std::io::Result<Opened> {
    let here = PathBuf::from(".");
    match &beginning.folder {
        Some(folder) if folder.join(JOB_FILE).is_file() => Ok(Opened::Folder(folder.clone())),
        Some(folder) => make(folder, beginning, talk),
        None if beginning.from.is_none() && here.join(JOB_FILE).is_file() => Ok(Opened::Folder(here)),
        None => ask_number(beginning, talk),
    }
}

fn ask_number(beginning: &Beginning, talk: &mut Talk<'_, '_>) -> std::io::Result<Opened> {
    talk.say("There is no job in this folder. Its number becomes the name of a folder here; an earlier one is gone on with.")?;
    loop {
        match talk.ask("Job number, such as WP-0417 (q = leave):")? {
            None | Some(Line::Leave) => return Ok(Opened::Left),
            Some(Line::Text(number)) if can_be_a_folder(&number) => {
                let folder = PathBuf::from(number);
                if folder.join(JOB_FILE).is_file() {
                    return Ok(Opened::Folder(folder));
                }
                return make(&folder, beginning, talk);
            }
            _ => talk.refused("Letters, digits, dash, dot and underscore, such as WP-0417.")?,
        }
    }
}

/// Whether a job's number does as a folder's name on every system.
fn can_be_a_folder(number: &str) -> bool {
    let good = |letter: char| letter.is_alphanumeric() || "-_.".contains(letter);
    number.chars().count() <= 60
        && number.chars().all(good)
        && number.starts_with(char::is_alphanumeric)
        && !number.ends_with('.')
}

fn make(folder: &Path, beginning: &Beginning, talk: &mut Talk<'_, '_>) -> std::io::Result<Opened> {
    let name = folder.file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default();
    let like = beginning.from.as_ref().map(|from| format!(" like {}", shown_path(from))).unwrap_or_default();
    match talk.ask(&format!(
        "There is no job {} yet. Make it{like}? 1 or Enter = yes, q = leave:",
        shown_path(folder)
    ))? {
        Some(Line::Nothing) => {}
        Some(Line::Text(text)) if is_yes(&text) => {}
        _ => return Ok(Opened::Left),
    }
    match new_job_like(folder, &name, beginning.from.as_deref(), beginning.archive.clone()) {
        Ok(made) => {
            let files: Vec<String> = made.files.iter().map(|file| shown_path(file)).collect();
            talk.taken(format!("Made: {}. {}", files.join(", "), made.left_with.join(" ")).trim_end())?;
            Ok(Opened::Folder(folder.into()))
        }
        Err(problems) => Ok(Opened::Faulty(problems)),
    }
}
