//! A complete, consistent set of runs for one shaft, or all its faults.

use num_complex::Complex64;

use super::dial::steps;
use super::fault::{Cell, RunFault};
use super::state::{place_radians, resolve_masses, spread, unbalance_of};
use super::{
    Convention, DialStep, Noise, OnTopOf, PlacedMass, ReadingNoise, ReadingUncertainty, Run, RunKind,
    SensorReading, speed_group,
};
use crate::quantity::{Reading, Speed};
use crate::shaft::{CorrectionPlane, PlaneId, Sensor, SensorId};

/// What the runs are about: planes, sensors, how angles are counted, how far readings scatter.
#[derive(Debug, Clone, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct Setup {
    /// Where weights go, front to rear.
    pub planes: Vec<CorrectionPlane>,
    /// Where the stand reads.
    pub sensors: Vec<Sensor>,
    /// How angles are counted.
    pub convention: Convention,
    /// What is stated about scatter.
    pub noise: Noise,
}

impl Setup {
    /// The numbers of its planes, front to rear.
    pub fn plane_ids(&self) -> impl DoubleEndedIterator<Item = PlaneId> + ExactSizeIterator + Clone + use<> {
        PlaneId::all(self.planes.len())
    }

    /// The numbers of its sensors, in their order.
    pub fn sensor_ids(
        &self,
    ) -> impl DoubleEndedIterator<Item = SensorId> + ExactSizeIterator + Clone + use<> {
        SensorId::all(self.sensors.len())
    }

    /// Complex variance, in (g·mm)², of putting this unbalance (g·mm) on as one mass at the plane's radius.
    #[must_use]
    pub fn placing_variance(&self, plane: PlaneId, amount: f64) -> f64 {
        let lever = self.planes.get(plane.index()).map_or(1.0, CorrectionPlane::lever);
        (amount * place_radians(self, lever)).powi(2) + (self.noise.scale_error.grams() * lever).powi(2)
    }
}

/// What one sensor showed, in our terms.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Observed {
    /// The reading; zero where it was below what the dial shows.
    pub reading: Reading,
    /// Variance per component, in the sensor's unit squared: the reading's own, else the stated one; `None` if
    /// there is neither. Below what the dial shows
    /// it is that of a reading at the limit.
    pub variance: Option<f64>,
    /// Variance per component that the steps of the dial leave; `None` if they are not known.
    pub step_variance: Option<f64>,
    /// Where it was below what the dial shows: the limit, in the sensor's unit. The true reading may be
    /// anywhere below it, however often the reading is repeated.
    pub below: Option<f64>,
    /// Whether the reading states its own uncertainty.
    pub own: bool,
}

/// One run in our terms.
#[derive(Debug, Clone, PartialEq)]
pub struct Row {
    /// The run as entered.
    pub run: Run,
    /// Index of its speed group.
    pub group: usize,
    /// Every mass that is on and was not on in the initial run.
    pub masses: Vec<PlacedMass>,
    /// For each plane the unbalance those masses make: g·mm, or g where masses are compared at one radius.
    pub loads: Vec<Complex64>,
    /// For each plane the complex variance of that unbalance from placing and weighing.
    pub load_variances: Vec<f64>,
    /// For each sensor what it showed; `None`: not read.
    pub observed: Vec<Option<Observed>>,
}

/// The entries of a row that can be wrong.
#[derive(Debug, Clone, PartialEq)]
pub struct Entry {
    /// Every mass that is on and was not on in the initial run.
    pub masses: Vec<PlacedMass>,
    /// What the sensors showed, as the job counts it.
    pub readings: Vec<SensorReading>,
}

/// Runs at one speed; they have their own influence coefficients.
#[derive(Debug, Clone, PartialEq)]
pub struct SpeedGroup {
    /// The speed of its first initial run; `None`: the file has no speeds.
    pub speed: Option<Speed>,
    /// Lowest and highest speed of its runs in rpm.
    pub range_rpm: Option<(f64, f64)>,
}

/// A complete, consistent set of runs for one shaft.
#[derive(Debug, Clone, PartialEq)]
pub struct RunSet {
    setup: Setup,
    rows: Vec<Row>,
    groups: Vec<SpeedGroup>,
    steps: Vec<DialStep>,
}

/// What changed on the shaft between two rows.
#[derive(Debug, Clone, PartialEq)]
pub struct LoadChange {
    /// For each plane the unbalance that was put on (less what was taken off): g·mm, or g at one radius.
    pub loads: Vec<Complex64>,
    /// For each plane the complex variance of that from placing and weighing what was put on or taken off.
    pub variances: Vec<f64>,
}

