//! `balance job`: everything an answer depends on, for other programs that use the library.

use balance_core::answer::json;

use super::each::refuse;
use super::open::target;
use crate::args::JobArguments;
use crate::exit::Exit;
use crate::files::runs::RunsReader;
use crate::streams::Streams;

pub fn run(arguments: &JobArguments, streams: &mut Streams<'_>) -> std::io::Result<Exit> {
    let target = match target(arguments) {
        Ok(target) => target,
        Err(problems) => return refuse(&problems, streams),
    };
    let mut reader = match RunsReader::open(&target.runs, target.file.as_ref()) {
        Ok(reader) => reader,
        Err(problems) => return refuse(&problems, streams),
    };
    let mut exit = None;
    while let Some(shaft) = reader.next() {
        let noticed = reader.cautions();
        let case = shaft.map_err(|faults| faults.problems).and_then(|runs| target.case(&runs, &noticed));
        let own = match case {
            Ok(case) => writeln!(streams.answer, "{}", json::case(&case)).map(|()| Exit::Done)?,
            Err(problems) => refuse(&problems, streams)?,
        };
        exit = Some(exit.map_or(own, |before: Exit| before.worse(own)));
    }
    Ok(exit.unwrap_or(Exit::CouldNot))
}
