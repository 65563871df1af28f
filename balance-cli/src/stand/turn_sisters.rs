//! A shaft whose sisters are known: the short way, without trial runs.

use super::line::is_yes;
use super::session::{Answer, Break, Session, Turn};
use super::state::State;
use super::words;

impl Session<'_, '_> {
    /// Offers the short way once; trial runs are there for who wants them.
    pub(super) fn short_way(&mut self, state: &State) -> Turn {
        let Some((kind, count)) = state.sisters() else { return Ok(()) };
        let offer = format!(
            "THE SHORT WAY: the archive knows how {count} shafts of the type {kind} answer, so this one needs no trial \
             runs. The weights come next; the check run decides as always."
        );
        self.talk.gap()?;
        self.talk.say(&offer)?;
        loop {
            match self.ask(state, "Enter = the short way, t = with trial runs:", words::HELP_SHORT_WAY)? {
                Answer::Proposed => {
                    self.memory.with_trials = Some(false);
                    return Ok(());
                }
                Answer::Text(text) if is_yes(&text) => {
                    self.memory.with_trials = Some(false);
                    return Ok(());
                }
                Answer::Text(text) if matches!(text.to_lowercase().as_str(), "t" | "trial" | "trials") => {
                    self.memory.with_trials = Some(true);
                    return Ok(());
                }
                Answer::Zero => return Err(Break::Undo),
                _ => {
                    self.talk
                        .refused("Enter = the short way, t = with trial runs, 0 = take the run back.")?;
                }
            }
        }
    }
}
