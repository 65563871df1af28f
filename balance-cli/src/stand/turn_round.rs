//! Without phase: the trial mass goes round its plane, and one more run settles what stays open.

use balance_core::run::{PlacedMass, RunKind};
use balance_core::shaft::PlaneId;

use super::draft::Phases;
use super::masses;
use super::places::Way;
use super::session::{Answer, Break, Session, Turn};
use super::state::{State, settling};
use super::turn_trial::new_run;
use super::words;
use crate::typed::{Amount, amounts, one_weight};

/// What chooses four places instead of three.
const FOUR: &str = "four";

impl Session<'_, '_> {
    /// The trial mass of the last run, if it stays in this plane and goes to another place of it.
    pub(super) fn mass_to_move(&self, state: &State, plane: PlaneId) -> Option<PlacedMass> {
        if state.phases() == Phases::Shown {
            return None;
        }
        let last = state.shaft.runs.last().filter(|run| run.kind == RunKind::Trial)?;
        match &last.masses[..] {
            [mass] if mass.plane == plane && !self.memory.trial_off(Some(&last.label)) => Some(mass.clone()),
            _ => None,
        }
    }

    /// The same mass at the next place.
    pub(super) fn next_place(&mut self, state: &State, mass: &PlacedMass, group: usize) -> Turn {
        let Some(next) = state.next_place(mass.plane, group, &self.memory) else { return Ok(()) };
        let Some(degrees) = next.degrees else { return Ok(()) };
        let (label, speed) = (state.next_label(), words::speed_of(state, group));
        let Some(proposed) = at(mass, degrees) else { return Ok(()) };
        let on = words::on_the_tape(state, std::slice::from_ref(&proposed));
        let number = state.places(mass.plane, group).len() + 1;
        let of = next.way.unwrap_or(Way::Thirds).places();
        self.talk.say(&format!(
            "Run {label}, TRIAL, place {number} of {of}: lock out, move the same mass on, to {on}. Then spin to {speed}, \
             read."
        ))?;
        let free = next.way.is_none();
        let choice = if free { ", four = four places" } else { "" };
        let question = format!("Is it there? Enter = yes{choice}, s = no room there, or its place in deg:");
        let moved = loop {
            match self.ask(state, &question, words::HELP_ROUND)? {
                Answer::Proposed => break proposed,
                Answer::Text(text) if super::line::is_yes(&text) => break proposed,
                Answer::Text(text) if free && text.eq_ignore_ascii_case(FOUR) => {
                    let Some(quarter) = at(mass, mass.angle.degrees() + 90.0) else { return Ok(()) };
                    let on = words::on_the_tape(state, std::slice::from_ref(&quarter));
                    self.talk.say(&format!("Four places then: move it to {on}."))?;
                    break quarter;
                }
                Answer::Skip => {
                    self.memory.leave_out_place(mass.plane.index(), degrees);
                    return Ok(());
                }
                Answer::Zero => return Err(Break::Undo),
                Answer::Text(text) => match elsewhere(state, mass, &text) {
                    Ok(own) => break own,
                    Err(words) => self.talk.refused(&words)?,
                },
            }
        };
        self.talk.say("Guard shut, nobody in line with it, run up slowly, read.")?;
        let mut run = new_run(state, RunKind::Trial, vec![moved]);
        run.speed = words::group_speed(state, group);
        self.read_run(state, run, "")
    }

    /// Several answers explain the amplitudes: the run that tells which is right.
    pub(super) fn settle(&mut self, state: &State) -> Turn {
        let Ok(answer) = state.answer() else { return Ok(()) };
        let trials = settling(&answer);
        // The second of two runs comes after the first.
        let read = |masses: &[PlacedMass]| {
            let same = |own: &[PlacedMass]| {
                own.len() == masses.len() && own.iter().zip(masses).all(|(a, b)| a.same_as(b))
            };
            state.shaft.runs.iter().any(|run| same(&run.masses))
        };
        let Some(trial) = trials.iter().find(|trial| !read(&trial.masses)).or(trials.last()) else {
            return Ok(());
        };
        let label = state.next_label();
        self.talk.gap()?;
        let first = trials.len() == 1 || !trials.iter().any(|trial| read(&trial.masses));
        if let balance_core::answer::Advice::OneMoreRun(more) = answer.advice()
            && first
        {
            self.talk.refused(&more.next.sentence())?;
        }
        let on = words::on_the_tape(state, &trial.masses);
        self.talk.say(&format!("Run {label}, TRIAL: put on {on}, nothing else; spin, read."))?;
        let question =
            format!("Is it on? 1 or Enter = yes, or what is on, such as {}:", words::weight_example(state));
        let masses = loop {
            match self.ask(state, &question, words::HELP_SETTLE)? {
                Answer::Proposed => break trial.masses.clone(),
                Answer::Text(text) if super::line::is_yes(&text) => break trial.masses.clone(),
                Answer::Zero => return Err(Break::Undo),
                Answer::Skip => {
                    self.talk.refused(
                        "Without this run no masses are given: the wrong answer would make it worse.",
                    )?;
                }
                Answer::Text(text) => match masses::several(&text, &state.shaft.setup.planes, state.habits())
                {
                    Ok(own) => break own,
                    Err(words) => self.talk.refused(&words)?,
                },
            }
        };
        self.talk.say("Guard shut, nobody in line with it, run up slowly, read.")?;
        let run = new_run(state, RunKind::Trial, masses);
        self.read_run(state, run, "")
    }
}

/// The mass at another place of its plane.
fn at(mass: &PlacedMass, degrees: f64) -> Option<PlacedMass> {
    let degrees = (degrees * 10.0).round() / 10.0;
    let angle = balance_core::quantity::Angle::from_degrees(degrees.rem_euclid(360.0)).ok()?;
    Some(PlacedMass { angle, ..mass.clone() })
}

/// The mass at a place that was typed: degrees, or a place on the tape with its unit.
fn elsewhere(state: &State, mass: &PlacedMass, text: &str) -> Result<PlacedMass, String> {
    let [place] = &amounts(text)?[..] else {
        return Err("Enter when it is there; s = no room there; or its place, such as 130.".into());
    };
    let as_is = Amount { number: mass.mass.grams().to_string(), unit: "g".into(), at: false };
    let typed = one_weight(mass.plane, &as_is, &Amount { at: true, ..place.clone() }, state.habits())?;
    Ok(PlacedMass { angle: typed.angle, ..mass.clone() })
}
