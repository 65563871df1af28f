//! `balance correct --now …`: the ideal masses from values typed on the command line, for those who only want
//! the vector.

use balance_core::answer::{Advice, Answer, Case, NextRun, OneMoreRun, Solver, json};
use balance_core::job::Job;
use balance_core::quantity::{Angle, Mass, Units, parse_in};
use balance_core::run::{Change, Convention, Noise, PlacedMass, Run, RunKind, RunSet, SensorReading, Setup};
use balance_core::shaft::{CorrectionPlane, PlaneId, Sensor};

use super::each::refuse;
use crate::args::CorrectArguments;
use crate::exit::Exit;
use crate::files::Problem;
use crate::files::job::units_here;
use crate::files::nearest::did_you_mean;
use crate::print::text;
use crate::streams::Streams;
use crate::typed::Habits;
use crate::view::View;

/// The name of the only sensor or place if none is given.
const ONLY_SENSOR: &str = "dial";
const ONLY_PLACE: &str = "place";

const NOW_ALLOWED: &str =
    "SENSOR=AMPLITUDE@PHASE, for example front=5.29@230,rear=3.24@69; with one sensor 5.29@230";
const TRIAL_ALLOWED: &str = "PLACE=MASS@ANGLE:READINGS, for example \
                            front=20@90:front=8.68@211,rear=3.56@49; with one of each 20@90:8.68@211";

pub fn run(arguments: &CorrectArguments, streams: &mut Streams<'_>) -> std::io::Result<Exit> {
    match answer(&arguments.now, &arguments.trial, units_here()) {
        Ok(answer) if arguments.job.json => {
            writeln!(streams.answer, "{}", json::correction(&answer))?;
            Ok(Exit::Done)
        }
        Ok(answer) => {
            let view = View { page: streams.page, ..View::new(&answer, None) };
            let words = if arguments.all { text::correction_in_full(&view) } else { text::correction(&view) };
            writeln!(streams.answer, "{}", words.trim_end())?;
            Ok(Exit::Done)
        }
        Err(problems) => refuse(&problems, streams),
    }
}

/// The answer from typed values: ideal masses, because no limit and no box of weights are known.
fn answer(now: &[String], trials: &[String], units: Units) -> Result<Answer, Vec<Problem>> {
    let set = run_set(now, trials, units)?;
    let solved = Solver::default().solve(&Case::new("typed values", Job { units, ..Job::default() }, set));
    let answer = solved.map_err(|unsolved| {
        let problem = |missing: &balance_core::answer::Missing| {
            wrong("--trial", missing.to_string()).hinting(missing.hint())
        };
        unsolved.missing.iter().map(problem).collect::<Vec<Problem>>()
    })?;
    if let Advice::OneMoreRun(OneMoreRun { next: NextRun::BetterTrial { why, hints }, .. }) = answer.advice()
    {
        let problem = |(why, hint): (&balance_core::correction::Unusable, &String)| {
            wrong("--trial", why.to_string()).hinting(hint.clone())
        };
        return Err(why.iter().zip(hints).map(problem).collect());
    }
    Ok(answer)
}

fn run_set(now: &[String], trials: &[String], units: Units) -> Result<RunSet, Vec<Problem>> {
    let mut problems = Vec::new();
    let found = now.iter().filter_map(|text| readings("--now", text, NOW_ALLOWED, &mut problems));
    let initial: Vec<NamedReading> = found.flatten().collect();
    let sensors: Vec<Sensor> = initial.iter().map(|own| Sensor::vibration(&own.sensor, "")).collect();
    let mut planes: Vec<CorrectionPlane> = Vec::new();
    let mut runs = vec![(RunKind::Initial, Vec::new(), initial)];
    for text in trials {
        let Some((masses, own)) = text.split_once(':') else {
            problems
                .push(wrong("--trial", format!("`{}` has no readings", text.trim())).allowing(TRIAL_ALLOWED));
            continue;
        };
        let masses = masses_of(masses, units, &mut planes, &mut problems);
        if let Some(own) = readings("--trial", own, TRIAL_ALLOWED, &mut problems) {
            runs.push((RunKind::Trial, masses, own));
        }
    }
    let runs: Vec<Run> = runs
        .into_iter()
        .enumerate()
        .map(|(at, (kind, masses, own))| {
            let label = if at == 0 { "now".to_owned() } else { format!("trial {at}") };
            Run::new(&label, kind, masses, in_order(&sensors, own, &mut problems))
        })
        .collect();
    if !problems.is_empty() {
        return Err(problems);
    }
    let setup = Setup { planes, sensors, convention: Convention::unstated(), noise: Noise::not_stated() };
    RunSet::new(setup, runs).map_err(|faults| {
        let problem = |fault: &balance_core::run::RunFault| {
            let option = if fault.row == Some(0) { "--now" } else { "--trial" };
            wrong(option, fault.found.to_string())
                .allowing(fault.allowed.to_string())
                .hinting(fault.hint.clone())
        };
        faults.iter().map(problem).collect()
    })
}

