//! The initial run and the trial runs.

use balance_core::caution::Caution;
use balance_core::run::{OnTopOf, PlacedMass, Run, RunKind};
use balance_core::shaft::PlaneId;

use super::draft::Phases;
use super::masses;
use super::session::{Answer, Break, Session, Turn};
use super::state::State;
use super::words;
use crate::print::text::units;
use crate::print::text::{before_first_spin, before_spin_line, plane_place_of};

impl Session<'_, '_> {
    pub(super) fn initial(&mut self, state: &State) -> Turn {
        self.talk.gap()?;
        if self.memory.first_time("first spin") {
            self.talk.show(&before_first_spin(self.talk.page()))?;
            let before = state.before_spin(None);
            self.talk.show(&before_spin_line(self.talk.page(), before.as_deref()))?;
            self.gone_through(state)?;
            self.talk.gap()?;
        }
        self.talk.show(&words::counting(state))?;
        self.talk.say("Run 1, INITIAL: the shaft as found, nothing added. Spin it and read every sensor.")?;
        self.talk.say(&words::example(state))?;
        let run = new_run(state, RunKind::Initial, Vec::new());
        self.read_run(state, run, "")
    }

    /// Waits until the list was gone through: it fills the screen, and the next question would push it off.
    fn gone_through(&mut self, state: &State) -> Turn {
        let question = "Go through this list at the stand, then press Enter:";
        loop {
            match self.ask(state, question, words::HELP_LIST)? {
                Answer::Proposed => return Ok(()),
                Answer::Text(text) if super::line::is_yes(&text) => return Ok(()),
                Answer::Zero => return Err(Break::Undo),
                _ => self.talk.refused("Enter when every line of the list is done; q = leave.")?,
            }
        }
    }

    pub(super) fn trial(&mut self, state: &State, plane: PlaneId, group: usize, still_on: bool) -> Turn {
        self.talk.gap()?;
        self.talk.show(&words::counting(state))?;
        let own = &state.shaft.setup.planes[plane];
        let label = state.next_label();
        let speed = words::speed_of(state, group);
        if still_on && let Some(last) = state.shaft.runs.last() {
            self.talk
                .say(&format!("Run {label}, TRIAL: leave the trial mass on, spin to {speed} and read."))?;
            let mut run = new_run(state, RunKind::Trial, last.masses.clone());
            run.speed = words::group_speed(state, group);
            run.on_top_of.clone_from(&last.on_top_of);
            return self.read_run(state, run, "");
        }
        if let Some(mass) = self.mass_to_move(state, plane) {
            return self.next_place(state, &mass, group);
        }
        let place = plane_place_of(own, state.job_file.job.units);
        self.talk.say(&format!(
            "Run {label}, TRIAL: a trial mass at the {place}, nowhere else; spin to {speed}, read."
        ))?;
        if state.phases() == Phases::NotShown && self.memory.first_time("round") {
            self.talk.say(words::ROUND)?;
        }
        if self.memory.first_time("trial spin") {
            self.talk.say(words::BEFORE_TRIAL)?;
        }
        self.say_advice(state, plane)?;
        let mass = self.trial_mass(state, plane)?;
        let held = self.held(state)?;
        self.talk.say(&format!(
            "{}, {held}. Guard shut, run up slowly to {speed}, read.",
            masses::words(std::slice::from_ref(&mass), &state.shaft.setup.planes, state.job_file.job.units)
        ))?;
        let mut run = new_run(state, RunKind::Trial, vec![mass]);
        run.speed = words::group_speed(state, group);
        self.read_run(state, run, &held)?;
        self.say_effect()
    }

    /// Which trial mass is advised.
    fn say_advice(&mut self, state: &State, plane: PlaneId) -> Turn {
        let all = state.trial_advice();
        let Some(advice) = all.into_iter().find(|advice| advice.plane == plane) else { return Ok(()) };
        self.talk.say(&words::trial_advice(state, &advice))?;
        for caution in advice.cautions().iter().filter(|caution| **caution != Caution::TrialUnknownEffect) {
            self.talk.item(&caution.words(state.job_file.job.units))?;
        }
        Ok(())
    }

