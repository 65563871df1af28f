//! What can be typed after `balance`.

use std::path::PathBuf;

use balance_core::answer::Insist;
use balance_core::influence::Which;
use balance_core::run::RunKind;
use clap::{Args, Parser, Subcommand, ValueEnum};

use crate::command::archive::ArchiveArguments;
use crate::paper::Paper;
use crate::picture::PictureKind;

/// Correction masses and an honest verdict for welded-tube drive shafts.
#[derive(Debug, Parser)]
#[command(
    name = "balance",
    version,
    about = "Correction masses and an honest verdict for welded-tube drive shafts",
    before_help = crate::help::DRAWING,
    after_help = crate::help::FIRST_STEPS,
    disable_help_subcommand = true,
    max_term_width = 100,
    arg_required_else_help = true
)]
pub struct Arguments {
    /// Print only the answer, no progress messages
    #[arg(long, short, global = true)]
    pub quiet: bool,
    /// What to do
    #[command(subcommand)]
    pub command: Command,
}

/// The verbs, in the order in which a job needs them.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Make a folder for a shaft, with a job file to fill in
    New(NewArguments),
    /// Guide me through the job at the stand, one question at a time
    Stand(StandArguments),
    /// Show which weights to put where, from the runs read so far
    Correct(CorrectArguments),
    /// Show whether the shaft meets its grade, from the check run
    Verify(VerifyArguments),
    /// Write the record of a job: one HTML file to print, mail and keep
    Report(ReportArguments),
    /// Write the files inside a report into a new folder, byte for byte
    Reopen(ReopenArguments),
    /// Keep, find and check records of balanced shafts
    Archive(ArchiveArguments),
    /// Show how much may be left, and what that means for this shaft
    Limits(JobArguments),
    /// Check the shaft before it spins: critical speed, runout, joints, inspection
    Shaft(ShaftArguments),
    /// Draw the readings, what is left, and the tube with its weights
    Plot(PlotArguments),
    /// Make a reading out of a recording: a pulse for each turn and a signal for each sensor
    Extract(ExtractArguments),
    /// Prove the stand: what it can reach, and what follows for verdicts
    Prove(ProveArguments),
    /// Find out what went wrong when a run does not fit the others
    Explain(JobArguments),
    /// Print everything an answer depends on, for other programs that use the library
    #[command(hide = true)]
    Job(JobArguments),
    /// Work through an invented shaft of the demo workshop, with its files
    Demo(DemoArguments),
    /// Write a completion script for a shell
    #[command(hide = true)]
    Completions {
        /// Which shell
        shell: clap_complete::Shell,
    },
    /// Write the manual page
    #[command(hide = true)]
    Manual,
}

/// Which job a command works on.
#[derive(Debug, Args, Clone)]
pub struct JobArguments {
    /// A job's folder, or a runs file on its own [default: the current folder]
    pub job_or_runs: Option<PathBuf>,
    /// Use this job file; a runs file may be named as well
    #[arg(long, value_name = "FILE")]
    pub job: Option<PathBuf>,
    /// Answer as JSON, one object per line
    #[arg(long)]
    pub json: bool,
    /// Allow for drift in the readings from run to run
    #[arg(long)]
    pub drift: bool,
    /// Start from the response of sister shafts of this type (from the archive)
    #[arg(long = "type", value_name = "NAME")]
    pub shaft_type: Option<String>,
    /// Use this archive file instead of the usual one
    #[arg(long, value_name = "FILE")]
    pub archive: Option<PathBuf>,
}

/// `balance stand`.
#[derive(Debug, Args)]
pub struct StandArguments {
    /// The job's folder; made if it does not exist yet [default: the current folder]
    pub job: Option<PathBuf>,
    /// For a shaft that comes back, or a sister shaft: the folder of the earlier job, or the number of its
    /// record
    #[arg(long, value_name = "FOLDER|RECORD")]
    pub from: Option<PathBuf>,
    /// Use this archive file instead of the usual one
    #[arg(long, value_name = "FILE")]
    pub archive: Option<PathBuf>,
    /// Print words only, no pictures (for a screen reader)
    #[arg(long)]
    pub plain: bool,
    /// Read the stand with this recorder: a program that writes a WAV or a table of numbers to its standard output
    #[arg(long, value_name = "COMMAND")]
    pub capture_with: Option<String>,
}

