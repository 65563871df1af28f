//! `balance archive …`: keep, find and check records.

use std::io::Write;
use std::path::{Path, PathBuf};

use clap::{Args, Subcommand};

use balance_core::quantity::Units;

use crate::archive::{
    Added, Archive, ArchiveFault, CheckFault, CheckReport, ImportReport, ImportStep, NewRecord, Opening,
    Query, Record, RecordLine, Role, RowForm, Seal, SqliteArchive, csv_of, default_place, expected, import,
    is_before, json_of, json_of_check, json_of_line, json_of_type, json_whole, keep_seal, line_of,
    lines_of_check, lines_of_record, lines_of_type, read_seals, response_rows, run_rows, seals_place,
    type_report, write_files,
};
use crate::files::job::{shop_file_here_or_above, units_here};
use crate::files::{Problem, now, render_all, shown_path};

/// Keep, find and check records of balanced shafts
#[derive(Debug, Args)]
pub struct ArchiveArguments {
    /// Use this archive file instead of the usual one (also the environment variable BALANCE_ARCHIVE)
    #[arg(long, value_name = "FILE", global = true)]
    pub archive: Option<PathBuf>,
    /// Answer as JSON, one object per line
    #[arg(long, global = true)]
    pub json: bool,
    /// What to do
    #[command(subcommand)]
    pub verb: ArchiveVerb,
}

/// Where several records match, at most this many are offered.
const MOST_OFFERED: usize = 10;

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
    /// Take in a folder of old jobs and reports; can be interrupted and started again
    Import {
        /// The folder with the job folders and reports in it, or one report
        #[arg(value_name = "FOLDER|REPORT.html")]
        folder: PathBuf,
    },
    /// List the newest records, one per line
    List {
        /// Show at most this many
        #[arg(long, default_value_t = 20)]
        most: usize,
    },
    /// Find records by words in any order, or by sizes such as 88.9mm 1385mm
    Find {
        /// Words and sizes
        #[arg(required = true)]
        words: Vec<String>,
        /// Show at most this many
        #[arg(long, default_value_t = 20)]
        most: usize,
    },
    /// Show one record: who, vehicle, marks, weights, verdict, speed and its other contents
    Show {
        /// The record's number, the job's number, the shaft's tag, or any words that only this record has
        #[arg(required = true, value_name = "RECORD|WORDS")]
        record: Vec<String>,
        /// Write its files into this folder, which must not contain files with these names
        #[arg(long, value_name = "FOLDER")]
        into: Option<PathBuf>,
    },
    /// Print the stored report of a record
    Report {
        /// The record's number, the job's number, the shaft's tag, or any words that only this record has
        #[arg(required = true, value_name = "RECORD|WORDS")]
        record: Vec<String>,
    },
    /// Print everything for other programs: one JSON object a record with every byte, or a table
    Export {
        /// Print a table as CSV (without --table: of the records)
        #[arg(long)]
        csv: bool,
        /// Print a table with the same columns in every row: one row a record, a run, or a coefficient
        #[arg(long, value_name = "TABLE")]
        table: Option<ExportTable>,
    },
    /// Show how shafts of one type respond, how far they differ, and whether that changes over time
    Types {
        /// Only this type
        name: Option<String>,
    },
    /// Read everything and report what was changed or damaged
    Check {
        /// A digest that was written down, which one of the records must have
        #[arg(long, value_name = "DIGEST")]
        expect: Option<String>,
        /// The file with the seals [default: seals.csv beside the nearest shop.toml]
        #[arg(long, value_name = "FILE")]
        seals: Option<PathBuf>,
    },
    /// Print the newest record's digest, to write down or mail, and keep it in seals.csv: a later check compares with it
    Seal {
        /// The file with the seals [default: seals.csv beside the nearest shop.toml]
        #[arg(long, value_name = "FILE")]
        seals: Option<PathBuf>,
    },
    /// Copy the whole archive into another file while it is in use
    Backup {
        /// The copy
        file: PathBuf,
    },
}

/// A table for other programs.
#[derive(Debug, Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
pub enum ExportTable {
    /// One row a record: what stands on its line
    Records,
    /// One row a run: what was on the shaft and what the dials showed
    Runs,
    /// One row for each plane, sensor and speed of a record: how the shaft responds
    Responses,
}

/// How the command ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ArchiveEnd {
    /// Done as asked.
    Done,
    /// Done, but something is wrong: a damaged record, a folder that could not be imported.
    FoundFaults,
}

