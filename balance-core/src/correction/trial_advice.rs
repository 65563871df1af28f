//! Which trial mass to put where.

use num_complex::Complex64;

use crate::caution::Caution;
use crate::grade::{Grade, centrifugal_newtons};
use crate::influence::{Influence, System, Which};
use crate::quantity::{Angle, Mass, Speed, UnbalanceAmount};
use crate::run::{RunSet, Setup};
use crate::shaft::CorrectionPlane;

/// A trial makes 5 to 10 times the permissible residual [common practice, no source].
const TIMES_PERMISSIBLE: [f64; 2] = [5.0, 10.0];
/// Where nothing else is known: about the middle of that.
const USUAL_TIMES: f64 = 7.0;
/// It changes some reading by 30 % [common practice, no source: 25 to 30 %].
const EFFECT: f64 = 0.30;
/// Noise times correction over trial stays below this; above it the circles are too small (simulated here, 2026-11).
const NOISE_SHARE: f64 = 0.25;
/// Cardan and propeller shafts stand at this grade [ISO 21940-11, from memory].
const USUAL_GRADE: f64 = 16.0;

/// What the adviser is told. Everything but the plane may be missing.
#[derive(Debug, Clone, Copy)]
pub struct TrialQuestion<'a> {
    /// Planes, sensors and noise.
    pub setup: &'a Setup,
    /// Index of the plane.
    pub plane: usize,
    /// What may be left in this plane.
    pub permissible: Option<UnbalanceAmount>,
    /// The stand's speed.
    pub speed: Option<Speed>,
    /// Runs and coefficients, from earlier runs or sister shafts.
    pub known: Option<(&'a RunSet, &'a Influence)>,
    /// For each sensor the reading at which to stop.
    pub most_reading: &'a [Option<f64>],
}

/// What decided the trial's size.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TrialSize {
    /// Five to ten times what may be left.
    Tolerance,
    /// A change that the dials show clearly.
    Effect,
    /// The reading noise: a smaller trial would tell too little.
    Noise,
    /// The reading at which to stop: more would be too much.
    MostReading,
}

/// What a sensor may show with the trial on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TrialReading {
    /// Index of the speed group.
    pub group: usize,
    /// Index of the sensor.
    pub sensor: usize,
    /// What it shows now.
    pub now: f64,
    /// What it is expected to show with the trial where it is advised.
    pub expected: f64,
    /// The most it could show with this trial anywhere.
    pub worst: f64,
}

/// A trial mass and where to put it.
#[derive(Debug, Clone, PartialEq)]
pub struct TrialAdvice {
    /// Index of the plane.
    pub plane: usize,
    /// How much; `None`: nothing is known to size it by.
    pub amount: Option<UnbalanceAmount>,
    /// The same as a mass at the trial radius, where that is known.
    pub mass: Option<Mass>,
    /// What decided the amount.
    pub decided_by: Option<TrialSize>,
    /// Where: where the correction will go, if that is known; `None`: anywhere.
    pub angle: Option<Angle>,
    /// A quarter turn further: a second trial here proves how angles are counted. Needed once per stand.
    pub quarter_turn: Option<Angle>,
    /// The force it makes at the stand's speed, in newtons.
    pub force_newtons: Option<f64>,
    /// What the dials may show.
    pub readings: Vec<TrialReading>,
    /// What to mind.
    pub cautions: Vec<Caution>,
}

