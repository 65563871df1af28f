//! The verbs: lists of steps, no arithmetic.

pub mod archive;
pub(crate) mod come_back;
mod correct;
mod demo;
pub(crate) mod each;
mod explain;
mod extract;
pub(crate) mod from_archive;
mod job;
mod keep;
mod limits;
pub(crate) mod listen;
mod manual;
mod new;
mod now;
pub(crate) mod open;
mod plot;
mod prove;
mod record;
mod reopen;
mod report;
mod shaft;
mod sheet;
mod stand;
mod verify;
mod with;

use crate::args::{Arguments, Command};
use crate::exit::Exit;
use crate::streams::Streams;

/// Does what was asked.
///
/// # Errors
///
/// A stream that cannot be written to.
pub fn run(arguments: &Arguments, streams: &mut Streams<'_>) -> std::io::Result<Exit> {
    let quiet = arguments.quiet;
    match &arguments.command {
        Command::Stand(stand) => stand::run(stand, streams),
        Command::Correct(correct) => correct::run(correct, quiet, streams),
        Command::Verify(verify) => verify::run(verify, quiet, streams),
        Command::Limits(limits) => limits::run(limits, streams),
        Command::Shaft(shaft) => shaft::run(shaft, quiet, streams),
        Command::Prove(prove) => prove::run(prove, quiet, streams),
        Command::Plot(plot) => plot::run(plot, quiet, streams),
        Command::Report(report) => report::run(report, quiet, streams),
        Command::Reopen(reopen) => reopen::run(reopen, quiet, streams),
        Command::New(new) => new::run(new, streams),
        Command::Extract(extract) => extract::run(extract, quiet, streams),
        Command::Explain(explain) => explain::run(explain, streams),
        Command::Job(job) => job::run(job, streams),
        Command::Archive(archive) => keep::run(archive, streams),
        Command::Demo(demo) => demo::run(demo, streams),
        Command::Completions { shell } => manual::completions(*shell, streams),
        Command::Manual => manual::page(streams),
    }
}