/// `balance correct`.
#[derive(Debug, Args)]
pub struct CorrectArguments {
    #[command(flatten)]
    #[expect(missing_docs, reason = "clap would show the comment as help")]
    pub job: JobArguments,
    /// Show what these weights would leave, for example front=10@287,15@329 or front=0.35oz@258mm (repeat for
    /// another place)
    #[arg(long, value_name = "PLACE=MASS@WHERE")]
    pub with: Vec<String>,
    /// Correct further now, even if one more run would be the next step
    #[arg(long)]
    pub further: bool,
    /// Work without files: what the dials show now, for example front=5.29@230,rear=3.24@69; needs --trial
    #[arg(
        long,
        value_name = "SENSOR=AMPLITUDE@PHASE",
        requires = "trial",
        conflicts_with_all = ["job_or_runs", "job", "shaft_type", "drift", "with", "further", "append", "csv"]
    )]
    pub now: Vec<String>,
    /// A trial mass, in the shop's unit or its own (0.7oz), and what the dials showed with it, for example
    /// front=20@90:front=8.68@211,rear=3.56@49
    #[arg(long, value_name = "PLACE=MASS@ANGLE:READINGS", requires = "now")]
    pub trial: Vec<String>,
    /// Add the prepared check row, with beads, to the end of the runs file
    #[arg(long)]
    pub append: bool,
    /// Print everything: how angles are counted, the forecast and every caution
    #[arg(long)]
    pub all: bool,
    /// Many shafts: one row of a CSV table for each, in the file's order
    #[arg(long, conflicts_with_all = ["json", "append", "all"])]
    pub csv: bool,
}

impl CorrectArguments {
    /// Whether weights are wanted even though one more run would be better.
    #[must_use]
    pub fn insist(&self) -> Insist {
        if self.further { Insist::CorrectFurther } else { Insist::No }
    }
}

/// `balance verify`.
#[derive(Debug, Args)]
pub struct VerifyArguments {
    #[command(flatten)]
    #[expect(missing_docs, reason = "clap would show the comment as help")]
    pub job: JobArguments,
    /// Judge the shaft as found, from its initial run
    #[arg(long)]
    pub as_found: bool,
    /// Show every term of the uncertainty
    #[arg(long)]
    pub budget: bool,
    /// Print everything: the check of the shaft and every caution
    #[arg(long)]
    pub all: bool,
    /// Many shafts: one row of a CSV table for each, in the file's order
    #[arg(long, conflicts_with_all = ["json", "budget", "all"])]
    pub csv: bool,
}

impl VerifyArguments {
    /// Which state of the shaft is judged.
    #[must_use]
    pub fn which(&self) -> Which {
        if self.as_found { Which::AsFound } else { Which::Now }
    }
}

/// `balance shaft`.
#[derive(Debug, Args)]
pub struct ShaftArguments {
    #[command(flatten)]
    #[expect(missing_docs, reason = "clap would show the comment as help")]
    pub job: JobArguments,
    /// Also draw the critical speed over the length, into the job's folder
    #[arg(long)]
    pub plot: bool,
}

/// `balance plot`.
#[derive(Debug, Args)]
pub struct PlotArguments {
    #[command(flatten)]
    #[expect(missing_docs, reason = "clap would show the comment as help")]
    pub job: JobArguments,
    /// Put the pictures into this folder [default: the job's folder]
    #[arg(long, value_name = "FOLDER")]
    pub into: Option<PathBuf>,
    /// Which kinds of picture files to write
    #[arg(long, value_enum, value_delimiter = ',', default_value = "svg,png")]
    pub format: Vec<PictureFormat>,
    /// Which pictures to draw [default: all there are]
    #[arg(long, value_enum, value_delimiter = ',', value_name = "PICTURE")]
    pub only: Vec<PictureKind>,
    /// The paper for wrap strips and PDF [default: that of the shop file, else Letter with US units and A4]
    #[arg(long, value_enum, ignore_case = true)]
    pub paper: Option<Paper>,
    /// Show the result in the system's viewer: the file, or the folder if there are several
    #[arg(long)]
    pub open: bool,
}

