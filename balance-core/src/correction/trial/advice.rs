//! The adviser's answer.

use crate::caution::Caution;
use crate::quantity::{Angle, Mass, Speed, UnbalanceAmount, Units, shown};
use crate::run::Setup;
use crate::shaft::{PlaneId, SensorId};

/// The advice for one plane.
#[derive(Debug, Clone, PartialEq)]
pub struct TrialAdvice {
    /// Which plane.
    pub plane: PlaneId,
    /// A trial, or why there is none.
    pub next: NextTrial,
}

/// A trial, or why there is none.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub enum NextTrial {
    /// This one.
    Make(Trial),
    /// None, and why.
    None(NoTrial),
}

/// Why no trial is advised.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[non_exhaustive]
pub enum NoTrial {
    /// What was put on there moved a needle by a third, or determines the correction closely enough.
    KnownWell,
    /// The stand shows the unbalance itself.
    ShownByStand,
    /// There is no basis for its size.
    NothingToSizeBy,
    /// A clearly larger one than before would pull too hard.
    NoneLarger,
    /// A needle is already at the stop reading.
    AtMostReading,
}

/// A trial mass and where to put it.
#[derive(Debug, Clone, PartialEq)]
pub struct Trial {
    /// How much.
    pub amount: UnbalanceAmount,
    /// The same as a mass at the trial radius, where that is known.
    pub mass: Option<Mass>,
    /// What decided the amount.
    pub decided_by: TrialSize,
    /// Where: where the correction will go, if that is known; `None`: anywhere.
    pub angle: Option<Angle>,
    /// A quarter turn further: a second trial here proves how angles are counted. Needed once per stand.
    pub quarter_turn: Option<Angle>,
    /// How hard it pulls, where radius and speed are known.
    pub pull: Option<Pull>,
    /// What the dials may show.
    pub readings: Vec<TrialReading>,
    /// The cautions.
    pub cautions: Vec<Caution>,
}

/// The force of a trial.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pull {
    /// In newtons.
    pub newtons: f64,
    /// At this speed.
    pub speed: Speed,
    /// As a share of the shaft's weight, where that is known.
    pub share_of_weight: Option<f64>,
}

/// What decided the trial's size.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[non_exhaustive]
pub enum TrialSize {
    /// Twice what may be left.
    Tolerance,
    /// A change that the dials show clearly.
    Effect,
    /// The reading noise: a smaller trial would not show enough.
    Noise,
    /// A quarter of the shaft's weight: more would pull too hard.
    Pull,
    /// The stop reading: more would be too much.
    MostReading,
}

/// What a sensor may show with the trial on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TrialReading {
    /// Index of the speed group.
    pub group: usize,
    /// Which sensor.
    pub sensor: SensorId,
    /// What it shows now.
    pub now: f64,
    /// What it is expected to show with the trial at the advised place.
    pub expected: f64,
    /// The most it could show with this trial anywhere.
    pub worst: f64,
}

impl TrialAdvice {
    /// The trial, if one is advised.
    #[must_use]
    pub fn trial(&self) -> Option<&Trial> {
        match &self.next {
            NextTrial::Make(trial) => Some(trial),
            NextTrial::None(_) => None,
        }
    }

    /// A stable word for programs: what decided the size, or why there is no trial.
    #[must_use]
    pub fn code(&self) -> &'static str {
        match &self.next {
            NextTrial::Make(trial) => match trial.decided_by {
                TrialSize::Tolerance => "twice-permissible",
                TrialSize::Effect => "effect",
                TrialSize::Noise => "noise",
                TrialSize::Pull => "pull",
                TrialSize::MostReading => "most-reading",
            },
            NextTrial::None(why) => match why {
                NoTrial::KnownWell => "known-well",
                NoTrial::ShownByStand => "shown-by-stand",
                NoTrial::NothingToSizeBy => "nothing-to-size-by",
                NoTrial::NoneLarger => "none-larger",
                NoTrial::AtMostReading => "at-most-reading",
            },
        }
    }

    /// The cautions; none where no trial is advised.
    #[must_use]
    pub fn cautions(&self) -> &[Caution] {
        self.trial().map_or(&[], |trial| &trial.cautions)
    }

    /// The advice in plain words, one sentence on each line; the cautions are not repeated.
    #[must_use]
    pub fn sentences(&self, setup: &Setup, units: Units) -> Vec<String> {
        let place = setup.planes.get(self.plane.index()).map_or("", |plane| plane.name.as_str());
        match &self.next {
            NextTrial::Make(trial) => trial.sentences(setup, place, units),
            NextTrial::None(why) => vec![why.sentence(place)],
        }
    }
}

