//! `balance correct`: what to put where.

use balance_core::answer::{Advice, Answer, Case, IfUntried, NextRun, OneMoreRun, Unsolved, json, limits};
use balance_core::correction::Unusable;

use super::each::{EachShaft, Solved, each_shaft, refuse, refused};
use super::open::{Target, target};
use super::sheet::{OneRow, Outcome, in_rows, reason};
use super::with::given_weights;
use crate::args::CorrectArguments;
use crate::exit::Exit;
use crate::files::runs::{NewRun, RowTexts, RunsReader, ShaftRuns, append_runs};
use crate::files::{Place, Problem, shown_path};
use crate::print::sheet::{CorrectionColumns, Rows};
use crate::print::{table, text};
use crate::streams::Streams;
use crate::typed::Habits;

pub fn run(arguments: &CorrectArguments, quiet: bool, streams: &mut Streams<'_>) -> std::io::Result<Exit> {
    if !arguments.now.is_empty() {
        return super::now::run(arguments, streams);
    }
    let target = match target(&arguments.job) {
        Ok(target) => target,
        Err(problems) => return refuse(&problems, streams),
    };
    if arguments.csv {
        return sheet(arguments, &target, quiet, streams);
    }
    let mut correct = Correct { arguments, head_written: false, rows: Vec::new() };
    let exit = each_shaft(&target, &mut correct, streams)?;
    if correct.rows.is_empty() {
        return Ok(exit);
    }
    // All rows are added in one step, after the file has been read.
    match append_runs(&target.runs, target.file.as_ref(), &correct.rows) {
        Ok(()) => {
            if !quiet {
                ready(&correct.rows, &shown_path(&target.runs), streams)?;
            }
            Ok(exit)
        }
        Err(problems) => refuse(&problems, streams),
    }
}

/// Reports which rows now wait for their readings.
fn ready(rows: &[NewRun], file: &str, streams: &mut Streams<'_>) -> std::io::Result<()> {
    for row in rows {
        let of = row.shaft.as_ref().map_or_else(String::new, |shaft| format!(" of shaft {shaft}"));
        let label = &row.run.label;
        writeln!(streams.talk, "row {label}{of} is ready in {file}: read the check run and fill in the row")?;
    }
    Ok(())
}

struct Correct<'a> {
    arguments: &'a CorrectArguments,
    head_written: bool,
    /// The rows to be added.
    rows: Vec<NewRun>,
}

impl EachShaft for Correct<'_> {
    fn ask(&mut self, case: Case) -> Result<Case, Vec<Problem>> {
        ask(self.arguments, case)
    }

    fn answer(&mut self, solved: &Solved<'_>, streams: &mut Streams<'_>) -> std::io::Result<Exit> {
        let advice = solved.answer.advice();
        self.write(solved, streams)?;
        let problems = in_the_way(solved.target, solved.runs, solved.answer);
        if !problems.is_empty() {
            return refuse(&problems, streams);
        }
        if self.arguments.append {
            return self.append(solved, streams);
        }
        Ok(exit_of(advice))
    }

    fn unsolved_json(&self, unsolved: &Unsolved) -> Option<String> {
        json::refused(unsolved).filter(|_| self.arguments.job.json).map(|answer| answer.to_string())
    }
}

/// What stands in the way of the masses, as problems of the files.
fn in_the_way(target: &Target, runs: &ShaftRuns, answer: &Answer) -> Vec<Problem> {
    match answer.advice() {
        Advice::MustNotSpin(refusal) => vec![refused(target, &answer.shaft, refusal)],
        Advice::OneMoreRun(OneMoreRun { next: NextRun::BetterTrial { why, hints }, .. }) => {
            unusable(runs, &answer.shaft, why, hints)
        }
        _ => Vec::new(),
    }
}

/// Masses that must not be used, as problems of the runs file.
fn unusable(runs: &ShaftRuns, shaft: &str, why: &[Unusable], hints: &[String]) -> Vec<Problem> {
    let line = runs.lines.first().copied().unwrap_or(1);
    let place = || Place::Cell { file: runs.file.to_string(), line, column: None };
    let problem = |(fault, hint): (&Unusable, &String)| {
        let found = format!("{shaft}: {fault}");
        Problem::at("correction-not-usable", place(), found).hinting(hint.clone())
    };
    why.iter().zip(hints).map(problem).collect()
}

