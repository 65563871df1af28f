//! Correction, clamped try, welding, check run.

use balance_core::run::{Change, PlacedMass, Run, RunKind};

use super::line::is_yes;
use super::masses;
use super::session::{Answer, Break, Session, Turn};
use super::state::State;
use super::words;
use crate::print::text;
use crate::view::{Loose, View};

impl Session<'_, '_> {
    /// The advised weights under clamps.
    pub(super) fn try_on(&mut self, state: &State) -> Turn {
        let Ok(answer) = state.answer() else { return Ok(()) };
        if self.memory.shows_after(state.shaft.runs.len()) {
            self.talk.gap()?;
            // Before this step comes the question whether the trial mass is off.
            let view = View { loose: Loose::Off, ..self.view(state, &answer) };
            self.talk.show(&text::correction(&view))?;
        }
        self.talk.gap()?;
        self.talk.show(&words::counting(state))?;
        let label = state.next_label();
        let speed = words::speed_of(state, 0);
        let mut run = state.check_row(&answer);
        run.masses.iter_mut().for_each(|mass| mass.bead = bead_kept(state, mass));
        let fresh = strip_beads(state.new_masses(&answer));
        let on = words::on_the_tape(state, &fresh);
        self.talk.say(&format!("Run {label}, TRIED: hold these under clamps, weld nothing yet: {on}."))?;
        if let Some(stop) = words::stop_above(state) {
            self.talk.say(&stop)?;
        }
        let Some(own) =
            self.what_is_on(state, "All on as advised? 1 = yes, s = no try, or what is on, such as")?
        else {
            let checks = state.rows().iter().filter(|row| row.run.kind == RunKind::Check).count();
            self.memory.skip_try(checks);
            self.talk.say("No try then. A try costs one spin, a wrong weld an hour.")?;
            return Ok(());
        };
        if let Some(own) = own {
            run.masses = state.for_good();
            run.masses.extend(own);
            run.on_top_of = None;
        }
        run.label = label;
        run.kind = RunKind::Tried;
        run.speed = words::group_speed(state, 0);
        let stop = words::stop_above(state).unwrap_or_default();
        self.talk.say(&format!(
            "Guard shut, nobody in line with the weights, run up slowly to {speed}, read. {stop}"
        ))?;
        self.read_run(state, run, "")
    }

    /// What is on: `Some(None)` as advised, `Some(Some(…))` something else, `None` left out.
    fn what_is_on(&mut self, state: &State, question: &str) -> Turn<Option<Option<Vec<PlacedMass>>>> {
        let planes = &state.shaft.setup.planes;
        let question = format!("{question} {}:", words::weight_example(state));
        loop {
            match self.ask(state, &question, &words::help_on(state))? {
                Answer::Text(text) if is_yes(&text) => return Ok(Some(None)),
                Answer::Skip => return Ok(None),
                Answer::Zero => return Err(Break::Undo),
                Answer::Proposed => self.talk.refused("1 when they are on; q = leave and go on later.")?,
                Answer::Text(text) => match masses::several(&text, planes, state.habits()) {
                    Ok(own) => {
                        self.talk.say(&format!(
                            "On: {}.",
                            masses::words(&own, planes, state.job_file.job.units)
                        ))?;
                        return Ok(Some(Some(own)));
                    }
                    Err(words) => self.talk.refused(&words)?,
                },
            }
        }
    }

    /// The run of before once more, at another speed.
    pub(super) fn same_at(&mut self, state: &State, group: usize) -> Turn {
        let Some(last) = state.shaft.runs.last().cloned() else { return Ok(()) };
        let (label, kind) = (state.next_label(), last.kind.word().to_uppercase());
        self.talk.gap()?;
        let speed = words::speed_of(state, group);
        self.talk
            .say(&format!("Run {label}, {kind}: the same on the shaft; spin to {speed} as well and read."))?;
        self.read_run(state, Run { label, speed: words::group_speed(state, group), ..last }, "")?;
        if kind == "CHECK" { self.after_check() } else { Ok(()) }
    }

