//! Building a job in a program: quantities as text with their units, and every fault at once.

use super::{Job, JobFault, TubeMaterial};
use crate::grade::{Criterion, default_tolerance_planes};
use crate::quantity::{Length, Quantity, parse};
use crate::run::{Convention, ReadingNoise};
use crate::shaft::{CorrectionPlane, Material, Sensor, StampedWeight, TolerancePlane, Tube, WeldOn};

/// A job being put together. Quantities are texts such as `"14.2 kg"` or `"52 in"`.
///
/// # Example
///
/// ```
/// use balance_core::job::Job;
///
/// let job = Job::builder()
///     .mass("14.2 kg")
///     .service_speed("2600 rpm")
///     .grade("G16")
///     .tube("88.9 mm", "2.4 mm", "1385 mm")
///     .correction_plane("front", "95 mm", "45.95 mm")
///     .correction_plane("rear", "1290 mm", "45.95 mm")
///     .sensor("front", "0 mm", "mm/s")
///     .sensor("rear", "1385 mm", "mm/s")
///     .weight("10 g", "25 mm", "3 mm")
///     .build()?;
/// assert_eq!(job.tolerance_planes.len(), 2);
///
/// let faults = Job::builder().mass("14.2").correction_plane("front", "1 kg", "50 mm").build().unwrap_err();
/// assert_eq!(faults.len(), 3, "no unit, a mass for a position, no sensor: {faults:?}");
/// # Ok::<(), Vec<balance_core::job::JobFault>>(())
/// ```
#[derive(Debug, Clone, Default)]
pub struct JobBuilder {
    job: Job,
    faults: Vec<JobFault>,
}

impl JobBuilder {
    /// The whole shaft's mass.
    #[must_use]
    pub fn mass(mut self, mass: &str) -> Self {
        self.job.measures.mass = self.read("mass", mass);
        self
    }

    /// The highest speed it can ever reach in service.
    #[must_use]
    pub fn service_speed(mut self, speed: &str) -> Self {
        self.job.measures.service_speed = self.read("service speed", speed);
        self
    }

    /// The balance quality grade, such as `"G16"`.
    #[must_use]
    pub fn grade(mut self, grade: &str) -> Self {
        match grade.parse() {
            Ok(grade) => self.job.measures.limit = Some(Criterion::Grade(grade)),
            Err(fault) => self.faults.push(JobFault::Grade(fault)),
        }
        self
    }

    /// The shop's own limit for each tolerance plane, such as `"350 g.mm"`.
    #[must_use]
    pub fn own_limit(mut self, limit: &str) -> Self {
        self.job.measures.limit = self.read("limit", limit).map(Criterion::OwnLimit);
        self
    }

    /// The welded tube: outer diameter, wall, and length from joint centre to joint centre.
    #[must_use]
    pub fn tube(mut self, outer_diameter: &str, wall: &str, length: &str) -> Self {
        let outer = self.read("outer diameter", outer_diameter);
        let wall = self.read::<Length>("wall", wall);
        let length = self.read("length", length);
        if let (Some(outer_diameter), Some(wall), Some(length)) = (outer, wall, length) {
            if 2.0 * wall.millimetres() >= Length::millimetres(outer_diameter) {
                self.faults.push(JobFault::WallTooThick { wall, outer_diameter });
            }
            self.job.measures.tube = Some(Tube { outer_diameter, wall, length });
        }
        self
    }

    /// The tube's material, by its name in the table: `"steel"`.
    #[must_use]
    pub fn material(mut self, name: &str) -> Self {
        self.job.shaft.material =
            Material::named(name).map_or_else(|| TubeMaterial::NotInTable(name.into()), TubeMaterial::Known);
        self
    }

    /// Where weights go, front to rear: name, position from the front joint centre, radius of a weight's mass centre.
    #[must_use]
    pub fn correction_plane(mut self, name: &str, position: &str, radius: &str) -> Self {
        let position = self.read(&format!("position of {name}"), position);
        let radius = self.read(&format!("radius of {name}"), radius);
        self.job.setup.planes.push(CorrectionPlane { position, radius, ..CorrectionPlane::named(name) });
        self
    }

    /// Where the limit holds, front to rear; by default the joint centres, otherwise the outermost sensors.
    #[must_use]
    pub fn tolerance_plane(mut self, name: &str, position: &str) -> Self {
        if let Some(position) = self.read(&format!("position of {name}"), position) {
            self.job.tolerance_planes.push(TolerancePlane { name: name.into(), position });
        }
        self
    }

