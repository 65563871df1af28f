//! The verdict and what comes after it.

use super::session::{Answer, Break, Session, Turn};
use super::state::State;
use super::words;
use crate::print::text;
use balance_core::run::RunKind;

impl Session<'_, '_> {
    /// The check run is there, but there is no verdict yet.
    pub(super) fn check_again(&mut self, state: &State) -> Turn {
        self.verdict_once(state)?;
        self.talk.gap()?;
        let question = "Enter = read the check run once more, correct = correct further, q = leave:";
        self.after_verdict(state, question, Enter::Repeats)
    }

    /// The verdict is there, or there can be none.
    pub(super) fn finished(&mut self, state: &State) -> Turn {
        self.verdict_once(state)?;
        self.talk.gap()?;
        let Ok(answer) = state.answer() else { return Ok(()) };
        match &answer.limits {
            Ok(_) => {
                self.talk.say(words::WHAT_NEXT)?;
                self.talk.show(words::CHOICES)?;
                let question = "Enter = leave, or one of these:";
                self.after_verdict(state, question, Enter::Leaves)
            }
            Err(missing) => {
                self.talk.say("No verdict, because these are not known:")?;
                for one in missing {
                    self.talk.item(one)?;
                }
                if self.ask_for_missing(state)? {
                    return Ok(());
                }
                self.talk.show(words::CHOICES)?;
                let question = "Enter = leave, or one of these:";
                self.after_verdict(state, question, Enter::Leaves)
            }
        }
    }

    /// Too much is left, and the box holds nothing that makes it less.
    pub(super) fn nothing_helps(&mut self, state: &State) -> Turn {
        let Ok(answer) = state.answer() else { return Ok(()) };
        self.talk.gap()?;
        self.talk.show(&text::correction(&self.view(state, &answer)))?;
        self.talk.gap()?;
        self.talk.show(words::CHOICES_OF_NO_HELP)?;
        self.after_verdict(state, "Enter = leave, or one of these:", Enter::Leaves)
    }

    fn after_verdict(&mut self, state: &State, question: &str, enter: Enter) -> Turn {
        loop {
            match (self.ask(state, question, words::HELP_FINISHED)?, enter) {
                (Answer::Proposed, Enter::Repeats) => return Err(Break::Repeat),
                (Answer::Proposed, Enter::Leaves) => return Err(Break::Leave),
                (Answer::Zero, _) => return Err(Break::Undo),
                (Answer::Text(text), Enter::Leaves) if text == "2" => {
                    self.talk.command(&["plot"], None, &self.folder);
                }
                (Answer::Text(text), Enter::Leaves) if text == "3" => {
                    self.talk.command(&["archive", "add"], self.archive.as_deref(), &self.folder);
                }
                (Answer::Text(text), Enter::Leaves) if text == "4" => {
                    self.talk.command(&["report"], None, &self.folder);
                }
                (Answer::Text(text), _) if text.eq_ignore_ascii_case("correct") => {
                    let checks = state.rows().iter().filter(|row| row.run.kind == RunKind::Check).count();
                    self.memory.go_on(checks);
                    return Ok(());
                }
                _ => self.talk.refused(question)?,
            }
        }
    }

    /// Shows the verdict unless it was shown when the check run was taken.
    fn verdict_once(&mut self, state: &State) -> Turn {
        if !self.memory.shows_after(state.shaft.runs.len()) {
            return Ok(());
        }
        self.show_verdict(state)
    }

    /// The verdict in words.
    pub(super) fn show_verdict(&mut self, state: &State) -> Turn {
        let Ok(answer) = state.answer() else { return Ok(()) };
        if let Some(judged) = &answer.judged {
            self.talk.gap()?;
            let view = self.view(state, &answer);
            self.talk.show(&text::verdict(&view, judged))?;
        }
        Ok(())
    }
}

/// What Enter means after a verdict.
#[derive(Debug, Clone, Copy)]
enum Enter {
    Repeats,
    Leaves,
}
