//! The turns of a session: read the files, see what comes next, ask, write, and again.

use std::path::{Path, PathBuf};

use balance_core::answer::Answer as Solved;
use balance_core::run::Run;

use super::memory::Memory;
use super::open::Beginning;
use super::state::State;
use super::step::{Step, next_step};
use super::talk::Talk;
use super::words;
use super::{braille, line::Line, line::is_yes};
use crate::exit::Exit;
use crate::files::runs::{NewRun, RowTexts, append_run, remove_last_run, replace_run};
use crate::files::{Problem, render_all, shown_path};
use crate::print::text;
use crate::programs::Recorder;
use crate::streams::Streams;
use crate::view::{Reader, View};

/// Why a turn ended before its entry was taken.
#[derive(Debug)]
pub(super) enum Break {
    /// A stream cannot be read or written.
    Stream(std::io::Error),
    /// Somebody wants to stop, or the input ended.
    Leave,
    /// Take back the last run.
    Undo,
    /// Read the last run once more.
    Repeat,
    /// The run with this label was entered wrongly.
    Mistake(String),
    /// To the bench.
    Bench,
    /// The shaft must not spin.
    Refused(Box<Problem>),
    /// The files cannot be used.
    Files(Vec<Problem>),
}

impl From<std::io::Error> for Break {
    fn from(error: std::io::Error) -> Self {
        Self::Stream(error)
    }
}

impl From<Vec<Problem>> for Break {
    fn from(problems: Vec<Problem>) -> Self {
        Self::Files(problems)
    }
}

/// What came of a turn.
pub(super) type Turn<T = ()> = Result<T, Break>;

/// An answer to a question.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Answer {
    /// Enter: as proposed.
    Proposed,
    /// `0`.
    Zero,
    /// Leave it out.
    Skip,
    /// Anything else.
    Text(String),
}

/// A session on one job.
pub(super) struct Session<'t, 's> {
    pub talk: Talk<'t, 's>,
    pub folder: PathBuf,
    /// The archive, if not the usual one.
    pub archive: Option<PathBuf>,
    /// The recorder that reads the stand, if there is one.
    pub recorder: Option<Recorder>,
    pub memory: Memory,
}

impl<'t, 's> Session<'t, 's> {
    pub fn new(streams: &'t mut Streams<'s>, beginning: &Beginning, folder: &Path) -> Self {
        Self {
            talk: Talk::new(streams, beginning.manner),
            folder: folder.into(),
            archive: beginning.archive.clone(),
            recorder: beginning.recorder.clone(),
            memory: Memory::default(),
        }
    }

    /// The job and its runs as they are on the disk now.
    pub fn load(&self) -> Result<State, Vec<Problem>> {
        State::load(&self.folder, self.archive.clone(), &self.memory)
    }

    /// Goes on until somebody leaves.
    pub fn run(&mut self) -> std::io::Result<Exit> {
        if let Ok(state) = self.load() {
            let step = next_step(&state.situation(&self.memory));
            self.talk.gap()?;
            self.talk.say(&words::greeting(&state, step))?;
        }
        loop {
            match self.turn() {
                Ok(()) => {}
                Err(Break::Stream(error)) => return Err(error),
                Err(Break::Leave) => return self.farewell(),
                Err(Break::Refused(problem)) => {
                    self.talk.refused("STOP: do not spin this shaft.")?;
                    self.talk.show(&problem.render())?;
                    return Ok(Exit::CouldNot);
                }
                Err(Break::Files(problems)) => {
                    self.talk.refused("The files cannot be used as they are; nothing was changed:")?;
                    self.talk.show(&render_all(&problems))?;
                    return Ok(Exit::CouldNot);
                }
                Err(Break::Undo | Break::Repeat | Break::Mistake(_) | Break::Bench) => {}
            }
        }
    }

