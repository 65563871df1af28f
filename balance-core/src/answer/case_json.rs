//! `balance-job/1`: everything an answer depends on, written and read back.

use std::sync::Arc;

use serde::{Deserialize, Serialize};

use super::case::{Case, Insist, Sisters};
use crate::caution::Caution;
use crate::correction::weights::GivenWeight;
use crate::influence::Drift;
use crate::job::Job;
use crate::run::{Run, RunFault, RunSet};
use crate::shaft::PlaneId;

/// The format's name.
const FORMAT: &str = "balance-job/1";

#[derive(Serialize, Deserialize)]
struct CaseJson {
    format: String,
    shaft: String,
    /// With the planes and sensors of the runs.
    job: Job,
    runs: Vec<Run>,
    drift: Drift,
    sisters: Option<Sisters>,
    given: Vec<GivenWeight>,
    insist: Insist,
    noticed: Vec<Caution>,
}

impl Serialize for Case {
    fn serialize<S: serde::Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        let case = CaseJson {
            format: FORMAT.into(),
            shaft: self.shaft.clone(),
            job: Job { setup: self.runs.setup().clone(), ..(*self.job).clone() },
            runs: self.runs.runs(),
            drift: self.drift,
            sisters: self.sisters.clone(),
            given: self.given.clone(),
            insist: self.insist,
            noticed: self.noticed.clone(),
        };
        case.serialize(to)
    }
}

impl<'de> Deserialize<'de> for Case {
    fn deserialize<D: serde::Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        CaseJson::deserialize(from)?.checked().map_err(serde::de::Error::custom)
    }
}

impl CaseJson {
    /// What was read, if it is consistent.
    fn checked(self) -> Result<Case, String> {
        if self.format != FORMAT {
            return Err(format!("format is `{}`; the allowed format is `{FORMAT}`", self.format));
        }
        let planes = self.job.setup.planes.len();
        let sensors = self.job.setup.sensors.len();
        let weld = &self.job.weld_plan;
        let named = weld
            .no_weld
            .iter()
            .map(|zone| zone.plane)
            .chain(weld.fixed_places.iter().map(|place| place.plane))
            .chain(weld.welded.iter().map(|weight| weight.plane))
            .chain(self.given.iter().map(|weight| weight.plane))
            .chain(self.runs.iter().flat_map(|run| run.masses.iter().map(|mass| mass.plane)));
        if let Some(plane) = named.map(PlaneId::index).find(|plane| *plane >= planes) {
            return Err(format!("plane {plane} is named, but there are only {planes}"));
        }
        if let Some(run) = self.runs.iter().find(|run| run.readings.len() != sensors) {
            let found = run.readings.len();
            return Err(format!("run {}: {found} readings for {sensors} sensors", run.label));
        }
        let words = |faults: Vec<RunFault>| {
            faults.iter().map(|fault| fault.found.to_string()).collect::<Vec<String>>().join("; ")
        };
        let runs = RunSet::new(self.job.setup.clone(), self.runs).map_err(words)?;
        Ok(Case {
            shaft: self.shaft,
            job: Arc::new(self.job),
            runs,
            drift: self.drift,
            sisters: self.sisters,
            given: self.given,
            insist: self.insist,
            noticed: self.noticed,
        })
    }
}
