//! What one more run would gain.

use num_complex::Complex64;

use super::ideal::correct;
use crate::chance::Rice;
use crate::influence::{Influence, System, Which, estimate};
use crate::quantity::{Angle, UnbalanceAmount};
use crate::run::{OnTopOf, PlacedMass, Run, RunKind, RunSet, SensorReading};
use crate::shaft::PlaneId;

/// A run that could still be made.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[non_exhaustive]
pub enum ExtraRun {
    /// The initial run again.
    InitialAgain,
    /// The trial of this row, moved by half a turn.
    TrialOpposite {
        /// Index of the trial run.
        row: usize,
    },
    /// The check run again.
    CheckAgain,
    /// Repeating the check run in another mounting.
    AnotherMounting,
}

/// What is expected after the next correction.
#[derive(Debug, Clone, PartialEq)]
pub struct Outlook {
    /// For each plane the root mean square of what will be left, in g·mm.
    pub left: Vec<f64>,
    /// The chance that what is left meets the limit in every plane; `None`: no limits given.
    pub chance: Option<f64>,
}

/// What one more run would gain.
#[derive(Debug, Clone, PartialEq)]
pub struct Gain {
    /// The run.
    pub run: ExtraRun,
    /// What would be expected with it.
    pub outlook: Outlook,
}

/// What is expected now, and with each run that could still be made.
#[derive(Debug, Clone, PartialEq)]
pub struct RunPlan {
    /// As things stand.
    pub now: Outlook,
    /// Best first.
    pub gains: Vec<Gain>,
}

/// The planner's input.
#[derive(Debug, Clone, Copy)]
pub struct PlanQuestion<'a> {
    /// The runs so far.
    pub set: &'a RunSet,
    /// The coefficients from them.
    pub influence: &'a Influence,
    /// What may be left in each correction plane.
    pub limits: Option<&'a [UnbalanceAmount]>,
}

/// Works out what one more run would gain; `None` without a figure for the noise.
///
/// # Method
///
/// The uncertainty of a correction depends on which runs were made and how far readings scatter, not on what
/// they show: the run is added with its expected reading, and the estimator is run again. What is left after
/// a correction is a circular normal vector about zero (coefficients, reading and placing), so the chance
/// within a limit T is 1 − exp(−T²/2s²) for each plane; for all planes the product of these, ignoring their
/// correlation. Where the check was made in several mountings their scatter, divided by their number, is part
/// of s².
#[must_use]
pub fn run_plan(question: &PlanQuestion<'_>) -> Option<RunPlan> {
    let now = outlook(question, question.set, question.influence, 0)?;
    let mut gains: Vec<Gain> = candidates(question.set)
        .into_iter()
        .filter_map(|run| {
            let set = with(question, run)?;
            let influence = estimate(&set, &question.influence.options()).ok()?;
            let further = usize::from(run == ExtraRun::AnotherMounting);
            Some(Gain { run, outlook: outlook(question, &set, &influence, further)? })
        })
        .collect();
    gains.sort_by(|one, other| one.outlook.size().total_cmp(&other.outlook.size()));
    Some(RunPlan { now, gains })
}

impl Outlook {
    fn size(&self) -> f64 {
        self.left.iter().map(|left| left * left).sum::<f64>().sqrt()
    }
}

impl RunPlan {
    /// The run that gains most, if it reduces what is expected to be left by at least a tenth.
    #[must_use]
    pub fn best(&self) -> Option<&Gain> {
        self.gains.first().filter(|gain| gain.outlook.size() < 0.9 * self.now.size())
    }

    /// The one sentence worth saying.
    #[must_use]
    pub fn sentence(&self, set: &RunSet) -> String {
        if self.now.chance.is_some_and(|chance| chance > 0.99) {
            return "No further run is needed before the correction.".into();
        }
        let Some(gain) = self.best() else {
            return "Repeating one of these runs would gain little.".into();
        };
        let row = |row: usize| set.rows().get(row).map_or("", |row| row.run.label.as_str());
        let what = match gain.run {
            ExtraRun::InitialAgain => "Repeating the initial run".into(),
            ExtraRun::TrialOpposite { row: at } => {
                format!("Repeating the trial of run {} half a turn further", row(at))
            }
            ExtraRun::CheckAgain => "Repeating the check run".into(),
            ExtraRun::AnotherMounting => "Repeating the check run in another mounting".into(),
        };
        let before = self.now.size();
        let share = 100.0 * (1.0 - gain.outlook.size() / before);
        let chance = self.now.chance.zip(gain.outlook.chance).map_or(String::new(), |(now, then)| {
            format!(
                ", and bring the chance of meeting the limit from {:.0} to {:.0} %",
                100.0 * now,
                100.0 * then
            )
        });
        format!("{what} would take about {share:.0} % off what is expected to be left{chance}.")
    }
}

fn candidates(set: &RunSet) -> Vec<ExtraRun> {
    if !set.last_check_block().is_empty() {
        return vec![ExtraRun::CheckAgain, ExtraRun::AnotherMounting];
    }
    let rows = set.rows();
    let trial = |&row: &usize| {
        let opposite: Vec<Complex64> = rows[row].loads.iter().map(|load| -load).collect();
        let close = |loads: &[Complex64]| {
            loads.iter().zip(&opposite).all(|(one, other)| (one - other).norm() <= 0.1 * other.norm())
        };
        rows[row].run.kind == RunKind::Trial && !rows.iter().any(|other| close(&other.loads))
    };
    let mut list = vec![ExtraRun::InitialAgain];
    list.extend((0..rows.len()).filter(trial).map(|row| ExtraRun::TrialOpposite { row }));
    list
}

