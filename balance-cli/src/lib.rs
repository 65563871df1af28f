//! The program `balance`: reads files, talks, draws.

pub mod archive;
pub mod args;
pub mod command;
pub mod draw;
pub mod exit;
pub mod files;
pub mod help;
pub mod picture;
pub mod print;
pub mod report;
pub mod stand;
pub mod streams;
pub mod typed;
pub mod view;

use std::ffi::OsString;

use clap::Parser;

use args::Arguments;
use exit::Exit;
use streams::{MayHangUp, Streams};

/// Runs the program with the process's own arguments and streams.
#[must_use]
pub fn main() -> std::process::ExitCode {
    let mut input = std::io::stdin().lock();
    let mut answer = std::io::BufWriter::new(std::io::stdout().lock());
    let mut talk = std::io::stderr().lock();
    let mut streams = Streams { input: &mut input, answer: &mut answer, talk: &mut talk };
    std::process::ExitCode::from(run(std::env::args_os(), &mut streams).code())
}

/// Runs the program with these arguments (the program's name first) and streams.
pub fn run(arguments: impl IntoIterator<Item = OsString>, streams: &mut Streams<'_>) -> Exit {
    let asked = Arguments::try_parse_from(arguments);
    let at_the_stand = matches!(&asked, Ok(Arguments { command: args::Command::Stand(_), .. }));
    let done = if at_the_stand {
        answered(asked, streams)
    } else {
        let (mut answer, mut talk) = (MayHangUp::new(streams.answer), MayHangUp::new(streams.talk));
        let input = &mut *streams.input;
        answered(asked, &mut Streams { input, answer: &mut answer, talk: &mut talk })
    };
    match done {
        Ok(exit) => exit,
        // Nobody is left at the stand: nothing is left to ask.
        Err(error) if error.kind() == std::io::ErrorKind::BrokenPipe => Exit::CouldNot,
        Err(error) => {
            // If this cannot be told either, the exit status still says it.
            let _ = writeln!(streams.talk, "the answer could not be written: {error}");
            Exit::CouldNot
        }
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
