//! How large the trial is.

use num_complex::Complex64;

use super::answers::{PlaneAnswer, SensorAnswer};
use super::{
    NextTrial, NoTrial, Pull, Trial, TrialAdvice, TrialBounds, TrialQuestion, TrialReading, TrialSize,
};
use crate::caution::Caution;
use crate::correction::{Correction, correct};
use crate::grade::centrifugal_newtons;
use crate::quantity::{Angle, Mass, UnbalanceAmount};
use crate::shaft::CorrectionPlane;

/// A first trial makes twice what may be left [common practice, no source].
const TIMES_PERMISSIBLE: f64 = 2.0;
/// A trial that changed some reading by a third is enough [common practice, no source: 25 to 30 %].
const ENOUGH: f64 = 1.0 / 3.0;
/// A second one aims at this share, so that it does not fall short of a third again [derived here by simulation].
const WANTED: f64 = 0.5;
/// Error of a coefficient as a share of it; above it the circles are too small (simulated here, 2026-11).
const LARGEST_ERROR: f64 = 0.25;
/// Knowing the correction to within half of what may be left is enough.
const CLOSE: f64 = 0.5;
/// A trial less than a fifth larger than the one before would hardly show more.
const CLEARLY_LARGER: f64 = 1.2;

/// Advises on the next trial in a plane.
///
/// # Method
///
/// A first trial makes twice what may be left. A second one follows where the first changed no reading by a
/// third, left the coefficient more than 25 % uncertain, or did not move a needle beyond its noise: scaled so
/// that it changes some reading by half. None is needed where the correction is known to within half of what
/// may be left, or the stand shows the unbalance itself. A trial never pulls with more than a quarter of the
/// shaft's weight at the stand's speed, and never lets a reading pass the stop reading (twice, a third and a
/// quarter: common practice, no source). It goes where the correction will go.
///
/// ```
/// use balance_core::correction::{TrialBounds, TrialQuestion, trial_advice};
/// use balance_core::quantity::parse;
/// use balance_core::run::{Convention, Noise, Setup};
/// use balance_core::shaft::{CorrectionPlane, PlaneId};
/// let plane = CorrectionPlane { radius: Some(parse("45 mm")?), ..CorrectionPlane::named("front") };
/// let setup = Setup {
///     planes: vec![plane], sensors: vec![], convention: Convention::unstated(), noise: Noise::not_stated(),
/// };
/// let advice = trial_advice(&TrialQuestion {
///     setup: &setup, plane: PlaneId::new(0), permissible: Some(parse("450 g.mm")?), bounds: TrialBounds::default(),
///     runs: None, known: None,
/// });
/// let trial = advice.trial().expect("what may be left is known");
/// assert_eq!(trial.mass.map(|mass| mass.grams()), Some(20.0)); // 2·450/45
/// # Ok::<(), balance_core::quantity::QuantityFault>(())
/// ```
#[must_use]
pub fn trial_advice(question: &TrialQuestion<'_>) -> TrialAdvice {
    TrialAdvice { plane: question.plane, next: next(question) }
}

fn next(question: &TrialQuestion<'_>) -> NextTrial {
    let plane = question.plane;
    let correction = question.known.map(|(set, influence)| correct(set, influence));
    let answer = match question.known {
        Some((set, influence)) => Some(PlaneAnswer::of(set, influence, plane)),
        None => question.runs.and_then(|set| PlaneAnswer::of_some(set, plane)),
    };
    if let Some(why) = answer.as_ref().and_then(|answer| known_well(question, answer, correction.as_ref())) {
        return NextTrial::None(why);
    }
    let sensors = answer.as_ref().map_or(&[][..], |answer| &answer.sensors);
    let Some(needed) = needed(question, answer.as_ref()) else {
        return NextTrial::None(NoTrial::NothingToSizeBy);
    };
    // Without a radius amounts are masses, and how hard they pull is not known.
    let radius = question.setup.planes.get(plane.index()).and_then(has_radius);
    let pull = radius.and_then(|_| question.bounds.most_amount());
    let pull = pull.map(|most| (most.gram_millimetres(), TrialSize::Pull));
    let room = sensors.iter().filter_map(|own| own.room(&question.bounds)).min_by(f64::total_cmp);
    let bounds = pull.into_iter().chain(room.map(|room| (room, TrialSize::MostReading)));
    let (amount, decided_by) =
        bounds.fold(needed, |least, bound| if bound.0 < least.0 { bound } else { least });
    if decided_by == TrialSize::MostReading && amount <= 0.0 {
        return NextTrial::None(NoTrial::AtMostReading);
    }
    if decided_by == TrialSize::Pull
        && answer.as_ref().is_some_and(|answer| amount < CLEARLY_LARGER * answer.tried)
    {
        return NextTrial::None(NoTrial::NoneLarger);
    }
    match UnbalanceAmount::from_gram_millimetres(amount) {
        Ok(amount) => NextTrial::Make(trial(question, sensors, amount, decided_by, correction.as_ref())),
        Err(_) => NextTrial::None(NoTrial::NothingToSizeBy),
    }
}

