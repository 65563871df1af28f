//! The question: ideal corrections, the box, and where weights may go.

use std::f64::consts::FRAC_PI_2;

use super::effect::{Piece, RowGeometry};
use super::forecasting::Forecasting;
use super::room::{Room, WidthFrom};
use crate::quantity::{Angle, Length, Mass, Speed, Unbalance, UnbalanceAmount};
use crate::run::PlaceError;
use crate::shaft::{CorrectionPlane, FixedPlace, NoWeld, PlaneId, Tube, Weld, WeldOn, WeldedBefore};

/// One correction plane and what is missing there.
#[derive(Debug, Clone, PartialEq)]
pub struct PlaneTask {
    /// The plane.
    pub plane: CorrectionPlane,
    /// The ideal unbalance to ADD to the shaft as it is, in counting direction.
    pub target: Unbalance,
    /// How much may be left in this plane, if a limit is known.
    pub permissible: Option<UnbalanceAmount>,
}

/// Whether the material can be welded, as the shop says.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum MayWeld {
    /// Plain carbon or low alloy steel that takes a bead without special measures.
    Weldable,
    /// Aluminium, fibre, hardened or unknown alloy: this program gives no welding advice.
    NotWeldable,
    /// Not stated.
    Unknown,
}

/// What makes one choice of weights better than another.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum WeightCriterion {
    /// `sqrt(|what is left|² + s²·Σ(m·r)²)`: what is left when each weight also lands `s` away from its
    /// place.
    Robust,
    /// What is left if every weight lands exactly where it should.
    LeftOverAlone,
}

/// The places a weight may take.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Grid {
    /// Whole degrees.
    WholeDegrees,
    /// Whole millimetres of tape.
    WholeMillimetres,
}

/// Whether weights that are on the shaft may be taken off.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TakeOff {
    /// Weights marked as removable may come off or be turned.
    Consider,
    /// Everything stays; only add.
    Never,
}

/// What the work costs, in units of the shop's choice: a weight welded on is one weld, a weight taken off one cut, a
/// weight turned one of each.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Work {
    /// Of one weld.
    pub per_weld: f64,
    /// Of one cut.
    pub per_cut: f64,
}

impl Default for Work {
    /// A cut is as much work as a weld [common practice, no source].
    fn default() -> Self {
        Self { per_weld: 1.0, per_cut: 1.0 }
    }
}

/// Everything about the choice that a shop may want to change.
#[derive(Debug, Clone, PartialEq)]
pub struct WeightSettings {
    /// What makes one choice better than another.
    pub criterion: WeightCriterion,
    /// The places there are.
    pub grid: Grid,
    /// Fewer weights, or less work, will do if no more than this share of the permissible is left. If the aim
    /// is the fewest weights and a forecast can be made, the forecast decides instead.
    pub enough_share: f64,
    /// More than this share of the permissible left: the plane falls short.
    pub short_share: f64,
    /// The same without a permissible, as a share of the ideal correction.
    pub short_share_of_target: f64,
    /// One unit of work more has to save at least this share of the permissible (without one: of the ideal
    /// correction).
    pub worth_of_work_share: f64,
    /// A forecast is good enough where all limits are met with at least this probability …
    pub sure_enough: f64,
    /// … and no more than this share of the limit is left at each place.
    pub most_left_share: f64,
    /// Where nothing is good enough, fewer weights will do if the criterion is at most this share above the least.
    pub worse_share: f64,
    /// Whether weights may come off.
    pub take_off: TakeOff,
    /// What work costs.
    pub work: Work,
    /// Walls thinner than this get a caution.
    pub thin_wall: Length,
    /// The usual maximum welded on in one plane: worth knowing above the first, take care above the second.
    pub usual_most: (Mass, Mass),
    /// A correction that a bow with this total indicator reading at mid-length would call for: straighten first.
    pub straighten_above: Length,
}

