//! `balance new`: a folder for a shaft.

use super::each::refuse;
use crate::args::NewArguments;
use crate::exit::Exit;
use crate::files::{new_job, shown_path};
use crate::help::BEFORE_FIRST_SPIN;
use crate::streams::Streams;

pub fn run(arguments: &NewArguments, streams: &mut Streams<'_>) -> std::io::Result<Exit> {
    match new_job::create(&arguments.number, arguments.from.as_deref()) {
        Ok(files) => {
            for file in files {
                writeln!(streams.answer, "{}", shown_path(&file))?;
            }
            writeln!(streams.answer, "\n{BEFORE_FIRST_SPIN}")?;
            Ok(Exit::Done)
        }
        Err(problems) => refuse(&problems, streams),
    }
}