/// Why an archive command failed.
#[derive(Debug, thiserror::Error)]
pub enum ArchiveCommandFault {
    /// The archive's own reason.
    #[error(transparent)]
    Archive(#[from] ArchiveFault),
    /// No record can be made from the job.
    #[error("{folder}: no record can be made from this job: {reason}")]
    Job {
        /// The job's folder.
        folder: String,
        /// Why.
        reason: String,
    },
    /// The place for the seals is not known.
    #[error("no shop.toml here or above: name the file for the seals with --seals FILE")]
    NoSeals,
    /// An archive without records.
    #[error("there is no record to seal yet")]
    NothingToSeal,
    /// No record matches the words.
    #[error("no record matches `{0}`; fewer words find more: balance archive find {0}")]
    NothingFits(String),
    /// More than one record matches the words.
    #[error("several records match `{words}`; name one by its number:\n{lines}")]
    SeveralFit {
        /// What was typed.
        words: String,
        /// The records, one per line.
        lines: String,
    },
    /// A record has no stored report.
    #[error("record {0} contains no report")]
    NoReport(i64),
    /// A record's files cannot be written out.
    #[error("{}", render_all(.0).trim_end())]
    Files(Vec<Problem>),
    /// The answer cannot be written.
    #[error("cannot be written: {0}")]
    Writing(#[from] std::io::Error),
}

/// How answers are given.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum AnswerForm {
    /// For people.
    Text,
    /// One JSON object per line, for programs.
    Json,
}

/// What the command gets from the program.
pub struct ArchiveSurroundings<'a> {
    /// Makes a record from a job's folder or from a report that carries its files, or says why not.
    pub make: &'a mut dyn FnMut(&Path) -> Result<NewRecord, String>,
    /// Environment variables by name.
    pub variable: &'a dyn Fn(&str) -> Option<std::ffi::OsString>,
    /// How answers are given.
    pub form: AnswerForm,
    /// Answers go here.
    pub out: &'a mut dyn Write,
    /// Progress messages go here.
    pub talk: &'a mut dyn Write,
}

