//! `balance report`: the record of a job as one HTML file.

use std::collections::HashSet;
use std::path::{Path, PathBuf};

use balance_core::answer::{Answer, ShaftAnswer, Solver};
use balance_core::influence::Which;

use super::each::{problems_of, refuse};
use super::open::{Target, target};
use crate::args::{JobArguments, ReportArguments};
use crate::exit::Exit;
use crate::files::job::shop_file_of;
use crate::files::names::{FileNames, is_plain_file_name};
use crate::files::runs::{OpenRuns, RunsReader, ShaftRuns};
use crate::files::write::{Existing, folder_for_files, write_file};
use crate::files::{JobFile, Problem, limits, local, now, read_below, read_bytes, shown, shown_path};
use crate::paper::Paper;
use crate::programs::{self, Browser, Sandbox};
use crate::report::{
    BenchInput, Digests, InputFile, NotInside, Photo, Picture, ReportInput, RunsAsTyped, ShaftRecord,
    bench_html, html,
};
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
    let carry = if arguments.without_files { Carry::Digests } else { Carry::Files };
    let paper = arguments.paper.unwrap_or_else(|| target.paper());
    let (files, mut reader) = match open(&target, carry, paper) {
        Ok(opened) => opened,
        Err(problems) => return refuse(&problems, streams),
    };
    let folder = arguments.into.clone().unwrap_or_else(|| target.folder.clone());
    if let Err(problem) = folder_for_files(&folder) {
        return refuse(&[problem], streams);
    }
    if let (Some(NotInside::Because(reason)), false) = (&files.not_inside, quiet) {
        writeln!(streams.talk, "The job's files are not inside the report: {reason}.")?;
    }
    let browser = arguments.pdf.then(|| Browser::find(arguments.browser.as_deref()));
    if let Some(Ok(Browser { sandbox: Sandbox::OffForRoot, .. })) = &browser {
        writeln!(streams.talk, "The browser runs without its sandbox: it does not start with one as root.")?;
    }
    let (mut exit, mut solver, mut names) = (None, Solver::default(), FileNames::default());
    let mut all = Vec::new();
    while let Some(shaft) = reader.as_mut().and_then(Iterator::next) {
        let cautions = reader.as_ref().map(RunsReader::cautions).unwrap_or_default();
        if shaft.as_ref().is_ok_and(|runs| runs.runs.is_empty() && runs.waiting.is_empty())
            && target.file.is_some()
        {
            break;
        }
        let written = shaft.map_err(|faults| faults.problems).and_then(|runs| {
            let case = target.case(&runs, &cautions)?;
            let solved = solver.solve(&case);
            let answer = solved.map_err(|unsolved| problems_of(&target, &runs, &unsolved))?;
            let view = View::new(&answer, target.file.as_ref());
            let name = match &runs.shaft {
                Some(shaft) => format!("report-{}.html", names.of(shaft)),
                None => "report.html".to_owned(),
            };
            let file = folder.join(name);
            write_file(&file, page(&files, &runs, &view).as_bytes(), Existing::Replace)?;
            Ok(file)
        });
        let own = match written {
            Ok(file) => deliver(file, browser.as_ref(), quiet, &mut all, streams)?,
            Err(problems) => refuse(&problems, streams)?,
        };
        exit = Some(exit.map_or(own, |before: Exit| before.worse(own)));
    }
    // No run yet: the findings of the bench are all there is to say.
    if let (None, Some(file)) = (exit, &target.file) {
        let page = folder.join("report.html");
        exit =
            Some(match write_file(&page, bench_page(&files, &target, file).as_bytes(), Existing::Replace) {
                Ok(()) => deliver(page, browser.as_ref(), quiet, &mut all, streams)?,
                Err(problem) => refuse(&[problem], streams)?,
            });
    }
    let mut exit = exit.unwrap_or(Exit::CouldNot);
    if let Some(Err(problem)) = browser {
        exit = exit.worse(refuse(&[problem], streams)?);
    }
    if arguments.open
        && let Err(problem) = programs::show_all(&shown_of(&all, arguments.pdf), &folder)
    {
        exit = exit.worse(refuse(&[problem], streams)?);
    }
    Ok(exit)
}

