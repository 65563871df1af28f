//! What the job's files say right now.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use balance_core::answer::{
    Advice, Answer, BeforeSpin, Case, CheckMemory, Insist, LimitsQuestion, Missing, NextRun, ProposedTrial,
    QuarterTurn, Stands, compared, limits, quarter_turn, solve, trials_of,
};
use balance_core::correction::TrialAdvice;
use balance_core::quantity::{Angle, Mass};
use balance_core::run::{Phase, PlacedMass, Row, Run, RunKind, RunSet, SensorReading};
use balance_core::shaft::{PlaneId, Shows};

use super::draft::Phases;
use super::memory::Memory;
use super::places::{Next, Way, apart, next_place};
use super::step::{Counting, Last, Round, Situation, Try};
use crate::command::each::refused;
use crate::command::open::{Target, target_of_folder};
use crate::files::runs::{RowTexts, RunsReader, ShaftRuns};
use crate::files::{JobFile, Problem, shown_path};
use crate::typed::Habits;

/// A job and its runs as they are on the disk.
#[derive(Debug)]
pub struct State {
    /// The job.
    pub job_file: JobFile,
    /// Job, runs file and sister shafts, as every command finds them.
    target: Target,
    /// Whether somebody said in this session to correct further.
    insist: Insist,
    /// Its runs; there may be none yet.
    pub shaft: ShaftRuns,
    /// The runs as a consistent set; `None` without a run.
    pub set: Option<RunSet>,
    /// The runs file.
    pub file: PathBuf,
}

impl State {
    /// Reads the files of a job's folder.
    ///
    /// # Errors
    ///
    /// Every fault of the files.
    pub fn load(folder: &Path, archive: Option<PathBuf>, memory: &Memory) -> Result<Self, Vec<Problem>> {
        let job_file = JobFile::load_folder(folder)?;
        let target = target_of_folder(folder, archive)?;
        let target = if memory.with_trials == Some(true) { target.without_sisters() } else { target };
        let mut reader = RunsReader::open(&target.runs, Some(&job_file))?;
        let first = reader.next().transpose().map_err(|faults| faults.problems)?;
        let shaft = first.filter(|shaft| shaft.shaft.is_none()).ok_or_else(|| many_shafts(&target.runs))?;
        if let Some(waits) = shaft.waits() {
            return Err(waits.into());
        }
        let set = if shaft.runs.is_empty() { None } else { Some(shaft.run_set()?) };
        let checks = shaft.runs.iter().filter(|run| run.kind == RunKind::Check).count();
        let insist = if memory.goes_on(checks) { Insist::CorrectFurther } else { Insist::No };
        Ok(Self { file: target.runs.clone(), job_file, shaft, set, target, insist })
    }

    /// What the shaft is called.
    pub fn name(&self) -> String {
        self.target.name()
    }

    /// What goes without saying at this shop.
    pub fn habits(&self) -> Habits {
        Habits::of(&self.job_file.job)
    }

    /// Every fact about the shaft, once the runs tell enough.
    ///
    /// # Errors
    ///
    /// What the runs cannot tell.
    pub fn answer(&self) -> Result<Answer, Vec<String>> {
        self.answer_of(self.set.clone())
    }

    fn answer_of(&self, set: Option<RunSet>) -> Result<Answer, Vec<String>> {
        let set = set.ok_or_else(|| vec!["no run was read yet".to_owned()])?;
        self.solved(set)
    }

    /// Every fact about the shaft with these runs.
    ///
    /// # Errors
    ///
    /// What the runs cannot tell.
    pub fn solved(&self, set: RunSet) -> Result<Answer, Vec<String>> {
        let case = Case { insist: self.insist, ..self.target.case_of(&self.name(), set, &[]) };
        let words = |missing: &Missing| match missing.hint() {
            Some(hint) => format!("{missing}: {hint}"),
            None => missing.to_string(),
        };
        solve(&case).map_err(|unsolved| unsolved.missing.iter().map(words).collect())
    }

    /// Whether readings have an angle: as in the runs so far; before the first as file and job say.
    pub fn phases(&self) -> Phases {
        let readings = || self.shaft.runs.iter().flat_map(|run| &run.readings);
        let shown = readings().any(|own| matches!(own, SensorReading::Shown { .. }));
        let alone = readings().any(|own| matches!(own, SensorReading::Amplitude(_)));
        let columns = &self.shaft.columns.sensors;
        let no_column = !columns.is_empty() && columns.iter().all(|own| own.phase.is_none());
        let said = self.shaft.setup.convention.phase == Phase::NotShown;
        if !shown && (alone || no_column || said) { Phases::NotShown } else { Phases::Shown }
    }