/// `balance extract`.
#[derive(Debug, Args)]
pub struct ExtractArguments {
    /// The recording, a WAV or a table of numbers; - reads standard input
    #[arg(value_name = "RECORDING")]
    pub recording: PathBuf,
    /// The job: its folder or its job file [default: the current folder]
    #[arg(long, value_name = "FOLDER|FILE")]
    pub job: Option<PathBuf>,
    /// Answer as JSON
    #[arg(long)]
    pub json: bool,
    /// Use the recording from here only, in seconds [default: the longest part with steady speed]
    #[arg(long, value_name = "SECONDS", requires = "to", value_parser = seconds)]
    pub from: Option<f64>,
    /// Use the recording up to here only, in seconds
    #[arg(long, value_name = "SECONDS", requires = "from", value_parser = seconds)]
    pub to: Option<f64>,
    /// Also draw what was recorded over one turn, and the speed, into the job's folder
    #[arg(long)]
    pub plot: bool,
    /// Add the reading to the runs file: into the row that waits for it, or as a new row
    #[arg(long)]
    pub append: bool,
    /// What the run was for [default: a trial if there is a mass, else initial]
    #[arg(long, value_enum, requires = "append")]
    pub kind: Option<KindOfRun>,
    /// A mass that was on, for example front=20@90 or front=0.7oz@258mm (repeat for another place)
    #[arg(long, value_name = "PLACE=MASS@WHERE", requires = "append")]
    pub mass: Vec<String>,
    /// A note for the row
    #[arg(long, value_name = "TEXT", requires = "append")]
    pub note: Option<String>,
}

/// What a run was for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum KindOfRun {
    /// As found
    Initial,
    /// With a trial mass, which comes off again
    Trial,
    /// With the advised weights under clamps
    Tried,
    /// With weights that stay on
    Check,
}

impl KindOfRun {
    /// The same in the library's words.
    #[must_use]
    pub fn kind(self) -> RunKind {
        match self {
            Self::Initial => RunKind::Initial,
            Self::Trial => RunKind::Trial,
            Self::Tried => RunKind::Tried,
            Self::Check => RunKind::Check,
        }
    }
}

/// `3`, `3.5 s`
fn seconds(text: &str) -> Result<f64, String> {
    let number = text.trim().strip_suffix('s').unwrap_or(text).trim();
    match number.parse::<f64>() {
        Ok(seconds) if seconds.is_finite() => Ok(seconds),
        _ => Err("seconds from the start of the recording, for example 3.5".into()),
    }
}

/// `balance report`.
#[derive(Debug, Args)]
pub struct ReportArguments {
    /// A job's folder, or a runs file on its own [default: the current folder]
    pub job_or_runs: Option<PathBuf>,
    /// Use this job file; a runs file may be named as well
    #[arg(long, value_name = "FILE")]
    pub job: Option<PathBuf>,
    /// Allow for drift in the readings from run to run
    #[arg(long)]
    pub drift: bool,
    /// Start from the response of sister shafts of this type (from the archive)
    #[arg(long = "type", value_name = "NAME")]
    pub shaft_type: Option<String>,
    /// Use this archive file instead of the usual one
    #[arg(long, value_name = "FILE")]
    pub archive: Option<PathBuf>,
    /// Put the report into this folder [default: the job's folder]
    #[arg(long, value_name = "FOLDER")]
    pub into: Option<PathBuf>,
    /// Print the report as PDF too, by a browser of this machine (Chromium, Chrome or Edge)
    #[arg(long)]
    pub pdf: bool,
    /// The browser that prints, if not one found in the usual places
    #[arg(long, value_name = "PATH", requires = "pdf")]
    pub browser: Option<PathBuf>,
    /// The paper to print on [default: that of the shop file, else Letter with US units and A4]
    #[arg(long, value_enum, ignore_case = true)]
    pub paper: Option<Paper>,
    /// Show the report in the system's viewer: the file, or the folder if there are several
    #[arg(long)]
    pub open: bool,
    /// Leave the job's files out of the report: smaller to mail, but it cannot be opened again
    #[arg(long)]
    pub without_files: bool,
}

