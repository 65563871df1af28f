//! `balance plot`: the pictures of a job.

use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicUsize, Ordering};

use super::each::{EachShaft, Solved, each_shaft, refuse};
use super::open::{Target, target};
use crate::args::{PictureFormat, PlotArguments};
use crate::draw::{RenderError, pdf, png, svg};
use crate::exit::Exit;
use crate::files::names::FileNames;
use crate::files::write::{Existing, folder_for_files, write_file};
use crate::files::{Problem, shown_path};
use crate::page::Progress;
use crate::paper::Paper;
use crate::picture::{self, Picture};
use crate::programs;
use crate::streams::Streams;

/// Fine enough to print a picture at twice its size.
const DOTS_PER_INCH: f64 = 300.0;

pub fn run(arguments: &PlotArguments, quiet: bool, streams: &mut Streams<'_>) -> std::io::Result<Exit> {
    let target = match target(&arguments.job) {
        Ok(target) => target,
        Err(problems) => return refuse(&problems, streams),
    };
    let paper = arguments.paper.unwrap_or_else(|| target.paper());
    let folder = folder(arguments, &target);
    let mut plot = Plot { arguments, paper, quiet, names: FileNames::default(), files: Vec::new() };
    let exit = each_shaft(&target, &mut plot, streams)?;
    if !arguments.open {
        return Ok(exit);
    }
    match programs::show_all(&plot.files, &folder) {
        Ok(()) => Ok(exit),
        Err(problem) => Ok(exit.worse(refuse(&[problem], streams)?)),
    }
}

fn folder(arguments: &PlotArguments, target: &Target) -> PathBuf {
    arguments.into.clone().unwrap_or_else(|| target.folder.clone())
}

struct Plot<'a> {
    arguments: &'a PlotArguments,
    paper: Paper,
    quiet: bool,
    names: FileNames,
    /// Those written so far.
    files: Vec<PathBuf>,
}

impl EachShaft for Plot<'_> {
    fn answer(&mut self, solved: &Solved<'_>, streams: &mut Streams<'_>) -> std::io::Result<Exit> {
        let folder = folder(self.arguments, solved.target);
        if let Err(problem) = folder_for_files(&folder) {
            return refuse(&[problem], streams);
        }
        let wanted = &self.arguments.only;
        let mut pictures = picture::all(&solved.view(), self.paper);
        pictures.retain(|picture| wanted.is_empty() || wanted.contains(&picture.kind));
        if pictures.is_empty() {
            return refuse(&[nothing_to_draw(&solved.answer.shaft)], streams);
        }
        let progress = !self.quiet && streams.page.progress() == Progress::Shown;
        let all = pictures.len();
        if progress {
            write!(streams.talk, "drawing {all} pictures ")?;
        }
        let drawn = all_drawn(&pictures, &self.arguments.format, self.paper, &mut || {
            // Progress that cannot be shown is no reason to stop.
            let _ =
                if progress { write!(streams.talk, ".").and_then(|()| streams.talk.flush()) } else { Ok(()) };
        });
        if progress {
            writeln!(streams.talk)?;
        }
        for (picture, drawn) in pictures.iter().zip(drawn) {
            let name = &picture.name;
            let stem = if solved.many() { format!("{}-{name}", solved.answer.shaft) } else { name.clone() };
            match drawn.and_then(|drawn| written(&folder, &self.names.of(&stem), &drawn)) {
                Ok(files) => {
                    for file in files.iter().filter(|_| !self.quiet) {
                        writeln!(streams.answer, "{}", shown_path(file))?;
                    }
                    self.files.extend(files);
                }
                Err(problems) => return refuse(&problems, streams),
            }
        }
        Ok(Exit::Done)
    }
}

/// This answer has none of the requested pictures.
fn nothing_to_draw(shaft: &str) -> Problem {
    let found = "this job has no such picture";
    let hint = "the picture of what is left needs a check run; the tube and its strip need [tube]; the strip \
        needs weights to put on";
    Problem::of_file("no-picture", shaft, found).hinting(hint.to_owned())
}