impl Default for WeightSettings {
    /// Robust, whole degrees; a quarter of the permissible is enough, half of it falls short (a tenth of the target
    /// where no limit is known); work has to save a twentieth. A forecast is good enough at 99 % and half the limit; a
    /// tenth above the least will do where none is [derived from simulated shafts]. Thin below 1.6 mm, 85 to 115 g usual
    /// in a plane, straighten from 1.0 mm [common practice, no source].
    fn default() -> Self {
        let mm = |value| Length::from_millimetres(value).expect("a constant length");
        let grams = |value| Mass::from_grams(value).expect("a constant mass");
        Self {
            criterion: WeightCriterion::Robust,
            grid: Grid::WholeDegrees,
            enough_share: 0.25,
            short_share: 0.5,
            short_share_of_target: 0.1,
            worth_of_work_share: 0.05,
            sure_enough: 0.99,
            most_left_share: 0.5,
            worse_share: 0.1,
            take_off: TakeOff::Consider,
            work: Work::default(),
            thin_wall: mm(1.6),
            usual_most: (grams(85.0), grams(115.0)),
            straighten_above: mm(1.0),
        }
    }
}

/// From ideal corrections to weights: the whole question.
#[derive(Debug, Clone, PartialEq)]
pub struct WeightTask {
    /// Every correction plane, in the job's order (front to rear).
    pub planes: Vec<PlaneTask>,
    /// What can be welded on.
    pub stock: Vec<WeldOn>,
    /// How it is welded.
    pub weld: Weld,
    /// Where nothing may go.
    pub no_weld: Vec<NoWeld>,
    /// Places that take weights; a plane with any takes weights nowhere else.
    pub fixed_places: Vec<FixedPlace>,
    /// What is on the shaft already.
    pub welded_before: Vec<WeldedBefore>,
    /// The tube, for radii and tape.
    pub tube: Option<Tube>,
    /// The mass of the tube alone, to judge whether it should be straightened first.
    pub tube_mass: Option<Mass>,
    /// Whether the material can be welded.
    pub weldability: MayWeld,
    /// The highest speed in service, for the pull.
    pub service_speed: Option<Speed>,
    /// How well a weight ends up where it should, one sigma; `None`: exactly.
    pub place_error: Option<PlaceError>,
    /// The figures for forecasting whether the limit is met; `None`: there is no limit, or no figure for the
    /// noise.
    pub forecasting: Option<Forecasting>,
    /// What a shop may want to change.
    pub settings: WeightSettings,
}

impl WeightTask {
    /// A task with nothing but planes and a box: no bead, default weld and settings, 2 mm place error
    /// [common practice, no source], material unknown.
    #[must_use]
    pub fn new(planes: Vec<PlaneTask>, stock: Vec<WeldOn>) -> Self {
        let two = Length::from_millimetres(2.0).expect("2 mm is a length");
        Self {
            planes,
            stock,
            weld: Weld::default(),
            no_weld: Vec::new(),
            fixed_places: Vec::new(),
            welded_before: Vec::new(),
            tube: None,
            tube_mass: None,
            weldability: MayWeld::Unknown,
            service_speed: None,
            place_error: Some(PlaceError::Tape(two)),
            forecasting: None,
            settings: WeightSettings::default(),
        }
    }

    /// The radii of a plane's row.
    pub(super) fn geometry(&self, plane: PlaneId) -> RowGeometry {
        RowGeometry::of(&self.planes[plane].plane, self.tube.as_ref())
    }

    /// Square of the place error in radians: zero where the criterion does not use it, nothing is stated, or
    /// a distance on the tape cannot be turned into an angle because no radius is known.
    pub(super) fn place_variance(&self, plane: PlaneId) -> f64 {
        let error = match (self.settings.criterion, self.place_error) {
            (WeightCriterion::LeftOverAlone, _) | (_, None) => 0.0,
            (WeightCriterion::Robust, Some(PlaceError::Angle(angle))) => angle.radians(),
            (WeightCriterion::Robust, Some(PlaceError::Tape(length))) => {
                self.geometry(plane).surface_radius().map_or(0.0, |radius| length.millimetres() / radius)
            }
        };
        error * error
    }

    /// What may be left in a plane before it falls short, g·mm.
    pub(super) fn short_limit(&self, plane: PlaneId) -> f64 {
        let task = &self.planes[plane];
        match task.permissible {
            Some(permissible) => self.settings.short_share * permissible.gram_millimetres(),
            None => self.settings.short_share_of_target * task.target.gram_millimetres(),
        }
    }

