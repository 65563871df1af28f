//! From what a hand should do to what it does and writes down: masses misplaced, misweighed or written
//! wrongly.

use balance_core::Complex64;

use super::sheet::{Line, Shown};
use crate::random::Random;

/// What is written wrongly, once.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Wrong {
    /// The mass, by this factor.
    Mass(f64),
    /// The angle, by this many degrees.
    Angle(f64),
    /// The place: the first plane for the last and the last for the first.
    Plane,
    /// One sensor's amplitude, by this factor.
    Reading(f64),
    /// The readings of two sensors, one in the other's cell.
    SensorsSwapped,
    /// Phases counted the other way round.
    Mirrored,
    /// One sensor did not move from what it showed in the run before.
    Dead,
}

/// In which runs.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum In {
    /// The first trial.
    FirstTrial,
    /// The last trial.
    LastTrial,
    /// Every trial.
    Trials,
    /// The first weights that stay on, or the first of their check runs.
    FirstCheck,
    /// Every run.
    All,
}

/// A hand.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Hand {
    /// How far a mass is from where it should be, degrees (one sigma).
    pub place: f64,
    /// How far the scale is off, grams (one sigma).
    pub scale: f64,
    /// What it writes wrongly.
    pub slip: Option<(In, Wrong)>,
}

/// A mass on the shaft: as entered and as it is, plane and grams at an angle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fitted {
    /// What the file says.
    pub entered: (usize, Complex64),
    /// What is on.
    pub real: (usize, Complex64),
}

impl Hand {
    /// A hand that makes no errors.
    #[must_use]
    pub fn exact() -> Self {
        Self { place: 0.0, scale: 0.0, slip: None }
    }

    /// Puts a mass on, weighed to a tenth of a gram and read off to a whole degree, and writes it down.
    pub fn fit(
        &self,
        when: Option<In>,
        wanted: (usize, Complex64),
        planes: usize,
        random: &mut Random,
    ) -> Fitted {
        let (plane, mass) = wanted;
        let read = Complex64::from_polar(
            (mass.norm() * 10.0).round() / 10.0,
            mass.arg().to_degrees().round().to_radians(),
        );
        let turn = Complex64::cis((self.place * random.normal()).to_radians());
        let real = read.norm() + self.scale * random.normal();
        let real = Complex64::cis(read.arg()) * turn * real.max(0.0);
        let entered = match self.slip_of(when) {
            Some(Wrong::Mass(factor)) => (plane, read * factor),
            Some(Wrong::Angle(degrees)) => (plane, read * Complex64::cis(degrees.to_radians())),
            Some(Wrong::Plane) => (planes - 1 - plane, read),
            _ => (plane, read),
        };
        Fitted { entered, real: (plane, real) }
    }

    /// Writes the readings of a run down.
    pub fn write(&self, when: Option<In>, line: &mut Line, before: Option<&Line>, sensor: usize) {
        match self.slip_of(when) {
            Some(Wrong::Reading(factor)) => {
                if let Shown::Value(amplitude, _) = &mut line.readings[sensor] {
                    *amplitude *= factor;
                }
            }
            Some(Wrong::Mirrored) => {
                for reading in &mut line.readings {
                    if let Shown::Value(_, phase) = reading {
                        *phase = 360.0 - *phase;
                    }
                }
            }
            Some(Wrong::SensorsSwapped) => line.readings.reverse(),
            Some(Wrong::Dead) => {
                if let Some(before) = before {
                    line.readings[sensor] = before.readings[sensor];
                }
            }
            _ => {}
        }
    }

    fn slip_of(&self, when: Option<In>) -> Option<Wrong> {
        let (own, wrong) = self.slip?;
        let trial = matches!(when, Some(In::FirstTrial | In::LastTrial));
        (own == In::All || when == Some(own) || (own == In::Trials && trial)).then_some(wrong)
    }
}