/// A file of a picture.
struct PictureFile {
    /// What comes after the picture's name: the sheet's number, the ending.
    ending: String,
    bytes: Vec<u8>,
}

type Drawn = Result<Vec<PictureFile>, Vec<Problem>>;

/// Draws all pictures, as many at a time as the machine has cores, and reports each finished one.
fn all_drawn(
    pictures: &[Picture],
    formats: &[PictureFormat],
    paper: Paper,
    note: &mut dyn FnMut(),
) -> Vec<Drawn> {
    let next = AtomicUsize::new(0);
    let hands = std::thread::available_parallelism().map_or(1, usize::from).min(pictures.len());
    let (finished, results) = std::sync::mpsc::channel();
    let not_drawn =
        |picture: &Picture| Err(vec![Problem::of_file("picture", picture.name.as_str(), "was not drawn")]);
    let mut all: Vec<Drawn> = pictures.iter().map(not_drawn).collect();
    std::thread::scope(|scope| {
        for _ in 0..hands {
            let (finished, next) = (finished.clone(), &next);
            scope.spawn(move || {
                // The last pictures are the strips, the largest sheets: they come first.
                while let Some(at) = pictures.len().checked_sub(1 + next.fetch_add(1, Ordering::Relaxed)) {
                    if finished.send((at, drawn(&pictures[at], formats, paper))).is_err() {
                        break;
                    }
                }
            });
        }
        drop(finished);
        for (at, files) in results {
            all[at] = files;
            note();
        }
    });
    all
}

fn drawn(picture: &Picture, formats: &[PictureFormat], paper: Paper) -> Drawn {
    let wrong =
        |error: RenderError| vec![Problem::of_file("picture", picture.name.as_str(), error.to_string())];
    let mut files = Vec::new();
    for format in [PictureFormat::Svg, PictureFormat::Png, PictureFormat::Pdf] {
        if formats.contains(&format) {
            files.extend(files_of(picture, format, paper).map_err(wrong)?);
        }
    }
    Ok(files)
}

/// A file for each sheet; as PDF one file with a page for each.
fn files_of(picture: &Picture, format: PictureFormat, paper: Paper) -> Result<Vec<PictureFile>, RenderError> {
    let several = picture.sheets.len() > 1;
    let number = |at: usize| if several { format!("-{}", at + 1) } else { String::new() };
    let numbered = picture.sheets.iter().enumerate().map(|(at, sheet)| (number(at), sheet));
    match format {
        PictureFormat::Pdf => {
            let bytes = pdf(&picture.sheets, paper)?;
            Ok(vec![PictureFile { ending: ".pdf".into(), bytes }])
        }
        PictureFormat::Svg => numbered
            .map(|(number, sheet)| {
                Ok(PictureFile { ending: number + ".svg", bytes: svg(sheet)?.into_bytes() })
            })
            .collect(),
        PictureFormat::Png => numbered
            .map(|(number, sheet)| {
                Ok(PictureFile { ending: number + ".png", bytes: png(sheet, DOTS_PER_INCH)? })
            })
            .collect(),
    }
}

fn written(folder: &Path, stem: &str, drawn: &[PictureFile]) -> Result<Vec<PathBuf>, Vec<Problem>> {
    let mut files = Vec::new();
    for PictureFile { ending, bytes } in drawn {
        let file = folder.join(format!("{stem}{ending}"));
        write_file(&file, bytes, Existing::Replace)?;
        files.push(file);
    }
    Ok(files)
}

/// Saves a picture in these formats; returns the files.
///
/// # Errors
///
/// A picture that cannot be drawn or written.
pub fn save(
    folder: &Path,
    picture: &Picture,
    formats: &[PictureFormat],
    paper: Paper,
) -> Result<Vec<PathBuf>, Vec<Problem>> {
    written(folder, &picture.name, &drawn(picture, formats, paper)?)
}