    /// The try read more than expected: nothing is welded.
    pub(super) fn try_worse(&mut self, state: &State) -> Turn {
        self.talk.gap()?;
        self.talk.refused("MORE THAN EXPECTED: weld nothing.")?;
        self.say_likely_cause(state)?;
        self.talk.say(
            "Lock out and look: are the weights where they should be, counted the right way round? Is a trial mass still \
             on? Then read once more.",
        )?;
        self.again_or_leave(state, "Enter = read the try once more, 0 = take the run back, q = leave:")
    }

    /// A run does not fit the others.
    pub(super) fn explain(&mut self, state: &State) -> Turn {
        let Ok(answer) = state.answer() else { return Ok(()) };
        self.talk.gap()?;
        if answer.checked() {
            self.show_verdict(state)?;
            self.talk.gap()?;
        }
        self.talk.refused("A RUN DOES NOT FIT THE OTHERS: weld nothing before the cause is found.")?;
        self.say_likely_cause(state)?;
        let question = "Enter = read once more, mistake 3 = run 3 was wrong, 0 = take back, q = leave:";
        self.again_or_leave(state, question)
    }

    /// What may have gone wrong, unless it was said when the reading was asked back.
    fn say_likely_cause(&mut self, state: &State) -> Turn {
        let last = state.shaft.runs.last().map(|run| run.label.as_str());
        if self.memory.said_right(last) {
            return Ok(());
        }
        let Ok(answer) = state.answer() else { return Ok(()) };
        for sentence in answer.what_went_wrong() {
            self.talk.item(&sentence)?;
        }
        Ok(())
    }

    fn again_or_leave(&mut self, state: &State, question: &str) -> Turn {
        loop {
            match self.ask(state, question, words::HELP_WORSE)? {
                Answer::Proposed => return Err(Break::Repeat),
                Answer::Zero => return Err(Break::Undo),
                _ => self.talk.refused(question)?,
            }
        }
    }

    /// Welding, cooling, and the check run.
    pub(super) fn check(&mut self, state: &State) -> Turn {
        let Ok(answer) = state.answer() else { return Ok(()) };
        self.talk.gap()?;
        self.talk.show(&words::counting(state))?;
        let label = state.next_label();
        let speed = words::speed_of(state, 0);
        let last = state.shaft.runs.last();
        let mut run = state.check_row(&answer);
        let clamps = state.job_file.job.weld_plan.clamp.is_some();
        if let Some(tried) = last.filter(|last| last.kind == RunKind::Tried) {
            let stay = if clamps { "stay" } else { "be welded" };
            self.talk.say(&format!("As expected: the try fits. These may {stay} where they are."))?;
            run.masses = if clamps { tried.masses.clone() } else { with_beads(state, &tried.masses) };
            run.on_top_of.clone_from(&tried.on_top_of);
        }
        let new: Vec<PlacedMass> = fresh(state, &run.masses);
        if clamps {
            run.masses = strip_beads(run.masses);
            self.clamped(state, &new)?;
        } else {
            self.welded(state, &mut run, &new)?;
            self.same_warmth(state)?;
        }
        self.talk.say(&format!("Run {label}, CHECK: guard shut, spin to {speed}, read."))?;
        run.label = label;
        run.kind = RunKind::Check;
        run.speed = words::group_speed(state, 0);
        self.read_run(state, run, "")?;
        self.after_check()
    }

    /// Welding cannot be taken back: it is asked before, and what was done is asked after, both in words.
    fn welded(&mut self, state: &State, run: &mut Run, new: &[PlacedMass]) -> Turn {
        if new.is_empty() {
            self.talk.say("There is nothing to put on: the check run is read as the shaft is.")?;
            return Ok(());
        }
        self.talk.say(&format!("To be welded: {}.", words::on_the_tape(state, new)))?;
        if self.memory.first_time("welding") {
            self.talk.say(words::BEFORE_WELDING)?;
        }
        let question = "What is welded stays on. Sure? Type weld, 0 = take the last run back:";
        self.word(
            state,
            question,
            "weld",
            "Type the word weld when these shall be welded; q = leave, weld nothing.",
        )?;
        if let Some(own) = self.what_was_welded(state)? {
            run.masses = with_beads(state, &[state.for_good(), own].concat());
            run.on_top_of = None;
        }
        Ok(())
    }