/// Says which file was written, and prints it where that is asked.
fn deliver(
    page: PathBuf,
    browser: Option<&Result<Browser, Problem>>,
    quiet: bool,
    all: &mut Vec<PathBuf>,
    streams: &mut Streams<'_>,
) -> std::io::Result<Exit> {
    tell(&page, quiet, streams)?;
    let printed = match browser {
        Some(Ok(browser)) => Some(printed(browser, &page)),
        // What is missing is said once, by the caller.
        Some(Err(_)) | None => None,
    };
    all.push(page);
    match printed {
        Some(Ok(pdf)) => {
            tell(&pdf, quiet, streams)?;
            all.push(pdf);
            Ok(Exit::Done)
        }
        Some(Err(problem)) => refuse(&[problem], streams),
        None => Ok(Exit::Done),
    }
}

/// The record of the bench: of a shaft that was not read yet.
fn bench_page(files: &Files, target: &Target, file: &JobFile) -> String {
    let name = target.name();
    let answer = ShaftAnswer::new(&name, target.job(), None).ok();
    bench_html(&BenchInput {
        shaft: &name,
        file,
        answer: answer.as_ref(),
        photos: files.photos.clone(),
        logo: files.logo.clone(),
        made_at: files.made_at.clone(),
        version: env!("CARGO_PKG_VERSION"),
        digests: files.digests.clone(),
        paper: files.paper,
    })
}

/// What `--open` shows: with `--pdf` what was printed, else the pages.
fn shown_of(all: &[PathBuf], pdf: bool) -> Vec<PathBuf> {
    let ending = if pdf { "pdf" } else { "html" };
    all.iter().filter(|file| file.extension().is_some_and(|own| own == ending)).cloned().collect()
}

fn tell(file: &Path, quiet: bool, streams: &mut Streams<'_>) -> std::io::Result<()> {
    if quiet { Ok(()) } else { writeln!(streams.answer, "{}", shown_path(file)) }
}

/// Prints a report beside itself.
fn printed(browser: &Browser, page: &Path) -> Result<PathBuf, Problem> {
    let pdf = page.with_extension("pdf");
    write_file(&pdf, &browser.print(page)?, Existing::Replace)?;
    Ok(pdf)
}

/// What all shafts in a file share.
struct Files {
    digests: Digests,
    not_inside: Option<NotInside>,
    logo: Option<Picture>,
    photos: Vec<Photo>,
    paper: Paper,
    made_at: String,
}

/// Whether a report carries the files it was made from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Carry {
    /// It does, where that is possible.
    Files,
    /// Only their digests.
    Digests,
}

/// A job without a runs file has no reader: it is still on the bench.
fn open(target: &Target, carry: Carry, paper: Paper) -> Result<(Files, Option<OpenRuns>), Vec<Problem>> {
    if on_the_bench(target) {
        return Ok((Files { paper, ..read_files(target, Carry::Digests, false)? }, None));
    }
    let reader = RunsReader::open(&target.runs, target.file.as_ref())?;
    let many = reader.columns().has_shafts();
    Ok((Files { paper, ..read_files(target, carry, many)? }, Some(reader)))
}

fn on_the_bench(target: &Target) -> bool {
    target.file.is_some() && !target.runs.exists()
}

/// Reads everything that goes into the report unchanged; reports every fault at once.
fn read_files(target: &Target, carry: Carry, many: bool) -> Result<Files, Vec<Problem>> {
    let mut pile = Pile::default();
    let (mut logo, mut photos) = (None, Vec::new());
    if let (Some(job), Some(file)) = (&target.file, &target.job_path) {
        pile.read(file);
        let folder = file.parent().unwrap_or(Path::new(""));
        let shop = shop_file_of(folder);
        if let Some(shop) = &shop {
            pile.read(shop);
        }
        let beside_shop = shop.as_deref().and_then(Path::parent).unwrap_or(folder);
        logo = job.paperwork.shop.logo.as_ref().and_then(|name| pile.picture(beside_shop, name));
        for photo in &job.paperwork.photos {
            let own = pile.picture(folder, &photo.file);
            photos.extend(own.map(|picture| Photo { words: photo.shows.clone(), picture }));
        }
        if let Some(runout) = &job.paperwork.runout_file {
            pile.read(&folder.join(runout));
        }
    }
    if !on_the_bench(target) {
        pile.read(&target.runs);
    }
    if !pile.problems.is_empty() {
        return Err(pile.problems);
    }
    let not_inside = match (carry, pile.cannot_ride(many)) {
        (Carry::Digests, _) => Some(NotInside::AsAsked),
        (Carry::Files, reason) => reason.map(NotInside::Because),
    };
    if not_inside.is_some() {
        pile.digests.files.iter_mut().for_each(|file| file.text = None);
    }
    let made_at = local(now()?);
    Ok(Files { digests: pile.digests, not_inside, logo, photos, paper: target.paper(), made_at })
}

