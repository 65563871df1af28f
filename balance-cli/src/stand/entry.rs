//! Entering a run: the numbers as they are called, read back in words, doubted, taken.

use balance_core::quantity::Speed;
use balance_core::run::{Run, SensorReading};

use super::doubt::doubts;
use super::draft::{Draft, Field, SpeedAsked};
use super::line::{is_yes, values};
use super::masses::several;
use super::session::{Answer, Break, Session, Turn};
use super::state::State;
use super::words;
use crate::print::text::units;

impl Session<'_, '_> {
    /// Asks for the readings of a run and writes it.
    pub(super) fn read_run(&mut self, state: &State, mut run: Run, note: &str) -> Turn {
        run = self.reading(state, &run)?;
        self.write(state, run, note)
    }

    /// Hears or asks for speed and readings until they are right; returns the run with them.
    pub(super) fn reading(&mut self, state: &State, run: &Run) -> Turn<Run> {
        loop {
            let whole = match self.heard_reading(state, run)? {
                Some(heard) => heard,
                None => {
                    let (speed, readings) = self.typed_reading(state, run)?;
                    Run { speed, readings, uncertainties: Vec::new(), ..run.clone() }
                }
            };
            if self.is_right(state, &whole)? {
                return Ok(whole);
            }
        }
    }

    /// Reads the run back in words, with doubts if there are any; whether somebody says that it is right. A reading that
    /// was doubted and is right is not doubted again in the next step.
    pub(super) fn is_right(&mut self, state: &State, run: &Run) -> Turn<bool> {
        self.talk.say(&words::run(state, run))?;
        let found = doubts(state, run);
        if !found.refused.is_empty() {
            self.talk.refused("This is out of range:")?;
            for refused in &found.refused {
                self.talk.item(refused)?;
            }
            self.talk.say("Nothing was taken. Type it again.")?;
            return Ok(false);
        }
        if found.asked.is_empty() {
            return self.right(state, "Right? Enter = yes, 0 = type it again:", true);
        }
        self.talk.refused("Really?")?;
        for asked in &found.asked {
            self.talk.item(asked)?;
        }
        let right = self.right(state, "1 = yes, it is right; 0 = type it again:", false)?;
        if right {
            self.memory.say_right(&run.label);
        }
        Ok(right)
    }

    fn right(&mut self, state: &State, question: &str, enter_will_do: bool) -> Turn<bool> {
        loop {
            match self.ask(state, question, words::HELP_RIGHT)? {
                Answer::Proposed if enter_will_do => return Ok(true),
                Answer::Text(text) if is_yes(&text) => return Ok(true),
                Answer::Zero => return Ok(false),
                _ => self.talk.refused(question)?,
            }
        }
    }

    fn typed_reading(&mut self, state: &State, run: &Run) -> Turn<(Option<Speed>, Vec<SensorReading>)> {
        let asked = speed_asked(state, run);
        let mut draft = Draft::new(asked, state.shaft.setup.sensors.len(), state.phases());
        loop {
            if let Some(reading) = draft.reading() {
                return Ok(reading);
            }
            let question = question(state, asked, &draft);
            match self.ask(state, &question, words::HELP_READING)? {
                Answer::Proposed if draft.take_proposed() => {}
                Answer::Proposed => self.talk.refused("A number is wanted here; ? = help, q = leave.")?,
                Answer::Skip => self.skip_sensor(&mut draft)?,
                Answer::Zero => match draft.next() {
                    Some(Field::Phase(_)) => self.take(state, &mut draft, "0")?,
                    _ if draft.is_empty() => return Err(Break::Undo),
                    _ => {
                        draft = Draft::new(asked, state.shaft.setup.sensors.len(), state.phases());
                        self.talk.say("This reading once more from its beginning.")?;
                    }
                },
                Answer::Text(text) => self.take(state, &mut draft, &text)?,
            }
        }
    }

    fn skip_sensor(&mut self, draft: &mut Draft) -> Turn {
        match draft.next() {
            Some(Field::Amplitude(_)) => {
                let taken = draft.take(&[super::line::Value::NotRead]);
                taken.or_else(|words| self.talk.refused(&words)).map_err(Break::from)
            }
            _ => Ok(self.talk.refused("Leave a sensor out where its amplitude is asked.")?),
        }
    }

    fn take(&mut self, state: &State, draft: &mut Draft, text: &str) -> Turn {
        let mut units = vec!["rpm", "deg"];
        units.extend(state.shaft.setup.sensors.iter().map(|sensor| sensor.unit.as_str()));
        let taken = values(text, &units).and_then(|values| draft.take(&values));
        Ok(taken.or_else(|words| self.talk.refused(&format!("{words}. Nothing of that line was taken.")))?)
    }

    /// The masses of a run, entered anew; Enter leaves them.
    pub(super) fn masses_anew(&mut self, state: &State, run: &mut Run) -> Turn {
        let planes = &state.shaft.setup.planes;
        loop {
            let example = words::weight_example(state);
            let question = format!("Masses? Enter = as they are, or all of them anew, such as {example}:");
            let asked = self.ask(state, &question, &words::help_masses(state))?;
            match asked {
                Answer::Proposed | Answer::Skip => return Ok(()),
                Answer::Zero => return Err(Break::Undo),
                Answer::Text(text) => match several(&text, planes, state.habits()) {
                    Ok(masses) => {
                        run.masses = masses;
                        return Ok(());
                    }
                    Err(words) => self.talk.refused(&words)?,
                },
            }
        }
    }
}

/// The speed that is proposed: that of the run in hand, else of the last run.
fn speed_asked(state: &State, run: &Run) -> SpeedAsked {
    if state.shaft.columns.speed.is_none() {
        return SpeedAsked::Never;
    }
    let last = state.shaft.runs.last().and_then(|run| run.speed);
    run.speed.or(last).map_or(SpeedAsked::Unknown, |speed| SpeedAsked::Proposed(speed.rpm()))
}

fn question(state: &State, asked: SpeedAsked, draft: &Draft) -> String {
    let sensors = &state.shaft.setup.sensors;
    let name = |at: usize| sensors.get(at).map_or("", |sensor| sensor.name.as_str());
    match (draft.next(), asked) {
        (Some(Field::Speed), SpeedAsked::Proposed(speed)) => {
            let speed = units::rpm(speed);
            format!("Reading (speed {speed} rpm unless typed), such as {}:", words::readings_example(state))
        }
        (Some(Field::Speed), _) => {
            format!("Speed and reading, such as 1800 {}:", words::readings_example(state))
        }
        (Some(Field::Amplitude(at)), _) => {
            format!(
                "{} amplitude in {}, such as 5.29:",
                name(at).to_uppercase(),
                sensors.get(at).map_or("", |sensor| &sensor.unit)
            )
        }
        (Some(Field::Phase(at)), _) => {
            format!("{} angle in deg, such as 230:", name(at).to_uppercase())
        }
        (None, _) => String::new(),
    }
}