    /// The type of the sister shafts that can stand in for trial runs, and how many they are.
    pub fn sisters(&self) -> Option<(&str, usize)> {
        self.target.sisters()
    }

    /// Two trials that tell how the stand counts, where that is not stated.
    pub fn quarter_turn(&self) -> Option<QuarterTurn> {
        if self.shaft.setup.convention.stated { None } else { quarter_turn(self.set.as_ref()?) }
    }

    /// What the shaft's own check says, at the speeds of these runs.
    pub fn before_spin(&self, set: Option<&RunSet>) -> Option<Arc<BeforeSpin>> {
        let job = self.target.job();
        let known = limits(job, &self.shaft.setup.planes).ok();
        CheckMemory::default().check(job, set, known.as_ref())
    }

    /// Why the shaft must not spin at the speeds of these runs, if it must not.
    pub fn refusal(&self, set: Option<&RunSet>) -> Option<Problem> {
        let before = self.before_spin(set)?;
        Some(refused(&self.target, &self.name(), &before.refusal()?))
    }

    /// The set with another run at its end, or in the place of the run with the same label.
    ///
    /// # Errors
    ///
    /// The faults such a set would have, in words.
    pub fn with(&self, run: &Run) -> Result<RunSet, Vec<String>> {
        let mut runs = self.shaft.runs.clone();
        match runs.iter_mut().find(|own| own.label == run.label) {
            Some(own) => *own = run.clone(),
            None => runs.push(run.clone()),
        }
        RunSet::new((*self.shaft.setup).clone(), runs).map_err(|faults| {
            let words = |fault: &balance_core::run::RunFault| {
                let hint = fault.hint.clone().map_or(String::new(), |hint| format!(" ({hint})"));
                format!("{}; allowed: {}{hint}", fault.found, fault.allowed)
            };
            faults.iter().map(words).collect()
        })
    }

    /// The rows, in the file's order.
    pub fn rows(&self) -> &[Row] {
        self.set.as_ref().map_or(&[], RunSet::rows)
    }

    /// A run and its texts by its label.
    pub fn run(&self, label: &str) -> Option<(&Run, &RowTexts)> {
        let at = self.shaft.runs.iter().position(|run| run.label == label)?;
        self.shaft.runs.get(at).zip(self.shaft.texts.get(at))
    }

    /// The label of the next run: a number after the largest.
    pub fn next_label(&self) -> String {
        let largest = self.shaft.runs.iter().filter_map(|run| run.label.parse::<u64>().ok()).max();
        let next = largest.unwrap_or(0).saturating_add(1).to_string();
        let taken = self.shaft.runs.iter().any(|run| run.label == next);
        if taken { format!("run-{}", self.shaft.runs.len() + 1) } else { next }
    }

    /// The masses that are on for good: those of the last check run.
    pub fn for_good(&self) -> Vec<PlacedMass> {
        let last = self.set.as_ref().and_then(|set| set.last_check_block().last().copied());
        last.and_then(|row| self.rows().get(row)).map(|row| row.masses.clone()).unwrap_or_default()
    }

    /// The label of the last check run.
    pub fn last_check(&self) -> Option<&str> {
        let last = self.set.as_ref()?.last_check_block().last().copied()?;
        self.rows().get(last).map(|row| row.run.label.as_str())
    }

    /// The rows at the end of the file that are clamped tries with the same weights.
    fn try_block(&self) -> Vec<usize> {
        let rows = self.rows();
        let Some(last) = rows.last().filter(|row| row.run.kind == RunKind::Tried) else { return Vec::new() };
        let same = |row: &Row| row.run.kind == RunKind::Tried && row.loads == last.loads;
        let first = rows.iter().rposition(|row| !same(row)).map_or(0, |at| at + 1);
        (first..rows.len()).collect()
    }

    /// Everything before the tries at the end of the file.
    pub fn before_try(&self) -> Result<Answer, Vec<String>> {
        let tries = self.rows().iter().rev().take_while(|row| row.run.kind == RunKind::Tried).count();
        let runs = self.shaft.runs[..self.shaft.runs.len() - tries].to_vec();
        self.answer_of(RunSet::new((*self.shaft.setup).clone(), runs).ok())
    }