/// Why no further trial is needed.
fn known_well(
    question: &TrialQuestion<'_>,
    answer: &PlaneAnswer,
    correction: Option<&Correction>,
) -> Option<NoTrial> {
    if answer.given() {
        return Some(NoTrial::ShownByStand);
    }
    if answer.dead() {
        return None;
    }
    let close = correction.zip(question.permissible).is_some_and(|(correction, permissible)| {
        let circle = correction.planes.get(question.plane.index()).and_then(|plane| plane.give_or_take);
        circle.is_some_and(|circle| circle <= CLOSE * permissible.gram_millimetres())
    });
    let moved = answer.largest_share() >= ENOUGH && answer.least_error() <= LARGEST_ERROR;
    (close || moved).then_some(NoTrial::KnownWell)
}

/// The size that would show enough.
fn needed(question: &TrialQuestion<'_>, answer: Option<&PlaneAnswer>) -> Option<(f64, TrialSize)> {
    let permissible = question.permissible.map(UnbalanceAmount::gram_millimetres);
    let first = permissible.map(|allowed| (TIMES_PERMISSIBLE * allowed, TrialSize::Tolerance));
    let effect = answer.and_then(|answer| {
        let amounts = answer.sensors.iter().map(|own| WANTED * own.now.norm() / own.reach());
        amounts.filter(|amount| amount.is_finite()).min_by(f64::total_cmp)
    });
    let noise = answer
        .filter(|answer| !answer.dead())
        .map(|answer| answer.tried * answer.least_error() / LARGEST_ERROR);
    // A trial that left every needle where it was has to grow, however strongly the shaft may respond.
    let twice = answer.filter(|answer| answer.dead()).map(|answer| 2.0 * answer.tried);
    let sizes = [
        first,
        effect.map(|amount| (amount, TrialSize::Effect)),
        noise.map(|amount| (amount, TrialSize::Noise)),
        twice.map(|amount| (amount, TrialSize::Effect)),
    ];
    let sizes = sizes.into_iter().flatten().filter(|(amount, _)| amount.is_finite());
    sizes.max_by(|one, other| one.0.total_cmp(&other.0))
}

fn trial(
    question: &TrialQuestion<'_>,
    sensors: &[SensorAnswer],
    amount: UnbalanceAmount,
    decided_by: TrialSize,
    correction: Option<&Correction>,
) -> Trial {
    let angle = correction
        .and_then(|correction| correction.planes.get(question.plane.index()))
        .map(|plane| plane.add.vector())
        .filter(|add| add.is_finite() && *add != Complex64::ZERO)
        .map(Angle::of);
    let vector = angle.unwrap_or(Angle::ZERO).unit_vector() * amount.gram_millimetres();
    let radius = question.setup.planes.get(question.plane.index()).and_then(has_radius);
    Trial {
        amount,
        mass: radius.and_then(|radius| Mass::from_grams(amount.gram_millimetres() / radius).ok()),
        decided_by,
        angle,
        quarter_turn: angle.and_then(|angle| Angle::from_degrees(angle.degrees() + 90.0).ok()),
        pull: radius.and_then(|_| pull(&question.bounds, amount)),
        readings: sensors.iter().map(|own| own.reading(vector)).collect(),
        cautions: cautions(sensors, decided_by),
    }
}

fn pull(bounds: &TrialBounds<'_>, amount: UnbalanceAmount) -> Option<Pull> {
    let speed = bounds.sized_for()?;
    let newtons = centrifugal_newtons(amount, speed);
    let weight = bounds.shaft_mass.map(Mass::weight_newtons);
    Some(Pull { newtons, speed, share_of_weight: weight.map(|weight| newtons / weight) })
}