impl RunSet {
    /// Checks the runs against each other and turns the user's angles into ours.
    ///
    /// # Errors
    ///
    /// Every fault of the set, in the order of the rows.
    pub fn new(setup: Setup, runs: Vec<Run>) -> Result<Self, Vec<RunFault>> {
        let mut faults = Vec::new();
        check_set(&setup, &runs, &mut faults);
        for (row, run) in runs.iter().enumerate() {
            check_row(&setup, row, run, &mut faults);
        }
        check_labels(&runs, &mut faults);
        let masses = resolve_masses(&setup, &runs, &mut faults);
        let (groups, group_of_row) = speed_group::groups(&setup, &runs, &mut faults);
        if !faults.is_empty() {
            faults.sort_by_key(|fault| fault.row);
            return Err(faults);
        }
        let steps = steps(&setup, &runs);
        let rows = runs
            .into_iter()
            .zip(masses)
            .zip(group_of_row)
            .map(|((run, masses), group)| row(&setup, &steps, run, masses, group))
            .collect();
        Ok(Self { setup, rows, groups, steps })
    }

    /// Planes, sensors, convention and noise.
    #[must_use]
    pub fn setup(&self) -> &Setup {
        &self.setup
    }

    /// The runs in the order of the file.
    #[must_use]
    pub fn rows(&self) -> &[Row] {
        &self.rows
    }

    /// Whether some reading has no phase: such runs are not taken as vectors.
    #[must_use]
    pub fn without_phase(&self) -> bool {
        let readings = self.rows.iter().flat_map(|row| &row.run.readings);
        readings.into_iter().any(|reading| matches!(reading, SensorReading::Amplitude(_)))
    }

    /// The speed groups, in the order of their first initial runs.
    #[must_use]
    pub fn groups(&self) -> &[SpeedGroup] {
        &self.groups
    }

    /// Whether there is a figure for the scatter of every reading: stated for the stand, or the reading's own.
    #[must_use]
    pub fn noise_stated(&self) -> bool {
        let of_row = |row: &Row| {
            row.observed.iter().flatten().all(|own| own.below.is_some() || own.variance.is_some())
        };
        self.setup.noise.reading != ReadingNoise::NotStated || self.rows.iter().all(of_row)
    }

    /// For each sensor the steps of its dial, as far as they are known: stated, seen in its values, or as typed.
    #[must_use]
    pub fn steps(&self) -> &[DialStep] {
        &self.steps
    }

    /// What was put on and taken off between two rows (indices into [`RunSet::rows`]).
    #[must_use]
    pub fn change_between(&self, before: usize, after: usize) -> LoadChange {
        let (old, new) = (&self.rows[before], &self.rows[after]);
        let planes = self.setup.plane_ids();
        let moved = moved_masses(&old.masses, &new.masses);
        LoadChange {
            loads: planes.clone().map(|plane| new.loads[plane] - old.loads[plane]).collect(),
            variances: planes.map(|plane| spread(&self.setup, new.run.kind, &moved, plane)).collect(),
        }
    }

    /// The last check block: the last check row and all check rows directly before it with the same masses,
    /// over all mountings and speeds. Empty if there is no check run.
    #[must_use]
    pub fn last_check_block(&self) -> Vec<usize> {
        let Some(last) = self.rows.iter().rposition(|row| row.run.kind == RunKind::Check) else {
            return Vec::new();
        };
        let loads = &self.rows[last].loads;
        let same = |row: &Row| row.run.kind == RunKind::Check && row.loads == *loads;
        let first = self.rows[..last].iter().rposition(|row| !same(row)).map_or(0, |at| at + 1);
        (first..=last).collect()
    }

    /// The initial rows.
    #[must_use]
    pub fn initial_block(&self) -> Vec<usize> {
        (0..self.rows.len()).filter(|&row| self.rows[row].run.kind == RunKind::Initial).collect()
    }

    /// The set as it would be with other masses or readings entered in some rows.
    ///
    /// `edit` sees each row's index and entry. The rules of the file are not checked again, so a mass that
    /// stays on must be changed in every row that repeats it. An edited row lists all its masses itself (`on
    /// top of` says "as found").
    #[must_use]
    pub fn edited(&self, mut edit: impl FnMut(usize, &mut Entry)) -> Self {
        let mut edited = self.clone();
        for (at, own) in edited.rows.iter_mut().enumerate() {
            let entry = Entry { masses: own.masses.clone(), readings: own.run.readings.clone() };
            let mut changed = entry.clone();
            edit(at, &mut changed);
            if changed != entry {
                let run = Run {
                    on_top_of: Some(OnTopOf::AsFound),
                    masses: changed.masses.clone(),
                    readings: changed.readings,
                    ..own.run.clone()
                };
                *own = row(&self.setup, &self.steps, run, changed.masses, own.group);
            }
        }
        edited
    }

    /// The runs as entered, to be edited and checked again.
    #[must_use]
    pub fn runs(&self) -> Vec<Run> {
        self.rows.iter().map(|row| row.run.clone()).collect()
    }
}

fn row(setup: &Setup, steps: &[DialStep], run: Run, masses: Vec<PlacedMass>, group: usize) -> Row {
    let loads = setup.plane_ids().map(|plane| unbalance_of(setup, run.kind, &masses, plane)).collect();
    let load_variances = setup.plane_ids().map(|plane| spread(setup, run.kind, &masses, plane)).collect();
    let step = |sensor: SensorId| steps.get(sensor.index()).copied().unwrap_or_default();
    let readings = SensorId::numbered(&run.readings);
    let observe = |(sensor, &reading)| observe(setup, step(sensor), reading, run.uncertainty(sensor));
    let observed = readings.map(observe).collect();
    Row { run, group, masses, loads, load_variances, observed }
}

