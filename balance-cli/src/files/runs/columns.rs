//! The header line as a whole: which column holds what, and the planes and sensors it names.

use std::collections::HashMap;

use balance_core::quantity::{Length, Mass, Quantity, UnbalanceAmount};
use balance_core::run::{Cell, Convention, Noise, Setup};
use balance_core::shaft::{CorrectionPlane, Sensor, Shows};

use super::header::{Heading, Plain, PlaneCell, SensorCell, read_heading};
use crate::files::job::Job;
use crate::files::nearest::{did_you_mean, listed};
use crate::files::problem::{Place, Problem, shown};

/// A column of numbers: where it is, and base units in one of its units.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Scaled {
    /// Index of the column.
    pub at: usize,
    /// Base units in one of its units.
    pub factor: f64,
}

/// The columns of one mass of a plane.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MassColumns {
    /// Index into the correction planes.
    pub plane: usize,
    /// 1 for the plane's first mass.
    pub number: u32,
    /// The mass.
    pub mass: Scaled,
    /// Its angle, in degrees.
    pub angle: usize,
    /// The radius it sits at, in this run.
    pub radius: Option<Scaled>,
    /// The plane's unnumbered radius column, for masses whose own is missing or empty.
    pub plane_radius: Option<Scaled>,
    /// The weld bead's mass.
    pub bead: Option<Scaled>,
}

/// The columns of a sensor.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SensorColumns {
    /// The amplitude, in the sensor's unit.
    pub amplitude: usize,
    /// The phase, in degrees.
    pub phase: usize,
}

/// Which column holds what.
#[derive(Debug, Clone, PartialEq)]
pub struct Columns {
    /// The header cells as written.
    pub titles: Vec<String>,
    /// The line they stand in.
    pub line: u64,
    /// The masses, plane by plane.
    pub masses: Vec<MassColumns>,
    /// For each sensor its columns.
    pub sensors: Vec<SensorColumns>,
    /// The stand's speed.
    pub speed: Option<Scaled>,
    plain: HashMap<Plain, usize>,
    /// Whether a row may end before this column: it holds nothing but texts that may be missing.
    pub may_be_missing: Vec<bool>,
}

impl Columns {
    /// The column of a kind without name and unit.
    #[must_use]
    pub fn plain(&self, plain: Plain) -> Option<usize> {
        self.plain.get(&plain).copied()
    }

    /// The title of a column.
    #[must_use]
    pub fn title(&self, at: usize) -> &str {
        self.titles.get(at).map_or("", String::as_str)
    }

    /// The title of the column that a fault of a set of runs is about.
    #[must_use]
    pub fn title_of(&self, cell: Cell) -> Option<&str> {
        let at = match cell {
            Cell::Row => None,
            Cell::Label => self.plain(Plain::Run),
            Cell::Kind => self.plain(Plain::Kind),
            Cell::OnTopOf => self.plain(Plain::OnTopOf),
            Cell::Speed => self.speed.map(|speed| speed.at),
            Cell::Mass { plane } => {
                self.masses.iter().find(|masses| masses.plane == plane).map(|masses| masses.mass.at)
            }
            Cell::Reading { sensor } => self.sensors.get(sensor).map(|columns| columns.amplitude),
        }?;
        Some(self.title(at))
    }
}

/// A header line, its setup, and its faults.
pub(super) struct HeaderLine {
    pub(super) columns: Columns,
    pub(super) setup: Setup,
    pub(super) problems: Vec<Problem>,
}

/// Reads the header line of a file; names are the job's, or the file's own where there is no job.
pub(super) fn read_header(file: &str, line: u64, cells: &[&str], job: Option<&Job>) -> HeaderLine {
    let mut builder = Builder::new(file, line, cells, job);
    for (at, title) in cells.iter().enumerate() {
        if !title.trim().is_empty() {
            match read_heading(title.trim()) {
                Ok(heading) => builder.take(at, heading),
                Err(fault) => {
                    builder.problem(Some(at), fault.code, fault.found, fault.allowed, fault.hint);
                }
            }
        }
    }
    builder.finish()
}

struct Builder<'j> {
    file: &'j str,
    columns: Columns,
    setup: Setup,
    job: Option<&'j Job>,
    planes: HashMap<(usize, u32, PlaneCell), Scaled>,
    sensors: HashMap<(usize, SensorCell), usize>,
    problems: Vec<Problem>,
}

impl<'j> Builder<'j> {
    fn new(file: &'j str, line: u64, cells: &[&str], job: Option<&'j Job>) -> Self {
        let columns = Columns {
            titles: cells.iter().map(|cell| cell.trim().to_owned()).collect(),
            line,
            masses: Vec::new(),
            sensors: Vec::new(),
            speed: None,
            plain: HashMap::new(),
            may_be_missing: vec![true; cells.len()],
        };
        let setup = Setup {
            planes: job.map(|job| job.planes.clone()).unwrap_or_default(),
            sensors: job.map(|job| job.sensors.clone()).unwrap_or_default(),
            convention: job.map_or_else(Convention::unstated, |job| job.convention.clone()),
            noise: job.map_or_else(Noise::not_stated, |job| job.stand.noise.clone()),
        };
        Self {
            file,
            columns,
            setup,
            job,
            planes: HashMap::new(),
            sensors: HashMap::new(),
            problems: Vec::new(),
        }
    }