impl TrialAdvice {
    /// The advice in plain words, one sentence for each line; the cautions are not repeated.
    #[must_use]
    pub fn sentences(&self, setup: &Setup) -> Vec<String> {
        let place = setup.planes.get(self.plane).map_or("", |plane| plane.name.as_str());
        let Some(amount) = self.amount else {
            return vec![format!(
                "Nothing is known to size a trial at {place} by: say how much may be left, or the shaft's mass and speed."
            )];
        };
        let size = match self.mass {
            Some(mass) => format!("{} g", rounded(mass.grams())),
            None => format!("{} g at the usual radius", rounded(amount.gram_millimetres())),
        };
        let at = self.angle.map_or("anywhere".into(), |angle| {
            format!("at {:.0} deg, where the correction will go", angle.degrees_in_turn().round() % 360.0)
        });
        let mut lines = vec![format!("Trial at {place}: about {size}, {at}.")];
        lines.extend(self.decided_by.map(|why| why.sentence().to_string()));
        lines.extend(
            self.force_newtons.map(|force| format!("It pulls with {force:.0} N at the stand's speed.")),
        );
        for reading in &self.readings {
            let sensor = setup.sensors.get(reading.sensor);
            let (name, unit) = sensor.map_or(("", ""), |own| (own.name.as_str(), own.unit.as_str()));
            lines.push(format!(
                "Dial {name}: {:.2} {unit} now, about {:.2} expected, at most {:.2} if it sits elsewhere.",
                reading.now, reading.expected, reading.worst
            ));
        }
        if let Some(quarter) = self.quarter_turn.filter(|_| setup.convention.proved.is_none()) {
            lines.push(format!(
                "Once for each stand: a second trial of the same mass at {:.0} deg, a quarter turn further, proves how \
                 angles are counted.",
                quarter.degrees_in_turn().round() % 360.0
            ));
        }
        lines
    }
}

impl TrialSize {
    /// Why the trial is this large.
    #[must_use]
    pub fn sentence(self) -> &'static str {
        match self {
            Self::Tolerance => "It makes 5 to 10 times what may be left.",
            Self::Effect => "It changes a reading by about a third.",
            Self::Noise => "It stands clear of the reading noise for a correction of this size.",
            Self::MostReading => "It is as large as the reading at which to stop allows.",
        }
    }
}

/// Half grams as people write them; small amounts keep two digits.
fn rounded(grams: f64) -> String {
    if grams < 2.0 { format!("{grams:.2}") } else { format!("{}", (grams * 2.0).round() / 2.0) }
}

/// What may be left in each of two planes of a shaft of this mass, if nobody said: half of G16.
#[must_use]
pub fn usual_permissible(mass: Mass, speed: Speed) -> Option<UnbalanceAmount> {
    let whole = Grade::from_millimetres_per_second(USUAL_GRADE).ok()?.permissible(mass, speed).ok()?;
    UnbalanceAmount::from_gram_millimetres(whole.gram_millimetres() / 2.0).ok()
}

/// Advises on the next trial in a plane.
///
/// # Method
///
/// The smallest trial that makes 5 times what may be left, changes some reading by 30 % (both common practice, no
/// source) and keeps noise·|correction/trial| below a quarter; cut back so that no reading can pass the limit at which
/// to stop. Seven times what may be left where nothing is known of the shaft. It goes where the correction will go.
#[must_use]
pub fn trial_advice(question: &TrialQuestion<'_>) -> TrialAdvice {
    let lines = question.known.map_or_else(Vec::new, |(set, influence)| answers(question, set, influence));
    let wanted = question.known.and_then(|(set, influence)| wanted(question.plane, set, influence));
    let mut cautions = Vec::new();
    let sized = size(question, &lines, wanted, &mut cautions);
    let angle = wanted.filter(|wanted| *wanted != Complex64::ZERO).map(Angle::of);
    let amount = sized.and_then(|(amount, _)| UnbalanceAmount::from_gram_millimetres(amount).ok());
    let vector =
        angle.unwrap_or(Angle::ZERO).unit_vector() * amount.map_or(0.0, UnbalanceAmount::gram_millimetres);
    if lines.is_empty() {
        cautions.push(Caution::TrialUnknownEffect);
    }
    let radius = question.setup.planes.get(question.plane).and_then(has_radius);
    TrialAdvice {
        plane: question.plane,
        amount,
        mass: amount.and_then(|amount| Mass::from_grams(amount.gram_millimetres() / radius?).ok()),
        decided_by: sized.map(|(_, why)| why),
        angle,
        quarter_turn: angle.and_then(|angle| Angle::from_degrees(angle.degrees() + 90.0).ok()),
        force_newtons: radius
            .and(amount)
            .zip(question.speed)
            .map(|(own, speed)| centrifugal_newtons(own, speed)),
        readings: lines.iter().map(|line| line.reading(vector)).collect(),
        cautions,
    }
}