impl NoTrial {
    /// Why there is no trial at this place.
    #[must_use]
    pub fn sentence(self, place: &str) -> String {
        match self {
            Self::KnownWell => format!(
                "No trial is needed at {place}: the runs already show well enough how the shaft responds \
                there."
            ),
            Self::ShownByStand => {
                format!("No trial is needed at {place}: the stand shows the unbalance itself.")
            }
            Self::NothingToSizeBy => {
                format!("A trial at {place} cannot be sized yet: state how much may be left there.")
            }
            Self::NoneLarger => format!(
                "No larger trial at {place}: it would pull with more than a quarter of the shaft's \
                 weight. Repeat each run instead, or correct with what is known and judge by the check \
                 run."
            ),
            Self::AtMostReading => format!(
                "No trial at {place}: a needle is already at the stop reading. Run slower, or first find \
                 out why it reads so much."
            ),
        }
    }
}

impl Trial {
    fn sentences(&self, setup: &Setup, place: &str, units: Units) -> Vec<String> {
        let size = match self.mass {
            Some(mass) => small_mass(units, mass.grams()),
            None => format!("{} at the usual radius", small_mass(units, self.amount.gram_millimetres())),
        };
        let at = self.angle.map_or("anywhere".into(), |angle| {
            format!("at {:.0} deg, where the correction will go", angle.degrees_in_turn().round() % 360.0)
        });
        let mut lines = vec![format!("Trial at {place}: about {size}, {at}.")];
        lines.push(self.decided_by.sentence().to_owned());
        lines.extend(self.pull.map(|pull| pull.sentence(units)));
        lines.extend(self.readings.iter().map(|reading| reading.sentence(setup)));
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
            Self::Tolerance => "It makes twice what may be left there (common practice).",
            Self::Effect => "It should change a reading by about half.",
            Self::Noise => "Its effect is clearly above the reading noise for a correction of this size.",
            Self::Pull => {
                "A larger one would pull with more than a quarter of the shaft's weight (common practice)."
            }
            Self::MostReading => "It is as large as the stop reading allows.",
        }
    }
}

impl Pull {
    fn sentence(self, units: Units) -> String {
        let share = self
            .share_of_weight
            .map_or_else(String::new, |share| format!(", {:.0} % of the shaft's weight", 100.0 * share));
        let pull = shown::force(units, self.newtons);
        format!("It pulls with {pull} at {:.0} rpm{share}.", self.speed.rpm())
    }
}

impl TrialReading {
    fn sentence(&self, setup: &Setup) -> String {
        let sensor = setup.sensors.get(self.sensor.index());
        let (name, unit) = sensor.map_or(("", ""), |own| (own.name.as_str(), own.unit.as_str()));
        format!(
            "Dial {name}: {} {unit} now, about {} expected, at most {} with the mass elsewhere.",
            shown::reading(self.now),
            shown::reading(self.expected),
            shown::reading(self.worst)
        )
    }
}

/// Half grams as people write them; small amounts keep two digits.
fn small_mass(units: Units, grams: f64) -> String {
    let metric = if grams < 2.0 { format!("{grams:.2} g") } else { shown::mass(Units::Metric, grams) };
    units.show(metric, shown::ounces(grams))
}
