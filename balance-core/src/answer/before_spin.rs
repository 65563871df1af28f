//! What is known of the shaft before it spins, and whether it may.

use std::sync::Arc;

use crate::caution::{Caution, Level, NoCriticalSpeed};
use crate::quantity::{Speed, UnbalanceAmount, Units};
use crate::run::RunSet;
use crate::shaft::{GateWord, ShaftCheck, ShaftDescription, ShaftFault, check_shaft};

use super::describe::{assumed_bearings, describe};
use super::limits::Limits;
use super::refusal::Refusal;
use crate::job::{Job, TubeMaterial};

/// The shaft's check before it spins.
#[derive(Debug, Clone, PartialEq)]
pub struct BeforeSpin {
    /// What was checked.
    pub description: ShaftDescription,
    /// What was found.
    pub check: ShaftCheck,
    /// Why the shaft's description makes no sense as a beam, if it does not.
    pub not_a_beam: Vec<ShaftFault>,
    /// All cautions, worst first.
    pub cautions: Vec<Caution>,
}

/// Remembers the last check: most shafts in one file are built alike.
#[derive(Debug, Clone, Default)]
pub struct CheckMemory {
    last: Option<(Arc<Job>, ShaftDescription, Option<Arc<BeforeSpin>>)>,
}

impl CheckMemory {
    /// The check of a job's shaft at the speed of its runs; `None` if the description is faulty as a whole.
    pub fn check(
        &mut self,
        job: &Arc<Job>,
        set: Option<&RunSet>,
        limits: Option<&Limits>,
    ) -> Option<Arc<BeforeSpin>> {
        let description = describe(job, set.and_then(highest_speed), limits.and_then(least_permissible));
        if let Some((of, before, found)) = &self.last
            && (Arc::ptr_eq(of, job) || of == job)
            && *before == description
        {
            return found.clone();
        }
        let found = BeforeSpin::new(job, description.clone()).ok().map(Arc::new);
        self.last = Some((job.clone(), description, found.clone()));
        found
    }
}

/// The fastest speed of the runs.
#[must_use]
pub fn highest_speed(set: &RunSet) -> Option<Speed> {
    set.groups().iter().filter_map(|group| group.speed).max_by(|one, other| one.rpm().total_cmp(&other.rpm()))
}

/// The smallest of the limits at the places where the limit holds.
#[must_use]
pub fn least_permissible(limits: &Limits) -> Option<UnbalanceAmount> {
    let amounts = limits.planes.iter().map(|plane| plane.amount);
    amounts.min_by(|one, other| one.gram_millimetres().total_cmp(&other.gram_millimetres()))
}

impl BeforeSpin {
    /// Checks what a job describes.
    ///
    /// # Errors
    ///
    /// None at present: whatever makes no sense in a description is in `not_a_beam`, and such a shaft is
    /// refused.
    pub fn new(job: &Job, description: ShaftDescription) -> Result<Self, Vec<ShaftFault>> {
        let (check, not_a_beam) = match check_shaft(&description) {
            Ok(check) => (check, Vec::new()),
            Err(faults) => {
                // What makes sense without the tube is still reported; in the worst case nothing is known.
                let without = ShaftDescription { tube: None, parts: Vec::new(), ..description.clone() };
                let check = check_shaft(&without).or_else(|_| check_shaft(&ShaftDescription::default()))?;
                (check, faults)
            }
        };
        let mut found = Self { cautions: check.cautions.clone(), description, check, not_a_beam };
        found.say_once(job.units);
        found.cautions.extend(job_cautions(job));
        found.cautions.sort_by_key(Caution::level);
        Ok(found)
    }

    /// Why it must not spin as it is, if it must not. A shaft whose description makes no sense is refused
    /// too: the speed at which it becomes dangerous is unknown.
    #[must_use]
    pub fn refusal(&self) -> Option<Refusal> {
        let refused = self.check.gate.word == GateWord::Refuse || !self.not_a_beam.is_empty();
        refused.then(|| Refusal::of(self))
    }

    /// The cautions that bear on an answer about weights or a verdict, and one more that names what was not
    /// checked.
    #[must_use]
    pub fn bearing_on_answers(&self) -> Vec<Caution> {
        let bears = |caution: &&Caution| caution.level() != Level::General && !caution.own_to_shaft_answer();
        let mut found: Vec<Caution> = self.cautions.iter().filter(bears).cloned().collect();
        let runout = self.check.runout_verdict.is_none();
        let points: Vec<String> = self.check.not_inspected.iter().map(|point| (*point).to_owned()).collect();
        if runout || !points.is_empty() {
            found.push(Caution::NotChecked { runout, points });
        }
        found
    }

    /// That the critical speed was not checked is reported once, with the reason.
    fn say_once(&mut self, units: Units) {
        if self.check.critical.is_some() {
            return;
        }
        self.cautions.retain(|caution| !matches!(caution, Caution::CriticalSpeedNotChecked { .. }));
        let why = match self.not_a_beam.as_slice() {
            [] => NoCriticalSpeed::TubeUnknown,
            faults => {
                NoCriticalSpeed::NotABeam { faults: faults.iter().map(|fault| fault.words(units)).collect() }
            }
        };
        self.cautions.insert(0, Caution::CriticalSpeedNotChecked { why });
    }
}

fn job_cautions(job: &Job) -> Vec<Caution> {
    let mut found = Vec::new();
    if let TubeMaterial::NotInTable(name) = &job.shaft.material {
        found.push(Caution::MaterialNotInTable { name: name.clone() });
    }
    if job.measures.tube.is_some() && !assumed_bearings(job).is_empty() {
        found.push(Caution::SteadyBearingAssumed);
    }
    if let (Some(stated), Some(reached)) = (job.measures.service_speed, job.shaft.reached)
        && reached.speed.rpm() > 1.001 * stated.rpm()
    {
        found.push(Caution::ServiceSpeedBelowReach { reached: reached.speed, stated });
    }
    found
}
