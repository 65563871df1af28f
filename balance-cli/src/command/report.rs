//! `balance report`: the record of a job as one HTML file.

use std::path::{Path, PathBuf};

use balance_core::answer::{Answer, Solver};
use balance_core::influence::Which;

use super::each::{problems_of, refuse};
use super::open::{Target, target};
use crate::args::{JobArguments, ReportArguments};
use crate::exit::Exit;
use crate::files::job::shop_file_above;
use crate::files::names::FileNames;
use crate::files::runs::{OpenRuns, RunsReader, ShaftRuns};
use crate::files::write::{Existing, folder_for_files, write_file};
use crate::files::{Problem, limits, now, read_below, read_bytes, shown_path};
use crate::report::{Digests, InputFile, Photo, Picture, ReportInput, RunsAsTyped, ShaftRecord, html};
use crate::streams::Streams;
use crate::view::View;

pub fn run(arguments: &ReportArguments, quiet: bool, streams: &mut Streams<'_>) -> std::io::Result<Exit> {
    let asked = JobArguments {
        job_or_runs: arguments.job_or_runs.clone(),
        job: arguments.job.clone(),
        json: false,
        drift: arguments.drift,
        shaft_type: arguments.shaft_type.clone(),
        archive: arguments.archive.clone(),
    };
    let target = match target(&asked) {
        Ok(target) => target,
        Err(problems) => return refuse(&problems, streams),
    };
    let (files, mut reader) = match open(&target) {
        Ok(opened) => opened,
        Err(problems) => return refuse(&problems, streams),
    };
    let folder = arguments.into.clone().unwrap_or_else(|| target.folder.clone());
    if let Err(problem) = folder_for_files(&folder) {
        return refuse(&[problem], streams);
    }
    let (mut exit, mut solver, mut names) = (None, Solver::default(), FileNames::default());
    while let Some(shaft) = reader.next() {
        let cautions = reader.cautions();
        let written = shaft.map_err(|faults| faults.problems).and_then(|runs| {
            let case = target.case(&runs, &cautions)?;
            let solved = solver.solve(&case);
            let answer = solved.map_err(|unsolved| problems_of(&target, &runs, &unsolved))?;
            let view = View::new(&answer, target.file.as_ref());
            let name = match &runs.shaft {
                Some(shaft) => format!("report-{}.html", names.of(shaft)),
                None => "report.html".to_owned(),
            };
            write_report(folder.join(name), &files, &runs, &view).map_err(|problem| vec![problem])
        });
        let own = match written {
            Ok(file) if !quiet => writeln!(streams.answer, "{}", shown_path(&file)).map(|()| Exit::Done)?,
            Ok(_) => Exit::Done,
            Err(problems) => refuse(&problems, streams)?,
        };
        exit = Some(exit.map_or(own, |before: Exit| before.worse(own)));
    }
    Ok(exit.unwrap_or(Exit::CouldNot))
}

/// What all shafts of a file share.
struct Files {
    digests: Digests,
    logo: Option<Picture>,
    photos: Vec<Photo>,
    made_at: String,
}

fn open(target: &Target) -> Result<(Files, OpenRuns), Vec<Problem>> {
    let files = read_files(target)?;
    let reader = RunsReader::open(&target.runs, target.file.as_ref())?;
    Ok((files, reader))
}

/// Reads everything that goes into the report as it is; every fault at once.
fn read_files(target: &Target) -> Result<Files, Vec<Problem>> {
    let mut pile = Pile::default();
    let (mut logo, mut photos) = (None, Vec::new());
    if let (Some(job), Some(file)) = (&target.file, &target.job_path) {
        pile.read(file);
        let folder = file.parent().unwrap_or(Path::new(""));
        let shop = shop_file_above(folder);
        if let Some(shop) = &shop {
            pile.read(shop);
        }
        let beside_shop = shop.as_deref().and_then(Path::parent).unwrap_or(folder);
        logo = job.paperwork.shop.logo.as_ref().and_then(|name| pile.picture(beside_shop, name));
        for photo in &job.paperwork.photos {
            let own = pile.picture(folder, &photo.file);
            photos.extend(own.map(|picture| Photo { words: photo.shows.clone(), picture }));
        }
    }
    pile.read(&target.runs);
    if pile.problems.is_empty() {
        let made_at = now()?.strftime("%Y-%m-%d %H:%M UTC").to_string();
        Ok(Files { digests: pile.digests, logo, photos, made_at })
    } else {
        Err(pile.problems)
    }
}