    /// Where the stand reads: name, position from the front joint centre, unit of the amplitude.
    #[must_use]
    pub fn sensor(mut self, name: &str, position: &str, unit: &str) -> Self {
        let position = self.read(&format!("position of {name}"), position);
        self.job.setup.sensors.push(Sensor { position, ..Sensor::vibration(name, unit) });
        self
    }

    /// How angles are counted.
    #[must_use]
    pub fn convention(mut self, convention: Convention) -> Self {
        self.job.setup.convention = convention;
        self
    }

    /// How far readings scatter: one sigma as a share of the reading, and in the sensor's unit.
    #[must_use]
    pub fn reading_noise(mut self, fraction: f64, floor: f64) -> Self {
        self.job.setup.noise.reading = ReadingNoise::Proportional { fraction, floor };
        self
    }

    /// A weight of the box, as many as needed: mass, width along the circumference, thickness.
    #[must_use]
    pub fn weight(mut self, mass: &str, width: &str, thickness: &str) -> Self {
        let mass = self.read("mass of a weight", mass);
        let width = self.read("width of a weight", width);
        let thickness = self.read("thickness of a weight", thickness);
        match mass.map(StampedWeight::new) {
            Some(Ok(weight)) => {
                let mut weight = weight;
                (weight.width, weight.thickness) = (width, thickness);
                let weight = WeldOn::Stamped(weight);
                self.job.weld_plan.weights.push(weight);
            }
            Some(Err(fault)) => self.faults.push(fault.into()),
            None => {}
        }
        self
    }

    /// The weld bead's mass for each weight.
    #[must_use]
    pub fn bead(mut self, mass: &str) -> Self {
        if let Some(mass) = self.read("bead", mass) {
            self.job.weld_plan.weld.bead_mass = mass;
        }
        self
    }

    /// The job.
    ///
    /// # Errors
    ///
    /// Every [`JobFault`] found.
    pub fn build(mut self) -> Result<Job, Vec<JobFault>> {
        self.check_places();
        let job = &mut self.job;
        if job.tolerance_planes.is_empty() {
            let bearings: Vec<Length> = job.shaft.steady_bearings.iter().map(|own| own.position).collect();
            let tube = job.measures.tube.as_ref();
            job.tolerance_planes = default_tolerance_planes(tube, &job.parts, &bearings, &job.setup.sensors);
        }
        if self.faults.is_empty() { Ok(self.job) } else { Err(self.faults) }
    }

    fn check_places(&mut self) {
        let setup = &self.job.setup;
        let planes: Vec<(String, Option<Length>)> =
            setup.planes.iter().map(|plane| (plane.name.clone(), plane.position)).collect();
        let holds: Vec<(String, Option<Length>)> = self
            .job
            .tolerance_planes
            .iter()
            .map(|plane| (plane.name.clone(), Some(plane.position)))
            .collect();
        let sensors: Vec<(String, Option<Length>)> =
            setup.sensors.iter().map(|sensor| (sensor.name.clone(), None)).collect();
        for (what, needed, places) in
            [("correction plane", true, planes), ("tolerance plane", false, holds), ("sensor", true, sensors)]
        {
            if needed && places.is_empty() {
                self.faults.push(JobFault::None(what));
            }
            self.check_order(what, &places);
        }
    }

    /// Names that occur once, positions that go from front to rear and stay on the tube.
    fn check_order(&mut self, what: &'static str, places: &[(String, Option<Length>)]) {
        let length = self.job.measures.tube.as_ref().map(|tube| tube.length);
        let mut last: Option<Length> = None;
        for (at, (name, position)) in places.iter().enumerate() {
            if places[..at].iter().any(|(other, _)| other == name) {
                self.faults.push(JobFault::NameTwice { what, name: name.clone() });
            }
            let Some(position) = *position else { continue };
            if last.replace(position).is_some_and(|before| before >= position) {
                self.faults.push(JobFault::NotInOrder { what, name: name.clone(), position });
            }
            if let Some(length) = length.filter(|length| position > *length) {
                self.faults.push(JobFault::BeyondTube { what, name: name.clone(), position, length });
            }
        }
    }

    fn read<Q: Quantity>(&mut self, place: &str, text: &str) -> Option<Q> {
        parse(text).map_err(|fault| self.faults.push(JobFault::Quantity { place: place.into(), fault })).ok()
    }
}