/// `balance reopen`.
#[derive(Debug, Args)]
pub struct ReopenArguments {
    /// The report
    #[arg(value_name = "REPORT.html")]
    pub report: PathBuf,
    /// The folder to make; it must not be there yet
    pub folder: PathBuf,
}

/// Kinds of picture files.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum PictureFormat {
    /// For web pages
    Svg,
    /// For phones and mail
    Png,
    /// For paper, at true size
    Pdf,
}

/// `balance new`.
#[derive(Debug, Args)]
pub struct NewArguments {
    /// The job's number; its folder gets this name
    pub number: String,
    /// Start from an earlier job: its folder, or the number of its record in the archive
    #[arg(long, value_name = "FOLDER|RECORD")]
    pub from: Option<PathBuf>,
    /// Use this archive file instead of the usual one
    #[arg(long, value_name = "FILE")]
    pub archive: Option<PathBuf>,
}

/// `balance prove`.
#[derive(Debug, Args)]
pub struct ProveArguments {
    /// Which test
    #[command(subcommand)]
    pub test: ProveTest,
}

/// The tests of a stand, by the words of ISO 21940-21 and -14.
#[derive(Debug, Subcommand)]
pub enum ProveTest {
    /// The least unbalance the stand can reach (U_mar): one known mass at 8 or 12 places of each plane
    LeastUnbalance(TestArguments),
    /// The unbalance reduction ratio (URR): one mass that stays and one that travels
    Reduction {
        #[command(flatten)]
        #[expect(missing_docs, reason = "clap would show the comment as help")]
        test: TestArguments,
        /// The ratio to be proved, in percent
        #[arg(long, value_name = "PERCENT", default_value_t = 95.0)]
        ratio: f64,
        /// Instead: the ratio that one correction of this job reached, as found against its last check run
        #[arg(long)]
        once: bool,
    },
    /// The index test: the shaft turned in its fixture, by the degrees in the column `mounting`
    Index {
        #[command(flatten)]
        #[expect(missing_docs, reason = "clap would show the comment as help")]
        test: TestArguments,
        /// The zero mark is on the fixture or the spindle, not on the shaft
        #[arg(long)]
        mark_on_fixture: bool,
        /// With --keep: from then on what turns with the fixture is taken off what every shaft reads
        #[arg(long)]
        take_off: bool,
    },
    /// Noise and drift: the shaft as found read again and again over a shift, with the column `time`
    Repeats(TestArguments),
    /// What is left in a shaft, by moving one known mass round; with or without phase
    Left(TestArguments),
    /// How much of one end shows at the other, on a stand that shows unbalance itself: trials in one plane each
    Crosstalk(TestArguments),
}

impl ProveTest {
    /// The readings of the test.
    #[must_use]
    pub fn readings(&self) -> &TestArguments {
        match self {
            Self::LeastUnbalance(test) | Self::Left(test) | Self::Repeats(test) | Self::Crosstalk(test) => {
                test
            }
            Self::Reduction { test, .. } | Self::Index { test, .. } => test,
        }
    }
}

/// The readings of a test.
#[derive(Debug, Args)]
pub struct TestArguments {
    #[command(flatten)]
    #[expect(missing_docs, reason = "clap would show the comment as help")]
    pub job: JobArguments,
    /// Keep the figure in the shop file, with its date: verdicts use it from then on
    #[arg(long)]
    pub keep: bool,
    /// Also draw the test, into the job's folder
    #[arg(long)]
    pub plot: bool,
    /// Also store the test, with its readings, as a record of the archive
    #[arg(long)]
    pub record: bool,
}

/// `balance demo`.
#[derive(Debug, Args)]
pub struct DemoArguments {
    /// Where to put the demo's files
    #[arg(default_value = "balance-demo")]
    pub folder: PathBuf,
}
