//! What can be welded on: the box of stamped weights, and the bar that weights are cut from.

use crate::quantity::{Density, Length, Mass};

/// Structural steel, kg/m³ (EN 1991-1-1:2002, table A.4 gives 77.0 to 78.5 kN/m³; 7850 is the usual figure).
pub const STEEL_KILOGRAMS_PER_CUBIC_METRE: f64 = 7850.0;

/// Cubic metres in a cubic millimetre times grams in a kilogram.
const GRAMS_PER_CUBIC_MILLIMETRE: f64 = 1e-6;

/// Why something cannot be a weight, a bar, a weld or a place on the tube.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum StockFault {
    /// A measure that has to be more than zero.
    #[error("{what} is zero; it must be more")]
    Zero {
        /// Which measure: "mass of a weight".
        what: &'static str,
    },
    /// A bar whose shortest piece is longer than its longest.
    #[error("the shortest piece is longer than the longest")]
    ShortestAboveLongest {
        /// Shortest, in mm.
        shortest: f64,
        /// Longest, in mm.
        longest: f64,
    },
    /// More lengths of one bar than are worth trying.
    #[error("{found} lengths between shortest and longest; at most {allowed} are allowed")]
    TooManyLengths {
        /// Whole millimetres between shortest and longest.
        found: f64,
        /// The most.
        allowed: u32,
    },
    /// An unsupported number of weights per plane.
    #[error("{found} weights in one plane; 1 to {allowed} are allowed")]
    WeightsPerPlane {
        /// The number found.
        found: usize,
        /// The most.
        allowed: usize,
    },
    /// A sector that starts where it ends.
    #[error("sector from {at} deg to {at} deg is empty")]
    EmptySector {
        /// Where, in degrees.
        at: f64,
    },
}

/// Anything that can be welded on as a balance weight.
#[derive(Debug, Clone, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub enum WeldOn {
    /// A ready piece.
    Stamped(StampedWeight),
    /// A bar to cut from; the answer is then a length to cut, along the circumference.
    Bar(Bar),
}

/// A ready weight of the box.
#[derive(Debug, Clone, Copy, PartialEq)]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(try_from = "super::stock_json::Stamped", into = "super::stock_json::Stamped")
)]
pub struct StampedWeight {
    mass: Mass,
    /// Along the circumference; without it a weight counts as a point and overlapping is not checked.
    pub width: Option<Length>,
    /// Across the tube's wall: the mass centre sits half of it above the tube.
    pub thickness: Option<Length>,
    /// How many are in the box; `None`: as many as needed.
    pub count: Option<u32>,
}

impl StampedWeight {
    /// A weight of this mass, as stamped or weighed, without bead; size unknown, as many as needed.
    ///
    /// # Errors
    ///
    /// [`StockFault::Zero`] if its mass is zero.
    pub fn new(mass: Mass) -> Result<Self, StockFault> {
        above_zero("mass of a weight", mass.grams())?;
        Ok(Self { mass, width: None, thickness: None, count: None })
    }

    /// Its mass without bead.
    #[must_use]
    pub fn mass(&self) -> Mass {
        self.mass
    }
}

/// How heavy a bar is.
#[derive(Debug, Clone, Copy, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub enum BarMass {
    /// By its section and this density.
    Density(Density),
    /// As weighed: grams for each millimetre of length.
    GramsPerMillimetre(f64),
}

impl BarMass {
    /// A steel bar, 7850 kg/m³.
    #[must_use]
    pub fn steel() -> Self {
        let density = Density::from_kilograms_per_cubic_metre(STEEL_KILOGRAMS_PER_CUBIC_METRE);
        Self::Density(density.expect("7850 is a density"))
    }
}

/// A flat bar to cut weights from, laid round the tube.
#[derive(Debug, Clone, Copy, PartialEq)]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(try_from = "super::stock_json::Cut", into = "super::stock_json::Cut")
)]
pub struct Bar {
    section: Section,
    shortest: Length,
    longest: Length,
    grams_per_millimetre: f64,
}

/// A bar's section, "25 mm x 3 mm".
#[derive(Debug, Clone, Copy, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct Section {
    /// The side that lies along the shaft.
    pub along_shaft: Length,
    /// The side at right angles to the tube's surface.
    pub thickness: Length,
}

impl Bar {
    /// The most lengths between shortest and longest that are tried, in whole millimetres.
    pub const MOST_LENGTHS: u32 = 300;

