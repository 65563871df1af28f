//! Weights, bars and beads in JSON: values that are read back pass the same checks as everything else.

use serde::{Deserialize, Serialize};

use super::stock::{Aim, Bar, BarMass, Section, StampedWeight, StockFault, Weld};
use crate::quantity::{Length, Mass};

/// A ready weight.
#[derive(Debug, Serialize, Deserialize)]
pub(super) struct Stamped {
    mass: Mass,
    width: Option<Length>,
    thickness: Option<Length>,
    count: Option<u32>,
}

impl TryFrom<Stamped> for StampedWeight {
    type Error = StockFault;

    fn try_from(read: Stamped) -> Result<Self, StockFault> {
        let Stamped { mass, width, thickness, count } = read;
        let mut weight = Self::new(mass)?;
        (weight.width, weight.thickness, weight.count) = (width, thickness, count);
        Ok(weight)
    }
}

impl From<StampedWeight> for Stamped {
    fn from(weight: StampedWeight) -> Self {
        Self { mass: weight.mass(), width: weight.width, thickness: weight.thickness, count: weight.count }
    }
}

/// A bar.
#[derive(Debug, Serialize, Deserialize)]
pub(super) struct Cut {
    section: Section,
    shortest: Length,
    longest: Length,
    grams_per_millimetre: f64,
}

impl TryFrom<Cut> for Bar {
    type Error = StockFault;

    fn try_from(read: Cut) -> Result<Self, StockFault> {
        let mass = BarMass::GramsPerMillimetre(read.grams_per_millimetre);
        Self::new(read.section, read.shortest, read.longest, mass)
    }
}

impl From<Bar> for Cut {
    fn from(bar: Bar) -> Self {
        Self {
            section: bar.section(),
            shortest: bar.shortest(),
            longest: bar.longest(),
            grams_per_millimetre: bar.grams_per_millimetre(),
        }
    }
}

/// The weld.
#[derive(Debug, Serialize, Deserialize)]
pub(super) struct Bead {
    bead_mass: Mass,
    most_per_plane: usize,
    gap: Length,
    aim: Aim,
}

impl TryFrom<Bead> for Weld {
    type Error = StockFault;

    fn try_from(read: Bead) -> Result<Self, StockFault> {
        let mut weld = Self::new(read.bead_mass, read.most_per_plane, read.gap)?;
        weld.aim = read.aim;
        Ok(weld)
    }
}

impl From<Weld> for Bead {
    fn from(weld: Weld) -> Self {
        Self {
            bead_mass: weld.bead_mass,
            most_per_plane: weld.most_per_plane(),
            gap: weld.gap,
            aim: weld.aim,
        }
    }
}
