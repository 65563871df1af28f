//! Completion scripts and the manual page.

use clap::CommandFactory;

use crate::args::Arguments;
use crate::exit::Exit;
use crate::streams::Streams;

pub fn completions(shell: clap_complete::Shell, streams: &mut Streams<'_>) -> std::io::Result<Exit> {
    let mut script = Vec::new();
    clap_complete::generate(shell, &mut Arguments::command(), "balance", &mut script);
    streams.answer.write_all(&script)?;
    Ok(Exit::Done)
}

pub fn page(streams: &mut Streams<'_>) -> std::io::Result<Exit> {
    let mut page = Vec::new();
    clap_mangen::Man::new(Arguments::command()).render(&mut page)?;
    streams.answer.write_all(&page)?;
    Ok(Exit::Done)
}