    /// A bar of this section from which pieces from `shortest` to `longest` are cut, in whole millimetres.
    ///
    /// # Errors
    ///
    /// [`StockFault`] if a measure is zero, shortest is above longest, or there are more than
    /// [`Bar::MOST_LENGTHS`] lengths.
    ///
    /// # Example
    ///
    /// ```
    /// use balance_core::quantity::Length;
    /// use balance_core::shaft::{Bar, BarMass, Section};
    /// # fn main() -> Result<(), Box<dyn std::error::Error>> {
    /// let mm = Length::from_millimetres;
    /// let section = Section { along_shaft: mm(25.0)?, thickness: mm(3.0)? };
    /// let bar = Bar::new(section, mm(10.0)?, mm(60.0)?, BarMass::steel())?;
    /// // 25 × 25 × 3 mm of steel: 14.7 g.
    /// assert!((bar.mass_of(mm(25.0)?).grams() - 14.7).abs() < 0.05);
    /// # Ok(())
    /// # }
    /// ```
    pub fn new(
        section: Section,
        shortest: Length,
        longest: Length,
        mass: BarMass,
    ) -> Result<Self, StockFault> {
        above_zero("width of the bar", section.along_shaft.millimetres())?;
        above_zero("thickness of the bar", section.thickness.millimetres())?;
        above_zero("shortest piece", shortest.millimetres())?;
        let (least, most) = (shortest.millimetres(), longest.millimetres());
        if least > most {
            return Err(StockFault::ShortestAboveLongest { shortest: least, longest: most });
        }
        if most - least > f64::from(Self::MOST_LENGTHS) {
            return Err(StockFault::TooManyLengths { found: most - least, allowed: Self::MOST_LENGTHS });
        }
        let area = section.along_shaft.millimetres() * section.thickness.millimetres();
        let grams_per_millimetre = match mass {
            BarMass::Density(density) => {
                area * density.kilograms_per_cubic_metre() * GRAMS_PER_CUBIC_MILLIMETRE
            }
            BarMass::GramsPerMillimetre(grams) => grams,
        };
        above_zero("mass of the bar per length", grams_per_millimetre)?;
        Ok(Self { section, shortest, longest, grams_per_millimetre })
    }

    /// Its section.
    #[must_use]
    pub fn section(&self) -> Section {
        self.section
    }

    /// The shortest piece worth welding.
    #[must_use]
    pub fn shortest(&self) -> Length {
        self.shortest
    }

    /// The longest piece that still lies on the tube.
    #[must_use]
    pub fn longest(&self) -> Length {
        self.longest
    }

    /// The mass of a millimetre of it.
    #[cfg(feature = "serde")]
    pub(super) fn grams_per_millimetre(&self) -> f64 {
        self.grams_per_millimetre
    }

    /// The mass of a piece of this length.
    #[must_use]
    pub fn mass_of(&self, length: Length) -> Mass {
        Mass::from_grams(self.grams_per_millimetre * length.millimetres()).unwrap_or(Mass::ZERO)
    }

    /// Every length that can be cut, in whole millimetres, shortest first.
    pub fn lengths(&self) -> impl Iterator<Item = Length> {
        let first = self.shortest.millimetres().ceil() as u32;
        let last = self.longest.millimetres().floor() as u32;
        (first..=last).filter_map(|millimetres| Length::from_millimetres(f64::from(millimetres)).ok())
    }
}

/// What a choice of weights aims at.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub enum Aim {
    /// As few weights as meet the limit, over all planes together.
    #[default]
    FewestWeights,
    /// As little as possible left in each plane.
    LeastLeft,
}

/// How weights are welded.
#[derive(Debug, Clone, Copy, PartialEq)]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(try_from = "super::stock_json::Bead", into = "super::stock_json::Bead")
)]
pub struct Weld {
    /// Mass of the bead, for each weight.
    pub bead_mass: Mass,
    most_per_plane: usize,
    /// Room kept between two weights in one row, along the circumference.
    pub gap: Length,
    /// What the choice aims at.
    pub aim: Aim,
}

impl Weld {
    /// The most weights in one plane, old ones that stay included, that can be asked for.
    pub const MOST_PER_PLANE: usize = 12;

    /// The most new weights in one plane in one correction. A third is used only where the choice counts a place
    /// error of at least 0.01 rad.
    pub const MOST_NEW_PER_PLANE: usize = 3;

