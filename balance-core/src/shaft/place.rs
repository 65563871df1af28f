//! Where on the tube weights may go, may not go, and already are.

use super::PlaneId;
use super::stock::StockFault;
use crate::quantity::{Angle, Length, Mass};

/// A part of the circumference, from one angle to another in the direction in which the job counts masses.
/// It may cross the zero mark.
#[derive(Debug, Clone, Copy, PartialEq)]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(try_from = "(Angle, Angle)", into = "(Angle, Angle)")
)]
pub struct Sector {
    from: f64,
    width: f64,
}

impl TryFrom<(Angle, Angle)> for Sector {
    type Error = StockFault;

    fn try_from((from, to): (Angle, Angle)) -> Result<Self, StockFault> {
        Self::new(from, to)
    }
}

impl From<Sector> for (Angle, Angle) {
    fn from(sector: Sector) -> Self {
        let angle = |degrees| Angle::from_degrees(degrees).unwrap_or(Angle::ZERO);
        (angle(sector.from_degrees()), angle(sector.to_degrees()))
    }
}

impl Sector {
    /// The sector from one angle to the other in counting direction; 0 to 360 degrees is all round.
    ///
    /// # Errors
    ///
    /// [`StockFault::EmptySector`] if it ends where it starts.
    ///
    /// # Example
    ///
    /// ```
    /// use balance_core::{quantity::Angle, shaft::Sector};
    /// # fn main() -> Result<(), Box<dyn std::error::Error>> {
    /// let seam = Sector::new(Angle::from_degrees(350.0)?, Angle::from_degrees(20.0)?)?;
    /// assert_eq!(seam.width_degrees(), 30.0);
    /// assert!(seam.contains(Angle::from_degrees(5.0)?));
    /// assert!(!seam.contains(Angle::from_degrees(180.0)?));
    /// # Ok(())
    /// # }
    /// ```
    pub fn new(from: Angle, to: Angle) -> Result<Self, StockFault> {
        let (start, end) = (from.degrees(), to.degrees());
        if start == end {
            return Err(StockFault::EmptySector { at: start });
        }
        let turn = (end - start).rem_euclid(360.0);
        let width = if turn == 0.0 { 360.0 } else { turn };
        Ok(Self { from: from.degrees_in_turn(), width })
    }

    /// Where it starts, 0 or more and less than 360 degrees.
    #[must_use]
    pub fn from_degrees(&self) -> f64 {
        self.from
    }

    /// Where it ends, in counting direction; may be above 360 degrees when it crosses the zero mark.
    #[must_use]
    pub fn to_degrees(&self) -> f64 {
        self.from + self.width
    }

    /// How wide it is, up to 360 degrees.
    #[must_use]
    pub fn width_degrees(&self) -> f64 {
        self.width
    }

    /// Whether an angle lies in it, its ends included.
    #[must_use]
    pub fn contains(&self, angle: Angle) -> bool {
        (angle.degrees() - self.from).rem_euclid(360.0) <= self.width
    }
}

/// Where no weight may be welded: a seam, a dent, a yoke ear.
#[derive(Debug, Clone, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct NoWeld {
    /// Which correction plane.
    pub plane: PlaneId,
    /// The sector that stays free.
    pub sector: Sector,
    /// Why: "tube seam".
    pub reason: String,
}

/// A place that takes a weight: an ear, a bolt hole. A plane with any of these takes weights nowhere else.
#[derive(Debug, Clone, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct FixedPlace {
    /// Which correction plane.
    pub plane: PlaneId,
    /// Where its middle is.
    pub angle: Angle,
    /// What the shop calls it: "bolt 3".
    pub name: String,
}

/// Whether a weight that is on the shaft may be taken off again.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub enum HowHeld {
    /// It may be ground off, and welded on elsewhere.
    CanComeOff,
    /// It stays where it is.
    Stays,
}

/// A weight that is already on the shaft: the shaft came with it, or an earlier check row put it on.
#[derive(Debug, Clone, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct WeldedBefore {
    /// Which correction plane.
    pub plane: PlaneId,
    /// Its mass without bead.
    pub mass: Mass,
    /// Its bead, which comes off with it.
    pub bead: Mass,
    /// Where its middle is.
    pub angle: Angle,
    /// Radius of its mass centre, if it differs from the plane's.
    pub radius: Option<Length>,
    /// Along the circumference; without it a width is assumed from the box or from its mass.
    pub width: Option<Length>,
    /// Across the tube's wall.
    pub thickness: Option<Length>,
    /// Whether it may come off.
    pub hold: HowHeld,
    /// The run it was fitted in; `None`: the shaft came with it.
    pub fitted_in: Option<String>,
}

impl WeldedBefore {
    /// A weight that may come off, without a bead of its own and of unknown size.
    #[must_use]
    pub fn new(plane: PlaneId, mass: Mass, angle: Angle) -> Self {
        Self {
            plane,
            mass,
            bead: Mass::ZERO,
            angle,
            radius: None,
            width: None,
            thickness: None,
            hold: HowHeld::CanComeOff,
            fitted_in: None,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn degrees(value: f64) -> Angle {
        Angle::from_degrees(value).unwrap()
    }

    #[test]
    fn an_empty_sector_is_refused_and_a_full_turn_is_not() {
        assert_eq!(Sector::new(degrees(20.0), degrees(20.0)), Err(StockFault::EmptySector { at: 20.0 }));
        assert_eq!(Sector::new(degrees(0.0), degrees(360.0)).unwrap().width_degrees(), 360.0);
        assert_eq!(Sector::new(degrees(350.0), degrees(20.0)).unwrap().to_degrees(), 380.0);
    }

    #[test]
    fn a_sector_runs_in_counting_direction() {
        let wide = Sector::new(degrees(20.0), degrees(350.0)).unwrap();
        assert_eq!(wide.width_degrees(), 330.0);
        assert!(!wide.contains(degrees(0.0)));
        assert!(wide.contains(degrees(180.0)));
        assert!(wide.contains(degrees(-10.0)));
    }
}