    /// The situation, with what was said in this session.
    pub fn situation(&self, memory: &Memory) -> Situation {
        let rows = self.rows();
        let answer = self.answer();
        let known = answer.as_ref().ok();
        let block = match rows.last().map(|row| row.run.kind) {
            Some(RunKind::Tried) => self.try_block(),
            Some(RunKind::Check) => self.set.as_ref().map_or_else(Vec::new, RunSet::last_check_block),
            _ => Vec::new(),
        };
        let groups = self.set.as_ref().map_or(0, |set| set.groups().len());
        let unread = (0..groups).find(|&group| !block.iter().any(|&row| rows[row].group == group));
        let checks = rows.iter().filter(|row| row.run.kind == RunKind::Check).count();
        Situation {
            last: last_of(rows),
            trial_off: memory.trial_off(rows.last().map(|row| row.run.label.as_str())),
            trials: self.trials(groups, memory),
            round: self.round(groups, memory),
            solved: answer.is_ok(),
            stopped: known.is_some_and(|answer| matches!(answer.advice(), Advice::HeldBack(_))),
            unread: unread.filter(|_| !block.is_empty()),
            tried: (!block.is_empty() && last_of(rows) == Last::Tried).then(|| self.judge_try(&block)),
            nothing_to_add: known.is_some_and(|answer| self.new_masses(answer).is_empty()),
            try_skipped: memory.try_skipped(checks),
            decision: known.and_then(|answer| answer.judged.as_ref()).map(|judged| judged.decision),
            one_more_run: known.is_some_and(|answer| matches!(answer.advice(), Advice::OneMoreRun(_))),
            settles: known.is_some_and(|answer| !settling(answer).is_empty()),
            go_on: self.insist == Insist::CorrectFurther,
            counting: self.counting(memory),
            short_way: self.sisters().is_some() && memory.with_trials.is_none(),
        }
    }

    fn counting(&self, memory: &Memory) -> Counting {
        let vibration = self.shaft.setup.sensors.iter().any(|sensor| sensor.shows == Shows::Vibration);
        if self.phases() == Phases::NotShown {
            return Counting::Known;
        }
        if self.shaft.setup.convention.stated || memory.counting_left_open || !vibration {
            Counting::Known
        } else if self.quarter_turn().is_some() {
            Counting::Read
        } else {
            Counting::Open
        }
    }

    /// Advice on a trial at every place.
    pub fn trial_advice(&self) -> Vec<TrialAdvice> {
        let case = self.set.clone().map(|set| self.target.case_of(&self.name(), set, &[]));
        trials_of(&LimitsQuestion {
            shaft: &self.name(),
            job: self.target.job(),
            setup: &self.shaft.setup,
            speed: self.set.as_ref().and_then(|set| set.groups().first()?.speed),
            case: case.as_ref(),
        })
    }

    /// For every place and speed whether a trial was read there.
    fn trials(&self, groups: usize, memory: &Memory) -> Vec<Vec<bool>> {
        let read = |plane: PlaneId, group: usize| {
            if self.phases() == Phases::NotShown {
                return self.next_place(plane, group, memory).is_none();
            }
            self.rows().iter().any(|row| {
                row.run.kind == RunKind::Trial
                    && row.group == group
                    && row.run.masses.iter().any(|mass| mass.plane == plane)
            })
        };
        let planes = self.shaft.setup.plane_ids();
        planes.map(|plane| (0..groups).map(|group| read(plane, group)).collect()).collect()
    }

    /// Without phase: where in a plane, in degrees, the mass was read at a speed, in order.
    pub fn places(&self, plane: PlaneId, group: usize) -> Vec<f64> {
        let rows = self.rows().iter().filter(|row| row.run.kind == RunKind::Trial && row.group == group);
        rows.filter_map(|row| alone(&row.run, plane)).collect()
    }

    /// Without phase: where in a plane the mass goes next; `None`: it has been all round.
    pub fn next_place(&self, plane: PlaneId, group: usize, memory: &Memory) -> Option<Next> {
        let read = self.places(plane, group);
        let planes = self.shaft.setup.plane_ids();
        let others = planes.filter(|other| *other != plane).map(|other| self.places(other, group));
        let way = Way::of(&read).or_else(|| others.filter_map(|own| Way::of(&own)).next());
        next_place(&read, &memory.places_left_out(plane.index()), way)
    }

