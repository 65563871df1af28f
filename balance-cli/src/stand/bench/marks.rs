//! Marks that show how the pieces go together.

use crate::files::job::JOB_FILE;
use crate::files::job_edit::{NewValue, Spot, put_into_job, sections_in};
use crate::stand::session::{Session, Turn};
use crate::stand::state::State;

impl Session<'_, '_> {
    pub(super) fn marks(&mut self, state: &State) -> Turn {
        self.talk.say(
            "Mark every pair of pieces before you take it apart: the record holds only for the shaft assembled to these \
             marks.",
        )?;
        for mark in &state.job_file.paperwork.match_marks {
            self.talk.item(&format!("{}: {}", mark.between, mark.mark))?;
        }
        loop {
            let question = "Between which two pieces, such as slip yoke and stub; Enter = that is all:";
            let Some(between) = self.words_of(state, question)? else { return Ok(()) };
            let question = "What does the mark look like, such as two punch dots:";
            let Some(mark) = self.words_of(state, question)? else { continue };
            let job = self.folder.join(JOB_FILE);
            let number = Some(sections_in(&job, "match_mark")?);
            let spot = |key| Spot { section: "match_mark", number, key };
            put_into_job(
                &job,
                &[NewValue::text(spot("between"), &between), NewValue::text(spot("mark"), &mark)],
            )?;
            self.talk.taken(&format!("Taken: {between}: {mark}."))?;
        }
    }

    /// Words with letters in them; `None` for Enter.
    fn words_of(&mut self, state: &State, question: &str) -> Turn<Option<String>> {
        loop {
            match self.bench_text(state, question)? {
                Some(text) if text.chars().any(char::is_alphabetic) => return Ok(Some(text)),
                None => return Ok(None),
                Some(_) => self.talk.refused("A few words, please; Enter goes on, 0 = back to the list.")?,
            }
        }
    }
}