    fn take(&mut self, at: usize, heading: Heading) {
        match heading {
            Heading::Free => {
                if self.columns.titles[..at].contains(&self.columns.titles[at]) {
                    self.twice(at);
                }
            }
            Heading::Plain(plain) => {
                let text =
                    matches!(plain, Plain::By | Plain::Note | Plain::Time | Plain::Mounting | Plain::OnTopOf);
                self.columns.may_be_missing[at] = text;
                if self.columns.plain.insert(plain, at).is_some() {
                    self.twice(at);
                }
            }
            Heading::Speed(factor) => {
                self.columns.may_be_missing[at] = false;
                if self.columns.speed.replace(Scaled { at, factor }).is_some() {
                    self.twice(at);
                }
            }
            Heading::Plane { name, cell, number, factor } => {
                self.columns.may_be_missing[at] = false;
                if let Some(plane) = self.plane(at, &name)
                    && self.planes.insert((plane, number, cell), Scaled { at, factor }).is_some()
                {
                    self.twice(at);
                }
            }
            Heading::Sensor { name, cell, unit } => {
                self.columns.may_be_missing[at] = false;
                self.take_sensor(at, &name, cell, unit);
            }
        }
    }

    fn take_sensor(&mut self, at: usize, name: &str, cell: SensorCell, unit: String) {
        let Some(sensor) = self.sensor(at, name) else { return };
        if self.sensors.insert((sensor, cell), at).is_some() {
            self.twice(at);
        }
        if cell == SensorCell::Amplitude {
            self.setup.sensors[sensor].unit = unit;
        }
    }

    /// The index of a plane, which the file may name first if the job names none.
    fn plane(&mut self, at: usize, name: &str) -> Option<usize> {
        let known = self.setup.planes.iter().position(|plane| plane.name == name);
        if known.is_none() && self.job.is_some_and(|job| !job.planes.is_empty()) {
            let names: Vec<String> = self.setup.planes.iter().map(|plane| plane.name.clone()).collect();
            self.unknown_name(at, name, "correction plane", &names);
            return None;
        }
        Some(known.unwrap_or_else(|| {
            self.setup.planes.push(CorrectionPlane::named(name));
            self.setup.planes.len() - 1
        }))
    }

    fn sensor(&mut self, at: usize, name: &str) -> Option<usize> {
        let known = self.setup.sensors.iter().position(|sensor| sensor.name == name);
        if known.is_none() && self.job.is_some_and(|job| !job.sensors.is_empty()) {
            let names: Vec<String> = self.setup.sensors.iter().map(|sensor| sensor.name.clone()).collect();
            self.unknown_name(at, name, "sensor", &names);
            return None;
        }
        Some(known.unwrap_or_else(|| {
            self.setup.sensors.push(Sensor::vibration(name, ""));
            self.setup.sensors.len() - 1
        }))
    }

    fn finish(mut self) -> HeaderLine {
        // A cell that could not be read would make its partner look lonely: then only the cells are told about.
        let unreadable = std::mem::take(&mut self.problems);
        self.pair_masses();
        self.pair_readings();
        self.set_unbalance_units();
        self.check_swing_unit();
        if !unreadable.is_empty() {
            self.problems = unreadable;
        }
        HeaderLine { columns: self.columns, setup: self.setup, problems: self.problems }
    }

    fn pair_masses(&mut self) {
        let mut keys: Vec<(usize, u32)> =
            self.planes.keys().map(|(plane, number, _)| (*plane, *number)).collect();
        keys.sort_unstable();
        keys.dedup();
        for (plane, number) in keys {
            let cell = |cell| self.planes.get(&(plane, number, cell)).copied();
            match (cell(PlaneCell::Mass), cell(PlaneCell::Angle)) {
                (Some(mass), Some(angle)) => {
                    let masses = MassColumns {
                        plane,
                        number,
                        mass,
                        angle: angle.at,
                        radius: cell(PlaneCell::Radius),
                        plane_radius: self.planes.get(&(plane, 1, PlaneCell::Radius)).copied(),
                        bead: cell(PlaneCell::Bead),
                    };
                    self.columns.masses.push(masses);
                }
                (Some(mass), None) => self.lonely(mass.at, "mass", "angle"),
                (None, Some(angle)) => self.lonely(angle.at, "angle", "mass"),
                (None, None) => {
                    let at = cell(PlaneCell::Radius).or(cell(PlaneCell::Bead)).map_or(0, |column| column.at);
                    self.lonely(at, "column of a mass", "mass");
                }
            }
        }
    }

