//! The bench: what to look at on a worn shaft, in any order, before it is taken apart and rebuilt.

mod fit;
mod length;
mod list;
mod marks;
mod part;
mod received;

use super::line::is_yes;
use super::questions::Known;
use super::session::{Answer, Break, Session, Turn};
use super::state::State;
use super::words;
use balance_core::shaft::{PointFor, missing_points};
use list::{Entry, list};

impl Session<'_, '_> {
    /// Before the first run of a shaft that was not looked over: whether the bench comes first. `true`: it was there.
    pub(super) fn bench_comes_first(&mut self, state: &State) -> Turn<bool> {
        if self.memory.left_the_bench {
            return Ok(false);
        }
        let known = Known::load(&self.folder, self.archive.clone())?;
        let items = &known.file.job.shaft.inspection;
        let open = missing_points(items, PointFor::Every);
        if open.is_empty() {
            self.memory.left_the_bench = true;
            return Ok(false);
        }
        let question = if items.is_empty() {
            "Is it a worn shaft to look over first? 1 = to the bench, Enter = to the stand:"
        } else {
            self.talk.say(&format!("On the bench these are still open: {}.", open.join(", ")))?;
            "Go on there? 1 = to the bench, Enter = to the stand:"
        };
        loop {
            match self.ask(state, question, words::HELP_BENCH)? {
                Answer::Proposed | Answer::Skip => {
                    self.memory.left_the_bench = true;
                    return Ok(false);
                }
                Answer::Text(text) if is_yes(&text) => {
                    self.bench()?;
                    return Ok(true);
                }
                Answer::Text(text) if matches!(text.to_lowercase().as_str(), "n" | "no") => {
                    self.memory.left_the_bench = true;
                    return Ok(false);
                }
                Answer::Zero => {
                    self.take_back_answer()?;
                    return Ok(true);
                }
                Answer::Text(_) => self.talk.refused("1 = to the bench, Enter = to the stand.")?,
            }
        }
    }

    /// The list of the bench, until somebody goes to the stand.
    pub(super) fn bench(&mut self) -> Turn {
        self.memory.left_the_bench = true;
        loop {
            let state = self.load()?;
            let known = Known::load(&self.folder, self.archive.clone())?;
            let entries = list(&known.file);
            self.talk.gap()?;
            self.talk.say(&format!(
                "THE BENCH  {}: in any order. What you find goes into job.toml.",
                state.name()
            ))?;
            for (at, entry) in entries.iter().enumerate() {
                let line = format!("{:>2}  {:<44} {}", at + 1, entry.words(), entry.done(&known.file));
                self.talk.show(line.trim_end())?;
            }
            let question = "Which? A number, report = write the report, Enter = to the stand:";
            let chosen = match self.ask(&state, question, words::HELP_BENCH) {
                Ok(Answer::Proposed) => return Ok(()),
                Ok(Answer::Text(text)) if text.eq_ignore_ascii_case("report") => {
                    self.talk.command(&["report"], None, &self.folder);
                    continue;
                }
                Ok(Answer::Text(text)) => {
                    let number = text.trim_start_matches('#').parse::<usize>().ok();
                    number.and_then(|at| entries.get(at.checked_sub(1)?)).cloned()
                }
                Ok(Answer::Zero | Answer::Skip) => None,
                Err(Break::Bench) => continue,
                Err(other) => return Err(other),
            };
            let Some(entry) = chosen else {
                self.talk.refused(&format!("A number from 1 to {}, report, or Enter.", entries.len()))?;
                continue;
            };
            match self.at_the_bench(&state, &known, &entry) {
                Ok(()) | Err(Break::Undo | Break::Bench) => {}
                Err(other) => return Err(other),
            }
        }
    }

    fn at_the_bench(&mut self, state: &State, known: &Known, entry: &Entry) -> Turn {
        self.talk.gap()?;
        match entry {
            Entry::Received => self.received(state, known),
            Entry::Marks => self.marks(state),
            Entry::Part(part) => self.look_at(state, known, part),
            Entry::Fit => self.fit(state, known),
            Entry::NewLength => self.new_length(state, known),
        }
    }

    /// A text at the bench; `None` for Enter, `0` goes back to the list.
    fn bench_text(&mut self, state: &State, question: &str) -> Turn<Option<String>> {
        match self.ask(state, question, words::HELP_BENCH_PART)? {
            Answer::Proposed | Answer::Skip => Ok(None),
            Answer::Zero => Err(Break::Undo),
            Answer::Text(text) => Ok(Some(text)),
        }
    }
}
