//! Balance quality grades.

use std::fmt;
use std::str::FromStr;

use crate::quantity::{Mass, Speed, UnbalanceAmount};

/// A balance quality grade: the product of permissible eccentricity and angular velocity, in mm/s.
///
/// The grades of the standard are listed in [`GRADES`]; any positive value may be agreed upon.
///
/// # Source
///
/// ISO 21940-11:2016, clause 6 and table 1.
///
/// # Example
///
/// ```
/// use balance_core::{grade::Grade, quantity::{Mass, Speed}};
/// # fn main() -> Result<(), Box<dyn std::error::Error>> {
/// // The standard's turbine rotor [from memory]: 3600 kg, 3000 r/min, G2.5: 7.96 µm and 28.65·10³ g·mm.
/// let grade: Grade = "G2.5".parse()?;
/// let speed = Speed::from_rpm(3000.0)?;
/// assert!((grade.eccentricity_micrometres(speed)? - 7.96).abs() < 0.005);
/// let permissible = grade.permissible(Mass::from_grams(3.6e6)?, speed)?;
/// assert!((permissible.gram_millimetres() - 28.65e3).abs() < 5.0);
/// # Ok(())
/// # }
/// ```
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(try_from = "f64", into = "f64")
)]
pub struct Grade(f64);

/// Why something is not a grade, or a grade gives no limit.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum GradeFault {
    /// Zero, negative, infinite or not a number.
    #[error("{found} is not a possible balance quality grade")]
    OutOfRange {
        /// The value in mm/s.
        found: f64,
    },
    /// The text is not a grade.
    #[error("`{found}` is not a balance quality grade such as G16")]
    NotAGrade {
        /// The text found.
        found: String,
    },
    /// A shaft that does not turn has no limit.
    #[error("the service speed is zero")]
    NoSpeed,
    /// A shaft without mass has no limit.
    #[error("the mass is zero")]
    NoMass,
}

impl Grade {
    /// From the product of permissible eccentricity and angular velocity.
    ///
    /// # Errors
    ///
    /// [`GradeFault::OutOfRange`] unless the value is positive and finite.
    pub fn from_millimetres_per_second(value: f64) -> Result<Self, GradeFault> {
        if value.is_finite() && value > 0.0 {
            Ok(Self(value))
        } else {
            Err(GradeFault::OutOfRange { found: value })
        }
    }

    /// The grade in mm/s: 16 for G16.
    #[must_use]
    pub fn millimetres_per_second(self) -> f64 {
        self.0
    }

    /// The permissible residual specific unbalance e_per = 1000·G/Ω in µm, which is also the permissible offset of
    /// the mass centre. `speed` is the highest service speed.
    ///
    /// # Errors
    ///
    /// [`GradeFault::NoSpeed`].
    pub fn eccentricity_micrometres(self, speed: Speed) -> Result<f64, GradeFault> {
        let omega = speed.radians_per_second();
        if omega > 0.0 { Ok(1000.0 * self.0 / omega) } else { Err(GradeFault::NoSpeed) }
    }

    /// The permissible residual unbalance of the whole: U_per = 1000·G·m/Ω = 9549.2966·G·m/n in g·mm with m
    /// in kg and n in r/min. `speed` is the highest service speed.
    ///
    /// # Errors
    ///
    /// [`GradeFault::NoSpeed`], [`GradeFault::NoMass`], or out of range if the result is too large for a
    /// number.
    pub fn permissible(self, mass: Mass, speed: Speed) -> Result<UnbalanceAmount, GradeFault> {
        if mass.grams() == 0.0 {
            return Err(GradeFault::NoMass);
        }
        let amount = self.eccentricity_micrometres(speed)? * mass.kilograms();
        UnbalanceAmount::from_gram_millimetres(amount).map_err(|_| GradeFault::OutOfRange { found: self.0 })
    }

    /// The row of the standard's table with this grade, if it is one of them.
    #[must_use]
    pub fn row(self) -> Option<&'static GradeRow> {
        GRADES.iter().find(|row| row.millimetres_per_second == self.0)
    }
}

impl TryFrom<f64> for Grade {
    type Error = GradeFault;

    fn try_from(value: f64) -> Result<Self, GradeFault> {
        Self::from_millimetres_per_second(value)
    }
}

impl From<Grade> for f64 {
    fn from(grade: Grade) -> Self {
        grade.0
    }
}

impl fmt::Display for Grade {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(out, "G{}", self.0)
    }
}

impl FromStr for Grade {
    type Err = GradeFault;

