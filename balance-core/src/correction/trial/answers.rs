//! How the sensors respond to one plane, as far as the runs show, and whether a trial showed it.

use num_complex::Complex64;

use crate::influence::{
    Agreement, GroupInfluence, Influence, Line, Options, SensorFit, System, Which, estimate,
};
use crate::run::{Noise, PlacedMass, ReadingNoise, Run, RunKind, RunSet, Setup};
use crate::shaft::{PlaneId, Sensor, SensorId, Shows};

/// A trial shows nothing while its effect is within this many times its uncertainty at every sensor [derived
/// here by simulation, 2026-11].
const DEAD: f64 = 3.0;
/// Without any figure for the noise a reading counts as uncertain by at least this share of itself [derived here].
const LEAST_SHARE: f64 = 0.02;

/// How one sensor responds to the plane.
#[derive(Debug, Clone)]
pub(in crate::correction) struct SensorAnswer {
    pub group: usize,
    pub sensor: SensorId,
    /// What it shows now.
    pub now: Complex64,
    /// Reading for each g·mm.
    pub coefficient: Complex64,
    /// Complex rms error of the coefficient.
    pub error: f64,
    /// A stand that shows unbalance needs no trial.
    pub given: bool,
}

/// How the shaft responds to one plane.
#[derive(Debug, Clone)]
pub(in crate::correction) struct PlaneAnswer {
    pub sensors: Vec<SensorAnswer>,
    /// The largest unbalance that was put on there and entered the coefficients, in g·mm.
    pub tried: f64,
}

impl PlaneAnswer {
    /// From runs that show the response to every plane.
    pub fn of(set: &RunSet, influence: &Influence, plane: PlaneId) -> Self {
        let assumed = with_assumed_noise(set, influence);
        let (set, influence) = assumed.as_ref().map_or((set, influence), |(set, own)| (set, own));
        Self::with_noise(set, influence, plane)
    }

    /// The same where a figure for the noise is there, stated or assumed.
    pub fn with_noise(set: &RunSet, influence: &Influence, plane: PlaneId) -> Self {
        let groups: Vec<usize> = (0..set.groups().len()).collect();
        let system = System::of(set, influence, &groups, Which::Now);
        let sensors = system.lines.iter().filter_map(|line| sensor_answer(line, plane)).collect();
        Self { sensors, tried: tried(set, influence, plane) }
    }

    /// From runs that show it for some planes only; `None` if this plane is not among them.
    pub fn of_some(set: &RunSet, plane: PlaneId) -> Option<Self> {
        let loaded = |plane: &PlaneId| set.rows().iter().any(|row| row.loads[*plane] != Complex64::ZERO);
        let planes: Vec<PlaneId> = set.setup().plane_ids().filter(loaded).collect();
        let at = place_of(plane, &planes)?;
        let some = only(set, &planes)?;
        let influence = estimate(&some, &Options::default()).ok()?;
        Some(Self::of(&some, &influence, at))
    }

    /// Whether no sensor responds clearly.
    pub fn dead(&self) -> bool {
        self.sensors.iter().all(|own| !own.given && own.coefficient.norm() <= DEAD * own.error)
    }

    /// The largest share of a present reading by which what was tried changed it; infinite where a needle is
    /// at zero.
    pub fn largest_share(&self) -> f64 {
        let share = |own: &SensorAnswer| own.coefficient.norm() * self.tried / own.now.norm();
        self.sensors.iter().map(share).filter(|share| !share.is_nan()).fold(0.0, f64::max)
    }

    /// The error of the best-known coefficient as a share of it.
    pub fn least_error(&self) -> f64 {
        let share = |own: &SensorAnswer| own.error / own.coefficient.norm();
        self.sensors.iter().map(share).filter(|share| !share.is_nan()).fold(f64::INFINITY, f64::min)
    }

    /// Whether the stand shows the unbalance itself.
    pub fn given(&self) -> bool {
        !self.sensors.is_empty() && self.sensors.iter().all(|own| own.given)
    }
}