    /// One turn: the step, or what somebody wants instead.
    fn turn(&mut self) -> Turn {
        let state = self.load()?;
        let step = next_step(&state.situation(&self.memory));
        let done = self.step(&state, step);
        match done {
            // A note may have been written meanwhile: the files are read again.
            Err(Break::Undo) => self.undo(&self.load()?),
            Err(Break::Repeat) => self.repeat(&self.load()?),
            Err(Break::Mistake(label)) => self.mistake(&self.load()?, &label),
            Err(Break::Bench) => self.bench(),
            other => other,
        }
    }

    fn step(&mut self, state: &State, step: Step) -> Turn {
        let fresh;
        let state = if state.shaft.runs.is_empty() {
            self.questions(state)?;
            fresh = self.load()?;
            &fresh
        } else {
            state
        };
        if let Some(problem) = state.refusal(state.set.as_ref()) {
            return Err(Break::Refused(Box::new(problem)));
        }
        match step {
            Step::Initial => self.initial(state),
            Step::Trial { plane, group, still_on } => self.trial(state, plane, group, still_on),
            Step::Settle => self.settle(state),
            Step::TakeOff => self.take_off(state),
            Step::QuarterTurn => self.quarter_turn(state),
            Step::SettleCounting => self.settle_counting(state),
            Step::ShortWay => self.short_way(state),
            Step::MoreTrials => self.more_trials(state),
            Step::Explain => self.explain(state),
            Step::TryOn => self.try_on(state),
            Step::TryMore { group } | Step::CheckMore { group } => self.same_at(state, group),
            Step::TryWorse => self.try_worse(state),
            Step::Check => self.check(state),
            Step::CheckAgain => self.check_again(state),
            Step::NothingHelps => self.nothing_helps(state),
            Step::Finished => self.finished(state),
        }
    }

    /// Asks; what can be answered anywhere is answered here.
    pub fn ask(&mut self, state: &State, question: &str, help: &str) -> Turn<Answer> {
        loop {
            match self.talk.ask(question)? {
                None | Some(Line::Leave) => return Err(Break::Leave),
                Some(Line::Nothing) => return Ok(Answer::Proposed),
                Some(Line::Zero) => return Ok(Answer::Zero),
                Some(Line::Skip) => return Ok(Answer::Skip),
                Some(Line::Text(text)) => return Ok(Answer::Text(text)),
                Some(Line::Undo) => return Err(Break::Undo),
                Some(Line::Repeat) => return Err(Break::Repeat),
                Some(Line::Mistake(label)) => return Err(Break::Mistake(label)),
                Some(Line::Bench) => return Err(Break::Bench),
                Some(Line::Help) => {
                    self.talk.say(help)?;
                    self.talk.show(words::EVERYWHERE)?;
                }
                Some(Line::Picture) => self.picture(state)?,
                Some(Line::All) => self.everything(state)?,
                Some(Line::Counting) => self.talk.show(&words::counting(state))?,
                Some(Line::Note(note)) => self.note(state, &note)?,
            }
        }
    }

    /// Asks for a plain yes; `false` for Enter. `0` takes back.
    pub fn yes(&mut self, state: &State, question: &str, help: &str) -> Turn<bool> {
        loop {
            match self.ask(state, question, help)? {
                Answer::Text(text) if is_yes(&text) => return Ok(true),
                Answer::Proposed => return Ok(false),
                Answer::Text(text) if matches!(text.to_lowercase().as_str(), "n" | "no") => {
                    return Ok(false);
                }
                Answer::Zero => return Err(Break::Undo),
                Answer::Skip => self.talk.refused("This cannot be left out: 1 = yes, Enter = not yet.")?,
                Answer::Text(_) => self.talk.refused("1 = yes, Enter = not yet, 0 = take back, ? = help.")?,
            }
        }
    }

    /// Writes a run and says so; from here on it is on the disk.
    pub fn write(&mut self, state: &State, run: Run, note: &str) -> Turn {
        let label = run.label.clone();
        let new = NewRun { shaft: None, run, texts: RowTexts { note: note.into(), ..RowTexts::default() } };
        append_run(&state.file, Some(&state.job_file), &new)?;
        self.talk.taken(&format!("Taken: run {label} is in {}.", shown_path(&state.file)))?;
        Ok(())
    }

