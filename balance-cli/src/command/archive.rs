//! `balance archive …`: keep, find and check records.

use std::io::Write;
use std::path::{Path, PathBuf};

use clap::{Args, Subcommand};

use crate::archive::{
    Added, Archive, ArchiveFault, ImportStep, NewRecord, Opening, Query, Role, SqliteArchive, TypeReport,
    csv_of, default_place, import, json_of, line_of, lines_of_check, lines_of_record, lines_of_type,
};

/// Keep, find and check records of balanced shafts
#[derive(Debug, Args)]
pub struct ArchiveArguments {
    /// The archive's file, if not the usual one (also the environment variable BALANCE_ARCHIVE)
    #[arg(long, value_name = "FILE", global = true)]
    pub archive: Option<PathBuf>,
    /// What to do
    #[command(subcommand)]
    pub verb: ArchiveVerb,
}

/// What to do with the archive.
#[derive(Debug, Subcommand)]
pub enum ArchiveVerb {
    /// Store this job, with its report and pictures, as a record
    Add {
        /// The job's folder
        #[arg(default_value = ".")]
        folder: PathBuf,
        /// The record this one replaces
        #[arg(long, value_name = "RECORD")]
        supersedes: Option<i64>,
    },
    /// Take in a folder of old jobs; can be broken off and started again
    Import {
        /// The folder with the job folders in it
        folder: PathBuf,
    },
    /// The newest records, a line each
    List {
        /// At most so many
        #[arg(long, default_value_t = 20)]
        most: usize,
    },
    /// Find records by any words in any order, or by sizes such as 88.9mm 1385mm
    Find {
        /// Words and sizes
        #[arg(required = true)]
        words: Vec<String>,
        /// At most so many
        #[arg(long, default_value_t = 20)]
        most: usize,
    },
    /// One record: who, vehicle, marks, weights, verdict, speed, and what else it holds
    Show {
        /// The record's number
        record: i64,
        /// Write its files into this folder, which must not hold files of these names
        #[arg(long, value_name = "FOLDER")]
        into: Option<PathBuf>,
    },
    /// The stored report of a record
    Report {
        /// The record's number
        record: i64,
    },
    /// All records for other programs
    Export {
        /// A table with a row for each record, instead of JSON
        #[arg(long)]
        csv: bool,
    },
    /// How shafts of one type answer, how far they differ, and whether that changes over time
    Types {
        /// Only this type
        name: Option<String>,
    },
    /// Read everything and tell what was changed or damaged
    Check,
    /// Copy the whole archive into another file while it is in use
    Backup {
        /// The copy
        file: PathBuf,
    },
}

/// How the command ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ArchiveEnd {
    /// Done as asked.
    Done,
    /// Done, but something is wrong: a damaged record, a folder that could not be taken in.
    FoundFaults,
}

