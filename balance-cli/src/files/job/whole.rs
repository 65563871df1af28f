//! Everything a job file says.

use balance_core::quantity::Units;
use balance_core::run::Convention;
use balance_core::shaft::{CorrectionPlane, Part, Sensor, TolerancePlane};

use super::came_back::{self, CameBack};
use super::heading::{Heading, Shop};
use super::measures::Measures;
use super::people::People;
use super::photo::PhotoFile;
use super::places::Places;
use super::shaft::ShaftDetails;
use super::stand::Stand;
use super::weights::WeldPlan;
use super::{convention, heading, people, photo, stand};
use crate::files::problem::{Fault, Problem, Source};
use crate::files::toml_reader::Document;

/// The newest format of job files that this program reads.
const FORMAT: usize = 1;

/// A job: what the job file says, with the shop file's values where it says nothing, and the defaults.
#[derive(Debug, Clone, PartialEq)]
pub struct Job {
    /// The job file's name as the user knows it.
    pub file: String,
    /// `[job]`: whose shaft it is.
    pub heading: Heading,
    /// `[shop]`: who balances it.
    pub shop: Shop,
    /// `[came_back]`: the record of its last stay.
    pub came_back: Option<CameBack>,
    /// `[show]`: the units of answers.
    pub units: Units,
    /// `[shaft]` and `[tube]`: mass, speed, limit, tube.
    pub measures: Measures,
    /// `[[correction_plane]]`: where weights go, front to rear; none if the runs file shall say.
    pub planes: Vec<CorrectionPlane>,
    /// `[[tolerance_plane]]`: where the limit holds, or its default.
    pub tolerance_planes: Vec<TolerancePlane>,
    /// `[[sensor]]`: where the stand reads; their units come from the runs file. None if the runs file shall say.
    pub sensors: Vec<Sensor>,
    /// `[[part]]`: parts of a shaft with a steady bearing.
    pub parts: Vec<Part>,
    /// `[convention]`: how angles are counted.
    pub convention: Convention,
    /// `[stand]`: its scatter and its limits.
    pub stand: Stand,
    /// `[[weight]]`, `[weld]`, `[[no_weld]]`, `[[fixed_place]]`, `[[welded]]`: what can be welded, and where.
    pub weld_plan: WeldPlan,
    /// `[people]`: who stands for the work.
    pub people: People,
    /// `[[photo]]`: pictures for the report.
    pub photos: Vec<PhotoFile>,
    /// What is checked of the shaft before it spins.
    pub shaft: ShaftDetails,
    /// The job's text with the shop's values merged in, for the record.
    pub merged_text: String,
}

impl Job {
    /// Reads a job's text, over the shop's if there is one.
    ///
    /// # Errors
    ///
    /// Every fault of both texts, in the order of their places.
    pub fn read(job: &Source, shop: Option<&Source>) -> Result<Self, Vec<Problem>> {
        let sources: Vec<&Source> = std::iter::once(job).chain(shop).collect();
        let document = Document::parse(&sources)?;
        refuse_newer_formats(&document)?;
        let job = Self::from_document(&document, &job.file);
        let problems = document.finish();
        if problems.is_empty() { Ok(job) } else { Err(problems) }
    }

    /// The job as far as it can be read; its faults are noted in the document.
    fn from_document(document: &Document<'_>, file: &str) -> Self {
        let heading = heading::read_heading(document);
        let mut measures = Measures::read(document);
        let shaft = ShaftDetails::read(document, measures.tube.as_ref());
        measures.service_speed = measures.service_speed.or(shaft.reached.map(|reached| reached.speed));
        let weights = super::weights::read_box(document);
        let places = Places::read(document, measures.tube.as_ref(), &weights);
        let stand = stand::read(document);
        let mut convention = convention::read(document);
        convention.proved.clone_from(&stand.proved);
        Self {
            came_back: came_back::read(document),
            shaft,
            file: file.into(),
            people: people::read(document, heading.by.as_deref()),
            photos: photo::read(document),
            heading,
            shop: heading::read_shop(document),
            units: heading::read_units(document),
            weld_plan: WeldPlan::read(document, weights, &places.plane_names()),
            planes: places.planes,
            tolerance_planes: places.tolerance_planes,
            sensors: places.sensors,
            parts: places.parts,
            measures,
            convention,
            stand,
            merged_text: document.merged_text(),
        }
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
