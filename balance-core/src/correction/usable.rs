//! Whether a correction may be used at all: masses based on a trial that showed nothing are worse than none.

use num_complex::Complex64;

use super::ideal::planes_alone;
use super::trial::{PlaneAnswer, with_assumed_noise};
use super::{Correction, PlaneCorrection, TrialAdvice, TrialBounds, TrialQuestion, trial_advice};
use crate::grade::{PlaneLimit, Transfer, limits_at_correction_planes};
use crate::influence::Influence;
use crate::quantity::{UnbalanceAmount, Units, shown};
use crate::run::{RunSet, Setup};
use crate::shaft::PlaneId;

/// A shaft with at most this share of each limit left is finished: its trials need not meet any requirement.
const FINISHED: f64 = 0.5;

/// The question whether a correction may be used.
#[derive(Debug, Clone, Copy)]
pub struct UsableQuestion<'a> {
    /// The runs.
    pub set: &'a RunSet,
    /// How the shaft responds.
    pub influence: &'a Influence,
    /// The correction.
    pub correction: &'a Correction,
    /// How much may be left in the tolerance planes, and how unbalance moves there; `None`: not stated.
    pub limits: Option<(&'a [PlaneLimit], &'a Transfer)>,
    /// The bounds of a further trial.
    pub bounds: TrialBounds<'a>,
}

/// Why a correction must not be used.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum Unusable {
    /// The masses are not numbers.
    #[error("what is to be added at {plane} is not a number")]
    NotFinite {
        /// The plane's name.
        plane: String,
    },
    /// The trial in a plane moved no needle beyond its own uncertainty.
    #[error(
        "the trial at {plane} showed nothing: it moved no needle by more than three times the reading's \
         own uncertainty (at most {:.1} times)", .times
    )]
    TrialTooWeak {
        /// The plane's name.
        plane: String,
        /// The largest effect at any sensor, in its uncertainties.
        times: f64,
        /// The trial that would do.
        next: TrialAdvice,
    },
    /// The correction could leave more than it removes.
    #[error(
        "the correction at {plane} could leave more than it removes: {} to add, give or take {}",
        digits(.asked),
        digits(.left)
    )]
    LeavesMore {
        /// The plane's name.
        plane: String,
        /// What would be added, g·mm (g where masses are compared at one radius).
        asked: f64,
        /// The radius of the 95 % circle of what it would leave, in the same unit.
        left: f64,
        /// The trial that would do.
        next: TrialAdvice,
    },
}

fn digits(value: &f64) -> String {
    shown::trimmed(*value, 2)
}

impl Unusable {
    /// The trial that would do; `None` where no larger one helps.
    #[must_use]
    pub fn next(&self) -> Option<&TrialAdvice> {
        match self {
            Self::NotFinite { .. } => None,
            Self::TrialTooWeak { next, .. } | Self::LeavesMore { next, .. } => {
                Some(next).filter(|advice| advice.trial().is_some())
            }
        }
    }

    /// What would help, in plain words.
    #[must_use]
    pub fn hint(&self, setup: &Setup, units: Units) -> String {
        if let Some(next) = self.next() {
            return next.sentences(setup, units).join(" ");
        }
        match self {
            Self::NotFinite { .. } => {
                "check the masses and readings for a number that is far too large \
                                      or too small"
            }
            Self::TrialTooWeak { .. } => {
                "look for the cause first: was the mass on, and is the sensor working? Then repeat the \
                same trial"
            }
            Self::LeavesMore { .. } => "read every run again: the mean of several readings scatters less",
        }
        .to_owned()
    }
}

/// Whether a correction may be used.
///
/// # Method
///
/// Not if its masses are not numbers; nor if in some plane the effect of what was tried is within three times
/// its uncertainty (complex rms) at every sensor; nor if over all planes together the norm of the 95 % radii
/// of what the correction would leave is larger than the norm of its masses, and in some plane the radius is
/// larger than the mass and than half of what may be left there. Where the noise is not known, every reading
/// counts as 2 % uncertain.
///
/// Only the first condition applies where at most half of every limit is left: on a finished shaft the radius
/// is always larger than the mass. For the same reason, without limits the last condition applies only before
/// the first check run.
///
/// # Source
///
/// Derived and simulated here, 2026-11: see `trial_statistics` in the tests.
///
/// # Errors
///
/// Every [`Unusable`] found; of the last two, the first that applies in each plane.
///
/// # Example
///
/// A trial that left the needle exactly where it was.
///
/// ```
/// use balance_core::correction::{TrialBounds, Unusable, UsableQuestion, correct, usable};
/// use balance_core::influence::{Options, estimate};
/// use balance_core::quantity::{Angle, Mass};
/// use balance_core::run::*;
/// use balance_core::shaft::{CorrectionPlane, PlaneId, Sensor};
///
/// let run = |label: &str, kind, masses| {
///     Run::new(label, kind, masses, vec![SensorReading::Shown { amplitude: 1.0, phase: Angle::ZERO }])
/// };
/// let trial = PlacedMass {
///     plane: PlaneId::new(0), change: Change::Added, mass: Mass::from_grams(10.0).unwrap(), angle: Angle::ZERO, radius: None,
///     bead: Mass::ZERO,
/// };
/// let setup = Setup {
///     planes: vec![CorrectionPlane::named("front")], sensors: vec![Sensor::vibration("front", "mm/s")],
///     convention: Convention::unstated(), noise: Noise::not_stated(),
/// };
/// let runs = vec![run("1", RunKind::Initial, vec![]), run("2", RunKind::Trial, vec![trial])];
/// let set = RunSet::new(setup, runs).unwrap();
/// let influence = estimate(&set, &Options::default()).unwrap();
/// let correction = correct(&set, &influence);
/// let refused = usable(&UsableQuestion {
///     set: &set, influence: &influence, correction: &correction, limits: None, bounds: TrialBounds::default(),
/// });
/// assert!(matches!(refused.unwrap_err()[..], [Unusable::TrialTooWeak { .. }]));
/// ```
pub fn usable(question: &UsableQuestion<'_>) -> Result<(), Vec<Unusable>> {
    let not_finite = not_finite(question);
    if !not_finite.is_empty() {
        return Err(not_finite);
    }
    if question.finished() {
        return Ok(());
    }
    let assumed = with_assumed_noise(question.set, question.influence);
    let assumed = assumed.as_ref();
    let dead: Vec<Unusable> =
        question.planes().filter_map(|plane| too_weak(question, assumed, plane)).collect();
    if !dead.is_empty() {
        return Err(dead);
    }
    let more = leaves_more(question, assumed);
    if more.is_empty() { Ok(()) } else { Err(more) }
}

