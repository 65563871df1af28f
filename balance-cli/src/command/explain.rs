//! `balance explain`: what went wrong.

use balance_core::answer::json;

use super::each::{EachShaft, Solved, each_shaft, refuse};
use super::open::target;
use crate::args::JobArguments;
use crate::exit::Exit;
use crate::print::text;
use crate::streams::Streams;

pub fn run(arguments: &JobArguments, streams: &mut Streams<'_>) -> std::io::Result<Exit> {
    match target(arguments) {
        Ok(target) => each_shaft(&target, &mut Explain { json: arguments.json }, streams),
        Err(problems) => refuse(&problems, streams),
    }
}

struct Explain {
    json: bool,
}

impl EachShaft for Explain {
    fn answer(&mut self, solved: &Solved<'_>, streams: &mut Streams<'_>) -> std::io::Result<Exit> {
        // The runs were already solved, so the estimator has nothing left to refuse.
        let Some(found) = solved.answer.explain() else { return Ok(Exit::CouldNot) };
        let answer = if self.json {
            json::explanation(solved.answer, &found)
        } else {
            text::explain(&solved.view(), &found.sentences(&solved.answer.runs, solved.answer.job.units))
        };
        writeln!(streams.answer, "{}", answer.trim_end())?;
        Ok(Exit::Done)
    }
}
