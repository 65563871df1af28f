//! `balance verify`: whether the shaft meets its grade.

use balance_core::answer::{Advice, Judged, NoVerdict, Unsolved, json};
use balance_core::grade::Decision;
use balance_core::influence::Which;
use balance_core::run::RunKind;

use super::each::{EachShaft, Solved, each_shaft, refuse, refused};
use super::open::{Target, target};
use crate::args::VerifyArguments;
use crate::exit::Exit;
use crate::files::runs::{NO_INITIAL, ShaftRuns};
use crate::files::{Place, Problem};
use crate::print::{table, text};
use crate::streams::Streams;

pub fn run(arguments: &VerifyArguments, streams: &mut Streams<'_>) -> std::io::Result<Exit> {
    match target(&arguments.job) {
        Ok(target) => each_shaft(&target, &mut Verify { arguments }, streams),
        Err(problems) => refuse(&problems, streams),
    }
}

struct Verify<'a> {
    arguments: &'a VerifyArguments,
}

impl EachShaft for Verify<'_> {
    fn takes_untried_places(&self) -> bool {
        true
    }

    fn answer(&mut self, solved: &Solved<'_>, streams: &mut Streams<'_>) -> std::io::Result<Exit> {
        let (target, answer) = (solved.target, solved.answer);
        let which = if self.arguments.as_found { Which::AsFound } else { Which::Now };
        if self.arguments.job.json
            && let Ok(line) = json::verdict(answer, which)
        {
            writeln!(streams.answer, "{line}")?;
        }
        if let Advice::MustNotSpin(refusal) = answer.advice() {
            return refuse(&[refused(target, &answer.shaft, refusal)], streams);
        }
        let judged = match answer.verdict_on(which) {
            Ok(judged) => judged,
            Err(fault) => return refuse(&[no_verdict(target, &answer.shaft, &fault)], streams),
        };
        if !self.arguments.job.json {
            writeln!(streams.answer, "{}", self.words(solved, &judged).trim_end())?;
        }
        Ok(match judged.decision {
            Decision::Meets => Exit::Done,
            Decision::Exceeds => Exit::Exceeds,
            Decision::Undecided => Exit::Undecided,
        })
    }

    /// A check run on a shaft that was never read as found: the verdict is open. Any other fault is a fault
    /// in the file.
    fn unfit(
        &mut self,
        target: &Target,
        runs: &ShaftRuns,
        problems: &[Problem],
        streams: &mut Streams<'_>,
    ) -> std::io::Result<Exit> {
        let checked = runs.runs.iter().any(|run| run.kind == RunKind::Check);
        let only_that = !problems.is_empty() && problems.iter().all(|problem| problem.code == NO_INITIAL);
        let refused = refuse(problems, streams)?;
        if !checked || !only_that {
            return Ok(refused);
        }
        let shaft = runs.shaft.clone().unwrap_or_else(|| target.name());
        if self.arguments.job.json {
            writeln!(streams.answer, "{}", json::verdict_without_initial(&shaft))?;
        } else {
            writeln!(streams.answer, "{}", text::never_read_as_found(streams.page, &shaft))?;
        }
        Ok(Exit::Undecided)
    }

    fn unsolved_json(&self, unsolved: &Unsolved) -> Option<String> {
        json::refused_verdict(unsolved).filter(|_| self.arguments.job.json).map(|answer| answer.to_string())
    }
}

impl Verify<'_> {
    fn words(&self, solved: &Solved<'_>, judged: &Judged) -> String {
        let view = solved.view();
        if solved.many() {
            return table::verdict_row(&view, judged);
        }
        if self.arguments.all || self.arguments.budget {
            return text::verdict_in_full(&view, judged, self.arguments.budget);
        }
        text::verdict(&view, judged)
    }
}

/// Why there is no verdict, as a problem of the incomplete file.
pub fn no_verdict(target: &Target, shaft: &str, fault: &NoVerdict) -> Problem {
    match fault {
        NoVerdict::NoLimit(missing) => missing_limits(target, missing),
        _ => {
            let place = Place::WholeFile { file: crate::files::shown_path(&target.runs) };
            Problem::at("no-verdict", place, format!("{shaft}: {fault}")).hinting(
                "weld the correction, let the shaft cool, read it again and add the row with kind `check` \
                 (or judge the shaft as found: --as-found)"
                    .to_owned(),
            )
        }
    }
}

/// A limit that cannot be worked out, as a fault of the job.
pub fn missing_limits(target: &Target, missing: &[String]) -> Problem {
    let file = target.file.as_ref().map_or_else(|| "job.toml".to_owned(), |file| file.file.clone());
    Problem::at(
        "no-limit",
        Place::WholeFile { file },
        format!("without these there is no limit: {}", missing.join("; ")),
    )
    .hinting("a verdict needs mass, service speed, grade (or limit) and positions".to_owned())
}