fn observe(
    setup: &Setup,
    step: DialStep,
    reading: SensorReading,
    own: Option<ReadingUncertainty>,
) -> Option<Observed> {
    match reading {
        SensorReading::NotRead => None,
        // Without a phase all that is known is that it is not longer.
        SensorReading::Below(limit) | SensorReading::Amplitude(limit) => Some(Observed {
            reading: Reading::from_vector(Complex64::ZERO),
            variance: setup.noise.reading_variance(limit),
            step_variance: None,
            below: Some(limit),
            own: false,
        }),
        SensorReading::Shown { amplitude, phase } => Some(Observed {
            reading: Reading::from_vector(setup.convention.turn(Reading::at(amplitude, phase).vector())),
            variance: own
                .map(|own| own.variance(amplitude))
                .or_else(|| setup.noise.reading_variance(amplitude)),
            step_variance: step.variance(amplitude).filter(|_| own.is_none()),
            below: None,
            own: own.is_some(),
        }),
    }
}

/// The masses that are on in only one of two states.
fn moved_masses(old: &[PlacedMass], new: &[PlacedMass]) -> Vec<PlacedMass> {
    let mut off: Vec<&PlacedMass> = old.iter().collect();
    let mut moved = Vec::new();
    for mass in new {
        match off.iter().position(|other| mass.same_as(other)) {
            Some(at) => {
                off.swap_remove(at);
            }
            None => moved.push(mass.clone()),
        }
    }
    moved.extend(off.into_iter().cloned());
    moved
}

fn check_set(setup: &Setup, runs: &[Run], faults: &mut Vec<RunFault>) {
    if setup.planes.is_empty() {
        faults.push(
            RunFault::of_set("no column with a mass", "at least one plane's mass and angle")
                .hint("a header cell such as `front mass [g]` names where weights go"),
        );
    }
    if setup.sensors.is_empty() {
        faults.push(
            RunFault::of_set("no column with a reading", "at least one sensor's amplitude and phase")
                .hint("a header cell such as `front amplitude [mm/s]` names where the stand reads"),
        );
    }
    if runs.is_empty() {
        faults.push(RunFault::of_set("no run", "at least an initial run"));
    }
}

fn check_row(setup: &Setup, row: usize, run: &Run, faults: &mut Vec<RunFault>) {
    if run.readings.len() != setup.sensors.len() || run.readings.iter().all(|r| *r == SensorReading::NotRead)
    {
        faults.push(RunFault::new(row, Cell::Row, "no reading", "at least one sensor's amplitude and phase"));
    }
    if run.uncertainties.len() > setup.sensors.len() {
        let found = format!("{} uncertainties", run.uncertainties.len());
        faults.push(RunFault::new(row, Cell::Row, found, "one for each sensor"));
    }
    for sensor in setup.sensor_ids() {
        if run.uncertainty(sensor).is_some_and(|own| !own.is_possible()) {
            let allowed = "an amplitude's above zero, a phase's not below zero";
            let found = "an uncertainty of a reading that is not possible";
            faults.push(RunFault::new(row, Cell::Reading { sensor }, found, allowed));
        }
    }
    match run.kind {
        RunKind::Initial => {
            for mass in &run.masses {
                faults.push(
                    RunFault::new(
                        row,
                        Cell::Mass { plane: mass.plane },
                        "a mass in an initial run",
                        "no mass",
                    )
                    .hint(
                        "a run with a trial mass on is a `trial`, a run with the final weights on is a \
                          `check`",
                    ),
                );
            }
        }
        RunKind::Trial => check_trial(row, run, faults),
        RunKind::Tried | RunKind::Check => {}
    }
}

fn check_trial(row: usize, run: &Run, faults: &mut Vec<RunFault>) {
    if run.masses.is_empty() {
        faults.push(
            RunFault::new(row, Cell::Row, "a trial run without a mass", "a mass and its angle")
                .hint("a run with nothing added is an `initial` run"),
        );
    }
    for mass in run.masses.iter().filter(|mass| mass.change == super::Change::TakenOff) {
        faults.push(
            RunFault::new(
                row,
                Cell::Mass { plane: mass.plane },
                "a negative mass in a trial run",
                "a mass above zero",
            )
            .hint("metal or weights can be taken off only in tried and check runs"),
        );
    }
}

fn check_labels(runs: &[Run], faults: &mut Vec<RunFault>) {
    let mut seen = std::collections::HashMap::new();
    for (row, run) in runs.iter().enumerate() {
        if seen.insert(run.label.as_str(), row).is_some() {
            faults.push(RunFault::new(
                row,
                Cell::Label,
                format!("`{}`, which an earlier run already has", run.label),
                "a label that no other run of the shaft has",
            ));
        }
    }
}
