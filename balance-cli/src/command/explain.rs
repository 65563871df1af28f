//! `balance explain`: what went wrong.

use balance_core::correction::explain::explain;
use balance_core::influence::Options;

use super::each::{EachShaft, each_shaft};
use super::target::Target;
use crate::args::JobArguments;
use crate::exit::Exit;
use crate::outcome::Outcome;
use crate::print::{json, text};
use crate::streams::Streams;

pub fn run(arguments: &JobArguments, streams: &mut Streams<'_>) -> std::io::Result<Exit> {
    each_shaft(arguments, &mut Explain { json: arguments.json }, streams)
}

struct Explain {
    json: bool,
}

impl EachShaft for Explain {
    fn answer(
        &mut self,
        target: &Target,
        outcome: &Outcome<'_>,
        _many: bool,
        streams: &mut Streams<'_>,
    ) -> std::io::Result<Exit> {
        // The runs were solved before, so the estimator has nothing left to refuse.
        let Ok(found) = explain(&outcome.set, &Options { drift: target.drift, prior: None }) else {
            return Ok(Exit::CouldNot);
        };
        let answer = if self.json {
            json::explanation(outcome, &found)
        } else {
            text::explain(outcome, &found.sentences(&outcome.set))
        };
        writeln!(streams.answer, "{}", answer.trim_end())?;
        Ok(Exit::Done)
    }
}