    /// Without phase: how far the mass of the last trial has been round.
    fn round(&self, groups: usize, memory: &Memory) -> Option<Round> {
        if self.phases() == Phases::Shown {
            return None;
        }
        let last = self.shaft.runs.last().filter(|run| run.kind == RunKind::Trial)?;
        let plane = last.masses.first()?.plane;
        let here = alone(last, plane)?;
        let read = |group| self.places(plane, group).iter().any(|own| apart(*own, here) < 1.0);
        let more = (0..groups).any(|group| self.next_place(plane, group, memory).is_some());
        Some(Round { read: (0..groups).map(read).collect(), more })
    }

    /// How the last reading at every speed stands to what was expected of the weights under clamps.
    fn judge_try(&self, block: &[usize]) -> Try {
        let Ok(before) = self.before_try() else { return Try::Worse };
        let rows = self.rows();
        let mut groups: Vec<usize> = block.iter().map(|&row| rows[row].group).collect();
        groups.dedup();
        let worse = |group: &usize| {
            let last = block.iter().rev().map(|&row| &rows[row]).find(|row| row.group == *group);
            last.is_some_and(|row| compared(&before, row).iter().any(|own| own.stands == Stands::Above))
        };
        if groups.iter().any(worse) { Try::Worse } else { Try::AsExpected }
    }

    /// The check row of an answer; ideal masses in it are rounded as they are told.
    pub fn check_row(&self, answer: &Answer) -> Run {
        let mut row = answer.check_row();
        if matches!(answer.advice(), Advice::Ideal(_)) {
            let on = self.for_good();
            let fresh = |mass: &&mut PlacedMass| !on.iter().any(|own| own.same_as(mass));
            row.masses.iter_mut().filter(fresh).for_each(round_as_told);
        }
        row
    }

    /// What the correction puts on, beside what is on for good.
    pub fn new_masses(&self, answer: &Answer) -> Vec<PlacedMass> {
        let mut before = self.for_good();
        let row = self.check_row(answer);
        let fresh = |mass: &PlacedMass| match before.iter().position(|own| own.same_as(mass)) {
            Some(at) => {
                before.remove(at);
                false
            }
            None => true,
        };
        row.masses.into_iter().filter(fresh).collect()
    }
}

/// A mass to hundredths of a gram, its angle to tenths of a degree within one turn.
fn round_as_told(mass: &mut PlacedMass) {
    let grams = Mass::from_grams((100.0 * mass.mass.grams()).round() / 100.0);
    let angle = Angle::from_degrees((10.0 * mass.angle.degrees_in_turn()).round() / 10.0);
    mass.mass = grams.unwrap_or(mass.mass);
    mass.angle = angle.unwrap_or(mass.angle);
}

/// Where the only mass of a run is, in degrees, if it is in this plane.
fn alone(run: &Run, plane: PlaneId) -> Option<f64> {
    match &run.masses[..] {
        [mass] if mass.plane == plane => Some(mass.angle.degrees_in_turn()),
        _ => None,
    }
}

/// The runs that settle which of several answers without phase is right; none: there is one answer.
pub fn settling(answer: &Answer) -> Vec<&ProposedTrial> {
    let Advice::OneMoreRun(more) = answer.advice() else { return Vec::new() };
    match &more.next {
        NextRun::SettleMirrored { trial, .. } => vec![trial],
        NextRun::BothPlacesLoaded { trials } => trials.iter().collect(),
        _ => Vec::new(),
    }
}

fn last_of(rows: &[Row]) -> Last {
    let Some(row) = rows.last() else { return Last::Nothing };
    match row.run.kind {
        RunKind::Initial => Last::Initial,
        RunKind::Trial => {
            let mut planes: Vec<PlaneId> = row.run.masses.iter().map(|mass| mass.plane).collect();
            planes.dedup();
            Last::Trial(if let [plane] = planes[..] { Some(plane) } else { None })
        }
        RunKind::Tried => Last::Tried,
        RunKind::Check => Last::Check,
    }
}

fn many_shafts(file: &Path) -> Vec<Problem> {
    let found = "a file of many shafts (it has a column `shaft`)";
    vec![
        Problem::of_file("many-shafts", shown_path(file), found)
            .hinting("guided entry works on one shaft in a folder of its own".to_owned()),
    ]
}