    fn trial_mass(&mut self, state: &State, plane: PlaneId) -> Turn<PlacedMass> {
        let radius = state.shaft.setup.planes[plane].trial_radius.or(state.shaft.setup.planes[plane].radius);
        if let Some(radius) = radius {
            let radius = units::fine_length(state.job_file.job.units, radius.millimetres());
            self.talk.say(&format!("It counts at a radius of {radius}; a third number says another."))?;
        }
        let question = words::trial_question(state);
        loop {
            match self.ask(state, &question, &words::help_trial(state))? {
                Answer::Text(text) => match masses::trial(&text, plane, state.habits()) {
                    Ok(mass) => return Ok(mass),
                    Err(words) => self.talk.refused(&words)?,
                },
                Answer::Zero => return Err(Break::Undo),
                Answer::Proposed | Answer::Skip => {
                    let example = state.habits().pick("20 90", "0.75 90");
                    let words = "Weigh the mass and type what the scale says, and the angle, such as";
                    self.talk.refused(&format!("{words} {example}"))?;
                }
            }
        }
    }

    /// How the trial mass is held.
    fn held(&mut self, state: &State) -> Turn<String> {
        let question = "How is it held? Enter = under a hose clamp, 1 = screwed on, or in words:";
        loop {
            match self.ask(state, question, words::HELP_HELD)? {
                Answer::Proposed => return Ok("under a hose clamp".into()),
                Answer::Zero => return Err(Break::Undo),
                Answer::Skip => return Ok("how it was held is not stated".into()),
                Answer::Text(text) if text == "1" => return Ok("screwed on".into()),
                Answer::Text(text) if text.chars().any(char::is_alphabetic) => return Ok(text),
                Answer::Text(_) => {
                    self.talk.refused("Enter, 1, or a few words such as: bolted to the flange")?;
                }
            }
        }
    }

    /// What the last run did to the needles.
    fn say_effect(&mut self) -> Turn {
        let state = self.load()?;
        if let Some(words) = words::effect(&state) {
            self.talk.say(&words)?;
        }
        Ok(())
    }

    pub(super) fn take_off(&mut self, state: &State) -> Turn {
        let Some(last) = state.shaft.runs.last() else { return Ok(()) };
        let on = masses::words(&last.masses, &state.shaft.setup.planes, state.job_file.job.units);
        self.talk.gap()?;
        self.talk.say(&format!("Lock out. Take the trial mass off: {on}."))?;
        loop {
            match self.ask(state, "Is it off? Type off (or 1):", words::HELP_OFF)? {
                Answer::Text(text) if super::line::is_yes(&text) || text.eq_ignore_ascii_case("off") => {
                    self.memory.say_trial_off(&last.label);
                    self.talk.say("It is off.")?;
                    return Ok(());
                }
                Answer::Zero => return Err(Break::Undo),
                _ => self.talk.refused(
                    "Nothing else goes on before it is off. Type off or 1 when it is, 0 = take the run back.",
                )?,
            }
        }
    }

    /// Every place had its trial, and yet the runs do not show how the shaft answers.
    pub(super) fn more_trials(&mut self, state: &State) -> Turn {
        self.talk.gap()?;
        self.talk.refused("The runs do not show yet how the shaft answers:")?;
        if let Err(faults) = state.answer() {
            for fault in &faults {
                self.talk.item(fault)?;
            }
        }
        let planes = &state.shaft.setup.planes;
        loop {
            match self.ask(state, "Another trial at which place? Its name:", words::HELP_MORE)? {
                Answer::Text(text) => {
                    match planes.iter().position(|plane| plane.name.eq_ignore_ascii_case(&text)) {
                        Some(plane) => return self.trial(state, PlaneId::new(plane), 0, false),
                        None => {
                            let names: Vec<&str> = planes.iter().map(|plane| plane.name.as_str()).collect();
                            self.talk.refused(&format!("Places: {}.", names.join(", ")))?;
                        }
                    }
                }
                Answer::Zero => return Err(Break::Undo),
                _ => {
                    self.talk
                        .refused("A trial, or: mistake 2 = run 2 was entered wrongly, 0 = take back.")?;
                }
            }
        }
    }
}

/// A run without readings yet, on top of the last check run if there is one and these are trial masses.
pub(super) fn new_run(state: &State, kind: RunKind, masses: Vec<PlacedMass>) -> Run {
    let last = state.shaft.runs.last();
    let base =
        state.last_check().filter(|_| kind == RunKind::Trial).map(|label| OnTopOf::Run(label.to_owned()));
    Run {
        label: state.next_label(),
        kind,
        speed: last.and_then(|run| run.speed),
        mounting: last.map(|run| run.mounting.clone()).unwrap_or_default(),
        minutes: None,
        on_top_of: base,
        masses,
        readings: Vec::new(),
        uncertainties: Vec::new(),
    }
}
