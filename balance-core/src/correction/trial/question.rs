//! The adviser's input.

use crate::grade::{Grade, centrifugal_newtons};
use crate::influence::Influence;
use crate::quantity::{Mass, Speed, UnbalanceAmount};
use crate::run::{RunSet, Setup};
use crate::shaft::PlaneId;

/// A trial pulls at most with this share of the shaft's weight [common practice, no source].
const MOST_PULL: f64 = 0.25;
/// The standard lists cardan and propeller shafts at this grade [ISO 21940-11, from memory].
const USUAL_GRADE: f64 = 16.0;

/// The bounds of a trial. Unknown bounds are not applied.
#[derive(Debug, Clone, Copy, Default)]
pub struct TrialBounds<'a> {
    /// The shaft's mass: a trial pulls with at most a quarter of its weight.
    pub shaft_mass: Option<Mass>,
    /// The speed of the trial run.
    pub speed: Option<Speed>,
    /// The speed beyond which the stand must not run; a trial is sized for no more.
    pub most_speed: Option<Speed>,
    /// For each sensor the stop reading.
    pub most_reading: &'a [Option<f64>],
}

impl TrialBounds<'_> {
    /// The speed a trial is sized for: that of the run, but never beyond the stand's own limit.
    ///
    /// ```
    /// use balance_core::{correction::TrialBounds, quantity::parse};
    /// let bounds = TrialBounds {
    ///     speed: Some(parse("3800 rpm")?),
    ///     most_speed: Some(parse("3500 rpm")?),
    ///     ..TrialBounds::default()
    /// };
    /// assert_eq!(bounds.sized_for().map(|speed| speed.rpm()), Some(3500.0));
    /// # Ok::<(), balance_core::quantity::QuantityFault>(())
    /// ```
    #[must_use]
    pub fn sized_for(&self) -> Option<Speed> {
        let speed = self.speed?;
        Some(self.most_speed.filter(|most| most.rpm() < speed.rpm()).unwrap_or(speed))
    }

    /// The unbalance that pulls with a quarter of the shaft's weight at that speed; `None` without mass or speed.
    ///
    /// # Method
    ///
    /// U·Ω² = m·g/4 [the quarter: common practice, no source].
    ///
    /// ```
    /// use balance_core::{correction::TrialBounds, quantity::parse};
    /// let bounds = TrialBounds {
    ///     shaft_mass: Some(parse("14.2 kg")?),
    ///     speed: Some(parse("1800 rpm")?),
    ///     ..TrialBounds::default()
    /// };
    /// // By hand: 14.2·9.80665/4 = 34.81 N; over (188.496 rad/s)² that is 979.8 g·mm.
    /// let most = bounds.most_amount().expect("mass and speed are known");
    /// assert!((most.gram_millimetres() - 979.8).abs() < 0.05);
    /// # Ok::<(), balance_core::quantity::QuantityFault>(())
    /// ```
    #[must_use]
    pub fn most_amount(&self) -> Option<UnbalanceAmount> {
        let newtons = MOST_PULL * self.shaft_mass?.weight_newtons();
        let one = UnbalanceAmount::from_gram_millimetres(1.0).ok()?;
        UnbalanceAmount::from_gram_millimetres(newtons / centrifugal_newtons(one, self.sized_for()?)).ok()
    }
}

/// The adviser's input. Everything but the plane may be missing.
#[derive(Debug, Clone, Copy)]
pub struct TrialQuestion<'a> {
    /// Planes, sensors and noise.
    pub setup: &'a Setup,
    /// Which plane.
    pub plane: PlaneId,
    /// What may be left in this plane.
    pub permissible: Option<UnbalanceAmount>,
    /// The bounds of the trial.
    pub bounds: TrialBounds<'a>,
    /// The runs so far, though they may not yet show the response to every plane.
    pub runs: Option<&'a RunSet>,
    /// Runs and coefficients of all planes, from earlier runs or sister shafts.
    pub known: Option<(&'a RunSet, &'a Influence)>,
}

/// What may be left in each of two planes of a shaft of this mass, if not stated: half of G16.
#[must_use]
pub fn usual_permissible(mass: Mass, speed: Speed) -> Option<UnbalanceAmount> {
    let whole = Grade::from_millimetres_per_second(USUAL_GRADE).ok()?.permissible(mass, speed).ok()?;
    UnbalanceAmount::from_gram_millimetres(whole.gram_millimetres() / 2.0).ok()
}