/// Runs an archive command.
///
/// # Errors
///
/// [`ArchiveCommandFault`]; everything that was stored has been reported.
pub fn run(
    arguments: &ArchiveArguments,
    surroundings: &mut ArchiveSurroundings<'_>,
) -> Result<ArchiveEnd, ArchiveCommandFault> {
    let path = default_place(arguments.archive.clone(), surroundings.variable)?;
    match &arguments.verb {
        ArchiveVerb::Add { folder, supersedes } => add(&path, folder, *supersedes, surroundings),
        ArchiveVerb::Import { folder } => import_folder(&path, folder, surroundings),
        verb => {
            let archive = SqliteArchive::open(&path, Opening::default())?;
            Reading { archive, form: surroundings.form, units: units_here() }.run(
                verb,
                surroundings.out,
                surroundings.talk,
            )
        }
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
        made.map_err(|reason| ArchiveCommandFault::Job { folder: shown_path(folder), reason })?;
    record.supersedes = supersedes.or(record.supersedes);
    let mut archive = open_to_add(path, surroundings.talk)?;
    let newest = archive.list(1)?.pop();
    let added = archive.add(&record)?;
    if let Some(newest) = newest.filter(|newest| is_before(&record.made_at, &newest.made_at)) {
        writeln!(
            surroundings.talk,
            "TAKE CARE: this computer's clock says {}, but the newest record is from {}: is the clock \
            right?",
            record.made_at, newest.made_at
        )?;
    }
    let id = added.id();
    match (surroundings.form, added) {
        (AnswerForm::Text, Added::Stored(_)) => writeln!(surroundings.out, "record {id} stored")?,
        (AnswerForm::Text, Added::AlreadyThere(_)) => {
            writeln!(surroundings.out, "this job is already record {id}")?;
        }
        (AnswerForm::Json, _) => {
            let new = matches!(added, Added::Stored(_));
            writeln!(surroundings.out, "{}", serde_json::json!({"record": id, "stored_now": new}))?;
        }
    }
    Ok(ArchiveEnd::Done)
}

/// So often it is said how far the packing of an older archive is.
const FILES_BETWEEN_WORDS: u64 = 5000;

/// Opens the archive to add to it. Packing one of an older version takes minutes if it is large.
fn open_to_add(path: &Path, talk: &mut dyn Write) -> Result<SqliteArchive, ArchiveFault> {
    SqliteArchive::open_or_create_telling(path, Opening::default(), &mut |done, all| {
        if done == 1 || done % FILES_BETWEEN_WORDS == 0 {
            // A message that cannot be shown is no reason to stop.
            let _ = writeln!(talk, "packing the archive's files, once: {done} of {all}");
        }
    })
}

fn import_folder(
    path: &Path,
    folder: &Path,
    surroundings: &mut ArchiveSurroundings<'_>,
) -> Result<ArchiveEnd, ArchiveCommandFault> {
    let mut archive = open_to_add(path, surroundings.talk)?;
    let talk = &mut *surroundings.talk;
    let mut progress = |at: usize, all: usize, folder: &Path, step: &ImportStep| {
        let what = match step {
            ImportStep::Added(Added::Stored(id)) => format!("record {id}"),
            ImportStep::Added(Added::AlreadyThere(id)) => format!("already record {id}"),
            ImportStep::NotAJob(reason) => format!("left out: {reason}"),
        };
        // A message that cannot be shown is no reason to stop.
        let _ = writeln!(talk, "{at} of {all}  {}  {what}", shown_path(folder));
    };
    let report = import(&mut archive, folder, surroundings.make, &mut progress)?;
    write_import(&report, surroundings.form, surroundings.out)?;
    Ok(if report.not_taken.is_empty() { ArchiveEnd::Done } else { ArchiveEnd::FoundFaults })
}

fn write_import(report: &ImportReport, form: AnswerForm, out: &mut dyn Write) -> std::io::Result<()> {
    let (stored, there) = (report.stored, report.already_there);
    if form == AnswerForm::Json {
        let left_out = report.not_taken.iter().map(
            |(folder, reason)| serde_json::json!({"folder": folder.display().to_string(), "reason": reason}),
        );
        let left_out: Vec<serde_json::Value> = left_out.collect();
        let all = serde_json::json!({"stored": stored, "already_there": there, "left_out": left_out});
        return writeln!(out, "{all}");
    }
    writeln!(out, "{stored} stored, {there} already there, {} left out", report.not_taken.len())?;
    report
        .not_taken
        .iter()
        .try_for_each(|(folder, reason)| writeln!(out, "  {}: {reason}", shown_path(folder)))
}

/// The commands that only read.
struct Reading {
    archive: SqliteArchive,
    form: AnswerForm,
    /// The units of the shop it is read in.
    units: Units,
}

impl Reading {
    fn run(
        &self,
        verb: &ArchiveVerb,
        out: &mut dyn Write,
        talk: &mut dyn Write,
    ) -> Result<ArchiveEnd, ArchiveCommandFault> {
        match verb {
            ArchiveVerb::List { most } => lines(out, self.each_on_a_line(&self.archive.list(*most)?))?,
            ArchiveVerb::Find { words, most } => self.find(words, *most, out)?,
            ArchiveVerb::Show { record, into } => self.show(&self.named(record)?, into.as_deref(), out)?,
            ArchiveVerb::Report { record } => {
                let shown = self.named(record)?;
                let report = shown.files_of(Role::Report).next();
                out.write_all(&report.ok_or(ArchiveCommandFault::NoReport(shown.line.id))?.bytes)?;
            }
            ArchiveVerb::Export { csv: false, table: None } => self.export(out)?,
            ArchiveVerb::Export { csv, table } => {
                let form = if *csv { RowForm::Csv } else { RowForm::Ndjson };
                return self.export_table(table.unwrap_or(ExportTable::Records), form, out, talk);
            }
            ArchiveVerb::Types { name } => {
                for history in self.archive.types(name.as_deref())? {
                    let report = type_report(&history);
                    match self.form {
                        AnswerForm::Text => lines(out, lines_of_type(&report))?,
                        AnswerForm::Json => writeln!(out, "{}", json_of_type(&report))?,
                    }
                }
            }
            ArchiveVerb::Check { expect, seals } => {
                return self.check(expect.as_deref(), seals.as_deref(), out);
            }
            ArchiveVerb::Seal { seals } => return self.seal(seals.as_deref(), out),
            ArchiveVerb::Backup { file } => self.archive.back_up(file)?,
            // These two write and are handled elsewhere.
            ArchiveVerb::Add { .. } | ArchiveVerb::Import { .. } => {}
        }
        Ok(ArchiveEnd::Done)
    }

    fn each_on_a_line(&self, records: &[RecordLine]) -> Vec<String> {
        let line = |line: &RecordLine| match self.form {
            AnswerForm::Json => json_of_line(line),
            AnswerForm::Text => line_of(line, self.units),
        };
        records.iter().map(line).collect()
    }

    fn find(&self, words: &[String], most: usize, out: &mut dyn Write) -> Result<(), ArchiveCommandFault> {
        let found = self.archive.find(&Query::of(words), most.saturating_add(1))?;
        lines(out, self.each_on_a_line(&found[..found.len().min(most)]))?;
        match (self.form, found.len()) {
            (AnswerForm::Text, 0) => {
                writeln!(out, "nothing found: try fewer words, or a size such as 88.9mm")?;
            }
            (AnswerForm::Text, all) if all > most => {
                writeln!(out, "there are more: another word narrows the search")?;
            }
            _ => {}
        }
        Ok(())
    }

    /// The record that was named: digits alone are first taken as a record's number; then as a job's number
    /// or a tag, where the newest record counts; then any words that only one record has.
    fn named(&self, typed: &[String]) -> Result<Record, ArchiveCommandFault> {
        let words = typed.join(" ");
        let mut nothing = None;
        if let Ok(id) = words.trim().parse() {
            match self.archive.show(id) {
                Err(fault @ ArchiveFault::NoSuchRecord { .. }) => nothing = Some(fault),
                found => return Ok(found?),
            }
        }
        let mut found = self.archive.find(&Query::of(typed), MOST_OFFERED)?;
        if nothing.is_some() {
            // Digits that only begin a word, such as a year, are not a name.
            found.retain(|line| has_word(line, words.trim()));
        }
        let is_its_name = |line: &&RecordLine| {
            [&line.number, &line.tag].into_iter().any(|name| name.trim().eq_ignore_ascii_case(words.trim()))
        };
        match (found.iter().find(is_its_name), found.as_slice()) {
            (Some(line), _) | (None, [line]) => Ok(self.archive.show(line.id)?),
            (None, []) => Err(nothing.map_or(ArchiveCommandFault::NothingFits(words), Into::into)),
            (None, several) => {
                let lines =
                    several.iter().map(|line| line_of(line, self.units)).collect::<Vec<String>>().join("\n");
                Err(ArchiveCommandFault::SeveralFit { words, lines })
            }
        }
    }

    fn show(
        &self,
        record: &Record,
        into: Option<&Path>,
        out: &mut dyn Write,
    ) -> Result<(), ArchiveCommandFault> {
        match self.form {
            AnswerForm::Text => lines(out, lines_of_record(record, self.units))?,
            AnswerForm::Json => writeln!(out, "{}", json_of(record))?,
        }
        if let Some(folder) = into {
            write_files(record, folder).map_err(ArchiveCommandFault::Files)?;
        }
        Ok(())
    }

    fn export(&self, out: &mut dyn Write) -> Result<(), ArchiveCommandFault> {
        let mut written = Ok(());
        self.archive.each(&mut |record| {
            if written.is_ok() {
                written = writeln!(out, "{}", json_whole(&record));
            }
            Ok(())
        })?;
        Ok(written?)
    }

    /// One table; records that cannot be read are named, the others are there.
    fn export_table(
        &self,
        table: ExportTable,
        form: RowForm,
        out: &mut dyn Write,
        talk: &mut dyn Write,
    ) -> Result<ArchiveEnd, ArchiveCommandFault> {
        let mut written = Ok(());
        let mut take = |rows: &str| {
            if written.is_ok() {
                written = out.write_all(rows.as_bytes());
            }
        };
        let left_out = match table {
            ExportTable::Records => {
                let mut all = self.archive.list(usize::MAX)?;
                all.reverse();
                match form {
                    RowForm::Csv => take(&csv_of(&all)),
                    RowForm::Ndjson => all.iter().for_each(|line| take(&(json_of_line(line) + "\n"))),
                }
                Vec::new()
            }
            ExportTable::Runs => run_rows(&self.archive, form, &mut take)?,
            ExportTable::Responses => response_rows(&self.archive, form, &mut take)?,
        };
        written?;
        for (record, reason) in &left_out {
            writeln!(talk, "record {record} left out: {}", reason.trim_end())?;
        }
        Ok(if left_out.is_empty() { ArchiveEnd::Done } else { ArchiveEnd::FoundFaults })
    }

    fn check(
        &self,
        expect: Option<&str>,
        seals: Option<&Path>,
        out: &mut dyn Write,
    ) -> Result<ArchiveEnd, ArchiveCommandFault> {
        let report = self.checked(expect, seals)?;
        match self.form {
            AnswerForm::Text => lines(out, lines_of_check(&report))?,
            AnswerForm::Json => writeln!(out, "{}", json_of_check(&report))?,
        }
        Ok(if report.faults.is_empty() { ArchiveEnd::Done } else { ArchiveEnd::FoundFaults })
    }

    /// Checks the archive itself, against a digest that was written down, and against its seals.
    fn checked(
        &self,
        expect: Option<&str>,
        seals: Option<&Path>,
    ) -> Result<CheckReport, ArchiveCommandFault> {
        let mut report = self.archive.check()?;
        // If not even the records can be listed, the check has already said so.
        let records = self.archive.list(usize::MAX).unwrap_or_default();
        match expect.map(|digest| expected(digest, &records)) {
            Some(Ok(record)) => report.notes.push(format!("record {record} has the expected digest")),
            Some(Err(fault)) => report.faults.push(fault),
            None => {}
        }
        let file = seals_place(seals, shop_file_here_or_above().as_deref());
        let kept = file
            .as_deref()
            .map(read_seals)
            .transpose()
            .map_err(ArchiveCommandFault::Files)?
            .unwrap_or_default();
        let broken: Vec<CheckFault> = kept.iter().filter_map(|seal| seal.broken(&records)).collect();
        match (kept.last(), file) {
            (Some(last), Some(file)) if broken.is_empty() => report.notes.push(format!(
                "record {} and all before it are as they were sealed on {} ({})",
                last.record,
                last.date,
                shown_path(&file)
            )),
            (Some(_), _) => {}
            (None, _) => report.notes.push(
                "no seal to compare with, so removed newer records or an older archive would not be \
                 noticed (balance archive seal makes one)"
                    .into(),
            ),
        }
        report.faults.extend(broken);
        Ok(report)
    }

    /// Seals the archive, if it is sound and matches its earlier seal.
    fn seal(&self, seals: Option<&Path>, out: &mut dyn Write) -> Result<ArchiveEnd, ArchiveCommandFault> {
        let report = self.checked(None, seals)?;
        if !report.faults.is_empty() {
            lines(out, lines_of_check(&report))?;
            return Ok(ArchiveEnd::FoundFaults);
        }
        let file =
            seals_place(seals, shop_file_here_or_above().as_deref()).ok_or(ArchiveCommandFault::NoSeals)?;
        let newest = self.archive.list(1)?.pop().ok_or(ArchiveCommandFault::NothingToSeal)?;
        let date = now().map_err(|problem| ArchiveCommandFault::Files(vec![problem]))?;
        let date = date.strftime("%Y-%m-%dT%H:%M:%SZ").to_string();
        let seal = Seal { record: newest.id, digest: newest.digest, date };
        keep_seal(&file, &seal).map_err(ArchiveCommandFault::Files)?;
        let (record, digest, date, file) =
            (seal.record, seal.digest.to_string(), seal.date, shown_path(&file));
        match self.form {
            AnswerForm::Json => {
                let all = serde_json::json!({
                    "format": "balance-seal/1", "record": record, "sha256": digest, "date": date, "file": file
                });
                writeln!(out, "{all}")?;
            }
            AnswerForm::Text => writeln!(
                out,
                "record {record}\ndigest {digest}\ndate   {date}\nkept in {file}; also write it down or \
                 mail it: anyone who can write both files can forge both"
            )?,
        }
        Ok(ArchiveEnd::Done)
    }
}

/// Whether number, tag, customer or vehicle contain this whole word.
fn has_word(line: &RecordLine, word: &str) -> bool {
    let words = |text: &str| text.split(|letter: char| !letter.is_alphanumeric()).any(|own| own == word);
    [&line.number, &line.tag, &line.customer, &line.unit].into_iter().any(|text| words(text))
}

fn lines(out: &mut dyn Write, lines: impl IntoIterator<Item = String>) -> std::io::Result<()> {
    lines.into_iter().try_for_each(|line| writeln!(out, "{line}"))
}