    fn pair_readings(&mut self) {
        for sensor in 0..self.setup.sensors.len() {
            let cell = |cell| self.sensors.get(&(sensor, cell)).copied();
            match (cell(SensorCell::Amplitude), cell(SensorCell::Phase)) {
                (Some(amplitude), Some(phase)) => {
                    self.columns.sensors.push(SensorColumns { amplitude, phase })
                }
                (Some(amplitude), None) => self.lonely(amplitude, "amplitude", "phase"),
                (None, Some(phase)) => self.lonely(phase, "phase", "amplitude"),
                (None, None) => {
                    let found =
                        format!("no column for sensor `{}` of the job file", self.setup.sensors[sensor].name);
                    let hint = "a sensor that is not read is left out of the job file".to_owned();
                    self.problem(
                        None,
                        "sensor-without-column",
                        found,
                        "amplitude and phase of every sensor",
                        Some(hint),
                    );
                }
            }
        }
    }

    /// A stand that shows unbalance: what one unit of its reading stands for.
    fn set_unbalance_units(&mut self) {
        for sensor in 0..self.setup.sensors.len() {
            let (Shows::Unbalance { plane } | Shows::Correction { plane }) = self.setup.sensors[sensor].shows
            else {
                continue;
            };
            let unit = self.setup.sensors[sensor].unit.clone();
            let radius = self.setup.planes.get(plane).and_then(|plane| plane.radius).map(Length::millimetres);
            match (Mass::unit(&unit), UnbalanceAmount::unit(&unit), radius) {
                (Some(unit), _, radius) => {
                    self.setup.sensors[sensor].unbalance_per_unit = unit.factor * radius.unwrap_or(1.0)
                }
                (None, Some(unit), Some(_)) => self.setup.sensors[sensor].unbalance_per_unit = unit.factor,
                (None, Some(_), None) => self.unbalance_unit_fault(
                    sensor,
                    "radius-unknown",
                    format!("`{}` at a plane without a radius", shown(&unit)),
                    Some("give the correction plane its radius in the job file".to_owned()),
                ),
                (None, None, _) => {
                    let found = format!("`{}` from a sensor that shows unbalance", shown(&unit));
                    self.unbalance_unit_fault(sensor, "unknown-unit", found, None);
                }
            }
        }
    }

    fn unbalance_unit_fault(
        &mut self,
        sensor: usize,
        code: &'static str,
        found: String,
        hint: Option<String>,
    ) {
        let at = self.sensors.get(&(sensor, SensorCell::Amplitude)).copied();
        self.problem(
            at,
            code,
            found,
            "g.mm, oz.in and the like, or g, kg, oz, lb at the plane's radius",
            hint,
        );
    }

    /// How far the needles wander is stated in one unit; the dials must have it.
    fn check_swing_unit(&mut self) {
        let Some(swing) = self.job.and_then(|job| job.stand.swing_unit.clone()) else { return };
        for sensor in 0..self.setup.sensors.len() {
            let unit = self.setup.sensors[sensor].unit.clone();
            let at = self.sensors.get(&(sensor, SensorCell::Amplitude)).copied();
            if unit != swing && at.is_some() {
                let found =
                    format!("readings in `{}`, but `amplitude_swing` in `{}`", shown(&unit), shown(&swing));
                self.problem(at, "swing-unit", found, "the same unit for both", None);
            }
        }
    }

    fn unknown_name(&mut self, at: usize, name: &str, what: &str, names: &[String]) {
        let known = || names.iter().map(String::as_str);
        let found = format!("`{}` is not the name of a {what} of the job file", shown(name));
        self.problem(Some(at), "unknown-name", found, listed(known()), did_you_mean(name, known()));
    }

    fn twice(&mut self, at: usize) {
        let hint = "a second mass on a plane has numbered columns: `front mass 2 [g]`, `front angle 2 [deg]`"
            .to_owned();
        let hint = self.columns.titles[at].contains("mass").then_some(hint);
        self.problem(
            Some(at),
            "duplicate-column",
            "a second column of this kind",
            "one column of each kind",
            hint,
        );
    }

    fn lonely(&mut self, at: usize, has: &str, lacks: &str) {
        let found = format!("{has} without its {lacks} column");
        self.problem(Some(at), "lonely-column", found, "both, with the same name and number", None);
    }

    fn problem(
        &mut self,
        at: Option<usize>,
        code: &'static str,
        found: impl Into<String>,
        allowed: impl Into<String>,
        hint: Option<String>,
    ) {
        let column = at.map(|at| self.columns.title(at).to_owned());
        let place = Place::Cell { file: self.file.into(), line: self.columns.line, column };
        self.problems.push(Problem::at(code, place, found).allowing(allowed).hinting(hint));
    }
}
