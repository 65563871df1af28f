//! Asking what is missing; every answer is in the job file before the next question.

use super::answer::read;
use super::question::{Enter, Kind, Question};
use super::{next, open};
use crate::files::JobFile;
use crate::files::Problem;
use crate::files::job::{JOB_FILE, RUNS_FILE};
use crate::files::job_edit::{NewValue, put_into_job, take_back};
use crate::files::runs::{HeaderUnits, set_header_units};
use crate::stand::line::is_yes;
use crate::stand::memory::Asked;
use crate::stand::session::{Answer, Break, Session, Turn};
use crate::stand::state::State;
use crate::stand::words;

impl Session<'_, '_> {
    /// Asks what is missing.
    pub(in crate::stand) fn questions(&mut self, state: &State) -> Turn {
        let mut begun = false;
        loop {
            let file = JobFile::load_folder(&self.folder)?;
            let Some(question) = next(&file, |name| self.memory.left_out.contains(name)) else {
                return Ok(());
            };
            if !begun {
                self.talk.gap()?;
                self.talk
                    .say("A few things about the shaft first; Enter leaves one out, s s all of them.")?;
                begun = true;
            }
            match self.one_question(state, &question) {
                Err(Break::Undo) => self.take_back_answer()?,
                other => other?,
            }
        }
    }

    /// Takes back what was said to the question before; it is asked again.
    pub(in crate::stand) fn take_back_answer(&mut self) -> Turn {
        let Some(last) = self.memory.last_asked() else {
            return Ok(self.talk.refused("There is nothing to take back yet.")?);
        };
        let Some(edit) = last.edit else { return Ok(()) };
        if take_back(&self.folder.join(JOB_FILE), &edit)? {
            self.talk.taken("Taken back: it is out of job.toml again.")?;
        } else {
            self.talk.refused("job.toml was changed meanwhile: change the value there.")?;
        }
        Ok(())
    }

    /// After a check run without limits: whether the questions are to be asked now. `true`: something was answered.
    pub(in crate::stand) fn ask_for_missing(&mut self, state: &State) -> Turn<bool> {
        if !self.memory.first_time("missing limits") {
            return Ok(false);
        }
        self.memory.left_out.clear();
        let before = JobFile::load_folder(&self.folder)?;
        self.questions(state)?;
        Ok(JobFile::load_folder(&self.folder)? != before)
    }

    fn one_question(&mut self, state: &State, question: &Question) -> Turn {
        if question.enter == Enter::AsksAgain {
            self.talk.doubted()?;
        }
        for paragraph in &question.before {
            self.talk.say(paragraph)?;
        }
        let prompt = self.said(question)?;
        loop {
            match self.ask(state, prompt, words::HELP_JOB)? {
                Answer::Proposed | Answer::Skip if question.enter == Enter::AsksAgain => {
                    self.talk.refused(prompt)?;
                }
                Answer::Proposed | Answer::Skip => {
                    self.leave_out(question);
                    return Ok(());
                }
                Answer::Text(text) if question.enter == Enter::AsksAgain && is_yes(&text) => {
                    self.leave_out(question);
                    return Ok(());
                }
                Answer::Text(text) if text.eq_ignore_ascii_case("s s") || text.eq_ignore_ascii_case("ss") => {
                    let file = JobFile::load_folder(&self.folder)?;
                    self.memory.left_out.extend(open(&file));
                    return Ok(());
                }
                Answer::Zero => return Err(Break::Undo),
                Answer::Text(text) => match read(question, &text) {
                    Ok(found) if self.taken(question, &found)? => return Ok(()),
                    Ok(_) => {}
                    Err(words) => self.talk.refused(&words)?,
                },
            }
        }
    }

    fn leave_out(&mut self, question: &Question) {
        self.memory.asked(Asked { name: question.name, edit: None });
    }

    /// Says the question; what is asked on the last line.
    fn said<'q>(&mut self, question: &'q Question) -> Turn<&'q str> {
        let (choices, prompt) = match question.kind {
            Kind::Choice(choices) => (choices, "Number:"),
            Kind::DialUnit(choices) => (choices, "Number or unit:"),
            _ => return Ok(&question.words),
        };
        self.talk.say(&question.words)?;
        for (at, choice) in choices.iter().enumerate() {
            self.talk.item(&format!("{} = {choice}", at + 1))?;
        }
        Ok(prompt)
    }

    /// Puts values into the job file; `false` if the job would not read with them, which is said.
    fn taken(&mut self, question: &Question, found: &[NewValue]) -> Turn<bool> {
        if let (Kind::DialUnit(_), [unit]) = (question.kind, found) {
            let dial = Some(unit.text.as_str());
            set_header_units(&self.folder.join(RUNS_FILE), HeaderUnits { dial, ..HeaderUnits::default() })?;
        }
        match put_into_job(&self.folder.join(JOB_FILE), found) {
            Ok(edit) => {
                self.memory.asked(Asked { name: question.name, edit: Some(edit) });
                if question.enter == Enter::AsksAgain {
                    self.memory.left_out.remove(question.name);
                }
                let said: Vec<&str> = found.iter().map(|value| value.text.as_str()).collect();
                self.talk.taken(&format!("Taken: {}.", said.join(", ")))?;
                Ok(true)
            }
            Err(problems) => {
                let fault = problems.first().map(in_words).unwrap_or_default();
                self.talk.refused(&format!("This cannot be: {fault}. Nothing was taken."))?;
                Ok(false)
            }
        }
    }
}

fn in_words(problem: &Problem) -> String {
    let allowed = problem.allowed.as_deref().map(|text| format!("; allowed: {text}"));
    format!("{}{}", problem.found, allowed.unwrap_or_default())
}