/// The runs with one more, showing what is expected of it; one row for each speed.
fn with(question: &PlanQuestion<'_>, extra: ExtraRun) -> Option<RunSet> {
    let set = question.set;
    let mut runs = set.runs();
    for group in 0..set.groups().len() {
        let (like, masses) = pattern(set, extra, group)?;
        let mut run = Run { label: format!("planned run {group}"), masses, ..set.rows()[like].run.clone() };
        run.on_top_of = Some(OnTopOf::AsFound);
        if extra == ExtraRun::AnotherMounting {
            run.mounting = "planned mounting".into();
        }
        if !matches!(extra, ExtraRun::CheckAgain | ExtraRun::AnotherMounting) {
            run.readings = expected(question, group, &mass_loads(set, like, &run.masses));
        }
        runs.push(run);
    }
    RunSet::new(set.setup().clone(), runs).ok()
}

/// The row that the extra run repeats, and its masses.
fn pattern(set: &RunSet, extra: ExtraRun, group: usize) -> Option<(usize, Vec<PlacedMass>)> {
    let rows = set.rows();
    let of_kind = |kind| (0..rows.len()).rfind(|&row| rows[row].group == group && rows[row].run.kind == kind);
    match extra {
        ExtraRun::InitialAgain => Some((of_kind(RunKind::Initial)?, Vec::new())),
        ExtraRun::TrialOpposite { row } => {
            let half_a_turn = |mass: &PlacedMass| PlacedMass {
                angle: Angle::from_degrees(mass.angle.degrees() + 180.0).unwrap_or(mass.angle),
                ..mass.clone()
            };
            Some((row, rows[row].masses.iter().map(half_a_turn).collect()))
        }
        ExtraRun::CheckAgain | ExtraRun::AnotherMounting => {
            let row = of_kind(RunKind::Check)?;
            Some((row, rows[row].masses.clone()))
        }
    }
}

fn mass_loads(set: &RunSet, like: usize, masses: &[PlacedMass]) -> Vec<Complex64> {
    let edited = set.edited(|row, entry| {
        if row == like {
            entry.masses = masses.to_vec();
        }
    });
    edited.rows()[like].loads.clone()
}

fn expected(question: &PlanQuestion<'_>, group: usize, loads: &[Complex64]) -> Vec<SensorReading> {
    let system = System::of(question.set, question.influence, &[group], Which::AsFound);
    let mut readings = vec![SensorReading::NotRead; question.set.setup().sensors.len()];
    for (line, value) in system.lines.iter().zip(system.readings_after(loads)) {
        let shown = question.set.setup().convention.turn(value);
        readings[line.state.sensor] =
            SensorReading::Shown { amplitude: shown.norm(), phase: Angle::of(shown) };
    }
    readings
}

fn outlook(
    question: &PlanQuestion<'_>,
    set: &RunSet,
    influence: &Influence,
    further_mountings: usize,
) -> Option<Outlook> {
    let groups: Vec<usize> = (0..set.groups().len()).collect();
    let system = System::of(set, influence, &groups, Which::Now);
    let add: Vec<Complex64> = correct(set, influence).planes.iter().map(|plane| plane.add.vector()).collect();
    let lines: Vec<f64> = system.variances_after(&add)?.iter().map(|variance| variance.total).collect();
    let covariance = system.plane_covariance(&lines);
    let scatter = mounting_variances(question, further_mountings)?;
    let variance = |plane: PlaneId| {
        let placing = set.setup().placing_variance(plane, add[plane].norm()) / 2.0;
        covariance[(plane.index(), plane.index())].re.max(0.0) + placing + scatter[plane]
    };
    let variances: Vec<f64> = set.setup().plane_ids().map(variance).collect();
    let all_within = |limits: &[UnbalanceAmount]| {
        let of_one = |(limit, variance): (&UnbalanceAmount, &f64)| {
            Rice::new(0.0, variance.sqrt()).map_or(0.0, |law| law.within(limit.gram_millimetres()))
        };
        limits.iter().zip(&variances).map(of_one).product::<f64>()
    };
    Some(Outlook {
        left: variances.iter().map(|variance| (2.0 * variance).sqrt()).collect(),
        chance: question.limits.map(all_within),
    })
}

/// Variance per component, for each plane, of the mean over the mountings of the last check block. Zero where
/// there is one mounting and the scatter is not known; `None` where a further one is asked for and its
/// scatter is not known.
fn mounting_variances(question: &PlanQuestion<'_>, further: usize) -> Option<Vec<f64>> {
    let set = question.set;
    let groups: Vec<usize> = (0..set.groups().len()).collect();
    let system = System::of(set, question.influence, &groups, Which::Now);
    let (_, planes) = system.shape();
    let count = system.lines.iter().map(|line| line.state.by_mounting.len()).min().unwrap_or(0);
    if set.last_check_block().is_empty() || count < 2 {
        return (further == 0).then(|| vec![0.0; planes]);
    }
    let of_mounting = |at: usize| {
        let readings: Vec<Complex64> = system.lines.iter().map(|line| line.state.by_mounting[at].1).collect();
        system.unbalance_of(&readings)
    };
    let single: Vec<Vec<Complex64>> = (0..count).map(of_mounting).collect();
    let variance = |plane: PlaneId| {
        let mean = single.iter().map(|own| own[plane]).sum::<Complex64>() / count as f64;
        let squares: f64 = single.iter().map(|own| (own[plane] - mean).norm_sqr()).sum();
        squares / (2.0 * (count - 1) as f64) / (count + further) as f64
    };
    Some(PlaneId::all(planes).map(variance).collect())
}
