//! A reading that is heard: a recorder is started, and its value is taken when it is steady.

use balance_core::quantity::Speed;
use balance_core::run::{Run, SensorReading};
use balance_core::stand::capture::Stretch;

use super::draft::Phases;
use super::session::{Answer, Session, Turn};
use super::state::State;
use super::words;
use crate::command::listen::{Heard, when_steady};
use crate::files::recording::{Known, entry};
use crate::files::{Problem, render_all};
use crate::print::recording;

/// Enter records, this types.
const TYPE: &str = "t";

impl Session<'_, '_> {
    /// The run with its reading out of a recording; `None`: somebody wants to type it.
    pub(super) fn heard_reading(&mut self, state: &State, run: &Run) -> Turn<Option<Run>> {
        let Some(recorder) = self.recorder.clone() else { return Ok(None) };
        loop {
            let question = "At speed and steady? Enter = record now, t = type the reading:";
            match self.ask(state, question, words::HELP_HEARD)? {
                Answer::Proposed => {}
                Answer::Text(text) if text.eq_ignore_ascii_case(TYPE) => return Ok(None),
                Answer::Zero => return Err(super::session::Break::Undo),
                Answer::Skip | Answer::Text(_) => {
                    self.talk.refused(question)?;
                    continue;
                }
            }
            self.talk.say(&format!("Listening to {} …", recorder.name()))?;
            match self.listened(state, &recorder) {
                Ok(heard) => {
                    self.talk.show(&recording::text(&heard.extracted, heard.truncated, self.talk.page()))?;
                    return Ok(Some(with_reading(state, run, &heard)));
                }
                Err(problems) => {
                    self.talk.refused("This gave no reading:")?;
                    self.talk.show(&render_all(&problems))?;
                }
            }
        }
    }

    fn listened(&self, state: &State, recorder: &crate::programs::Recorder) -> Result<Heard, Vec<Problem>> {
        let sensors = state.shaft.setup.sensors.iter();
        let sensors: Vec<(String, Option<String>)> =
            sensors.map(|own| (own.name.clone(), Some(own.unit.clone()))).collect();
        let known = Known {
            name: &recorder.name(),
            wiring: &state.job_file.paperwork.wiring,
            convention: &state.shaft.setup.convention,
            sensors: &sensors,
            stretch: Stretch::Automatic,
        };
        when_steady(recorder, known)
    }
}

fn with_reading(state: &State, run: &Run, heard: &Heard) -> Run {
    let entries: Vec<_> = heard.extracted.sensors.iter().map(entry).collect();
    let speed = Speed::from_rpm((heard.extracted.speed_rpm * 100.0).round() / 100.0).ok();
    // A shaft that was begun without phase goes on without.
    let alone = state.phases() == Phases::NotShown;
    let reading = |reading: SensorReading| match reading {
        SensorReading::Shown { amplitude, .. } if alone => SensorReading::Amplitude(amplitude),
        other => other,
    };
    Run {
        speed: state.shaft.columns.speed.and(speed),
        readings: entries.iter().map(|(own, _)| reading(*own)).collect(),
        uncertainties: entries.iter().filter(|_| !alone).map(|(_, own)| Some(*own)).collect(),
        ..run.clone()
    }
}