impl SensorAnswer {
    /// How strongly the sensor may respond: as measured, or as its uncertainty allows where it does not
    /// respond clearly.
    pub fn reach(&self) -> f64 {
        let size = self.coefficient.norm();
        if size > DEAD * self.error { size } else { size + DEAD * self.error }
    }
}

fn sensor_answer(line: &Line<'_>, plane: PlaneId) -> Option<SensorAnswer> {
    let coefficient = line.fit.coefficients.get(plane.index()).copied()?;
    let given = line.fit.coefficients_given();
    // A sensor of such a stand that shows another plane says nothing about this one.
    (!given || coefficient != Complex64::ZERO).then(|| SensorAnswer {
        group: line.group,
        sensor: line.state.sensor,
        now: line.state.reading,
        coefficient,
        error: line.fit.coefficient_variance(plane).map_or(0.0, |variance| (2.0 * variance).sqrt()),
        given,
    })
}

/// The largest unbalance of the rows that gave the coefficients.
fn tried(set: &RunSet, influence: &Influence, plane: PlaneId) -> f64 {
    let agreed = influence.groups.iter().flat_map(|group| &group.blocks);
    let agreed: Vec<usize> = agreed
        .filter(|block| block.agreement == Agreement::Agrees)
        .flat_map(|block| block.rows.iter().copied())
        .collect();
    let entered = |at: &usize| set.rows()[*at].run.kind == RunKind::Trial || agreed.contains(at);
    let rows = (0..set.rows().len()).filter(entered);
    rows.map(|at| set.rows()[at].loads[plane].norm()).fold(0.0, f64::max)
}

/// The same runs with every reading 2 % uncertain, where nothing is known of the noise; `None` where something is.
pub(in crate::correction) fn with_assumed_noise(
    set: &RunSet,
    influence: &Influence,
) -> Option<(RunSet, Influence)> {
    // A dial's step alone is no figure for the scatter.
    let known = |fit: &SensorFit| {
        fit.noise_known() && fit.next_reading_variance(set, 0.0).is_some_and(|variance| variance > 0.0)
    };
    let stated = set.noise_stated();
    if stated || influence.groups.iter().flat_map(GroupInfluence::fits).all(|(_, fit)| known(fit)) {
        return None;
    }
    let reading = ReadingNoise::Proportional { fraction: LEAST_SHARE, floor: 0.0 };
    let setup = Setup { noise: Noise { reading, ..set.setup().noise.clone() }, ..set.setup().clone() };
    let set = RunSet::new(setup, set.runs()).ok()?;
    let influence = estimate(&set, &influence.options()).ok()?;
    Some((set, influence))
}

/// The index of a plane among only these.
fn place_of(plane: PlaneId, planes: &[PlaneId]) -> Option<PlaneId> {
    PlaneId::numbered(planes).find(|(_, own)| **own == plane).map(|(at, _)| at)
}

/// The same runs with only these planes; the others never carried anything.
fn only(set: &RunSet, planes: &[PlaneId]) -> Option<RunSet> {
    let place = |plane: PlaneId| place_of(plane, planes);
    let shows = |shows: Shows| match shows {
        Shows::Vibration => Some(Shows::Vibration),
        Shows::Unbalance { plane } => place(plane).map(|plane| Shows::Unbalance { plane }),
        Shows::Correction { plane } => place(plane).map(|plane| Shows::Correction { plane }),
    };
    let sensor = |own: &Sensor| Some(Sensor { shows: shows(own.shows)?, ..own.clone() });
    let setup = Setup {
        planes: planes.iter().map(|&plane| set.setup().planes[plane].clone()).collect(),
        sensors: set.setup().sensors.iter().map(sensor).collect::<Option<Vec<Sensor>>>()?,
        ..set.setup().clone()
    };
    let mass = |own: PlacedMass| Some(PlacedMass { plane: place(own.plane)?, ..own });
    let run = |own: Run| Run { masses: own.masses.into_iter().filter_map(mass).collect(), ..own };
    RunSet::new(setup, set.runs().into_iter().map(run).collect()).ok()
}