/// A reading with the name of its sensor.
struct NamedReading {
    sensor: String,
    reading: SensorReading,
}

/// `front=5.29@230,rear=3.24@69`, every fault noted.
fn readings(
    option: &str,
    text: &str,
    allowed: &str,
    problems: &mut Vec<Problem>,
) -> Option<Vec<NamedReading>> {
    let before = problems.len();
    let mut found: Vec<NamedReading> = Vec::new();
    for part in text.split(',') {
        let (sensor, value) = named(part, ONLY_SENSOR);
        match reading(value) {
            Some(_) if found.iter().any(|own| own.sensor == sensor) => {
                problems.push(wrong(option, format!("`{sensor}` is read twice")).allowing(allowed));
            }
            Some(reading) => found.push(NamedReading { sensor, reading }),
            None => {
                let words = format!("`{}` is not a reading", part.trim());
                problems.push(wrong(option, words).allowing(allowed).hinting(comma_hint(text)));
            }
        }
    }
    (problems.len() == before).then_some(found)
}

fn reading(text: &str) -> Option<SensorReading> {
    if let Some(limit) = text.strip_prefix('<') {
        return Some(SensorReading::Below(number(limit).filter(|limit| *limit > 0.0)?));
    }
    let (amplitude, phase) = text.split_once('@')?;
    let amplitude = number(amplitude).filter(|amplitude| *amplitude >= 0.0)?;
    Some(SensorReading::Shown { amplitude, phase: angle(phase)? })
}

/// `front=20@90` with further masses after commas; a place is added when it first gets a mass.
fn masses_of(
    text: &str,
    units: Units,
    planes: &mut Vec<CorrectionPlane>,
    problems: &mut Vec<Problem>,
) -> Vec<PlacedMass> {
    let mut masses = Vec::new();
    for part in text.split(',') {
        let (place, value) = named(part, ONLY_PLACE);
        let Some((mass, angle)) = value.split_once('@').and_then(|(m, a)| mass(m, units).zip(self::angle(a)))
        else {
            let words = format!("`{}` is not a mass at an angle", part.trim());
            problems.push(wrong("--trial", words).allowing(TRIAL_ALLOWED).hinting(comma_hint(text)));
            continue;
        };
        let plane = planes.iter().position(|own| own.name == place).unwrap_or_else(|| {
            planes.push(CorrectionPlane::named(&place));
            planes.len() - 1
        });
        let plane = PlaneId::new(plane);
        masses.push(PlacedMass { plane, mass, angle, change: Change::Added, radius: None, bead: Mass::ZERO });
    }
    masses
}

/// The readings in the order of the sensors; a sensor that `--now` does not name is a fault.
fn in_order(sensors: &[Sensor], own: Vec<NamedReading>, problems: &mut Vec<Problem>) -> Vec<SensorReading> {
    let mut ordered = vec![SensorReading::NotRead; sensors.len()];
    for NamedReading { sensor, reading } in own {
        match sensors.iter().position(|known| known.name == sensor) {
            Some(at) => ordered[at] = reading,
            None => {
                let known = || sensors.iter().map(|sensor| sensor.name.as_str());
                let problem = wrong("--trial", format!("sensor `{sensor}` is not among those of --now"));
                let hint = did_you_mean(&sensor, known());
                problems.push(problem.allowing(known().collect::<Vec<&str>>().join(", ")).hinting(hint));
            }
        }
    }
    ordered
}

/// A name and its value; without an `=`, the name of the only one there is.
fn named<'t>(part: &'t str, only: &str) -> (String, &'t str) {
    match part.split_once('=') {
        Some((name, value)) => (name.trim().to_owned(), value.trim()),
        None => (only.to_owned(), part.trim()),
    }
}

fn number(text: &str) -> Option<f64> {
    text.trim().parse().ok().filter(|number: &f64| number.is_finite())
}

fn angle(text: &str) -> Option<Angle> {
    let text = text.trim().trim_end_matches("deg").trim_end_matches('°');
    Angle::from_degrees(number(text)?).ok()
}

/// A mass with its unit, or in the shop's.
fn mass(text: &str, units: Units) -> Option<Mass> {
    let usual = Habits { units, ..Habits::default() }.weight_unit();
    parse_in(text.trim(), usual).ok().filter(|mass: &Mass| mass.grams() > 0.0)
}

fn comma_hint(text: &str) -> Option<String> {
    let letters: Vec<char> = text.chars().collect();
    let decimal = |three: &[char]| three[1] == ',' && three[0].is_ascii_digit() && three[2].is_ascii_digit();
    letters.windows(3).any(decimal).then(|| "a comma separates values; use a decimal point: 5.29".to_owned())
}

fn wrong(option: &str, words: String) -> Problem {
    Problem::of_file("typed-values", option, words)
}
