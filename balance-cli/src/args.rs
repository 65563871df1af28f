//! What may be typed after `balance`.

use std::path::PathBuf;

use balance_core::answer::Insist;
use clap::{Args, Parser, Subcommand, ValueEnum};

use crate::command::archive::ArchiveArguments;

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
    /// Only the answer: no talk about what is being done
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
    /// Be led through the job at the stand, question by question
    Stand(StandArguments),
    /// Say what to put where, from the runs read so far
    Correct(CorrectArguments),
    /// Say whether the shaft meets its grade, from the check run
    Verify(VerifyArguments),
    /// Write the record of a job: one HTML file to print, mail and keep
    Report(ReportArguments),
    /// Keep, find and check records of balanced shafts
    Archive(ArchiveArguments),
    /// Say how much may be left, and what that means at this shaft
    Limits(JobArguments),
    /// Check the shaft before it spins: critical speed, runout, joints, inspection
    Shaft(ShaftArguments),
    /// Draw the readings, what is left, and the tube with its weights
    Plot(PlotArguments),
    /// Say what went wrong when a run does not fit the others
    Explain(JobArguments),
    /// Print everything an answer depends on, for other programs that use the library
    #[command(hide = true)]
    Job(JobArguments),
    /// Work through an invented shaft of the demo workshop, files and all
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
    /// A job's folder, or a runs file that stands alone [default: this folder]
    pub job_or_runs: Option<PathBuf>,
    /// A job file by name; a runs file may be named beside it
    #[arg(long, value_name = "FILE")]
    pub job: Option<PathBuf>,
    /// Answer as JSON, one object a line
    #[arg(long)]
    pub json: bool,
    /// Reckon with readings that drift from run to run
    #[arg(long)]
    pub drift: bool,
    /// Start from how sister shafts of this type answer (from the archive)
    #[arg(long = "type", value_name = "NAME")]
    pub shaft_type: Option<String>,
    /// The archive's file, if not the usual one
    #[arg(long, value_name = "FILE")]
    pub archive: Option<PathBuf>,
}

/// `balance stand`.
#[derive(Debug, Args)]
pub struct StandArguments {
    /// The job's folder; made if it is not there yet [default: this folder]
    pub job: Option<PathBuf>,
    /// For a shaft that comes back, or a sister: the folder of the earlier job, or its record's number
    #[arg(long, value_name = "FOLDER|RECORD")]
    pub from: Option<PathBuf>,
    /// The archive's file, if not the usual one
    #[arg(long, value_name = "FILE")]
    pub archive: Option<PathBuf>,
    /// No pictures: words only, for a screen reader
    #[arg(long)]
    pub plain: bool,
}

/// `balance correct`.
#[derive(Debug, Args)]
pub struct CorrectArguments {
    #[command(flatten)]
    #[expect(missing_docs, reason = "clap would show the comment as help")]
    pub job: JobArguments,
    /// What these weights would leave, such as front=10@287,15@329 or front=0.35oz@258mm (repeat for another place)
    #[arg(long, value_name = "PLACE=MASS@WHERE")]
    pub with: Vec<String>,
    /// Correct further now, although one more run would be the next step
    #[arg(long)]
    pub further: bool,
    /// Write the ready check row, with beads, at the end of the runs file
    #[arg(long)]
    pub append: bool,
}

impl CorrectArguments {
    /// Whether someone wants weights although one more run would tell more.
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
    /// Ask about the shaft as found, from its initial run
    #[arg(long)]
    pub as_found: bool,
    /// Show every term of the uncertainty
    #[arg(long)]
    pub budget: bool,
}

/// `balance shaft`.
#[derive(Debug, Args)]
pub struct ShaftArguments {
    #[command(flatten)]
    #[expect(missing_docs, reason = "clap would show the comment as help")]
    pub job: JobArguments,
    /// Draw the critical speed over the length as well, into the job's folder
    #[arg(long)]
    pub plot: bool,
}

/// `balance plot`.
#[derive(Debug, Args)]
pub struct PlotArguments {
    #[command(flatten)]
    #[expect(missing_docs, reason = "clap would show the comment as help")]
    pub job: JobArguments,
    /// Where to put the pictures [default: the job's folder]
    #[arg(long, value_name = "FOLDER")]
    pub into: Option<PathBuf>,
    /// Kind of picture files
    #[arg(long, value_enum, default_value = "both")]
    pub format: PictureFormat,
}

/// `balance report`.
#[derive(Debug, Args)]
pub struct ReportArguments {
    /// A job's folder, or a runs file that stands alone [default: this folder]
    pub job_or_runs: Option<PathBuf>,
    /// A job file by name; a runs file may be named beside it
    #[arg(long, value_name = "FILE")]
    pub job: Option<PathBuf>,
    /// Reckon with readings that drift from run to run
    #[arg(long)]
    pub drift: bool,
    /// Start from how sister shafts of this type answer (from the archive)
    #[arg(long = "type", value_name = "NAME")]
    pub shaft_type: Option<String>,
    /// The archive's file, if not the usual one
    #[arg(long, value_name = "FILE")]
    pub archive: Option<PathBuf>,
    /// Where to put the report [default: the job's folder]
    #[arg(long, value_name = "FOLDER")]
    pub into: Option<PathBuf>,
}

/// Kinds of picture files.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum PictureFormat {
    /// For printing and pages
    Svg,
    /// For phones and mail
    Png,
    /// One of each
    Both,
}

/// `balance new`.
#[derive(Debug, Args)]
pub struct NewArguments {
    /// The job's number; its folder gets this name
    pub number: String,
    /// Start from an earlier job: its folder, or the number of its record in the archive
    #[arg(long, value_name = "FOLDER|RECORD")]
    pub from: Option<PathBuf>,
    /// The archive's file, if not the usual one
    #[arg(long, value_name = "FILE")]
    pub archive: Option<PathBuf>,
}

/// `balance demo`.
#[derive(Debug, Args)]
pub struct DemoArguments {
    /// Where to put the demo's files
    #[arg(default_value = "balance-demo")]
    pub folder: PathBuf,
}
