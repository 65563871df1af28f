//! `balance correct`: what to put where.

use balance_core::correction::weights::GivenWeight;
use balance_core::quantity::{Angle, Mass};

use super::each::{EachShaft, each_shaft_of, refuse};
use super::gate::refusal_of;
use super::target::{Target, target};
use crate::args::CorrectArguments;
use crate::exit::Exit;
use crate::files::nearest::nearest;
use crate::files::runs::append_run;
use crate::files::{Problem, shown_path};
use crate::outcome::{Outcome, check_row, with_given};
use crate::print::{json, table, text};
use crate::streams::Streams;

pub fn run(arguments: &CorrectArguments, quiet: bool, streams: &mut Streams<'_>) -> std::io::Result<Exit> {
    let target = match target(&arguments.job) {
        Ok(target) => target,
        Err(problems) => return refuse(&problems, streams),
    };
    each_shaft_of(&target, &mut Correct { arguments, quiet, head_written: false }, streams)
}

struct Correct<'a> {
    arguments: &'a CorrectArguments,
    quiet: bool,
    head_written: bool,
}

impl EachShaft for Correct<'_> {
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
        if self.arguments.with.is_empty() {
            self.write(outcome, many, streams)?;
            return if self.arguments.append {
                self.append(target, outcome, streams)
            } else {
                Ok(Exit::Done)
            };
        }
        let given = match given_weights(&self.arguments.with, outcome) {
            Ok(given) => given,
            Err(problems) => return refuse(&problems, streams),
        };
        match with_given(outcome, &given) {
            Ok(outcome) => {
                self.write(&outcome, many, streams)?;
                if self.arguments.append { self.append(target, &outcome, streams) } else { Ok(Exit::Done) }
            }
            Err(words) => refuse(&[Problem::of_file("with", "--with", words)], streams),
        }
    }
}

impl Correct<'_> {
    fn write(&mut self, outcome: &Outcome<'_>, many: bool, streams: &mut Streams<'_>) -> std::io::Result<()> {
        if self.arguments.job.json {
            return writeln!(streams.answer, "{}", json::correction(outcome));
        }
        if !many {
            return writeln!(streams.answer, "{}", text::correction(outcome).trim_end());
        }
        if !self.head_written {
            write!(streams.answer, "{}", table::correction_head(outcome))?;
            self.head_written = true;
        }
        write!(streams.answer, "{}", table::correction_row(outcome))
    }

    fn append(
        &self,
        target: &Target,
        outcome: &Outcome<'_>,
        streams: &mut Streams<'_>,
    ) -> std::io::Result<Exit> {
        let row = check_row(outcome);
        match append_run(&target.runs, target.job.as_ref(), &row) {
            Ok(()) => {
                if !self.quiet {
                    let file = shown_path(&target.runs);
                    let label = &row.run.label;
                    writeln!(
                        streams.talk,
                        "row {label} is ready in {file}: read the check run and fill it in"
                    )?;
                }
                Ok(Exit::Done)
            }
            Err(problems) => refuse(&problems, streams),
        }
    }
}

/// Reads `front=10@287,15@329`, every fault at once.
fn given_weights(texts: &[String], outcome: &Outcome<'_>) -> Result<Vec<GivenWeight>, Vec<Problem>> {
    let (mut given, mut problems) = (Vec::new(), Vec::new());
    for text in texts {
        let Some((name, weights)) = text.split_once('=') else {
            problems.push(wrong_with(text));
            continue;
        };
        let planes = &outcome.set.setup().planes;
        let Some(plane) = planes.iter().position(|plane| plane.name == name.trim()) else {
            let names: Vec<&str> = planes.iter().map(|plane| plane.name.as_str()).collect();
            let hint =
                nearest(name.trim(), names.iter().copied()).map(|near| format!("did you mean `{near}`?"));
            let problem = Problem::of_file("with", "--with", format!("there is no place `{}`", name.trim()));
            problems.push(problem.allowing(names.join(", ")).hinting(hint));
            continue;
        };
        for weight in weights.split(',') {
            match given_weight(plane, weight) {
                Some(weight) => given.push(weight),
                None => problems.push(wrong_with(weight)),
            }
        }
    }
    if problems.is_empty() { Ok(given) } else { Err(problems) }
}

fn given_weight(plane: usize, text: &str) -> Option<GivenWeight> {
    let (grams, degrees) = text.split_once('@')?;
    Some(GivenWeight {
        plane,
        mass: Mass::from_grams(grams.trim().parse().ok()?).ok().filter(|mass| mass.grams() > 0.0)?,
        angle: Angle::from_degrees(degrees.trim().parse().ok()?).ok()?,
        radius: None,
    })
}

fn wrong_with(text: &str) -> Problem {
    Problem::of_file("with", "--with", format!("`{}` is no weight at a place", text.trim()))
        .allowing("PLACE=GRAMS@DEGREES, such as front=10@287,15@329")
}
