//! One thing that may have gone wrong, as an edit of what the file says.

use super::accused::Origins;
use crate::quantity::{Angle, Mass};
use crate::run::{Entry, PlacedMass, RunSet, SensorReading};

/// Which masses a hypothesis is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Who {
    /// Those that came on in the run that does not fit; `from` is its first row.
    CameOn {
        /// Index of that row.
        from: usize,
    },
    /// The trial masses.
    Trials,
    /// All masses of the file.
    All,
}

/// Which masses, and in which plane.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Suspects {
    /// Which masses.
    pub who: Who,
    /// Only those in this plane; `None`: in all planes.
    pub plane: Option<usize>,
}

/// What the masses really were, as a multiple of what was entered.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Amount {
    /// Twice as much.
    Double,
    /// Half as much.
    Half,
}

impl Amount {
    fn factor(self) -> f64 {
        match self {
            Self::Double => 2.0,
            Self::Half => 0.5,
        }
    }
}

/// What a moved zero mark turned.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Turned {
    /// The stand's mark: readings are turned, weights sit where they should.
    Readings,
    /// The mark that the tape starts from: weights are turned, readings are right.
    Weights,
    /// One mark for both.
    Both,
}

/// One thing that may have gone wrong. Degrees are whole and counted as the job counts masses.
#[derive(Debug, Clone, PartialEq)]
pub enum Hypothesis {
    /// Angles were counted the other way round.
    OtherWayRound(Suspects),
    /// Masses sat on the opposite side.
    OppositeSide(Suspects),
    /// Masses were twice or half of what was entered.
    WrongAmount(Suspects, Amount),
    /// Masses of two planes were swapped.
    PlanesSwapped {
        /// Which masses.
        who: Who,
        /// The two planes.
        planes: [usize; 2],
    },
    /// A trial mass was left on.
    TrialLeftOn {
        /// Row of that trial.
        trial: usize,
        /// First row in which it was still on.
        from: usize,
        /// Last row in which it was still on.
        to: usize,
    },
    /// A weight that is entered was not on.
    WeightForgotten {
        /// First row that lists it.
        from: usize,
        /// The weight.
        mass: PlacedMass,
    },
    /// None of the weights that are entered was on.
    NothingOn {
        /// First row that lists them.
        from: usize,
    },
    /// The zero mark moved before a run.
    MarkMoved {
        /// First row after it moved.
        from: usize,
        /// Last row that it concerns.
        to: usize,
        /// By how much.
        degrees: i32,
        /// What it turned.
        turned: Turned,
    },
    /// Two sensors were swapped.
    SensorsSwapped {
        /// The rows concerned.
        rows: [usize; 2],
        /// The two sensors.
        sensors: [usize; 2],
    },
    /// A sensor's phase was off by half a turn.
    PhaseOpposite {
        /// The rows concerned.
        rows: [usize; 2],
        /// The sensor.
        sensor: usize,
    },
}

impl Hypothesis {
    /// The set as it would be if this had been entered as it was.
    pub(super) fn applied(&self, set: &RunSet, origins: &Origins) -> RunSet {
        match self {
            Self::OtherWayRound(suspects) => change(set, origins, *suspects, |mass| {
                mass.angle = mass.angle.mirrored();
            }),
            Self::OppositeSide(suspects) => change(set, origins, *suspects, |mass| turn(mass, 180.0)),
            Self::WrongAmount(suspects, amount) => {
                change(set, origins, *suspects, |mass| scale(mass, amount.factor()))
            }
            Self::PlanesSwapped { who, planes: [first, second] } => {
                change(set, origins, Suspects { who: *who, plane: None }, |mass| {
                    mass.plane = swapped(mass.plane, *first, *second);
                })
            }
            Self::TrialLeftOn { trial, from, to } => {
                let left_on = own_masses(set, origins, *trial);
                set.edited(|row, entry| {
                    if (*from..=*to).contains(&row) {
                        entry.masses.extend(left_on.iter().cloned());
                    }
                })
            }
            Self::WeightForgotten { from, mass } => set.edited(|row, entry| {
                let own =
                    |at: usize, other: &PlacedMass| origins.of(row, at) == Some(*from) && other.same_as(mass);
                if let Some(at) = (0..entry.masses.len()).find(|&at| own(at, &entry.masses[at])) {
                    entry.masses.remove(at);
                }
            }),
            Self::NothingOn { from } => set.edited(|row, entry| {
                let mut at = 0;
                entry.masses.retain(|_| {
                    at += 1;
                    origins.of(row, at - 1) != Some(*from)
                });
            }),
            Self::MarkMoved { from, to, degrees, turned } => {
                mark_moved(set, origins, [*from, *to], f64::from(*degrees), *turned)
            }
            Self::SensorsSwapped { rows: [from, to], sensors: [first, second] } => {
                set.edited(|row, entry| {
                    if (*from..=*to).contains(&row) {
                        entry.readings.swap(*first, *second);
                    }
                })
            }
            Self::PhaseOpposite { rows: [from, to], sensor } => set.edited(|row, entry| {
                if (*from..=*to).contains(&row) {
                    turn_reading(&mut entry.readings[*sensor], 180.0);
                }
            }),
        }
    }
}