/// The files read so far, and what was wrong with any.
#[derive(Default)]
struct Pile {
    digests: Digests,
    problems: Vec<Problem>,
    /// What the pictures so far have together, in bytes.
    pictures: u64,
}

impl Pile {
    fn read(&mut self, path: &Path) {
        let bytes = read_bytes(path, limits::RUNS);
        self.note(path, bytes);
    }

    fn note(&mut self, path: &Path, read: Result<Vec<u8>, Problem>) -> Option<Vec<u8>> {
        match read {
            Ok(bytes) => {
                let name = path.file_name().map_or_else(String::new, |name| name.to_string_lossy().into());
                self.digests.files.push(InputFile::of(name, &bytes));
                Some(bytes)
            }
            Err(problem) => {
                self.problems.push(problem);
                None
            }
        }
    }

    /// A picture that a file in this folder names.
    fn picture(&mut self, folder: &Path, name: &str) -> Option<Picture> {
        let path = folder.join(name);
        let told = |found: String| {
            Problem::of_file("picture", shown_path(&path), found)
                .hinting("save it as PNG or JPEG, smaller than a mail".to_owned())
        };
        let bytes = self.note(&path, read_below(folder, name, limits::PICTURE))?;
        self.pictures += bytes.len() as u64;
        if self.pictures > limits::PICTURES {
            // Once is enough for all that follow.
            if self.pictures - bytes.len() as u64 <= limits::PICTURES {
                let found = "with it the pictures of this report are more than a mail takes";
                self.problems
                    .push(told(found.to_owned()).allowing(format!("{} bytes together", limits::PICTURES)));
            }
            return None;
        }
        Picture::of(&bytes).map_err(|fault| self.problems.push(told(fault.to_string()))).ok()
    }
}

/// The report of one shaft, as the archive keeps it.
///
/// # Errors
///
/// Every file that cannot be read or is no picture.
pub fn page_of(target: &Target, runs: &ShaftRuns, answer: &Answer) -> Result<String, Vec<Problem>> {
    Ok(page(&read_files(target)?, runs, &View::new(answer, target.file.as_ref())))
}

fn page(files: &Files, runs: &ShaftRuns, view: &View<'_>) -> String {
    let check = view.answer.before_spin.as_ref().map(|before| before.check.clone());
    html(&ReportInput {
        view,
        as_found: view.answer.verdict_on(Which::AsFound).ok(),
        shaft: ShaftRecord { photos: files.photos.clone(), ..ShaftRecord::of(view.file, check) },
        runs: as_typed(runs),
        logo: files.logo.clone(),
        made_at: files.made_at.clone(),
        version: env!("CARGO_PKG_VERSION"),
        digests: files.digests.clone(),
    })
}

fn write_report(file: PathBuf, files: &Files, runs: &ShaftRuns, view: &View<'_>) -> Result<PathBuf, Problem> {
    write_file(&file, page(files, runs, view).as_bytes(), Existing::Replace)?;
    Ok(file)
}

fn as_typed(runs: &ShaftRuns) -> RunsAsTyped {
    RunsAsTyped {
        file: runs.file.rsplit('/').next().unwrap_or_default().to_owned(),
        titles: runs.columns.titles.clone(),
        rows: runs.texts.iter().map(|texts| texts.cells.clone()).collect(),
    }
}