/// The exit status of `correct` for an advice.
fn exit_of(advice: &Advice) -> Exit {
    match advice {
        Advice::MustNotSpin(_) => Exit::CouldNot,
        Advice::HeldBack(_) | Advice::OneMoreRun(_) => Exit::Undecided,
        Advice::Done(_) | Advice::Hold(_) | Advice::Ideal(_) | Advice::NothingBetter(_) => Exit::Done,
    }
}

impl Correct<'_> {
    fn write(&mut self, solved: &Solved<'_>, streams: &mut Streams<'_>) -> std::io::Result<()> {
        if self.arguments.job.json {
            return writeln!(streams.answer, "{}", json::correction(solved.answer));
        }
        let refused = match solved.answer.advice() {
            Advice::MustNotSpin(_) => true,
            Advice::OneMoreRun(found) => matches!(found.next, NextRun::BetterTrial { .. }),
            _ => false,
        };
        if refused {
            return Ok(());
        }
        let view = solved.view();
        if !solved.many() {
            let words = match self.arguments.all {
                true => text::correction_in_full(&view),
                false => text::correction(&view),
            };
            return writeln!(streams.answer, "{}", words.trim_end());
        }
        if !self.head_written {
            write!(streams.answer, "{}", table::correction_head(&view))?;
            self.head_written = true;
        }
        write!(streams.answer, "{}", table::correction_row(&view))
    }

    /// Keeps the check row that follows from the advice; there is none if the advice puts nothing on.
    fn append(&mut self, solved: &Solved<'_>, streams: &mut Streams<'_>) -> std::io::Result<Exit> {
        if let Some(waits) = solved.runs.waits() {
            return refuse(&[waits], streams);
        }
        let run = match solved.answer.advice() {
            Advice::Hold(_) | Advice::Ideal(_) => solved.answer.check_row(),
            Advice::OneMoreRun(found) if found.next == NextRun::CheckAsItIs => solved.answer.check_row(),
            other => {
                let runs = shown_path(&solved.target.runs);
                let found = format!("no row was added, because the advice is \"{}\"", other.word());
                let problem = Problem::of_file("nothing-to-append", runs, found);
                refuse(&[problem], streams)?;
                let exit = exit_of(other);
                return Ok(if exit == Exit::Done { Exit::CouldNot } else { exit });
            }
        };
        self.rows.push(NewRun { shaft: solved.runs.shaft.clone(), run, texts: RowTexts::default() });
        Ok(Exit::Done)
    }
}

/// One row a shaft.
fn sheet(
    arguments: &CorrectArguments,
    target: &Target,
    quiet: bool,
    streams: &mut Streams<'_>,
) -> std::io::Result<Exit> {
    let reader = match RunsReader::open_season(&target.runs, target.file.as_ref()) {
        Ok(reader) => reader,
        Err(problems) => return refuse(&problems, streams),
    };
    let setup = reader.setup().clone();
    let limits = limits(target.job(), &setup.planes).map(|limits| limits.planes).unwrap_or_default();
    let columns = CorrectionColumns { planes: &setup.planes, limits: &limits, units: target.job().units };
    in_rows(reader, &CorrectionRows { arguments, target, columns }, quiet, streams)
}

struct CorrectionRows<'a> {
    arguments: &'a CorrectArguments,
    target: &'a Target,
    columns: CorrectionColumns<'a>,
}

impl OneRow for CorrectionRows<'_> {
    fn target(&self) -> &Target {
        self.target
    }

    fn head(&self, rows: &mut Rows) {
        self.columns.head(rows);
    }

    fn untried(&self) -> IfUntried {
        IfUntried::Refused
    }

    fn ask(&self, case: Case) -> Result<Case, Vec<Problem>> {
        ask(self.arguments, case)
    }

    fn answered(&self, rows: &mut Rows, runs: &ShaftRuns, answer: &Answer) -> Outcome {
        let problems = in_the_way(self.target, runs, answer);
        if !problems.is_empty() {
            return self.fault(rows, &answer.shaft, problems);
        }
        self.columns.row(rows, answer);
        Outcome { exit: exit_of(answer.advice()), problems }
    }

    fn fault(&self, rows: &mut Rows, shaft: &str, problems: Vec<Problem>) -> Outcome {
        self.columns.fault(rows, shaft, &reason(&problems));
        Outcome { exit: Exit::CouldNot, problems }
    }
}

/// The case with the weights to try out, if the command line names some.
fn ask(arguments: &CorrectArguments, case: Case) -> Result<Case, Vec<Problem>> {
    let given = given_weights(&arguments.with, &case.runs.setup().planes, Habits::of(&case.job))?;
    Ok(Case { given, insist: arguments.insist(), ..case })
}
