//! Plausibility while typing: what cannot be is refused, what is unlikely is asked about.

use balance_core::answer::{Answer, Stands, compared, moved};
use balance_core::quantity::Speed;
use balance_core::run::{Row, Run, RunKind, RunSet, SensorReading};

use super::draft::Phases;
use super::state::State;
use crate::print::text::units;

/// What to say about a run before it is taken.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Doubts {
    /// It cannot be taken.
    pub refused: Vec<String>,
    /// It is taken if somebody says that it is right.
    pub asked: Vec<String>,
}

/// A needle that moved by less than so many sigma did not move; without a figure for the noise, by less than this share.
const STILL: (f64, f64) = (3.0, 0.05);

/// Looks at a run that is about to be taken.
pub fn doubts(state: &State, run: &Run) -> Doubts {
    let mut found = Doubts::default();
    too_much(state, run, &mut found);
    let set = match state.with(run) {
        Ok(set) => set,
        Err(faults) => {
            found.refused.extend(faults);
            return found;
        }
    };
    found.refused.extend(state.refusal(Some(&set)).map(|problem| problem.found.into()));
    let Some(at) = set.rows().iter().position(|row| row.run.label == run.label) else { return found };
    found.asked.extend(speed_differs(state, &set.rows()[at]));
    found.asked.extend(typed_twice(&set.rows()[..at], &set.rows()[at]));
    match run.kind {
        RunKind::Initial => {}
        // Without phase a needle may stand where it stood although the mass was on.
        RunKind::Trial if state.phases() == Phases::NotShown => {}
        RunKind::Trial => found.asked.extend(trial_doubts(&set.rows()[..at], &set.rows()[at])),
        RunKind::Tried | RunKind::Check => found.asked.extend(not_expected(state, &set, at)),
    }
    found
}

/// Beyond what the stand may do.
fn too_much(state: &State, run: &Run, found: &mut Doubts) {
    let stand = &state.job_file.job.stand;
    if let (Some(most), Some(speed)) = (stand.most_speed, run.speed)
        && speed.rpm() > most.rpm()
    {
        let [speed, most] = [speed, most].map(|speed| units::rpm(speed.rpm()));
        found.refused.push(format!("{speed} rpm is more than this stand's {most} rpm: stop, run slower"));
    }
    for (sensor, reading) in state.shaft.setup.sensors.iter().zip(&run.readings) {
        if let (SensorReading::Shown { amplitude, .. } | SensorReading::Amplitude(amplitude), Some(most)) =
            (reading, stand.most_reading)
            && *amplitude > most
        {
            found.asked.push(format!(
                "STOP: {amplitude} {} at the {} is more than this stand allows ({most}). Stop the shaft; do not spin it \
                 like this again. Or is the decimal sign missing?",
                sensor.unit, sensor.name
            ));
        }
    }
}

/// Another speed than that of the runs so far; small differences only, for others the set has a fault.
fn speed_differs(state: &State, row: &Row) -> Option<String> {
    let speed = row.run.speed?.rpm();
    let known: Vec<f64> =
        state.set.as_ref()?.groups().iter().filter_map(|group| group.speed).map(Speed::rpm).collect();
    let near =
        known.iter().copied().min_by(|one, two| (one - speed).abs().total_cmp(&(two - speed).abs()))?;
    if (speed / near - 1.0).abs() <= 0.003 {
        return None;
    }
    let own = if row.run.kind == RunKind::Initial && (speed / near - 1.0).abs() > 0.01 {
        " A second speed needs trial runs of its own."
    } else {
        " The phase changes with the speed."
    };
    let [speed, near] = [speed, near].map(units::rpm);
    Some(format!("{speed} rpm, but the runs so far were at {near} rpm.{own}"))
}

fn typed_twice(before: &[Row], row: &Row) -> Option<String> {
    let shown = row
        .run
        .readings
        .iter()
        .any(|reading| matches!(reading, SensorReading::Shown { .. } | SensorReading::Amplitude(_)));
    let same = before.iter().rev().find(|other| other.run.readings == row.run.readings && shown)?;
    Some(format!(
        "These are the same readings as in run {}: typed twice, or read off the same line?",
        same.run.label
    ))
}

fn trial_doubts(before: &[Row], row: &Row) -> Vec<String> {
    let mut asked = Vec::new();
    let earlier =
        |kind| before.iter().rev().find(move |other| other.run.kind == kind && other.group == row.group);
    if let Some(initial) = earlier(RunKind::Initial)
        && stands_still(initial, row)
    {
        asked.push(format!(
            "The needles stand where they stood in run {}. Was the trial mass on, at the place and angle stated? If it \
             was, a heavier one is needed.",
            initial.run.label
        ));
    }
    if let Some(trial) = earlier(RunKind::Trial)
        && !trial.run.masses.iter().all(|mass| row.run.masses.iter().any(|own| own.same_as(mass)))
        && stands_still(trial, row)
    {
        asked.push(format!(
            "The needles stand where they stood in run {}: is that trial mass still on, or was the new one forgotten?",
            trial.run.label
        ));
    }
    asked
}

/// Whether no needle moved by more than it wanders.
fn stands_still(from: &Row, to: &Row) -> bool {
    let all = moved(from, to);
    !all.is_empty()
        && all.iter().all(|own| match own.scatter {
            Some(scatter) => own.by < STILL.0 * scatter,
            None => own.share < STILL.1,
        })
}

/// A try or a check run that reads other than expected, with the likely reason.
fn not_expected(state: &State, set: &RunSet, at: usize) -> Vec<String> {
    let Some(before) = before(state, set, at) else { return Vec::new() };
    let row = &set.rows()[at];
    let sensors = &set.setup().sensors;
    let mut asked: Vec<String> = compared(&before, row)
        .iter()
        .filter(|own| own.stands != Stands::Within)
        .map(|own| {
            let circle = own.forecast.needle_circle;
            let most = own.forecast.expected.amplitude() + circle.unwrap_or(0.0);
            let sensor = &sensors[own.sensor];
            format!(
                "{}: {} {} was read; expected about {}, at most {}.",
                sensor.name.to_uppercase(),
                units::amplitude(own.shown.amplitude()),
                sensor.unit,
                units::amplitude(own.forecast.expected.amplitude()),
                units::amplitude(if circle.is_some() { most } else { own.forecast.now.amplitude() }),
            )
        })
        .collect();
    if !asked.is_empty() {
        let reasons = state.solved(set.clone()).map(|answer| answer.what_went_wrong()).unwrap_or_default();
        let likely = reasons.into_iter().find(|sentence| sentence.starts_with("What fits best"));
        asked.push(likely.unwrap_or_else(|| {
            "Likely reasons: a mass still on, a weight at another place than stated, or a slip in typing."
                .into()
        }));
    }
    asked
}

/// The answer of the runs before a row, without tries of the same weights.
fn before(state: &State, set: &RunSet, at: usize) -> Option<Answer> {
    let row = &set.rows()[at];
    let same = |other: &&Row| other.run.kind == row.run.kind && other.loads == row.loads;
    let again = set.rows()[..at].iter().rev().take_while(same).count();
    let runs: Vec<Run> = set.rows()[..at - again].iter().map(|row| row.run.clone()).collect();
    state.solved(RunSet::new(set.setup().clone(), runs).ok()?).ok()
}