    /// A shop that balances with hose clamps welds nothing: the clamps stay.
    fn clamped(&mut self, state: &State, new: &[PlacedMass]) -> Turn {
        if new.is_empty() {
            self.talk.say("There is nothing to put on: the check run is read as the shaft is.")?;
            return Ok(());
        }
        self.talk.say(&format!(
            "These stay on under their clamps: {}. Lock out. Tighten every screw, the screws where the answer says; a \
             clamp that can be slid by hand will fly.",
            words::on_the_tape(state, new)
        ))?;
        let question = "Is every clamp tight, and nothing else on? Type tight, 0 = take the last run back:";
        self.word(
            state,
            question,
            "tight",
            "Type the word tight when every clamp is; q = leave and go on later.",
        )
    }

    /// Waits for a word that nobody types by accident.
    fn word(&mut self, state: &State, question: &str, word: &str, refusal: &str) -> Turn {
        loop {
            match self.ask(state, question, words::HELP_WELD)? {
                Answer::Text(text) if text.eq_ignore_ascii_case(word) => return Ok(()),
                Answer::Zero => return Err(Break::Undo),
                _ => self.talk.refused(refusal)?,
            }
        }
    }

    /// What was welded: `None` for exactly as said.
    fn what_was_welded(&mut self, state: &State) -> Turn<Option<Vec<PlacedMass>>> {
        let planes = &state.shaft.setup.planes;
        let question = format!(
            "Is it welded, exactly so? Type welded, or what was, such as {}:",
            words::weight_example(state)
        );
        loop {
            match self.ask(state, &question, &words::help_welded(state))? {
                Answer::Text(text) if text.eq_ignore_ascii_case("welded") => return Ok(None),
                Answer::Zero => return Err(Break::Undo),
                Answer::Text(text) if text.chars().any(char::is_alphabetic) => {
                    match masses::several(&text, planes, state.habits()) {
                        Ok(own) => {
                            let said = masses::words(&own, planes, state.job_file.job.units);
                            self.talk.say(&format!("Welded: {said}."))?;
                            return Ok(Some(own));
                        }
                        Err(words) => self.talk.refused(&words)?,
                    }
                }
                _ => self.talk.refused("Type the word welded when it is done; q = leave and go on later.")?,
            }
        }
    }

    fn same_warmth(&mut self, state: &State) -> Turn {
        let question = "Is the tube the same warmth all round? 1 = yes, Enter = not yet:";
        while !self.yes(state, question, words::HELP_WARM)? {
            self.talk.say(
                "Let it cool: a tube that is warmer on one side is bent, and the reading would be wrong.",
            )?;
        }
        Ok(())
    }

    /// The picture after a check run; the verdict is the next step's.
    fn after_check(&mut self) -> Turn {
        let state = self.load()?;
        self.talk.gap()?;
        self.picture(&state)?;
        Ok(())
    }
}

/// The masses that are not on for good yet.
fn fresh(state: &State, masses: &[PlacedMass]) -> Vec<PlacedMass> {
    let mut before = state.for_good();
    let is_new = |mass: &&PlacedMass| match before.iter().position(|own| own.same_as(mass)) {
        Some(at) => {
            before.remove(at);
            false
        }
        None => true,
    };
    masses.iter().filter(is_new).cloned().collect()
}

/// Under clamps only what was welded before has its bead.
fn bead_kept(state: &State, mass: &PlacedMass) -> balance_core::quantity::Mass {
    let welded = state.for_good().iter().any(|own| own.same_as(mass));
    if welded || mass.change == Change::TakenOff { mass.bead } else { balance_core::quantity::Mass::ZERO }
}

fn strip_beads(mut masses: Vec<PlacedMass>) -> Vec<PlacedMass> {
    for mass in masses.iter_mut().filter(|mass| mass.change == Change::Added) {
        mass.bead = balance_core::quantity::Mass::ZERO;
    }
    masses
}

/// The same masses with the weld's bead on those that are new.
fn with_beads(state: &State, masses: &[PlacedMass]) -> Vec<PlacedMass> {
    let new = fresh(state, masses);
    let bead = state.job_file.job.weld_plan.weld.bead_mass;
    let welded = |mass: &PlacedMass| {
        let own = new.iter().any(|other| other.same_as(mass)) && mass.change == Change::Added;
        PlacedMass { bead: if own { bead } else { mass.bead }, ..mass.clone() }
    };
    masses.iter().map(welded).collect()
}