/// The files read so far, and their faults.
#[derive(Default)]
struct Pile {
    digests: Digests,
    problems: Vec<Problem>,
    /// The total size of the pictures so far, in bytes.
    pictures: u64,
    /// A file that lies deeper than the one that names it.
    deeper: Option<String>,
}

impl Pile {
    fn read(&mut self, path: &Path) {
        let bytes = read_bytes(path, limits::RUNS);
        if let Some(bytes) = self.note(path, bytes)
            && let Some(file) = self.digests.files.last_mut()
        {
            file.text = Some(bytes);
        }
    }

    fn note(&mut self, path: &Path, read: Result<Vec<u8>, Problem>) -> Option<Vec<u8>> {
        match read {
            Ok(bytes) => {
                let name = path.file_name().map_or_else(String::new, |name| name.to_string_lossy().into());
                let file = InputFile::of(name, &bytes);
                // A photograph that shows two things is one file.
                if !self.digests.files.contains(&file) {
                    self.digests.files.push(file);
                }
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
                .hinting("save it as PNG or JPEG, small enough to mail".to_owned())
        };
        let bytes = self.note(&path, read_below(folder, name, limits::PICTURE))?;
        self.pictures += bytes.len() as u64;
        if self.pictures > limits::PICTURES {
            // Reporting it once is enough.
            if self.pictures - bytes.len() as u64 <= limits::PICTURES {
                let found = "with this picture the report is too large to mail";
                self.problems
                    .push(told(found.to_owned()).allowing(format!("{} bytes together", limits::PICTURES)));
            }
            return None;
        }
        if !is_plain_file_name(name) {
            self.deeper.get_or_insert_with(|| name.to_owned());
        }
        Picture::of(&bytes).map_err(|fault| self.problems.push(told(fault.to_string()))).ok()
    }

    /// Why these files cannot be written into one new folder and give the same record again.
    fn cannot_ride(&self, many: bool) -> Option<String> {
        let files = &self.digests.files;
        let mut names = HashSet::new();
        let twice = files.iter().find(|file| !names.insert(file.name.to_lowercase()));
        let odd = files.iter().find(|file| !is_plain_file_name(&file.name)).map(|file| &file.name);
        let size: u64 = files.iter().map(|file| file.size as u64).sum();
        if many {
            Some("the runs file holds other shafts too".into())
        } else if let Some(deeper) = self.deeper.as_ref().or(odd) {
            Some(format!("{} is not a plain file name; a picture has to lie beside job.toml", shown(deeper)))
        } else if let Some(twice) = twice {
            Some(format!("two of them are called {}", shown(&twice.name)))
        } else if size > limits::CARRIED {
            Some(format!("they have {size} bytes together, at most {} fit", limits::CARRIED))
        } else {
            None
        }
    }
}

/// The report of one shaft, as the archive keeps it.
///
/// # Errors
///
/// Every file that cannot be read or is not a picture.
pub fn page_of(target: &Target, runs: &ShaftRuns, answer: &Answer) -> Result<String, Vec<Problem>> {
    let many = runs.shaft.is_some();
    Ok(page(&read_files(target, Carry::Files, many)?, runs, &View::new(answer, target.file.as_ref())))
}

fn page(files: &Files, runs: &ShaftRuns, view: &View<'_>) -> String {
    let check = view.answer.before_spin.as_ref().map(|before| before.check.clone());
    html(&ReportInput {
        view,
        as_found: view.answer.verdict_on(Which::AsFound).ok(),
        shaft: ShaftRecord { photos: files.photos.clone(), ..ShaftRecord::of(view.file, check) },
        runs: as_typed(runs),
        logo: files.logo.clone(),
        paper: files.paper,
        made_at: files.made_at.clone(),
        version: env!("CARGO_PKG_VERSION"),
        digests: files.digests.clone(),
        not_inside: files.not_inside.clone(),
    })
}

fn as_typed(runs: &ShaftRuns) -> RunsAsTyped {
    RunsAsTyped {
        file: runs.file.rsplit('/').next().unwrap_or_default().to_owned(),
        titles: runs.columns.titles.clone(),
        rows: runs.texts.iter().map(|texts| texts.cells.clone()).collect(),
    }
}
