//! Reading the header line as a whole: names, pairs, units.

use std::collections::HashMap;

use balance_core::job::Job;
use balance_core::quantity::{Length, Mass, Quantity, UnbalanceAmount};
use balance_core::run::Setup;
use balance_core::shaft::{CorrectionPlane, PlaneId, Sensor, Shows};

use super::columns::{AroundColumn, Columns, MassColumns, Scaled, SensorColumns, UncertaintyColumns};
use super::header::{Heading, Plain, PlaneCell, SensorCell, read_heading};
use crate::files::hidden::hidden_in_name;
use crate::files::job::JobFile;
use crate::files::limits;
use crate::files::nearest::{did_you_mean, listed};
use crate::files::problem::{Fault, Place, Problem, shown};

/// A header line, its setup, and its faults.
pub(super) struct HeaderLine {
    pub(super) columns: Columns,
    pub(super) setup: Setup,
    pub(super) problems: Vec<Problem>,
}

/// Reads the header line of a file; the names are those of the job, or the file's own if there is no job.
pub(super) fn read_header(file: &str, line: u64, cells: &[&str], job: Option<&JobFile>) -> HeaderLine {
    let mut builder = Builder::new(file, line, &cells[..cells.len().min(limits::COLUMNS)], job);
    builder.refuse_more(cells.len(), limits::COLUMNS, "columns");
    let cells = &cells[..cells.len().min(limits::COLUMNS)];
    for (at, title) in cells.iter().enumerate() {
        if let Some(fault) = hidden_in_name(title.trim()) {
            builder.note(Some(at), fault);
        } else if !title.trim().is_empty() {
            match read_heading(title.trim()) {
                Ok(heading) => builder.take(at, heading),
                Err(fault) => builder.note(Some(at), fault),
            }
        }
    }
    builder.refuse_more(builder.setup.planes.len(), limits::PLANES, "places for weights");
    builder.refuse_more(builder.setup.sensors.len(), limits::SENSORS, "sensors");
    builder.finish()
}

struct Builder<'j> {
    file: &'j str,
    columns: Columns,
    setup: Setup,
    job: Option<&'j JobFile>,
    planes: HashMap<(usize, u32, PlaneCell), Scaled>,
    sensors: HashMap<(usize, SensorCell), usize>,
    /// The columns of uncertainties of amplitudes, with their units.
    uncertainty_units: Vec<(usize, usize, String)>,
    problems: Vec<Problem>,
}

impl<'j> Builder<'j> {
    fn new(file: &'j str, line: u64, cells: &[&str], job: Option<&'j JobFile>) -> Self {
        let columns = Columns {
            titles: cells.iter().map(|cell| cell.trim().to_owned()).collect(),
            line,
            masses: Vec::new(),
            sensors: Vec::new(),
            speed: None,
            plain: HashMap::new(),
            once_round: job
                .and_then(|file| file.job.measures.tube.as_ref())
                .map(balance_core::shaft::Tube::circumference_millimetres),
            units: job.map(|file| file.job.units).unwrap_or_default(),
            may_be_missing: vec![true; cells.len()],
        };
        let setup = job.map_or_else(|| Job::default().setup, |file| file.job.setup.clone());
        Self {
            file,
            columns,
            setup,
            job,
            planes: HashMap::new(),
            sensors: HashMap::new(),
            uncertainty_units: Vec::new(),
            problems: Vec::new(),
        }
    }

