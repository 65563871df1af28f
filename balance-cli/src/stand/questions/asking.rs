//! Asking what is missing; every answer is in the job file before the next question.

use super::answer::read;
use super::convention::NO_ANGLE;
use super::question::{Enter, Kind, Question};
use super::{Known, next, open};
use crate::files::Problem;
use crate::files::job::{JOB_FILE, RUNS_FILE};
use crate::files::job_edit::{NewValue, put_into_job, put_into_shop, take_back};
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
            let known = Known::load(&self.folder, self.archive.clone())?;
            // The units come first, for the bench measures in them; then the bench, if the shaft is worn.
            let question = next(&known, |name| self.memory.left_out.contains(name));
            if question.as_ref().is_none_or(|question| question.name != "units")
                && self.bench_comes_first(state)?
            {
                continue;
            }
            let Some(question) = question else {
                return self.offer_to_the_shop(state);
            };
            if !begun {
                self.talk.gap()?;
                self.talk.say(
                    "A few things the record and the verdict need. Press Enter to leave one out, ss to leave out all \
                     of them; 0 takes back the answer before.",
                )?;
                begun = true;
            }
            match self.one_question(state, &known, &question) {
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
        let before = Known::load(&self.folder, self.archive.clone())?.file;
        self.questions(state)?;
        Ok(Known::load(&self.folder, self.archive.clone())?.file != before)
    }

    fn one_question(&mut self, state: &State, known: &Known, question: &Question) -> Turn {
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
                    self.memory.left_out.extend(open(known));
                    return Ok(());
                }
                Answer::Zero => return Err(Break::Undo),
                Answer::Text(text) if is_not_known(question, &text) => {
                    self.talk.say(question.not_known.unwrap_or_default())?;
                    self.leave_out(question);
                    return Ok(());
                }
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
        let (mut choices, prompt): (Vec<String>, &str) = match &question.kind {
            Kind::Choice(choices) => (choices.iter().map(|&own| own.to_owned()).collect(), "Number:"),
            Kind::Units(choices) => (choices.iter().map(|(own, _)| (*own).to_owned()).collect(), "Number:"),
            Kind::DialUnit(choices) => {
                (choices.iter().map(|&own| own.to_owned()).collect(), "Number or unit:")
            }
            Kind::Listed(listed) if !listed.is_empty() => (listed.clone(), "Number or words:"),
            _ => return Ok(&question.words),
        };
        choices.extend(question.not_known.map(|_| "I don't know".to_owned()));
        self.talk.say(&question.words)?;
        for (at, choice) in choices.iter().enumerate() {
            self.talk.item(&format!("{} = {choice}", at + 1))?;
        }
        Ok(prompt)
    }

    /// Puts values into the job file; `false` if the job would not read with them, which is said.
    fn taken(&mut self, question: &Question, found: &[NewValue]) -> Turn<bool> {
        // The header first: killed in between, the question is asked again.
        self.header_follows(question, found)?;
        match put_into_job(&self.folder.join(JOB_FILE), found) {
            Ok(edit) => {
                self.memory.asked(Asked { name: question.name, edit: Some(edit) });
                if question.enter == Enter::AsksAgain {
                    self.memory.left_out.remove(question.name);
                }
                if question.for_the_shop {
                    self.memory.for_the_shop.extend(found.iter().cloned());
                }
                let said: Vec<&str> = found.iter().map(|value| value.text.as_str()).collect();
                self.talk.taken(&format!("Taken: {}.", said.join(", ")))?;
                Ok(true)
            }
            Err(problems) => {
                let fault = problems.first().map(in_words).unwrap_or_default();
                self.talk.refused(&format!("This is not possible: {fault}. Nothing was taken."))?;
                Ok(false)
            }
        }
    }

    /// A runs file without a run yet gets the units that were answered into its header.
    fn header_follows(&mut self, question: &Question, found: &[NewValue]) -> Turn {
        let [value] = found else { return Ok(()) };
        let units = match &question.kind {
            Kind::DialUnit(_) => HeaderUnits { dial: Some(value.text.as_str()), ..HeaderUnits::default() },
            Kind::Units(_) if value.text == "us" => {
                HeaderUnits { weight: Some("oz"), length: Some("in"), ..HeaderUnits::default() }
            }
            Kind::Units(_) => HeaderUnits { weight: Some("g"), length: Some("mm"), ..HeaderUnits::default() },
            Kind::Choice(_) if question.name == "phase" && value.text == NO_ANGLE => {
                HeaderUnits { without_phase: true, ..HeaderUnits::default() }
            }
            _ => return Ok(()),
        };
        set_header_units(&self.folder.join(RUNS_FILE), units)?;
        Ok(())
    }

    /// What was said of the stand, the units and the box may hold for the next job too.
    fn offer_to_the_shop(&mut self, state: &State) -> Turn {
        if self.memory.for_the_shop.is_empty() {
            return Ok(());
        }
        let values = std::mem::take(&mut self.memory.for_the_shop);
        let question = "Do units, counting and box hold for all jobs? 1 = yes (shop.toml), Enter = no:";
        match self.yes(state, question, words::HELP_SHOP) {
            Ok(true) => match put_into_shop(&self.folder.join(JOB_FILE), &values) {
                Ok(true) => self.talk.taken("Taken: they stand in shop.toml and are not asked again.")?,
                Ok(false) => {
                    self.talk.refused("There is no shop.toml above this job: they stay in the job.")?;
                }
                Err(problems) => {
                    let fault = problems.first().map(in_words).unwrap_or_default();
                    self.talk.refused(&format!("shop.toml stays as it is: {fault}."))?;
                }
            },
            Ok(false) => {}
            // Whoever wants to change an answer is asked again afterwards.
            Err(Break::Undo) => {
                self.memory.for_the_shop = values;
                self.take_back_answer()?;
                return self.questions(state);
            }
            Err(other) => return Err(other),
        }
        Ok(())
    }
}

/// Whether somebody says that they do not know, where that is an answer.
fn is_not_known(question: &Question, text: &str) -> bool {
    let Kind::Choice(choices) = question.kind else { return false };
    let plain = text.to_lowercase().replace(['\'', '’'], "");
    let last = (choices.len() + 1).to_string();
    question.not_known.is_some()
        && (text == last || matches!(plain.as_str(), "dont know" | "i dont know" | "unknown"))
}

fn in_words(problem: &Problem) -> String {
    let allowed = problem.allowed.as_deref().map(|text| format!("; allowed: {text}"));
    format!("{}{}", problem.found, allowed.unwrap_or_default())
}