    /// A weld with this bead, at most this many weights in a plane, and this gap between neighbours.
    ///
    /// # Errors
    ///
    /// [`StockFault::WeightsPerPlane`] unless `most_per_plane` is 1 to [`Weld::MOST_PER_PLANE`].
    pub fn new(bead_mass: Mass, most_per_plane: usize, gap: Length) -> Result<Self, StockFault> {
        if !(1..=Self::MOST_PER_PLANE).contains(&most_per_plane) {
            let allowed = Self::MOST_PER_PLANE;
            return Err(StockFault::WeightsPerPlane { found: most_per_plane, allowed });
        }
        Ok(Self { bead_mass, most_per_plane, gap, aim: Aim::default() })
    }

    /// The most weights in one plane, old ones that stay included.
    #[must_use]
    pub fn most_per_plane(&self) -> usize {
        self.most_per_plane
    }

    /// The most new weights in a plane where this many stay.
    #[must_use]
    pub fn most_beside(&self, staying: usize) -> usize {
        self.most_per_plane.saturating_sub(staying).min(Self::MOST_NEW_PER_PLANE)
    }
}

impl Default for Weld {
    /// No bead counted, at most two weights in a plane, 3 mm between them [common practice, no source], as few weights
    /// as meet the limit.
    fn default() -> Self {
        let gap = Length::from_millimetres(3.0).expect("3 mm is a length");
        Self { bead_mass: Mass::ZERO, most_per_plane: 2, gap, aim: Aim::default() }
    }
}

/// Refuses what is not a finite number above zero.
fn above_zero(what: &'static str, value: f64) -> Result<(), StockFault> {
    if value.is_finite() && value > 0.0 { Ok(()) } else { Err(StockFault::Zero { what }) }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn mm(value: f64) -> Length {
        Length::from_millimetres(value).unwrap()
    }

    #[test]
    fn nonsense_is_refused() {
        assert_eq!(StampedWeight::new(Mass::ZERO), Err(StockFault::Zero { what: "mass of a weight" }));
        let section = Section { along_shaft: mm(25.0), thickness: mm(3.0) };
        assert!(matches!(
            Bar::new(section, mm(60.0), mm(10.0), BarMass::steel()),
            Err(StockFault::ShortestAboveLongest { .. })
        ));
        assert!(matches!(
            Bar::new(section, mm(1.0), mm(1e9), BarMass::steel()),
            Err(StockFault::TooManyLengths { .. })
        ));
        for mass in [0.0, -1.0, f64::NAN, f64::INFINITY] {
            let bar = Bar::new(section, mm(10.0), mm(20.0), BarMass::GramsPerMillimetre(mass));
            assert!(matches!(bar, Err(StockFault::Zero { .. })), "{mass}");
        }
        for found in [0, 13] {
            assert_eq!(
                Weld::new(Mass::ZERO, found, mm(3.0)),
                Err(StockFault::WeightsPerPlane { found, allowed: 12 })
            );
        }
    }

    #[test]
    fn what_is_on_already_counts() {
        let most =
            |per_plane, staying| Weld::new(Mass::ZERO, per_plane, mm(3.0)).unwrap().most_beside(staying);
        assert_eq!((most(2, 0), most(2, 1), most(2, 5)), (2, 1, 0));
        assert_eq!(most(12, 2), 3, "never more than three new ones");
    }

    #[test]
    fn lengths_are_whole_millimetres_within_the_limits() {
        let section = Section { along_shaft: mm(25.0), thickness: mm(3.0) };
        let bar = Bar::new(section, mm(9.5), mm(13.2), BarMass::steel()).unwrap();
        let lengths: Vec<f64> = bar.lengths().map(Length::millimetres).collect();
        assert_eq!(lengths, [10.0, 11.0, 12.0, 13.0]);
    }

    #[test]
    fn inch_strip_weighs_what_tables_say() {
        // Recomputed here: 1 × 1 × 1/8 in of steel is 16.1 g, 1 × 2 × 1/8 in is 32.2 g.
        let section = Section { along_shaft: mm(25.4), thickness: mm(3.175) };
        let bar = Bar::new(section, mm(10.0), mm(60.0), BarMass::steel()).unwrap();
        assert!((bar.mass_of(mm(25.4)).grams() - 16.1).abs() < 0.05);
        assert!((bar.mass_of(mm(50.8)).grams() - 32.2).abs() < 0.05);
    }
}
