//! `balance archive`: gives the archive command what it needs from the program.

use std::path::Path;

use super::archive::{AnswerForm, ArchiveArguments, ArchiveCommandFault, ArchiveEnd, ArchiveSurroundings};
use super::record::{record_of, record_of_report};
use crate::exit::Exit;
use crate::streams::Streams;

pub fn run(arguments: &ArchiveArguments, streams: &mut Streams<'_>) -> std::io::Result<Exit> {
    let archive = arguments.archive.clone();
    let mut make = |job: &Path| {
        if job.is_file() { record_of_report(job, archive.clone()) } else { record_of(job, archive.clone()) }
    };
    let mut surroundings = ArchiveSurroundings {
        make: &mut make,
        variable: &|name| std::env::var_os(name),
        form: if arguments.json { AnswerForm::Json } else { AnswerForm::Text },
        out: &mut *streams.answer,
        talk: &mut *streams.talk,
    };
    match super::archive::run(arguments, &mut surroundings) {
        Ok(ArchiveEnd::Done) => Ok(Exit::Done),
        Ok(ArchiveEnd::FoundFaults) => Ok(Exit::CouldNot),
        Err(ArchiveCommandFault::Writing(error)) => Err(error),
        Err(fault) => {
            writeln!(streams.talk, "{fault}")?;
            Ok(Exit::CouldNot)
        }
    }
}