    fn refuse_more(&mut self, found: usize, most: usize, what: &str) {
        if found > most {
            let fault = Fault::new(
                "too-many",
                format!("{found} {what}"),
                format!("at most {most}"),
                "is this a runs file?",
            );
            self.note(None, fault);
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
        match cell {
            SensorCell::Amplitude => self.setup.sensors[sensor].unit = unit,
            SensorCell::AmplitudeUncertainty => self.uncertainty_units.push((sensor, at, unit)),
            SensorCell::Phase | SensorCell::PhaseUncertainty => {}
        }
    }

    /// The index of a plane, which the file may name first if the job names none.
    fn plane(&mut self, at: usize, name: &str) -> Option<usize> {
        let known = self.setup.planes.iter().position(|plane| plane.name == name);
        if known.is_none() && self.job.is_some_and(|job| !job.job.setup.planes.is_empty()) {
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
        if known.is_none() && self.job.is_some_and(|job| !job.job.setup.sensors.is_empty()) {
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
        // An unreadable cell would make its partner seem unpaired: then only the cells are reported.
        let unreadable = std::mem::take(&mut self.problems);
        self.pair_masses();
        self.pair_readings();
        self.check_uncertainty_units();
        self.set_unbalance_units();
        self.check_stated_units();
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
        let mut twice = Vec::new();
        for (plane, number) in keys {
            let cell = |cell| self.planes.get(&(plane, number, cell)).copied();
            let degrees = cell(PlaneCell::Angle).map(|column| AroundColumn { at: column.at, tape: None });
            let tape =
                cell(PlaneCell::Tape).map(|column| AroundColumn { at: column.at, tape: Some(column.factor) });
            if let (Some(_), Some(tape)) = (degrees, tape) {
                twice.push(tape.at);
            }
            match (cell(PlaneCell::Mass), degrees.or(tape)) {
                (Some(mass), Some(angle)) => {
                    let masses = MassColumns {
                        plane: PlaneId::new(plane),
                        number,
                        mass,
                        angle,
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
        twice.into_iter().for_each(|at| self.twice(at));
    }

    fn pair_readings(&mut self) {
        let phases = self.sensors.keys().any(|(_, cell)| *cell == SensorCell::Phase);
        for sensor in 0..self.setup.sensors.len() {
            let cell = |cell| self.sensors.get(&(sensor, cell)).copied();
            match (cell(SensorCell::Amplitude), cell(SensorCell::Phase)) {
                (Some(amplitude), Some(phase)) => {
                    let uncertainty = self.pair_uncertainties(sensor);
                    let phase = Some(phase);
                    self.columns.sensors.push(SensorColumns { amplitude, phase, uncertainty });
                }
                (Some(amplitude), None) if !phases => {
                    let uncertainty = self.pair_uncertainties(sensor);
                    self.columns.sensors.push(SensorColumns { amplitude, phase: None, uncertainty });
                }
                (Some(amplitude), None) => self.lonely(amplitude, "amplitude", "phase"),
                (None, Some(phase)) => self.lonely(phase, "phase", "amplitude"),
                (None, None) => {
                    let found =
                        format!("no column for sensor `{}` of the job file", self.setup.sensors[sensor].name);
                    let hint = "leave a sensor that is not read out of the job file";
                    let allowed = "amplitude and phase of every sensor";
                    self.note(None, Fault::new("sensor-without-column", found, allowed, hint));
                }
            }
        }
    }

    /// The columns of a sensor's uncertainties: both or neither.
    fn pair_uncertainties(&mut self, sensor: usize) -> Option<UncertaintyColumns> {
        let cell = |cell| self.sensors.get(&(sensor, cell)).copied();
        match (cell(SensorCell::AmplitudeUncertainty), cell(SensorCell::PhaseUncertainty)) {
            (Some(amplitude), Some(phase)) => return Some(UncertaintyColumns { amplitude, phase }),
            (Some(amplitude), None) => {
                self.lonely(amplitude, "amplitude uncertainty", "phase uncertainty");
            }
            (None, Some(phase)) => self.lonely(phase, "phase uncertainty", "amplitude uncertainty"),
            (None, None) => {}
        }
        None
    }

    /// An uncertainty is in the unit of its amplitude.
    fn check_uncertainty_units(&mut self) {
        for (sensor, at, unit) in std::mem::take(&mut self.uncertainty_units) {
            let own = &self.setup.sensors[sensor].unit;
            if *own != unit && self.amplitude_of(sensor).is_some() {
                let found =
                    format!("amplitude in `{}`, but its uncertainty in `{}`", shown(own), shown(&unit));
                let hint = "convert one of the two columns";
                self.note(Some(at), Fault::new("uncertainty-unit", found, "the same unit for both", hint));
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
            let radius =
                self.setup.planes.get(plane.index()).and_then(|plane| plane.radius).map(Length::millimetres);
            match unbalance_per_unit(&self.setup.sensors[sensor].unit, radius) {
                Ok(factor) => self.setup.sensors[sensor].unbalance_per_unit = factor,
                Err(fault) => self.note(self.amplitude_of(sensor), fault),
            }
        }
    }

    /// The wander of the needles and the dial's step are stated in one unit; the dials must use the same
    /// unit.
    fn check_stated_units(&mut self) {
        let paperwork = self.job.map(|job| &job.paperwork);
        let swing = paperwork.and_then(|stated| stated.swing_unit.clone());
        let step = paperwork.and_then(|stated| stated.step_unit.clone());
        let reading = paperwork.and_then(|stated| stated.reading_unit.clone());
        self.check_unit("reading_unit", "reading-unit", reading);
        self.check_unit("amplitude_swing", "swing-unit", swing);
        self.check_unit("amplitude_step", "step-unit", step);
        self.use_proved_step();
    }

    /// The proved step of the dials counts where none is stated and every dial is in its unit.
    fn use_proved_step(&mut self) {
        let proved = self.job.and_then(|job| job.job.proved.amplitude_step.as_ref()).map(|own| &own.value);
        let Some(own) = proved else { return };
        if self.setup.sensors.iter().all(|sensor| sensor.unit == own.unit) {
            self.setup.noise.proved_step.amplitude = Some(own.step);
        }
    }

    fn check_unit(&mut self, key: &str, code: &'static str, stated: Option<String>) {
        let Some(stated) = stated else { return };
        for sensor in 0..self.setup.sensors.len() {
            let unit = &self.setup.sensors[sensor].unit;
            let at = self.amplitude_of(sensor);
            if self.setup.sensors[sensor].shows != Shows::Vibration {
                continue;
            }
            if *unit != stated && at.is_some() {
                let found = format!("readings in `{}`, but `{key}` in `{}`", shown(unit), shown(&stated));
                let hint = format!("give `{key}` in the job file in the unit of the dial");
                self.note(at, Fault::new(code, found, "the same unit for both", hint));
            }
        }
    }

    fn amplitude_of(&self, sensor: usize) -> Option<usize> {
        self.sensors.get(&(sensor, SensorCell::Amplitude)).copied()
    }

    fn unknown_name(&mut self, at: usize, name: &str, what: &str, names: &[String]) {
        let known = || names.iter().map(String::as_str);
        let found = format!("`{}` is not the name of a {what} of the job file", shown(name));
        let hint = did_you_mean(name, known())
            .unwrap_or_else(|| format!("give the {what} a section in the job file"));
        self.note(Some(at), Fault::new("unknown-name", found, listed(known()), hint));
    }

    fn twice(&mut self, at: usize) {
        let hint = if self.columns.titles[at].contains("mass") || self.columns.titles[at].contains("angle") {
            "a second mass on a plane has numbered columns: `front mass 2 [g]`, `front angle 2 [deg]`"
        } else {
            "remove one of the two, or give it another name"
        };
        let found = "a second column of this kind";
        self.note(Some(at), Fault::new("duplicate-column", found, "one column of each kind", hint));
    }

    fn lonely(&mut self, at: usize, has: &str, lacks: &str) {
        let found = format!("{has} without its {lacks} column");
        let hint = format!("add a column `… {lacks} […]` with the same name and number");
        self.note(Some(at), Fault::new("lonely-column", found, "both, with the same name and number", hint));
    }

    fn note(&mut self, at: Option<usize>, fault: Fault) {
        let place = Place::cell(self.file, self.columns.line, at.map(|at| self.columns.title(at)));
        self.problems.push(fault.at(place));
    }
}

/// The g·mm (or g where masses are compared at one radius) that one unit of a stand's reading stands for.
fn unbalance_per_unit(unit: &str, radius: Option<f64>) -> Result<f64, Fault> {
    let allowed = "g.mm, oz.in and the like, or g, kg, oz, lb at the plane's radius";
    match (Mass::unit(unit), UnbalanceAmount::unit(unit), radius) {
        (Some(mass), _, radius) => Ok(mass.factor * radius.unwrap_or(1.0)),
        (None, Some(unbalance), Some(_)) => Ok(unbalance.factor),
        (None, Some(_), None) => {
            let found = format!("`{}` at a plane without a radius", shown(unit));
            let hint = "give the correction plane its radius in the job file";
            Err(Fault::new("radius-unknown", found, allowed, hint))
        }
        (None, None, _) => {
            let found = format!("`{}` from a sensor that shows unbalance", shown(unit));
            let hint = "remove `shows` from the job file if the stand shows vibration";
            Err(Fault::new("unknown-unit", found, allowed, hint))
        }
    }
}
