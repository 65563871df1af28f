//! `balance verify`: whether the shaft meets its grade.

use balance_core::answer::{Advice, Answer, IfUntried, Judged, NoVerdict, Unsolved, json, limits};
use balance_core::grade::Decision;
use balance_core::run::RunKind;

use super::each::{EachShaft, Solved, each_shaft, refuse, refused};
use super::open::{Target, target};
use super::sheet::{OneRow, Outcome, in_rows, reason};
use crate::args::VerifyArguments;
use crate::exit::Exit;
use crate::files::runs::{NO_INITIAL, RunsReader, ShaftRuns};
use crate::files::{Place, Problem};
use crate::print::sheet::{Rows, VerdictColumns};
use crate::print::{table, text};
use crate::streams::Streams;

pub fn run(arguments: &VerifyArguments, quiet: bool, streams: &mut Streams<'_>) -> std::io::Result<Exit> {
    match target(&arguments.job) {
        Ok(target) if arguments.csv => sheet(arguments, &target, quiet, streams),
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
        let which = self.arguments.which();
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
        Ok(exit_of(judged.decision))
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
        let refused = refuse(problems, streams)?;
        if !only_not_read_as_found(runs, problems) {
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

fn exit_of(decision: Decision) -> Exit {
    match decision {
        Decision::Meets => Exit::Done,
        Decision::Exceeds => Exit::Exceeds,
        Decision::Undecided => Exit::Undecided,
    }
}

/// Whether all that is missing is the run as found, of a shaft that has a check run.
fn only_not_read_as_found(runs: &ShaftRuns, problems: &[Problem]) -> bool {
    let checked = runs.runs.iter().any(|run| run.kind == RunKind::Check);
    checked && !problems.is_empty() && problems.iter().all(|problem| problem.code == NO_INITIAL)
}

/// One row a shaft.
fn sheet(
    arguments: &VerifyArguments,
    target: &Target,
    quiet: bool,
    streams: &mut Streams<'_>,
) -> std::io::Result<Exit> {
    let reader = match RunsReader::open_season(&target.runs, target.file.as_ref()) {
        Ok(reader) => reader,
        Err(problems) => return refuse(&problems, streams),
    };
    let limits = match limits(target.job(), &reader.setup().planes) {
        Ok(limits) => limits.planes,
        Err(missing) => return refuse(&[missing_limits(target, &missing)], streams),
    };
    let columns = VerdictColumns { limits: &limits, units: target.job().units };
    in_rows(reader, &VerdictRows { arguments, target, columns }, quiet, streams)
}

struct VerdictRows<'a> {
    arguments: &'a VerifyArguments,
    target: &'a Target,
    columns: VerdictColumns<'a>,
}

impl OneRow for VerdictRows<'_> {
    fn target(&self) -> &Target {
        self.target
    }

    fn head(&self, rows: &mut Rows) {
        self.columns.head(rows);
    }

    fn untried(&self) -> IfUntried {
        IfUntried::Judged
    }

    fn answered(&self, rows: &mut Rows, _runs: &ShaftRuns, answer: &Answer) -> Outcome {
        let fault = if let Advice::MustNotSpin(refusal) = answer.advice() {
            refused(self.target, &answer.shaft, refusal)
        } else {
            match answer.verdict_on(self.arguments.which()) {
                Ok(judged) => {
                    self.columns.row(rows, answer, &judged);
                    return Outcome { exit: exit_of(judged.decision), problems: Vec::new() };
                }
                Err(fault) => no_verdict(self.target, &answer.shaft, &fault),
            }
        };
        self.fault(rows, &answer.shaft, vec![fault])
    }

    fn fault(&self, rows: &mut Rows, shaft: &str, problems: Vec<Problem>) -> Outcome {
        self.columns.fault(rows, shaft, &reason(&problems));
        Outcome { exit: Exit::CouldNot, problems }
    }

    fn unfit(&self, rows: &mut Rows, shaft: &str, runs: &ShaftRuns, problems: Vec<Problem>) -> Outcome {
        if !only_not_read_as_found(runs, &problems) {
            return self.fault(rows, shaft, problems);
        }
        self.columns.open(rows, shaft, Decision::Undecided.word(), &reason(&problems));
        Outcome { exit: Exit::Undecided, problems }
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
