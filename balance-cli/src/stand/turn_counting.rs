//! A stand whose counting nobody can state: the same trial mass a quarter turn further on settles it.

use balance_core::quantity::Angle;
use balance_core::run::{PhaseSense, PlacedMass, RunKind};

use super::line::is_yes;
use super::session::{Answer, Break, Session, Turn};
use super::state::State;
use super::turn_trial::new_run;
use super::words;
use crate::files::job::JOB_FILE;
use crate::files::job_edit::{NewValue, Spot, put_into_job};
use crate::files::now;

/// How far the mass moves on, degrees.
const QUARTER: f64 = 90.0;

impl Session<'_, '_> {
    /// The trial mass of the last run once more, a quarter turn further on.
    pub(super) fn quarter_turn(&mut self, state: &State) -> Turn {
        let Some(last) = state.shaft.runs.last().filter(|last| last.kind == RunKind::Trial) else {
            return Ok(());
        };
        let moved: Vec<PlacedMass> = last.masses.iter().map(moved_on).collect();
        let (label, on) = (state.next_label(), words::on_the_tape(state, &moved));
        self.talk.gap()?;
        self.talk.say(
            "TAKE CARE: how the stand counts its angles is not stated. If it counts the other way, every weight would go \
             to the wrong place. One more spin settles it for good:",
        )?;
        self.talk.say(&format!(
            "Run {label}, TRIAL: the same mass a quarter turn further on, at {on}. Leave the speed as it was."
        ))?;
        let question = "Is it on there? 1 or Enter = yes, s = leave this open:";
        loop {
            match self.ask(state, question, words::HELP_QUARTER)? {
                Answer::Proposed => break,
                Answer::Text(text) if is_yes(&text) => break,
                Answer::Zero => return Err(Break::Undo),
                Answer::Skip => {
                    self.memory.counting_left_open = true;
                    return Ok(());
                }
                Answer::Text(_) => {
                    self.talk.refused("1 or Enter when it is on, s = leave the counting open.")?;
                }
            }
        }
        self.talk.say("Guard shut, nobody in line with it, run up slowly, read.")?;
        let mut run = new_run(state, RunKind::Trial, moved);
        run.on_top_of.clone_from(&last.on_top_of);
        self.read_run(state, run, "quarter-turn trial")
    }

    /// The two trials are there: says what they tell, and writes it into the job.
    pub(super) fn settle_counting(&mut self, state: &State) -> Turn {
        let Some(found) = state.quarter_turn() else { return Ok(()) };
        self.talk.gap()?;
        let labels = found.rows.map(|row| state.rows()[row].run.label.clone());
        let [first, second] = &labels;
        let Some(sense) = found.counted else {
            self.talk.refused(&format!(
                "Runs {first} and {second} do not tell how the stand counts: the readings follow the mass neither way. \
                 A slip in one of them, or the mass was not moved by a quarter turn?"
            ))?;
            let question = "mistake 3 = run 3 was entered wrongly, 0 = take back, Enter = leave it open:";
            return match self.ask(state, question, words::HELP_QUARTER)? {
                Answer::Zero => Err(Break::Undo),
                _ => {
                    self.memory.counting_left_open = true;
                    Ok(())
                }
            };
        };
        let way = match sense {
            PhaseSense::SameAsMasses => "same way as masses",
            PhaseSense::OppositeToMasses => "opposite to masses",
        };
        self.talk.say(&format!(
            "SETTLED: from run {first} to run {second} the readings turned {}. The dial counts {}.",
            match sense {
                PhaseSense::SameAsMasses => "the way the mass was moved",
                PhaseSense::OppositeToMasses => "against the way the mass was moved",
            },
            match sense {
                PhaseSense::SameAsMasses => "the same way as masses are counted",
                PhaseSense::OppositeToMasses => "opposite to masses",
            }
        ))?;
        loop {
            match self.ask(
                state,
                "Put this into the job? Enter = yes, s = leave it open:",
                words::HELP_QUARTER,
            )? {
                Answer::Proposed => return self.state_counting(way),
                Answer::Text(text) if is_yes(&text) => return self.state_counting(way),
                Answer::Zero => return Err(Break::Undo),
                Answer::Skip => {
                    self.memory.counting_left_open = true;
                    return Ok(());
                }
                Answer::Text(_) => {
                    self.talk.refused("Enter = yes, s = leave it open, 0 = take the last run back.")?;
                }
            }
        }
    }

    fn state_counting(&mut self, way: &str) -> Turn {
        let day = now().map_err(|problem| vec![problem])?.strftime("%Y-%m-%d").to_string();
        let spot = |section, key| Spot { section, number: None, key };
        let values = [
            NewValue::text(spot("convention", "phase"), way),
            NewValue::text(spot("stand", "proved"), &format!("{day}, quarter-turn trial")),
        ];
        put_into_job(&self.folder.join(JOB_FILE), &values)?;
        self.talk.taken(&format!("Taken: phase is counted {way}; proved by a quarter-turn trial."))?;
        Ok(())
    }
}

fn moved_on(mass: &PlacedMass) -> PlacedMass {
    let degrees = (mass.angle.degrees() + QUARTER).rem_euclid(360.0);
    PlacedMass { angle: Angle::from_degrees(degrees).unwrap_or(mass.angle), ..mass.clone() }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stand::masses;
    use balance_core::quantity::{Mass, Units};
    use balance_core::run::Change;
    use balance_core::shaft::{CorrectionPlane, PlaneId};

    #[test]
    fn a_quarter_turn_past_the_mark_stays_within_one_turn() {
        let mass = PlacedMass {
            plane: PlaneId::new(0),
            change: Change::Added,
            mass: Mass::from_grams(20.0).unwrap(),
            angle: Angle::from_degrees(300.0).unwrap(),
            radius: None,
            bead: Mass::ZERO,
        };
        let words = masses::words(&[moved_on(&mass)], &[CorrectionPlane::named("front")], Units::Metric);
        assert_eq!(words, "FRONT 20 g at 30 deg");
    }
}
