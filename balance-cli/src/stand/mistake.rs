//! A run that was entered wrongly: one number of it is put right, or all of it typed again.

use balance_core::quantity::{Angle, Speed};
use balance_core::run::{Run, RunKind, SensorReading};

use super::draft::{Phases, amplitude, angle, speed};
use super::line::{Value, values};
use super::session::{Answer, Break, Session, Turn};
use super::state::State;
use super::words;
use crate::files::runs::{NewRun, replace_run};
use crate::files::shown_path;
use crate::print::text::units;
use crate::typed::{Amount, amounts, one_weight};

/// One number of a run.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Number {
    Mass(usize),
    Place(usize),
    Speed,
    Amplitude(usize),
    Phase(usize),
}

impl Session<'_, '_> {
    /// A run that is in the file already, put right.
    pub(super) fn mistake(&mut self, state: &State, label: &str) -> Turn {
        let Some((old, texts)) = state.run(label) else {
            let labels: Vec<&str> = state.shaft.runs.iter().map(|run| run.label.as_str()).collect();
            let known = if labels.is_empty() { "there is none yet".into() } else { labels.join(", ") };
            self.talk.refused(&format!("Which run? Type: mistake 3. Runs in the file: {known}."))?;
            return Ok(());
        };
        self.talk.gap()?;
        self.talk.say(&format!("As entered: {}", words::run(state, old)))?;
        let mut run = old.clone();
        match self.put_right(state, &mut run) {
            Err(Break::Undo) => {
                self.talk.say(&format!("Run {label} stays as it is."))?;
                return Ok(());
            }
            other => other?,
        }
        let new = NewRun { shaft: None, run, texts: texts.clone() };
        replace_run(&state.file, Some(&state.job_file), label, &new)?;
        self.memory.forget();
        self.talk.taken(&format!("Taken: run {label} is changed in {}.", shown_path(&state.file)))?;
        Ok(())
    }

    fn put_right(&mut self, state: &State, run: &mut Run) -> Turn {
        let numbers = numbers(state, run);
        for (at, number) in numbers.iter().enumerate() {
            self.talk.item(&format!("{} = {}", at + 1, shown(state, run, *number)))?;
        }
        let question = "Which number is wrong? Its number and the value, such as 2 8.68; Enter = all:";
        loop {
            let changed = match self.ask(state, question, words::HELP_MISTAKE)? {
                Answer::Proposed => return self.all_again(state, run),
                Answer::Zero => return Err(Break::Undo),
                Answer::Skip => Err("0 leaves the run as it is.".to_owned()),
                Answer::Text(text) => changed(state, run, &numbers, &text),
            };
            match changed {
                Ok(whole) => {
                    if self.is_right(state, &whole)? {
                        *run = whole;
                        return Ok(());
                    }
                }
                Err(words) => self.talk.refused(&words)?,
            }
        }
    }

    fn all_again(&mut self, state: &State, run: &mut Run) -> Turn {
        if run.kind != RunKind::Initial {
            self.masses_anew(state, run)?;
        }
        *run = self.reading(state, run)?;
        Ok(())
    }
}

fn numbers(state: &State, run: &Run) -> Vec<Number> {
    let masses = (0..run.masses.len()).flat_map(|at| [Number::Mass(at), Number::Place(at)]);
    let speed = state.shaft.columns.speed.map(|_| Number::Speed);
    let readings = run.readings.iter().enumerate().flat_map(|(at, reading)| {
        let phase = matches!(reading, SensorReading::Shown { .. }).then_some(Number::Phase(at));
        std::iter::once(Number::Amplitude(at)).chain(phase)
    });
    masses.chain(speed).chain(readings).collect()
}

/// A number with its name: "front amplitude 8.68 mm/s".
fn shown(state: &State, run: &Run, number: Number) -> String {
    let shop = state.job_file.job.units;
    let plane = |at: usize| state.shaft.setup.planes[run.masses[at].plane].name.clone();
    let sensor = |at: usize| &state.shaft.setup.sensors[at];
    match number {
        Number::Mass(at) => format!("{} mass {}", plane(at), units::stamped(shop, run.masses[at].mass)),
        Number::Place(at) => format!("{} angle {} deg", plane(at), rounded(run.masses[at].angle)),
        Number::Speed => format!(
            "speed {}",
            run.speed.map_or("not stated".into(), |own| format!("{} rpm", units::rpm(own.rpm())))
        ),
        Number::Amplitude(at) => match &run.readings[at] {
            SensorReading::NotRead => format!("{} not read", sensor(at).name),
            SensorReading::Below(limit) => format!("{} below {limit} {}", sensor(at).name, sensor(at).unit),
            SensorReading::Shown { amplitude, .. } | SensorReading::Amplitude(amplitude) => {
                format!("{} amplitude {amplitude} {}", sensor(at).name, sensor(at).unit)
            }
        },
        Number::Phase(at) => match &run.readings[at] {
            SensorReading::Shown { phase, .. } => {
                format!("{} phase {} deg", sensor(at).name, phase.degrees())
            }
            _ => format!("{} phase", sensor(at).name),
        },
    }
}