fn not_finite(question: &UsableQuestion<'_>) -> Vec<Unusable> {
    let bad = |plane: &PlaneId| !question.correction.planes[*plane].add.vector().is_finite();
    question.planes().filter(bad).map(|plane| Unusable::NotFinite { plane: question.name(plane) }).collect()
}

/// The runs with an assumed figure for the noise; `None`: theirs is known.
type Assumed<'a> = Option<&'a (RunSet, Influence)>;

/// The trial in this plane, if it moved nothing.
fn too_weak(question: &UsableQuestion<'_>, assumed: Assumed<'_>, plane: PlaneId) -> Option<Unusable> {
    let (set, influence) = assumed.map_or((question.set, question.influence), |(set, own)| (set, own));
    let answer = PlaneAnswer::with_noise(set, influence, plane);
    answer.dead().then(|| Unusable::TrialTooWeak {
        plane: question.name(plane),
        times: 1.0 / answer.least_error(),
        next: question.next(plane),
    })
}

/// The planes in which the correction would leave more than it removes, if it would do so over all planes
/// together.
fn leaves_more(question: &UsableQuestion<'_>, assumed: Assumed<'_>) -> Vec<Unusable> {
    if question.limits.is_none() && !question.set.last_check_block().is_empty() {
        return Vec::new();
    }
    let assumed = assumed.map(|(set, influence)| planes_alone(set, influence));
    let planes = assumed.as_ref().unwrap_or(&question.correction.planes);
    let asked = |own: &PlaneCorrection| own.add.gram_millimetres();
    let left = |own: &PlaneCorrection| own.give_or_take.unwrap_or(0.0);
    let norm =
        |size: &dyn Fn(&PlaneCorrection) -> f64| planes.iter().map(|own| size(own).powi(2)).sum::<f64>();
    if norm(&left) <= norm(&asked) {
        return Vec::new();
    }
    let permissible = question.permissible();
    let too_much = |(plane, own): &(PlaneId, &PlaneCorrection)| {
        let half = permissible.get(plane.index()).map_or(0.0, |own| FINISHED * own.gram_millimetres());
        left(own) > asked(own) && left(own) > half
    };
    let refused = |(plane, own): (PlaneId, &PlaneCorrection)| Unusable::LeavesMore {
        plane: question.name(plane),
        asked: asked(own),
        left: left(own),
        next: question.next(plane),
    };
    PlaneId::numbered(planes).filter(too_much).map(refused).collect()
}

impl UsableQuestion<'_> {
    fn planes(&self) -> impl Iterator<Item = PlaneId> + use<> {
        PlaneId::all(self.correction.planes.len())
    }

    fn name(&self, plane: PlaneId) -> String {
        self.set.setup().planes.get(plane.index()).map_or_else(String::new, |own| own.name.clone())
    }

    /// Whether at most half of every limit is left.
    fn finished(&self) -> bool {
        let Some((limits, transfer)) = self.limits else { return false };
        let now: Vec<Complex64> = self.correction.planes.iter().map(|plane| -plane.add.vector()).collect();
        let within = |(left, limit): (Complex64, &PlaneLimit)| {
            left.norm() <= FINISHED * limit.amount.gram_millimetres()
        };
        transfer.moved(&now).into_iter().zip(limits).all(within)
    }

    /// What may be left in each correction plane alone.
    fn permissible(&self) -> Vec<UnbalanceAmount> {
        self.limits.map_or_else(Vec::new, |(limits, transfer)| {
            let planes = limits_at_correction_planes(&self.set.setup().planes, limits, transfer);
            planes.into_iter().map(|plane| plane.amount).collect()
        })
    }

    fn next(&self, plane: PlaneId) -> TrialAdvice {
        trial_advice(&TrialQuestion {
            setup: self.set.setup(),
            plane,
            permissible: self.permissible().get(plane.index()).copied(),
            bounds: self.bounds,
            runs: Some(self.set),
            known: Some((self.set, self.influence)),
        })
    }
}