fn cautions(sensors: &[SensorAnswer], decided_by: TrialSize) -> Vec<Caution> {
    let mut found = Vec::new();
    if decided_by == TrialSize::MostReading {
        found.push(Caution::TrialLimited);
    }
    if sensors.is_empty() {
        found.push(Caution::TrialUnknownEffect);
    }
    found
}

/// The trial radius in mm, where the plane has one.
fn has_radius(plane: &CorrectionPlane) -> Option<f64> {
    let radius = plane.trial_radius.filter(|_| plane.radius.is_some()).or(plane.radius)?;
    Some(radius.millimetres()).filter(|radius| *radius > 0.0)
}

impl SensorAnswer {
    /// The largest trial that keeps the needle under the stop reading, wherever it is placed.
    fn room(&self, bounds: &TrialBounds<'_>) -> Option<f64> {
        let most = bounds.most_reading.get(self.sensor.index()).copied().flatten()?;
        Some((most - self.now.norm()).max(0.0) / self.reach())
    }

    fn reading(&self, trial: Complex64) -> TrialReading {
        let effect = self.coefficient * trial;
        TrialReading {
            group: self.group,
            sensor: self.sensor,
            now: self.now.norm(),
            expected: (self.now + effect).norm(),
            worst: self.now.norm() + self.reach() * trial.norm(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::{Length, Speed};
    use crate::run::{Convention, Noise, Setup};
    use crate::shaft::PlaneId;

    /// What is advised before any run where 450 g·mm may be left on a shaft of so many kilograms at 1800 rpm.
    fn first(radius: Option<f64>, trial_radius: Option<f64>, kilograms: f64) -> Trial {
        let length = |own: f64| Length::from_millimetres(own).unwrap();
        let plane = CorrectionPlane {
            radius: radius.map(length),
            trial_radius: trial_radius.map(length),
            ..CorrectionPlane::named("front")
        };
        let setup = Setup {
            planes: vec![plane],
            sensors: Vec::new(),
            convention: Convention::unstated(),
            noise: Noise::not_stated(),
        };
        let bounds = TrialBounds {
            shaft_mass: Mass::from_grams(1000.0 * kilograms).ok(),
            speed: Speed::from_rpm(1800.0).ok(),
            ..TrialBounds::default()
        };
        let permissible = UnbalanceAmount::from_gram_millimetres(450.0).ok();
        let plane = PlaneId::new(0);
        let question = TrialQuestion { setup: &setup, plane, permissible, bounds, runs: None, known: None };
        trial_advice(&question).trial().unwrap().clone()
    }

    #[test]
    fn twice_what_may_be_left_at_the_trial_radius() {
        let found = first(Some(45.0), Some(50.0), 20.0);
        assert_eq!((found.amount.gram_millimetres(), found.decided_by), (900.0, TrialSize::Tolerance));
        assert_eq!(found.mass.unwrap().grams(), 18.0);
        // By hand: 900e-6 kg·m times (188.4956 rad/s)² is 31.978 N, of 20·9.80665 N.
        let pull = found.pull.unwrap();
        assert!((pull.newtons - 31.978).abs() < 1e-3, "{pull:?}");
        assert!((pull.share_of_weight.unwrap() - 31.978 / 196.133).abs() < 1e-5, "{pull:?}");
    }

    #[test]
    fn a_light_shaft_gets_what_pulls_with_a_quarter_of_its_weight() {
        let found = first(Some(45.0), None, 10.0);
        assert_eq!(found.decided_by, TrialSize::Pull);
        let pull = found.pull.unwrap();
        assert!((pull.newtons - 10.0 * 9.80665 / 4.0).abs() < 1e-9, "{pull:?}");
        assert!((pull.share_of_weight.unwrap() - 0.25).abs() < 1e-12, "{pull:?}");
    }

    /// Amounts are then masses, and how hard they pull is not known; a trial radius alone does not change that.
    #[test]
    fn without_a_radius_nothing_is_said_of_mass_and_pull() {
        for (radius, trial_radius) in [(None, None), (None, Some(50.0)), (Some(0.0), None)] {
            let found = first(radius, trial_radius, 10.0);
            assert_eq!((found.amount.gram_millimetres(), found.decided_by), (900.0, TrialSize::Tolerance));
            assert_eq!((found.mass, found.pull), (None, None), "{radius:?} {trial_radius:?}");
        }
    }
}
