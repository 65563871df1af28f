//! Finding or making the job's folder.

use std::path::{Path, PathBuf};

use super::came_back::{ask_for_last_stay, made_words};
use super::line::{Line, is_yes};
use super::session::Session;
use super::talk::{Manner, Talk};
use crate::command::come_back::new_job_like;
use crate::exit::Exit;
use crate::files::job::{JOB_FILE, RUNS_FILE};
use crate::files::jobs::{JobSeen, jobs_in};
use crate::files::new_job::make_runs_file;
use crate::files::{Problem, render_all, shown_path};
use crate::programs::Recorder;
use crate::streams::Streams;

/// What a session begins with.
#[derive(Debug, Clone)]
pub struct Beginning {
    /// The job's folder, if it was named.
    pub folder: Option<PathBuf>,
    /// The folder of an earlier job of this shaft or a sister, or the number of its record.
    pub from: Option<PathBuf>,
    /// The archive, if not the usual one.
    pub archive: Option<PathBuf>,
    /// How to talk.
    pub manner: Manner,
    /// The recorder that reads the stand, if there is one.
    pub recorder: Option<Recorder>,
}

/// Guides through a job from where its files stand.
///
/// # Errors
///
/// A stream that cannot be read or written.
pub fn guide(beginning: &Beginning, streams: &mut Streams<'_>) -> std::io::Result<Exit> {
    let folder = {
        let mut talk = Talk::new(streams, beginning.manner);
        let opened = folder(beginning, &mut talk)?;
        match with_runs_file(opened, &mut talk)? {
            Opened::Folder(folder) => folder,
            Opened::Left => return Ok(Exit::Done),
            Opened::Faulty(problems) => {
                talk.refused("This job cannot be opened:")?;
                talk.show(&render_all(&problems))?;
                return Ok(Exit::CouldNot);
            }
        }
    };
    Session::new(streams, beginning, &folder).run()
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
        Some(folder) if beginning.from.is_none() && !jobs_in(folder, 1).0.is_empty() => {
            which_job(folder, beginning, talk)
        }
        Some(folder) => make(folder, beginning, talk),
        None if beginning.from.is_none() && here.join(JOB_FILE).is_file() => Ok(Opened::Folder(here)),
        None => which_job(&here, beginning, talk),
    }
}

/// A job that was only written by hand has no runs file yet: it gets one with the columns it needs.
fn with_runs_file(opened: Opened, talk: &mut Talk<'_, '_>) -> std::io::Result<Opened> {
    let Opened::Folder(folder) = opened else { return Ok(opened) };
    if folder.join(RUNS_FILE).exists() {
        return Ok(Opened::Folder(folder));
    }
    match make_runs_file(&folder) {
        Ok(file) => {
            talk.taken(&format!("There was no runs file yet. Made: {}.", shown_path(&file)))?;
            Ok(Opened::Folder(folder))
        }
        Err(problems) => Ok(Opened::Faulty(problems)),
    }
}

/// As many jobs as fit on a screen with the question.
const LISTED: usize = 12;

/// Asks which of the jobs in a folder is meant; another number makes a new one.
fn which_job(above: &Path, beginning: &Beginning, talk: &mut Talk<'_, '_>) -> std::io::Result<Opened> {
    let (jobs, more) = jobs_in(above, LISTED);
    let listed = if beginning.from.is_none() { jobs.as_slice() } else { &[] };
    let question = if listed.is_empty() {
        talk.say("There is no job in this folder yet. The job's number becomes the name of a folder here.")?;
        "Job number, such as WP-0417 (q = leave):"
    } else {
        talk.say("The jobs in this folder, the newest first:")?;
        for (at, job) in listed.iter().enumerate() {
            talk.item(&format!("{} = {}", at + 1, job_words(job)))?;
        }
        if more > 0 {
            talk.item(&format!("and {more} older ones: type the job's number"))?;
        }
        "Which one? Enter = 1, a number, or a new job's number (q = leave):"
    };
    loop {
        match talk.ask(question)? {
            None | Some(Line::Leave) => return Ok(Opened::Left),
            Some(Line::Nothing) if !listed.is_empty() => return Ok(Opened::Folder(listed[0].folder.clone())),
            Some(Line::Text(text)) => {
                let named = if above == Path::new(".") { PathBuf::from(&text) } else { above.join(&text) };
                let can_be = can_be_a_folder(&text);
                if can_be && named.join(JOB_FILE).is_file() {
                    return Ok(Opened::Folder(named));
                }
                let number = text.parse::<usize>().ok().and_then(|at| at.checked_sub(1));
                if let Some(job) = number.and_then(|at| listed.get(at)) {
                    return Ok(Opened::Folder(job.folder.clone()));
                }
                if can_be {
                    return make(&named, beginning, talk);
                }
                talk.refused(LETTERS)?;
            }
            _ => talk.refused(LETTERS)?,
        }
    }
}

const LETTERS: &str = "Letters, digits, dash, dot and underscore, such as WP-0417.";

/// A job in a list: "WP-0417, rotary snow blower 3; 3 runs; 2026-11-20".
fn job_words(job: &JobSeen) -> String {
    let runs = match job.runs {
        None => "its files have faults".to_owned(),
        Some(0) => "no run yet".to_owned(),
        Some(1) => "1 run".to_owned(),
        Some(runs) => format!("{runs} runs"),
    };
    let unit = job.unit.as_deref().map(|unit| format!(", {unit}")).unwrap_or_default();
    let day = job.day.as_deref().map(|day| format!("; {day}")).unwrap_or_default();
    format!("{}{unit}; {runs}{day}", job.name)
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
    let from = match &beginning.from {
        Some(from) => Some(from.clone()),
        None => match ask_for_last_stay(beginning, talk)? {
            Some(from) => from,
            None => return Ok(Opened::Left),
        },
    };
    match new_job_like(folder, &name, from.as_deref(), beginning.archive.clone()) {
        Ok(made) => {
            talk.taken(&made_words(&made))?;
            Ok(Opened::Folder(folder.into()))
        }
        Err(problems) => Ok(Opened::Faulty(problems)),
    }
}