    /// Reads `G16`, `G 16`, `g6.3`, `G 6,3` (as ISO prints it) or the bare number.
    fn from_str(text: &str) -> Result<Self, GradeFault> {
        let number = text.trim().trim_start_matches(['G', 'g']).trim_start().replace(',', ".");
        let plain = number.starts_with(|first: char| first.is_ascii_digit() || first == '.');
        match number.parse() {
            Ok(value) if plain => Self::from_millimetres_per_second(value),
            _ => Err(GradeFault::NotAGrade { found: text.into() }),
        }
    }
}

/// One row of the standard's table of grades.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GradeRow {
    /// The grade in mm/s.
    pub millimetres_per_second: f64,
    /// The kinds of rotor listed there, in our words and shortened.
    pub rotors: &'static str,
}

/// The grades of ISO 21940-11:2016 table 1 (clause 6.4), finest first; valid for rotors that behave rigidly.
///
/// The values are the standard's steps of 2.5 from 0.4 to 4000. Which rotor belongs to which grade is **from
/// memory** and shortened: the standard decides. Edition remembered: 2016, unchanged in these rows from ISO
/// 1940-1:2003.
pub const GRADES: &[GradeRow] = &[
    row(0.4, "gyroscopes; spindles of high-precision drives"),
    row(1.0, "grinding machine drives; audio and video drives"),
    row(
        2.5,
        "gas and steam turbines; compressors; machine-tool drives; larger electric motors above 950 r/min",
    ),
    row(6.3, "machines in general: fans, pumps, gears, machine tools, electric motors up to 950 r/min"),
    row(16.0, "cardan and propeller shafts; farm and crushing machines"),
    row(40.0, "drive shafts, wheels and rims of cars"),
    row(100.0, "complete piston engines of cars, trucks and locomotives"),
    row(250.0, "crankshaft drives, inherently unbalanced, rigidly mounted"),
    row(630.0, "crankshaft drives, inherently unbalanced, elastically mounted"),
    row(1600.0, "crankshaft drives of large slow marine diesel engines, inherently balanced"),
    row(4000.0, "crankshaft drives of large slow marine diesel engines, inherently unbalanced"),
];

const fn row(millimetres_per_second: f64, rotors: &'static str) -> GradeRow {
    GradeRow { millimetres_per_second, rotors }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn grades_are_read_as_people_write_them() {
        for text in ["G16", "G 16", "16", " g16 ", "G16.0"] {
            assert_eq!(text.parse::<Grade>().unwrap().millimetres_per_second(), 16.0, "{text}");
        }
        assert_eq!("G 6,3".parse::<Grade>().unwrap().to_string(), "G6.3");
        assert_eq!(f64::from("G 6,3".parse::<Grade>().unwrap()), 6.3);
        assert_eq!("G32".parse::<Grade>().unwrap().row(), None);
        assert!("G16".parse::<Grade>().unwrap().row().unwrap().rotors.contains("cardan"));
    }

    #[test]
    fn what_is_no_grade_is_refused() {
        for text in ["", "G", "fine", "Ginf", "G+16", "16 mm", "Gnan"] {
            assert!(matches!(text.parse::<Grade>(), Err(GradeFault::NotAGrade { .. })), "{text}");
        }
        for text in ["G0", "0", "G1e999"] {
            assert!(matches!(text.parse::<Grade>(), Err(GradeFault::OutOfRange { .. })), "{text}");
        }
        assert!("G-1".parse::<Grade>().is_err());
    }

    #[test]
    fn without_mass_or_speed_there_is_no_limit() {
        let grade: Grade = "G16".parse().unwrap();
        let (mass, speed) = (Mass::from_grams(1.0).unwrap(), Speed::from_rpm(1.0).unwrap());
        assert_eq!(grade.permissible(mass, Speed::from_rpm(0.0).unwrap()), Err(GradeFault::NoSpeed));
        assert_eq!(grade.permissible(Mass::from_grams(0.0).unwrap(), speed), Err(GradeFault::NoMass));
    }

    // Arithmetic of ISO 21940-11 formula: 1000·60/(2π) = 9549.2966.
    #[test]
    fn the_constant_for_kilograms_and_revolutions_a_minute() {
        let one = Grade::from_millimetres_per_second(1.0).unwrap();
        let amount =
            one.permissible(Mass::from_grams(1000.0).unwrap(), Speed::from_rpm(1.0).unwrap()).unwrap();
        assert!((amount.gram_millimetres() - 9549.2966).abs() < 5e-5);
    }
}