fn rounded(angle: Angle) -> f64 {
    (angle.degrees() * 10.0).round() / 10.0
}

/// The run with one number changed, as it was typed: `4 8.68`.
fn changed(state: &State, run: &Run, numbers: &[Number], text: &str) -> Result<Run, String> {
    let (first, rest) =
        text.split_once(|letter: char| letter.is_whitespace() || letter == '=').unwrap_or((text, ""));
    let rest = rest.trim_start_matches(|letter: char| letter.is_whitespace() || letter == '=');
    let number = first.parse::<usize>().ok().and_then(|at| numbers.get(at.checked_sub(1)?)).copied();
    let number = number.ok_or_else(|| format!("1 to {}, a space, and the right value.", numbers.len()))?;
    if rest.is_empty() {
        return Err(format!("The right value stands behind the number, such as {first} 8.68."));
    }
    let mut whole = run.clone();
    match number {
        Number::Mass(at) => whole.masses[at].mass = weight(state, run, at, rest, true)?.mass,
        Number::Place(at) => whole.masses[at].angle = weight(state, run, at, rest, false)?.angle,
        Number::Speed => whole.speed = Speed::from_rpm(speed(one(state, rest)?)?).ok(),
        Number::Amplitude(at) => whole.readings[at] = reading(state, &run.readings[at], rest)?,
        Number::Phase(at) => {
            if let SensorReading::Shown { phase, .. } = &mut whole.readings[at] {
                *phase = angle(one(state, rest)?)?;
            }
        }
    }
    Ok(whole)
}

/// The mass with its other half as it is: a mass is read with its place, a place with its mass.
fn weight(
    state: &State,
    run: &Run,
    at: usize,
    text: &str,
    is_mass: bool,
) -> Result<crate::typed::TypedWeight, String> {
    let own = &run.masses[at];
    let as_is = |number: f64, unit: &str, at| Amount { number: number.to_string(), unit: unit.into(), at };
    let [typed] = &amounts(text)?[..] else { return Err("One value is wanted.".into()) };
    let (mass, place) = if is_mass {
        (typed.clone(), as_is(own.angle.degrees_in_turn(), "deg", true))
    } else {
        (as_is(own.mass.grams(), "g", false), Amount { at: true, ..typed.clone() })
    };
    one_weight(own.plane, &mass, &place, state.habits())
}

fn typed(state: &State, text: &str) -> Result<Vec<Value>, String> {
    let mut known = vec!["rpm", "deg"];
    known.extend(state.shaft.setup.sensors.iter().map(|sensor| sensor.unit.as_str()));
    values(text, &known)
}

fn one(state: &State, text: &str) -> Result<f64, String> {
    match typed(state, text)?[..] {
        [Value::Number(number)] => Ok(number),
        _ => Err("One number is wanted.".into()),
    }
}

/// An amplitude keeps its angle; one that had none needs it.
fn reading(state: &State, old: &SensorReading, text: &str) -> Result<SensorReading, String> {
    match (&typed(state, text)?[..], old) {
        ([Value::NotRead], _) => Ok(SensorReading::NotRead),
        ([Value::Below(limit)], _) if *limit > 0.0 => Ok(SensorReading::Below(amplitude(*limit)?)),
        ([Value::Number(size)], SensorReading::Shown { phase, .. }) => {
            Ok(SensorReading::Shown { amplitude: amplitude(*size)?, phase: *phase })
        }
        ([Value::Number(size)], _) if state.phases() == Phases::NotShown => {
            Ok(SensorReading::Amplitude(amplitude(*size)?))
        }
        (_, _) if state.phases() == Phases::NotShown => Err("One amplitude is wanted.".into()),
        ([Value::Number(size), Value::Number(degrees)], _) => {
            Ok(SensorReading::Shown { amplitude: amplitude(*size)?, phase: angle(*degrees)? })
        }
        ([Value::Number(_)], _) => Err("The angle is missing: type amplitude and angle.".into()),
        _ => Err("An amplitude is wanted, with its angle if that is wrong too.".into()),
    }
}
