//! A hypothesis as an edit of what the file says.

use super::accused::Origins;
use super::hypothesis::{Hypothesis, ListedMass, MassSlip, ReadingSlip, Suspects, Turned};
use crate::quantity::{Angle, Mass};
use crate::run::{Entry, PhaseSense, PlacedMass, RunSet, SensorReading};
use crate::shaft::PlaneId;

impl Hypothesis {
    /// The set as it would be if this had been entered correctly.
    pub(super) fn applied(&self, set: &RunSet, origins: &Origins) -> RunSet {
        match *self {
            Self::Masses(suspects, MassSlip::NotOn) => taken_off(set, origins, suspects),
            Self::Masses(suspects, slip) => change(set, origins, suspects, |mass| correct(mass, slip)),
            Self::PlanesSwapped { who, planes: [first, second] } => {
                change(set, origins, Suspects { who, plane: None }, |mass| {
                    mass.plane = swapped(mass.plane, first, second);
                })
            }
            Self::Exchanged(pieces) => exchanged(set, origins, pieces),
            Self::TrialLeftOn { trial, from, to } => {
                let left_on = own_masses(set, origins, trial);
                set.edited(|row, entry| {
                    if (from..=to).contains(&row) {
                        entry.masses.extend(left_on.iter().cloned());
                    }
                })
            }
            Self::MarkMoved { from, to, degrees, turned } => {
                mark_moved(set, origins, [from, to], f64::from(degrees), turned)
            }
            Self::SensorsSwapped { rows: [from, to], sensors: [first, second] } => {
                set.edited(|row, entry| {
                    if (from..=to).contains(&row) {
                        entry.readings.swap(first.index(), second.index());
                    }
                })
            }
            Self::Reading { .. } => self.applied_to_readings(set),
            Self::RunsSwapped { rows: [one, other] } => set.edited(|row, entry| {
                if row == one || row == other {
                    entry.readings.clone_from(&set.rows()[one + other - row].run.readings);
                }
            }),
        }
    }
}

impl Hypothesis {
    /// The set with one sensor's readings as they really were; unchanged by any other hypothesis.
    pub(super) fn applied_to_readings(&self, set: &RunSet) -> RunSet {
        let Self::Reading { rows: [from, to], sensor, slip } = *self else { return set.clone() };
        set.edited(|row, entry| {
            if (from..=to).contains(&row) {
                read_right(&mut entry.readings[sensor], slip);
            }
        })
    }
}

/// Changes every suspect mass in every row that repeats it.
fn change(
    set: &RunSet,
    origins: &Origins,
    suspects: Suspects,
    mut edit: impl FnMut(&mut PlacedMass),
) -> RunSet {
    set.edited(|row, entry| {
        for (at, mass) in entry.masses.iter_mut().enumerate() {
            if origins.concerns(row, at, mass, suspects) {
                edit(mass);
            }
        }
    })
}

fn taken_off(set: &RunSet, origins: &Origins, suspects: Suspects) -> RunSet {
    set.edited(|row, entry| {
        let mut at = 0;
        entry.masses.retain(|mass| {
            at += 1;
            !origins.concerns(row, at - 1, mass, suspects)
        });
    })
}

fn correct(mass: &mut PlacedMass, slip: MassSlip) {
    match slip {
        MassSlip::OtherWayRound => mass.angle = mass.angle.mirrored(),
        MassSlip::Turned(degrees) => mass.angle = turned(mass.angle, f64::from(degrees)),
        MassSlip::Amount(amount) => {
            mass.mass = scaled(mass.mass, amount.factor());
            mass.bead = scaled(mass.bead, amount.factor());
        }
        MassSlip::DigitLost { degrees } => mass.angle = turned(Angle::ZERO, f64::from(degrees)),
        MassSlip::NotOn => {}
    }
}

/// The two weights in each other's places: plane, angle and bead stay, the weights change places.
fn exchanged(set: &RunSet, origins: &Origins, [one, other]: [ListedMass; 2]) -> RunSet {
    let mass_of = |piece: ListedMass| set.rows()[piece.row].masses[piece.at].mass;
    set.edited(|row, entry| {
        for (at, mass) in entry.masses.iter_mut().enumerate() {
            let origin = origins.of(row, at);
            if origin == Some(one) {
                mass.mass = mass_of(other);
            } else if origin == Some(other) {
                mass.mass = mass_of(one);
            }
        }
    })
}

/// The masses that were put on in a row, with the radius they had there.
fn own_masses(set: &RunSet, origins: &Origins, row: usize) -> Vec<PlacedMass> {
    let masses = &set.rows()[row].masses;
    let own = origins.new_in(row).into_iter().map(|piece| masses[piece.at].clone());
    own.map(|mass| PlacedMass {
        radius: mass.radius.or_else(|| {
            let plane = set.setup().planes.get(mass.plane.index())?;
            plane.trial_radius.filter(|_| plane.radius.is_some())
        }),
        ..mass
    })
    .collect()
}

/// The mark of the stand is `degrees` further in the counting direction than it was: phases from it come out smaller.
fn mark_moved(set: &RunSet, origins: &Origins, rows: [usize; 2], degrees: f64, what: Turned) -> RunSet {
    let counted_by_stand = match set.setup().convention.phase_sense() {
        PhaseSense::SameAsMasses => degrees,
        PhaseSense::OppositeToMasses => -degrees,
    };
    set.edited(|row, entry: &mut Entry| {
        if what != Turned::Weights && (rows[0]..=rows[1]).contains(&row) {
            entry.readings.iter_mut().for_each(|reading| turn_reading(reading, counted_by_stand));
        }
        if what != Turned::Readings {
            for (at, mass) in entry.masses.iter_mut().enumerate() {
                if origins.of(row, at).is_some_and(|origin| origin.row >= rows[0]) {
                    mass.angle = turned(mass.angle, degrees);
                }
            }
        }
    })
}

fn read_right(reading: &mut SensorReading, slip: ReadingSlip) {
    match slip {
        ReadingSlip::PhaseOpposite => turn_reading(reading, 180.0),
        ReadingSlip::Turned(degrees) => turn_reading(reading, f64::from(degrees)),
        ReadingSlip::Dead | ReadingSlip::Misread => *reading = SensorReading::NotRead,
        ReadingSlip::Amount(amount) => {
            if let SensorReading::Shown { amplitude, .. } = reading {
                *amplitude *= amount.factor();
            }
        }
    }
}

fn swapped(plane: PlaneId, first: PlaneId, second: PlaneId) -> PlaneId {
    if plane == first {
        second
    } else if plane == second {
        first
    } else {
        plane
    }
}

fn turned(angle: Angle, degrees: f64) -> Angle {
    Angle::from_degrees(angle.degrees() + degrees).unwrap_or(angle)
}

fn scaled(own: Mass, factor: f64) -> Mass {
    Mass::from_grams(own.grams() * factor).unwrap_or(own)
}

fn turn_reading(reading: &mut SensorReading, degrees: f64) {
    if let SensorReading::Shown { phase, .. } = reading {
        *phase = turned(*phase, degrees);
    }
}
