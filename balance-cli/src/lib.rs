//! The program `balance`: reads files, prints answers, draws.

pub mod archive;
pub mod args;
pub mod clean;
pub mod command;
pub mod draw;
pub mod exit;
pub mod files;
pub mod help;
pub mod page;
pub mod paper;
pub mod picture;
pub mod print;
pub mod programs;
pub mod report;
pub mod stand;
pub mod streams;
pub mod typed;
pub mod view;

use std::ffi::OsString;
use std::io::Write as _;
use std::panic::AssertUnwindSafe;

use clap::Parser;

use args::{Arguments, Command};
use clean::{Clean, Escape};
use command::archive::ArchiveVerb;
use exit::Exit;
use page::Page;
use streams::{MayHangUp, Streams};

/// Runs the program with the process's own arguments and streams.
#[must_use]
pub fn main() -> std::process::ExitCode {
    let mut input = std::io::stdin().lock();
    let mut answer = std::io::BufWriter::new(std::io::stdout().lock());
    let mut talk = std::io::stderr().lock();
    let mut streams =
        Streams { page: Page::of_process(), ..Streams::new(&mut input, &mut answer, &mut talk) };
    let work = || run(std::env::args_os(), &mut streams);
    let exit = std::panic::catch_unwind(AssertUnwindSafe(work)).unwrap_or_else(|_| {
        let sorry = "this is a fault of the program, not of your files. What it reported as written is \
                     written, nothing else. Please report the words above together with the job's folder";
        // If this cannot be printed either, the exit status still shows it.
        let _ = writeln!(talk, "{sorry}");
        Exit::CouldNot
    });
    std::process::ExitCode::from(exit.code())
}

/// Runs the program with these arguments (the program's name first) and streams. Every text goes out through
/// [`Clean`].
pub fn run(arguments: impl IntoIterator<Item = OsString>, streams: &mut Streams<'_>) -> Exit {
    let asked = Arguments::try_parse_from(arguments);
    let form = asked.as_ref().map_or(Form::Text, Form::of);
    let page = streams.page;
    let mut talk = Clean::new(streams.talk, Escape::Shown);
    let input = &mut *streams.input;
    let done = match form {
        Form::AtTheStand => {
            let mut answer = Clean::with_bold(streams.answer, Escape::ShownWithBells, page);
            answered(asked, &mut Streams { page, ..Streams::new(input, &mut answer, &mut talk) })
        }
        Form::Verbatim if !page.is_terminal() => {
            let (mut answer, mut talk) = (MayHangUp::new(streams.answer), MayHangUp::new(&mut talk));
            answered(asked, &mut Streams { page, ..Streams::new(input, &mut answer, &mut talk) })
        }
        Form::Text | Form::Json | Form::Verbatim => {
            let escape = if form == Form::Json { Escape::Json } else { Escape::Shown };
            let mut answer = Clean::with_bold(streams.answer, escape, page);
            let (mut answer, mut talk) = (MayHangUp::new(&mut answer), MayHangUp::new(&mut talk));
            answered(asked, &mut Streams { page, ..Streams::new(input, &mut answer, &mut talk) })
        }
    };
    match done {
        Ok(exit) => exit,
        // No one is at the stand any more, so there is nothing to ask.
        Err(error) if error.kind() == std::io::ErrorKind::BrokenPipe => Exit::CouldNot,
        Err(error) => {
            // If this cannot be printed either, the exit status still shows it.
            let _ = writeln!(talk, "the answer could not be written: {error}");
            Exit::CouldNot
        }
    }
}

/// What kind of answer a verb gives.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Form {
    Text,
    Json,
    /// Questions and answers: if no one reads them, there is no reason to continue.
    AtTheStand,
    /// A stored file, byte for byte; a terminal gets it as a text.
    Verbatim,
}

impl Form {
    fn of(asked: &Arguments) -> Self {
        let json = match &asked.command {
            Command::Stand(_) => return Self::AtTheStand,
            Command::Archive(archive) => match archive.verb {
                ArchiveVerb::Report { .. } => return Self::Verbatim,
                ArchiveVerb::Export { csv, .. } => !csv,
                _ => archive.json,
            },
            Command::Correct(correct) => correct.job.json,
            Command::Verify(verify) => verify.job.json,
            Command::Shaft(shaft) => shaft.job.json,
            Command::Extract(extract) => extract.json,
            Command::Limits(job) | Command::Explain(job) => job.json,
            Command::Job(_) => true,
            _ => false,
        };
        if json { Self::Json } else { Self::Text }
    }
}

fn answered(asked: Result<Arguments, clap::Error>, streams: &mut Streams<'_>) -> std::io::Result<Exit> {
    let exit = match asked {
        Ok(arguments) => command::run(&arguments, streams)?,
        Err(told) => tell(&told, streams)?,
    };
    streams.answer.flush()?;
    Ok(exit)
}

/// Help and version are answers; anything else is a fault of usage.
fn tell(told: &clap::Error, streams: &mut Streams<'_>) -> std::io::Result<Exit> {
    if told.use_stderr() {
        write!(streams.talk, "{}", told.render())?;
        Ok(Exit::CouldNot)
    } else {
        write!(streams.answer, "{}", told.render())?;
        Ok(Exit::Done)
    }
}