/// The trial radius in mm, where the plane has one.
fn has_radius(plane: &CorrectionPlane) -> Option<f64> {
    let radius = plane.trial_radius.filter(|_| plane.radius.is_some()).or(plane.radius)?;
    Some(radius.millimetres()).filter(|radius| *radius > 0.0)
}

/// How one sensor answers the plane.
struct Answer {
    group: usize,
    sensor: usize,
    now: Complex64,
    coefficient: Complex64,
    /// Complex rms of the next reading's noise.
    noise: Option<f64>,
    most: Option<f64>,
}

impl Answer {
    fn reading(&self, trial: Complex64) -> TrialReading {
        let effect = self.coefficient * trial;
        TrialReading {
            group: self.group,
            sensor: self.sensor,
            now: self.now.norm(),
            expected: (self.now + effect).norm(),
            worst: self.now.norm() + effect.norm(),
        }
    }
}

fn whole<'a>(set: &RunSet, influence: &'a Influence) -> System<'a> {
    let groups: Vec<usize> = (0..set.groups().len()).collect();
    System::of(set, influence, &groups, Which::Now)
}

fn answers(question: &TrialQuestion<'_>, set: &RunSet, influence: &Influence) -> Vec<Answer> {
    let of_line = |line: &crate::influence::Line<'_>| {
        let coefficient = line.fit.coefficients.get(question.plane).copied()?;
        let variance = line.fit.next_reading_variance(set, line.state.reading.norm());
        Some(Answer {
            group: line.group,
            sensor: line.state.sensor,
            now: line.state.reading,
            coefficient,
            noise: variance.map(|variance| (2.0 * variance).sqrt()),
            most: question.most_reading.get(line.state.sensor).copied().flatten(),
        })
    };
    whole(set, influence)
        .lines
        .iter()
        .filter_map(of_line)
        .filter(|own| own.coefficient.norm() > 0.0)
        .collect()
}

/// The correction as it looks now.
fn wanted(plane: usize, set: &RunSet, influence: &Influence) -> Option<Complex64> {
    whole(set, influence).unbalance().get(plane).map(|unbalance| -unbalance)
}

fn size(
    question: &TrialQuestion<'_>,
    lines: &[Answer],
    wanted: Option<Complex64>,
    cautions: &mut Vec<Caution>,
) -> Option<(f64, TrialSize)> {
    let allowed = question.permissible.map(UnbalanceAmount::gram_millimetres);
    let times = if lines.is_empty() { USUAL_TIMES } else { TIMES_PERMISSIBLE[0] };
    let tolerance = allowed.map(|allowed| (times * allowed, TrialSize::Tolerance));
    let effects = lines.iter().map(|line| EFFECT * line.now.norm() / line.coefficient.norm());
    let effect = effects.min_by(f64::total_cmp).map(|amount| (amount, TrialSize::Effect));
    let correction = wanted.map_or(0.0, Complex64::norm);
    let shares = lines.iter().filter_map(|line| Some(line.noise? / line.now.norm()));
    let share = shares.filter(|share| share.is_finite()).max_by(f64::total_cmp);
    let noise = share.map(|share| (share * correction / NOISE_SHARE, TrialSize::Noise));
    let needed =
        [tolerance, effect, noise].into_iter().flatten().max_by(|one, other| one.0.total_cmp(&other.0))?;
    let room = |line: &Answer| Some((line.most? - line.now.norm()).max(0.0) / line.coefficient.norm());
    match lines.iter().filter_map(room).min_by(f64::total_cmp).filter(|room| *room < needed.0) {
        None => Some(needed),
        Some(room) => {
            cautions.push(Caution::TrialLimited);
            Some((room, TrialSize::MostReading)).filter(|(room, _)| *room > 0.0)
        }
    }
}