    /// An answer as somebody at the stand reads it.
    pub fn view<'a>(&self, state: &'a State, answer: &'a Solved) -> View<'a> {
        View { page: self.talk.page(), reader: Reader::Guided, ..View::new(answer, Some(&state.job_file)) }
    }

    /// Shows the readings.
    pub fn picture(&mut self, state: &State) -> std::io::Result<()> {
        match state.answer() {
            // Amplitudes alone are no vectors that could be drawn.
            Ok(answer) if answer.without_phase() => self.talk.show(&words::runs(state)),
            Ok(answer) => {
                let text = braille::readings(&self.view(state, &answer), self.talk.pictures());
                self.talk.show(&text)
            }
            Err(_) if state.shaft.runs.is_empty() => self.talk.say("Nothing was read yet."),
            Err(_) => self.talk.show(&words::runs(state)),
        }
    }

    /// The whole answer, which is longer than a screen.
    fn everything(&mut self, state: &State) -> std::io::Result<()> {
        let Ok(answer) = state.answer() else { return self.picture(state) };
        let view = self.view(state, &answer);
        let mut all = text::correction_in_full(&view);
        if let Some(judged) = &answer.judged {
            all = format!("{}\n{all}", text::verdict_in_full(&view, judged, false));
        }
        self.talk.show(&all)
    }

    fn note(&mut self, state: &State, note: &str) -> Turn {
        let Some((run, texts)) = state.shaft.runs.last().zip(state.shaft.texts.last()) else {
            self.talk.refused("A note goes with a run, and there is none yet.")?;
            return Ok(());
        };
        if note.is_empty() {
            self.talk.refused("Type the note behind the word, for example: note clamp was loose")?;
            return Ok(());
        }
        // The file may have a note by now that was written in this very turn.
        let now = self.load()?;
        let texts = now.run(&run.label).map_or(texts, |(_, texts)| texts).clone();
        let all = if texts.note.is_empty() { note.to_owned() } else { format!("{}; {note}", texts.note) };
        let new = NewRun { shaft: None, run: run.clone(), texts: RowTexts { note: all, ..texts } };
        replace_run(&state.file, Some(&state.job_file), &run.label, &new)?;
        self.talk.taken(&format!("The note is with run {}.", run.label))?;
        Ok(())
    }

    fn undo(&mut self, state: &State) -> Turn {
        let Some(last) = state.shaft.runs.last() else { return self.take_back_answer() };
        self.talk.say(&format!("Take back {}", words::run(state, last)))?;
        match self.talk.ask("Take it out of the file? 1 = yes, Enter = no:")? {
            Some(Line::Text(text)) if is_yes(&text) => {
                remove_last_run(&state.file, Some(&state.job_file))?;
                self.memory.forget();
                self.talk.taken(&format!("Run {} is out of the file.", last.label))?;
            }
            None => return Err(Break::Leave),
            Some(_) => self.talk.say("It stays.")?,
        }
        Ok(())
    }

    /// The last run once more, with the same masses on.
    fn repeat(&mut self, state: &State) -> Turn {
        let Some(last) = state.shaft.runs.last().cloned() else {
            self.talk.refused("There is no run to repeat yet.")?;
            return Ok(());
        };
        self.talk.gap()?;
        self.talk.say(&format!("Once more, with the same masses on: {}", words::run(state, &last)))?;
        let run = Run { label: state.next_label(), ..last };
        match self.read_run(state, run, "") {
            Err(Break::Undo) => Ok(self.talk.say("It was not repeated.")?),
            other => other,
        }
    }

    /// What is done and what is next.
    fn farewell(&mut self) -> std::io::Result<Exit> {
        self.talk.gap()?;
        match self.load() {
            Ok(state) => {
                let step = next_step(&state.situation(&self.memory));
                self.talk.say(&words::summary(&state, step, &self.folder))?;
                Ok(Exit::Done)
            }
            Err(problems) => {
                self.talk.show(&render_all(&problems))?;
                Ok(Exit::CouldNot)
            }
        }
    }
}
