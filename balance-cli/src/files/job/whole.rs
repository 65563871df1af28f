//! A job file after reading.

use std::sync::Arc;

use balance_core::job::{Job, Proved};
use balance_core::quantity::{Length, Units};
use balance_core::run::{Convention, Noise, ReadingNoise, Setup};
use balance_core::shaft::{Sensor, Shows};

use super::measures::read_measures;
use super::paperwork::Paperwork;
use super::places::Places;
use super::stand::StandSection;
use super::{came_back, capture, convention, heading, people, photo, proved, shaft, weights};
use crate::files::problem::{Fault, Problem, Source};
use crate::files::toml_reader::Document;

/// The newest format of job files that this program reads.
const FORMAT: usize = 1;

/// A job file combined with its shop file: the job, its paperwork, and how answers are shown.
#[derive(Debug, Clone, PartialEq)]
pub struct JobFile {
    /// The job file's name as the user knows it.
    pub file: String,
    /// What answers depend on: the job file's values, otherwise those of the shop file, otherwise the
    /// defaults.
    pub job: Arc<Job>,
    /// What is only kept for the record.
    pub paperwork: Paperwork,
    /// The job's text with the shop's values merged in, for the record.
    pub merged_text: String,
}

impl JobFile {
    /// Reads a job's text, combined with the shop's if there is one.
    ///
    /// # Errors
    ///
    /// Every fault of both texts, in the order of their places.
    pub fn read(job: &Source, shop: Option<&Source>) -> Result<Self, Vec<Problem>> {
        let sources: Vec<&Source> = std::iter::once(job).chain(shop).collect();
        let document = Document::parse(&sources)?;
        refuse_newer_formats(&document)?;
        let units = heading::read_units(&document);
        document.show_in(units);
        let stand = StandSection::read(&document);
        let work = read_job(&document, &stand, units);
        let once_round =
            work.measures.tube.as_ref().map(balance_core::shaft::Tube::circumference_millimetres);
        let wiring = capture::read(&document, &work.setup.sensors, once_round);
        let read = Self {
            file: job.file.clone(),
            job: Arc::new(work),
            paperwork: Paperwork { wiring, ..read_paperwork(&document, stand) },
            merged_text: document.merged_text(),
        };
        let problems = document.finish();
        if problems.is_empty() { Ok(read) } else { Err(problems) }
    }
}

/// The job as far as it can be read; its faults are noted in the document.
fn read_job(document: &Document<'_>, stand: &StandSection, units: Units) -> Job {
    let mut measures = read_measures(document);
    let shaft = shaft::read(document, measures.tube.as_ref());
    measures.service_speed = measures.service_speed.or(shaft.reached.map(|reached| reached.speed));
    let weights = weights::read_box(document);
    let bearings: Vec<Length> = shaft.steady_bearings.iter().map(|bearing| bearing.position).collect();
    let places = Places::read(document, measures.tube.as_ref(), &bearings, &weights);
    let once_round = measures.tube.as_ref().map(balance_core::shaft::Tube::circumference_millimetres);
    let mut proved = proved::read(document);
    let sensors = with_crosstalk(places.sensors.clone(), &mut proved);
    let mut noise = proved_noise(&stand.noise, &mut proved);
    proved_steps(&mut noise, &mut proved);
    let weld_plan = weights::read_weld_plan(document, weights, &places.plane_names(), once_round);
    Job {
        measures,
        shaft,
        setup: Setup {
            planes: places.planes,
            sensors,
            convention: Convention { proved: stand.proved.clone(), ..convention::read(document) },
            noise,
        },
        tolerance_planes: places.tolerance_planes,
        parts: places.parts,
        stand: stand.stand,
        proved,
        weld_plan,
        units,
    }
}

/// What is stated counts; otherwise what the stand was proved to scatter, as well as its readings tell it.
fn proved_noise(stated: &Noise, proved: &mut Proved) -> Noise {
    let Some(own) = proved.noise.take() else { return stated.clone() };
    if stated.reading != ReadingNoise::NotStated {
        return stated.clone();
    }
    let noise = Noise {
        reading: ReadingNoise::Proportional { fraction: own.value, floor: 0.0 },
        degrees_of_freedom: own.readings.saturating_sub(2).max(1) as f64,
        ..stated.clone()
    };
    proved.noise = Some(own);
    noise
}

/// What is stated counts; otherwise the steps that the dials were proved to have. One of the amplitude counts where the
/// runs file has its unit.
fn proved_steps(noise: &mut Noise, proved: &mut Proved) {
    if noise.step.amplitude.is_some() {
        proved.amplitude_step = None;
    }
    if noise.step.phase.is_some() {
        proved.phase_step = None;
    }
    noise.proved_step.phase = proved.phase_step.as_ref().map(|own| own.value);
}

/// What is stated counts; otherwise what the stand was proved to show of one end at the other.
fn with_crosstalk(mut sensors: Vec<Sensor>, proved: &mut Proved) -> Vec<Sensor> {
    let Some(share) = proved.crosstalk.as_ref().map(|own| own.value) else { return sensors };
    let mut used = false;
    for sensor in sensors.iter_mut().filter(|own| own.shows != Shows::Vibration && own.crosstalk.is_none()) {
        sensor.crosstalk = Some(share);
        used = true;
    }
    if !used {
        proved.crosstalk = None;
    }
    sensors
}

fn read_paperwork(document: &Document<'_>, stand: StandSection) -> Paperwork {
    let heading = heading::read_heading(document);
    Paperwork {
        paper: heading::read_paper(document),
        proved_months: proved::read_months(document),
        shop: heading::read_shop(document),
        came_back: came_back::read(document),
        people: people::read(document, heading.by.as_deref()),
        photos: photo::read(document),
        received: shaft::read_state(document, "received"),
        built: shaft::read_state(document, "built"),
        match_marks: shaft::read_match_marks(document),
        joint_sizes: shaft::read_joint_sizes(document),
        wiring: capture::Wiring::default(),
        runout_file: shaft::read_runout_file(document),
        swing_unit: stand.swing_unit,
        reading_unit: stand.reading_unit,
        step_unit: stand.step_unit,
        heading,
    }
}

/// A file of a later format is not read at all: every other fault would only confuse.
fn refuse_newer_formats(document: &Document<'_>) -> Result<(), Vec<Problem>> {
    for head in document.heads() {
        match head.count("format") {
            Some(FORMAT) | None => {}
            Some(newer) if newer > FORMAT => {
                let hint = "use the version of the program that wrote the file, or a later one";
                let found = format!("format {newer} is newer than this program");
                head.fault("format", Fault::new("newer-format", found, FORMAT.to_string(), hint));
            }
            Some(other) => {
                let found = format!("there is no format {other}");
                head.fault(
                    "format",
                    Fault::new("unknown-format", found, FORMAT.to_string(), "write format = 1"),
                );
            }
        }
    }
    let faults = document.take_faults();
    if faults.is_empty() { Ok(()) } else { Err(faults) }
}
