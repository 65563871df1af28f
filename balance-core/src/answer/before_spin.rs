//! What is known of the shaft before it spins, and whether it may.

use std::sync::Arc;

use crate::caution::{Caution, Level};
use crate::quantity::{Speed, UnbalanceAmount};
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
    /// Why the shaft could not be reckoned as a beam, if it could not.
    pub not_a_beam: Vec<ShaftFault>,
    /// Everything to mind, worst first.
    pub cautions: Vec<Caution>,
}

/// Remembers the last check: in a file of many shafts they are mostly built alike.
#[derive(Debug, Default)]
pub struct CheckMemory {
    last: Option<(ShaftDescription, Option<Arc<BeforeSpin>>)>,
}

impl CheckMemory {
    /// The check of a job's shaft at the speed of its runs; `None` if the description is faulty as a whole.
    pub fn check(
        &mut self,
        job: &Job,
        set: Option<&RunSet>,
        limits: Option<&Limits>,
    ) -> Option<Arc<BeforeSpin>> {
        let description = describe(job, set.and_then(highest_speed), limits.and_then(least_permissible));
        if let Some((before, found)) = &self.last
            && *before == description
        {
            return found.clone();
        }
        let found = BeforeSpin::new(job, description.clone()).ok().map(Arc::new);
        self.last = Some((description, found.clone()));
        found
    }
}

/// The fastest speed of the runs.
#[must_use]
pub fn highest_speed(set: &RunSet) -> Option<Speed> {
    set.groups().iter().filter_map(|group| group.speed).max_by(|one, other| one.rpm().total_cmp(&other.rpm()))
}

/// The least that may be left in any place where the limit holds.
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
    /// Every [`ShaftFault`] that is there even without the tube.
    pub fn new(job: &Job, description: ShaftDescription) -> Result<Self, Vec<ShaftFault>> {
        let (check, not_a_beam) = match check_shaft(&description) {
            Ok(check) => (check, Vec::new()),
            Err(faults) => {
                let without = ShaftDescription { tube: None, parts: Vec::new(), ..description.clone() };
                (check_shaft(&without)?, faults)
            }
        };
        let mut found = Self { cautions: check.cautions.clone(), description, check, not_a_beam };
        found.say_once();
        found.cautions.extend(job_cautions(job));
        found.cautions.sort_by_key(|caution| caution.level);
        Ok(found)
    }

    /// Why it must not spin like this, if it must not.
    #[must_use]
    pub fn refusal(&self) -> Option<Refusal> {
        (self.check.gate.word == GateWord::Refuse).then(|| Refusal::of(self))
    }

    /// The cautions that bear on an answer about weights or a verdict, with one more that names what was not checked.
    #[must_use]
    pub fn bearing_on_answers(&self) -> Vec<Caution> {
        let bears = |caution: &&Caution| caution.level != Level::General && !OWN_ONLY.contains(&caution.code);
        let mut found: Vec<Caution> = self.cautions.iter().filter(bears).cloned().collect();
        let open = self.not_checked();
        if !open.is_empty() {
            found.push(Caution::general("not-checked", format!("Not checked: {}.", open.join("; "))));
        }
        found
    }

    /// What was not checked, in words; the critical speed has a caution of its own.
    #[must_use]
    pub fn not_checked(&self) -> Vec<String> {
        let mut open = Vec::new();
        if self.check.runout_verdict.is_none() {
            open.push("runout".to_owned());
        }
        if !self.check.not_inspected.is_empty() {
            open.push(format!("{} (inspection)", self.check.not_inspected.join(", ")));
        }
        open
    }

    /// The critical speed that was not checked is said once, with the reason.
    fn say_once(&mut self) {
        if self.check.critical.is_some() {
            return;
        }
        self.cautions.retain(|caution| caution.code != NOT_CHECKED);
        let reason = match self.not_a_beam.as_slice() {
            [] => "the tube is not known".to_owned(),
            faults => faults.iter().map(ToString::to_string).collect::<Vec<String>>().join("; "),
        };
        self.cautions.insert(0, critical_not_checked(&reason));
    }
}

/// The critical speed was not checked: said loudly, once.
#[must_use]
pub fn critical_not_checked(reason: &str) -> Caution {
    Caution::take_care(
        NOT_CHECKED,
        format!(
            "CRITICAL SPEED NOT CHECKED: {reason}. Nothing says at which speed this shaft becomes dangerous."
        ),
    )
}

const NOT_CHECKED: &str = "critical-speed-not-checked";

/// Cautions of the shaft's own answer that other answers say elsewhere, or not at all.
const OWN_ONLY: [&str; 12] = [
    "runout-not-checked",
    "speed-not-checked",
    "service-speed-not-stated",
    "mass-unknown",
    "mass-disagrees",
    "joint-angle-large",
    "yokes-out-of-phase",
    "joint-angles-differ",
    "torsional-acceleration",
    "inertia-acceleration",
    "runout-over-limit",
    "rides-on-bearing",
];

fn job_cautions(job: &Job) -> Vec<Caution> {
    let mut found = Vec::new();
    if let TubeMaterial::NotInTable(name) = &job.shaft.material {
        found.push(Caution::take_care(
            "material-not-in-table",
            format!("Nothing is known of `{name}`: state its elastic_modulus and density under [tube]."),
        ));
    }
    if job.measures.tube.is_some() && !assumed_bearings(job).is_empty() {
        found.push(Caution::take_care(
            "steady-bearing-assumed",
            "No steady bearing is stated: reckoned as a stiff one where the parts meet. Rubber lowers the critical speed.",
        ));
    }
    if let (Some(stated), Some(reached)) = (job.measures.service_speed, job.shaft.reached)
        && reached.speed.rpm() > 1.001 * stated.rpm()
    {
        found.push(Caution::take_care(
            "service-speed-below-reach",
            format!(
                "The drive can reach {:.0} rpm, more than the service speed of {:.0} rpm: the grade and the margin hold up to the stated one only.",
                reached.speed.rpm(),
                stated.rpm()
            ),
        ));
    }
    found
}
