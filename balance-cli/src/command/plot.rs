//! `balance plot`: the pictures of a job.

use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicUsize, Ordering};

use super::each::{EachShaft, Solved, each_shaft, refuse};
use super::open::target;
use crate::args::{PictureFormat, PlotArguments};
use crate::draw::{Scene, png, svg};
use crate::exit::Exit;
use crate::files::names::FileNames;
use crate::files::write::{Existing, folder_for_files, write_file};
use crate::files::{Problem, shown_path};
use crate::page::Progress;
use crate::picture;
use crate::streams::Streams;

/// Fine enough to print a picture at twice its size.
const DOTS_PER_INCH: f64 = 300.0;

pub fn run(arguments: &PlotArguments, quiet: bool, streams: &mut Streams<'_>) -> std::io::Result<Exit> {
    match target(&arguments.job) {
        Ok(target) => {
            each_shaft(&target, &mut Plot { arguments, quiet, names: FileNames::default() }, streams)
        }
        Err(problems) => refuse(&problems, streams),
    }
}

struct Plot<'a> {
    arguments: &'a PlotArguments,
    quiet: bool,
    names: FileNames,
}

impl EachShaft for Plot<'_> {
    fn answer(&mut self, solved: &Solved<'_>, streams: &mut Streams<'_>) -> std::io::Result<Exit> {
        let folder = self.arguments.into.clone().unwrap_or_else(|| solved.target.folder.clone());
        if let Err(problem) = folder_for_files(&folder) {
            return refuse(&[problem], streams);
        }
        let pictures = picture::all(&solved.view());
        let progress = !self.quiet && streams.page.progress() == Progress::Shown;
        let all = pictures.len();
        if progress {
            write!(streams.talk, "drawing {all} pictures ")?;
        }
        let sheets = all_drawn(&pictures, self.arguments.format, &mut || {
            // Progress that nobody hears is no reason to stop.
            let _ =
                if progress { write!(streams.talk, ".").and_then(|()| streams.talk.flush()) } else { Ok(()) };
        });
        if progress {
            writeln!(streams.talk)?;
        }
        for ((name, _), sheets) in pictures.iter().zip(sheets) {
            let stem = if solved.many() { format!("{}-{name}", solved.answer.shaft) } else { name.clone() };
            match sheets.and_then(|sheets| written(&folder, &self.names.of(&stem), &sheets)) {
                Ok(files) if !self.quiet => {
                    for file in files {
                        writeln!(streams.answer, "{}", shown_path(&file))?;
                    }
                }
                Ok(_) => {}
                Err(problems) => return refuse(&problems, streams),
            }
        }
        Ok(Exit::Done)
    }
}

/// A picture as the bytes of its files, by their ending.
type Sheets = Vec<(&'static str, Vec<u8>)>;

/// Draws all pictures, as many at a time as the machine has cores, and tells after each that it is done.
fn all_drawn(
    pictures: &[(String, Scene)],
    format: PictureFormat,
    note: &mut dyn FnMut(),
) -> Vec<Result<Sheets, Vec<Problem>>> {
    let next = AtomicUsize::new(0);
    let hands = std::thread::available_parallelism().map_or(1, usize::from).min(pictures.len());
    let (finished, results) = std::sync::mpsc::channel();
    let mut all: Vec<_> = pictures
        .iter()
        .map(|(name, _)| Err(vec![Problem::of_file("picture", name.as_str(), "was not drawn")]))
        .collect();
    std::thread::scope(|scope| {
        for _ in 0..hands {
            let (finished, next) = (finished.clone(), &next);
            scope.spawn(move || {
                // The last pictures are the strips, the largest sheets: they come first.
                while let Some(at) = pictures.len().checked_sub(1 + next.fetch_add(1, Ordering::Relaxed)) {
                    let (name, scene) = &pictures[at];
                    if finished.send((at, drawn(name, scene, format))).is_err() {
                        break;
                    }
                }
            });
        }
        drop(finished);
        for (at, sheets) in results {
            all[at] = sheets;
            note();
        }
    });
    all
}

fn drawn(stem: &str, scene: &Scene, format: PictureFormat) -> Result<Sheets, Vec<Problem>> {
    let wrong = |error: crate::draw::RenderError| vec![Problem::of_file("picture", stem, error.to_string())];
    let mut sheets = Sheets::new();
    if format != PictureFormat::Png {
        sheets.push(("svg", svg(scene).map_err(wrong)?.into_bytes()));
    }
    if format != PictureFormat::Svg {
        sheets.push(("png", png(scene, DOTS_PER_INCH).map_err(wrong)?));
    }
    Ok(sheets)
}

fn written(folder: &Path, stem: &str, sheets: &Sheets) -> Result<Vec<PathBuf>, Vec<Problem>> {
    let mut files = Vec::new();
    for (ending, bytes) in sheets {
        let file = folder.join(format!("{stem}.{ending}"));
        write_file(&file, bytes, Existing::Replace)?;
        files.push(file);
    }
    Ok(files)
}

/// Saves a picture as SVG, PNG or both; returns the files.
///
/// # Errors
///
/// A picture that cannot be drawn or written.
pub fn save(
    folder: &Path,
    stem: &str,
    scene: &Scene,
    format: PictureFormat,
) -> Result<Vec<PathBuf>, Vec<Problem>> {
    written(folder, stem, &drawn(stem, scene, format)?)
}