    /// Every fault of the task that would make an answer meaningless.
    ///
    /// # Errors
    ///
    /// All faults found.
    pub(super) fn check(&self) -> Result<(), Vec<WeightFault>> {
        let planes = self.planes.len();
        let mut faults = Vec::new();
        let mut known = |what: &'static str, plane: PlaneId| {
            if plane.index() >= planes {
                faults.push(WeightFault::NoSuchPlane { what, found: plane, planes });
            }
        };
        self.no_weld.iter().for_each(|sector| known("a no-weld sector", sector.plane));
        self.fixed_places.iter().for_each(|place| known("a fixed place", place.plane));
        self.welded_before.iter().for_each(|weight| known("a weight on the shaft", weight.plane));
        for (plane, task) in PlaneId::numbered(&self.planes) {
            if !task.target.vector().is_finite() {
                faults.push(WeightFault::TargetNotFinite { plane: task.plane.name.clone() });
            }
            if self.settings.grid == Grid::WholeMillimetres && self.geometry(plane).surface_radius().is_none()
            {
                faults.push(WeightFault::TapeWithoutRadius { plane: task.plane.name.clone() });
            }
        }
        if self.forecasting.as_ref().is_some_and(|forecasting| !forecasting.fits(planes)) {
            faults.push(WeightFault::ForecastOfOtherPlanes { planes });
        }
        if faults.is_empty() { Ok(()) } else { Err(faults) }
    }

    /// Indices of the weights that stay on a plane when these come off.
    pub(super) fn staying<'a>(
        &'a self,
        plane: PlaneId,
        off: &'a [usize],
    ) -> impl Iterator<Item = usize> + 'a {
        (0..self.welded_before.len())
            .filter(move |index| self.welded_before[*index].plane == plane && !off.contains(index))
    }

    /// The most new weights in a plane when these come off.
    pub(super) fn most_new(&self, plane: PlaneId, off: &[usize]) -> usize {
        self.weld.most_beside(self.staying(plane, off).count())
    }

    /// The room a weight on the shaft takes; what is worked out from its mass is at most a quarter of the way round
    /// [common practice, no source].
    pub(super) fn old_room(&self, index: usize) -> Room {
        let old = &self.welded_before[index];
        let room = Room::of(old, &self.stock, self.weld.bead_mass);
        let quarter = self.geometry(old.plane).surface_radius().map(|radius| radius * FRAC_PI_2);
        match quarter.filter(|most| room.from == WidthFrom::Mass && room.width.millimetres() > *most) {
            Some(most) => Room { width: Length::from_millimetres(most).unwrap_or(room.width), ..room },
            None => room,
        }
    }

    /// A weight on the shaft as a piece.
    pub(super) fn old_piece(&self, index: usize) -> Piece {
        let old = &self.welded_before[index];
        Piece {
            mass: old.mass,
            bead: old.bead,
            width: old.width,
            thickness: old.thickness,
            radius: old.radius,
        }
    }
}

/// A weight that the user wants to put on, to see what it would leave.
#[derive(Debug, Clone, Copy, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct GivenWeight {
    /// Which plane.
    pub plane: PlaneId,
    /// Without bead. If the box has this mass, its width and thickness are taken from there.
    pub mass: Mass,
    /// Where its middle goes.
    pub angle: Angle,
    /// Radius of its mass centre, if it differs from the plane's.
    pub radius: Option<Length>,
}

/// Why weights cannot be worked out.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum WeightFault {
    /// Something names a plane that does not exist.
    #[error("{what} is on plane {}; there are {planes}", .found.index())]
    NoSuchPlane {
        /// What names it.
        what: &'static str,
        /// The index found, from 0.
        found: PlaneId,
        /// How many there are.
        planes: usize,
    },
    /// An ideal correction that is not a number.
    #[error("ideal correction of {plane} is not a number")]
    TargetNotFinite {
        /// The plane's name.
        plane: String,
    },
    /// A forecast made for other planes.
    #[error("the forecast is not for the {planes} planes of this task")]
    ForecastOfOtherPlanes {
        /// How many planes there are.
        planes: usize,
    },
    /// Places on the tape without a tube diameter or radius.
    #[error("{plane}: places in millimetres of tape need the tube's diameter or the plane's radius")]
    TapeWithoutRadius {
        /// The plane's name.
        plane: String,
    },
}