/// Changes every mass the suspects are about, in every row that repeats it.
fn change(
    set: &RunSet,
    origins: &Origins,
    suspects: Suspects,
    mut edit: impl FnMut(&mut PlacedMass),
) -> RunSet {
    set.edited(|row, entry| {
        for (at, mass) in entry.masses.iter_mut().enumerate() {
            let concerned = suspects.plane.is_none_or(|plane| plane == mass.plane);
            if concerned && origins.is(row, at, suspects.who) {
                edit(mass);
            }
        }
    })
}

/// The masses that came on in a row, with the radius they had there.
fn own_masses(set: &RunSet, origins: &Origins, row: usize) -> Vec<PlacedMass> {
    let masses = &set.rows()[row].masses;
    let own = (0..masses.len()).filter(|&at| origins.of(row, at) == Some(row)).map(|at| masses[at].clone());
    own.map(|mass| PlacedMass {
        radius: mass.radius.or_else(|| {
            let plane = set.setup().planes.get(mass.plane)?;
            plane.trial_radius.filter(|_| plane.radius.is_some())
        }),
        ..mass
    })
    .collect()
}

/// The mark of the stand is `degrees` further in the counting direction than it was: phases from it come out smaller.
fn mark_moved(set: &RunSet, origins: &Origins, rows: [usize; 2], degrees: f64, turned: Turned) -> RunSet {
    let counted_by_stand = match set.setup().convention.phase_sense() {
        crate::run::PhaseSense::SameAsMasses => degrees,
        crate::run::PhaseSense::OppositeToMasses => -degrees,
    };
    set.edited(|row, entry: &mut Entry| {
        if turned != Turned::Weights && (rows[0]..=rows[1]).contains(&row) {
            entry.readings.iter_mut().for_each(|reading| turn_reading(reading, counted_by_stand));
        }
        if turned != Turned::Readings {
            for (at, mass) in entry.masses.iter_mut().enumerate() {
                if origins.of(row, at).is_some_and(|origin| origin >= rows[0]) {
                    turn(mass, degrees);
                }
            }
        }
    })
}

fn swapped(plane: usize, first: usize, second: usize) -> usize {
    if plane == first {
        second
    } else if plane == second {
        first
    } else {
        plane
    }
}

fn turn(mass: &mut PlacedMass, degrees: f64) {
    mass.angle = turned(mass.angle, degrees);
}

fn turned(angle: Angle, degrees: f64) -> Angle {
    Angle::from_degrees(angle.degrees() + degrees).unwrap_or(angle)
}

fn scale(mass: &mut PlacedMass, factor: f64) {
    let scaled = |own: Mass| Mass::from_grams(own.grams() * factor).unwrap_or(own);
    mass.mass = scaled(mass.mass);
    mass.bead = scaled(mass.bead);
}

fn turn_reading(reading: &mut SensorReading, degrees: f64) {
    if let SensorReading::Shown { phase, .. } = reading {
        *phase = turned(*phase, degrees);
    }
}
