//! `balance plot`: the pictures of a job.

use std::path::{Path, PathBuf};

use super::each::{EachShaft, Solved, each_shaft, refuse};
use super::open::target;
use crate::args::{PictureFormat, PlotArguments};
use crate::draw::{Scene, png, svg};
use crate::exit::Exit;
use crate::files::names::FileNames;
use crate::files::write::{Existing, write_file};
use crate::files::{Problem, shown_path};
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
        for (name, scene) in picture::all(&solved.view()) {
            let stem = if solved.many() { format!("{}-{name}", solved.answer.shaft) } else { name };
            match save(&folder, &self.names.of(&stem), &scene, self.arguments.format) {
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
    let mut files = Vec::new();
    let wrong = |error: crate::draw::RenderError| vec![Problem::of_file("picture", stem, error.to_string())];
    if format != PictureFormat::Png {
        let file = folder.join(format!("{stem}.svg"));
        write_file(&file, svg(scene).map_err(wrong)?.as_bytes(), Existing::Replace)?;
        files.push(file);
    }
    if format != PictureFormat::Svg {
        let file = folder.join(format!("{stem}.png"));
        write_file(&file, &png(scene, DOTS_PER_INCH).map_err(wrong)?, Existing::Replace)?;
        files.push(file);
    }
    Ok(files)
}
