//! `balance verify`: whether the shaft meets its grade.

use balance_core::influence::Which;

use super::each::{EachShaft, each_shaft, refuse};
use super::gate::refusal_of;
use super::target::Target;
use crate::args::VerifyArguments;
use crate::exit::Exit;
use crate::files::{Place, Problem};
use crate::outcome::{Outcome, Stated, judge};
use crate::print::{json, table, text};
use crate::streams::Streams;
use balance_core::grade::Decision;

pub fn run(arguments: &VerifyArguments, streams: &mut Streams<'_>) -> std::io::Result<Exit> {
    each_shaft(&arguments.job, &mut Verify { arguments }, streams)
}

struct Verify<'a> {
    arguments: &'a VerifyArguments,
}

impl EachShaft for Verify<'_> {
    fn answer(
        &mut self,
        target: &Target,
        outcome: &Outcome<'_>,
        many: bool,
        streams: &mut Streams<'_>,
    ) -> std::io::Result<Exit> {
        if let Some(problem) = refusal_of(target, outcome) {
            return refuse(&[problem], streams);
        }
        let limits = match &outcome.limits {
            Ok(limits) => limits,
            Err(missing) => return refuse(&[missing_limits(target, missing)], streams),
        };
        let which = if self.arguments.as_found { Which::AsFound } else { Which::Now };
        let stated = Stated::of(outcome.job);
        let judged = match judge(&outcome.set, &outcome.influence, limits, stated, which) {
            Ok(judged) => judged,
            Err(fault) => {
                let place = Place::WholeFile { file: crate::files::shown_path(&target.runs) };
                let problem = Problem::at("no-verdict", place, format!("{}: {fault}", outcome.shaft)).hinting(
                    "weld the correction, let the shaft cool, read it again and add the row with kind `check` \
                     (or ask about the shaft as found: --as-found)"
                        .to_owned(),
                );
                return refuse(&[problem], streams);
            }
        };
        let answer = if self.arguments.job.json {
            json::verdict(outcome, limits, &judged)
        } else if many {
            table::verdict_row(outcome, &judged).trim_end().to_owned()
        } else {
            text::verdict(outcome, limits, &judged, self.arguments.budget).trim_end().to_owned()
        };
        writeln!(streams.answer, "{answer}")?;
        Ok(match judged.decision {
            Decision::Meets => Exit::Done,
            Decision::Exceeds => Exit::Exceeds,
            Decision::Undecided => Exit::Undecided,
        })
    }
}

/// A limit that cannot be reckoned, as a fault of the job.
pub fn missing_limits(target: &Target, missing: &[String]) -> Problem {
    let file = target.job.as_ref().map_or_else(|| "job.toml".to_owned(), |job| job.file.clone());
    Problem::at(
        "no-limit",
        Place::WholeFile { file },
        format!("without these there is no limit: {}", missing.join("; ")),
    )
    .hinting("a verdict needs mass, service speed, grade (or limit) and positions".to_owned())
}