/// Why an archive command could not be done.
#[derive(Debug, thiserror::Error)]
pub enum ArchiveCommandFault {
    /// The archive says so.
    #[error(transparent)]
    Archive(#[from] ArchiveFault),
    /// The job cannot be made a record.
    #[error("{folder}: no record can be made of this job: {reason}")]
    Job {
        /// The job's folder.
        folder: String,
        /// Why.
        reason: String,
    },
    /// A record has no stored report.
    #[error("record {0} has no report in it")]
    NoReport(i64),
    /// Something cannot be written.
    #[error("cannot be written: {0}")]
    Writing(#[from] std::io::Error),
}

/// What the program around gives the command.
pub struct ArchiveSurroundings<'a> {
    /// Makes a record from a job's folder, or says why not.
    pub make: &'a mut dyn FnMut(&Path) -> Result<NewRecord, String>,
    /// Environment variables by name.
    pub variable: &'a dyn Fn(&str) -> Option<std::ffi::OsString>,
    /// Answers go here.
    pub out: &'a mut dyn Write,
    /// Progress and talk go here.
    pub talk: &'a mut dyn Write,
}

/// Runs an archive command.
///
/// # Errors
///
/// [`ArchiveCommandFault`]: nothing was stored that was not reported.
pub fn run(
    arguments: &ArchiveArguments,
    surroundings: &mut ArchiveSurroundings<'_>,
) -> Result<ArchiveEnd, ArchiveCommandFault> {
    let path = default_place(arguments.archive.clone(), surroundings.variable)?;
    match &arguments.verb {
        ArchiveVerb::Add { folder, supersedes } => add(&path, folder, *supersedes, surroundings),
        ArchiveVerb::Import { folder } => import_folder(&path, folder, surroundings),
        other => read(&SqliteArchive::open(&path, Opening::default())?, other, surroundings.out),
    }
}

fn add(
    path: &Path,
    folder: &Path,
    supersedes: Option<i64>,
    surroundings: &mut ArchiveSurroundings<'_>,
) -> Result<ArchiveEnd, ArchiveCommandFault> {
    let made = (surroundings.make)(folder);
    let mut record =
        made.map_err(|reason| ArchiveCommandFault::Job { folder: folder.display().to_string(), reason })?;
    record.supersedes = supersedes.or(record.supersedes);
    match SqliteArchive::open_or_create(path, Opening::default())?.add(&record)? {
        Added::Stored(id) => writeln!(surroundings.out, "record {id} stored")?,
        Added::AlreadyThere(id) => writeln!(surroundings.out, "this job is record {id} already")?,
    }
    Ok(ArchiveEnd::Done)
}

fn import_folder(
    path: &Path,
    folder: &Path,
    surroundings: &mut ArchiveSurroundings<'_>,
) -> Result<ArchiveEnd, ArchiveCommandFault> {
    let mut archive = SqliteArchive::open_or_create(path, Opening::default())?;
    let talk = &mut *surroundings.talk;
    let mut progress = |at: usize, all: usize, folder: &Path, step: &ImportStep| {
        let what = match step {
            ImportStep::Added(Added::Stored(id)) => format!("record {id}"),
            ImportStep::Added(Added::AlreadyThere(id)) => format!("record {id} already"),
            ImportStep::NotAJob(reason) => format!("left out: {reason}"),
        };
        // Talk that nobody hears is no reason to stop.
        let _ = writeln!(talk, "{at} of {all}  {}  {what}", folder.display());
    };
    let report = import(&mut archive, folder, surroundings.make, &mut progress)?;
    writeln!(
        surroundings.out,
        "{} stored, {} were there already, {} left out",
        report.stored,
        report.already_there,
        report.not_taken.len()
    )?;
    for (folder, reason) in &report.not_taken {
        writeln!(surroundings.out, "  {}: {reason}", folder.display())?;
    }
    Ok(if report.not_taken.is_empty() { ArchiveEnd::Done } else { ArchiveEnd::FoundFaults })
}

fn read(
    archive: &SqliteArchive,
    verb: &ArchiveVerb,
    out: &mut dyn Write,
) -> Result<ArchiveEnd, ArchiveCommandFault> {
    match verb {
        ArchiveVerb::List { most } => lines(out, archive.list(*most)?.iter().map(line_of))?,
        ArchiveVerb::Find { words, most } => {
            let found = archive.find(&Query::of(words), most.saturating_add(1))?;
            lines(out, found.iter().take(*most).map(line_of))?;
            match found.len() {
                0 => writeln!(out, "nothing found: fewer words, or a size such as 88.9mm, find more")?,
                more if more > *most => writeln!(out, "and more: another word narrows it down")?,
                _ => {}
            }
        }
        ArchiveVerb::Show { record, into } => {
            let record = archive.show(*record)?;
            lines(out, lines_of_record(&record))?;
            if let Some(folder) = into {
                write_files(&record, folder)?;
            }
        }
        ArchiveVerb::Report { record } => {
            let shown = archive.show(*record)?;
            let report = shown.files_of(Role::Report).next().ok_or(ArchiveCommandFault::NoReport(*record))?;
            out.write_all(&report.bytes)?;
        }
        ArchiveVerb::Export { csv: true } => {
            let mut all = archive.list(usize::MAX)?;
            all.reverse();
            out.write_all(csv_of(&all).as_bytes())?;
        }
        ArchiveVerb::Export { csv: false } => {
            let mut written = Ok(());
            archive.each(&mut |record| {
                if written.is_ok() {
                    written = writeln!(out, "{}", json_of(&record));
                }
                Ok(())
            })?;
            written?;
        }
        ArchiveVerb::Types { name } => {
            for history in archive.types(name.as_deref())? {
                lines(out, lines_of_type(&TypeReport::of(&history)))?;
            }
        }
        ArchiveVerb::Check => {
            let report = archive.check()?;
            lines(out, lines_of_check(&report))?;
            if !report.faults.is_empty() {
                return Ok(ArchiveEnd::FoundFaults);
            }
        }
        ArchiveVerb::Backup { file } => archive.back_up(file)?,
        ArchiveVerb::Add { .. } | ArchiveVerb::Import { .. } => {}
    }
    Ok(ArchiveEnd::Done)
}

fn lines(out: &mut dyn Write, lines: impl IntoIterator<Item = String>) -> std::io::Result<()> {
    lines.into_iter().try_for_each(|line| writeln!(out, "{line}"))
}

/// Writes a record's files; never over a file that is there, never outside the folder.
fn write_files(record: &crate::archive::Record, folder: &Path) -> std::io::Result<()> {
    std::fs::create_dir_all(folder)?;
    for file in &record.files {
        let Some(name) = Path::new(&file.name).file_name() else { continue };
        let mut new = std::fs::File::create_new(folder.join(name))?;
        new.write_all(&file.bytes)?;
    }
    Ok(())
}
