//! Making a shaft longer or shorter, and changing its yokes.

use crate::quantity::{Length, Mass};

/// What decides how long the tube is cut.
#[derive(Debug, Clone, Copy, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct TubeCut {
    /// Joint centre to joint centre at ride height, the slip at the middle of its stroke.
    pub joint_centres: Length,
    /// Joint centre to the shoulder the tube butts on, front yoke.
    pub front_shoulder: Length,
    /// The same for the rear yoke or the slip end (slip at the middle of its stroke).
    pub rear_shoulder: Length,
    /// How much both welds together shrink (0.3-0.8 mm an end on thin tube: common practice, no source).
    pub shrink_allowance: Length,
}

impl TubeCut {
    /// The length to cut: joint centres − both shoulders + shrink allowance. `None` if the yokes alone are longer.
    ///
    /// ```
    /// use balance_core::{quantity::parse, shaft::TubeCut};
    /// let cut = TubeCut {
    ///     joint_centres: parse("1450 mm")?, front_shoulder: parse("62 mm")?,
    ///     rear_shoulder: parse("74 mm")?, shrink_allowance: parse("1.0 mm")?,
    /// };
    /// assert_eq!(cut.length().expect("the yokes are shorter").millimetres(), 1315.0);
    /// # Ok::<(), balance_core::quantity::QuantityFault>(())
    /// ```
    #[must_use]
    pub fn length(&self) -> Option<Length> {
        let cut = self.joint_centres.millimetres() - self.shoulders() + self.shrink_allowance.millimetres();
        Length::from_millimetres(cut).ok().filter(|length| length.millimetres() > 0.0)
    }

    fn shoulders(&self) -> f64 {
        self.front_shoulder.millimetres() + self.rear_shoulder.millimetres()
    }
}

/// How far the slip can move.
#[derive(Debug, Clone, Copy, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct SlipStroke {
    /// Joint centre distance with the slip pushed in to its stop.
    pub shortest: Length,
    /// With the slip drawn out as far as the least spline engagement allows.
    pub longest: Length,
}

impl SlipStroke {
    /// Joint centre distance with the slip at the middle of its stroke.
    #[must_use]
    pub fn middle(&self) -> Length {
        let sum = self.shortest.millimetres() + self.longest.millimetres();
        Length::from_millimetres(sum / 2.0).unwrap_or(self.shortest)
    }
}

/// Joint centre distances over the travel of the suspension.
#[derive(Debug, Clone, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct SlipTravel {
    /// The shortest distance met.
    pub shortest: Length,
    /// The longest distance met.
    pub longest: Length,
}

impl SlipTravel {
    /// From distances measured at droop, ride height and bump, in any order and number; `None` without any.
    #[must_use]
    pub fn measured(distances: &[Length]) -> Option<Self> {
        let by_length = |a: &&Length, b: &&Length| a.millimetres().total_cmp(&b.millimetres());
        Some(Self {
            shortest: *distances.iter().min_by(by_length)?,
            longest: *distances.iter().max_by(by_length)?,
        })
    }

    /// From a horizontal run and the heights of the rear joint below the front one (`heights` in mm, negative
    /// above): distance = sqrt(run² + height²). It assumes that the axle moves straight up and down; measure
    /// if it swings on arms.
    #[must_use]
    pub fn straight(run: Length, heights: &[f64]) -> Option<Self> {
        let distances: Option<Vec<Length>> = heights
            .iter()
            .map(|height| Length::from_millimetres(run.millimetres().hypot(*height)).ok())
            .collect();
        Self::measured(&distances?)
    }

    /// How far the slip must move, in mm.
    #[must_use]
    pub fn needed_millimetres(&self) -> f64 {
        self.longest.millimetres() - self.shortest.millimetres()
    }

    /// What is left of the stroke (before the stop, before the splines come apart), in mm; negative: it does not fit.
    #[must_use]
    pub fn reserve_millimetres(&self, stroke: &SlipStroke) -> (f64, f64) {
        (
            self.shortest.millimetres() - stroke.shortest.millimetres(),
            stroke.longest.millimetres() - self.longest.millimetres(),
        )
    }
}

/// A yoke of one joint series, from its maker's sheet or measured.
#[derive(Debug, Clone, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct Yoke {
    /// The joint series, as the user names it.
    pub series: String,
    /// Joint centre to the shoulder the tube butts on.
    pub centre_to_shoulder: Length,
    /// Its mass.
    pub mass: Mass,
}

/// What changing a yoke to another series does to the shaft while the tube stays as it is.
#[derive(Debug, Clone, Copy, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct YokeChange {
    /// Change of joint centre distance in mm, positive longer.
    pub length_millimetres: f64,
    /// Change of mass in g, positive heavier.
    pub mass_grams: f64,
}

impl YokeChange {
    /// The change from the old yoke to the new one.
    #[must_use]
    pub fn new(old: &Yoke, new: &Yoke) -> Self {
        Self {
            length_millimetres: new.centre_to_shoulder.millimetres() - old.centre_to_shoulder.millimetres(),
            mass_grams: new.mass.grams() - old.mass.grams(),
        }
    }

    /// The new joint centre distance with the tube uncut; `None` if nothing would be left.
    #[must_use]
    pub fn length_after(&self, before: Length) -> Option<Length> {
        Length::from_millimetres(before.millimetres() + self.length_millimetres).ok()
    }

    /// The new mass of the shaft; `None` if the stated mass of the shaft is less than that of the yoke taken
    /// off.
    #[must_use]
    pub fn mass_after(&self, before: Mass) -> Option<Mass> {
        Mass::from_grams(before.grams() + self.mass_grams).ok()
    }
}
