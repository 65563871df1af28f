//! The shaft's mass, and where its mass centre is.

use crate::quantity::{Length, Mass};

/// Two scale readings, the shaft lying on both scales and on nothing else.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ScaleReadings {
    /// What the front scale shows.
    pub front: Mass,
    /// What the rear scale shows.
    pub rear: Mass,
    /// Where the front scale supports the shaft, from the front joint centre.
    pub front_position: Length,
    /// Where the rear scale supports the shaft.
    pub rear_position: Length,
}

impl ScaleReadings {
    /// The mass: the sum of both readings.
    #[must_use]
    pub fn mass(&self) -> Mass {
        Mass::from_grams(self.front.grams() + self.rear.grams()).unwrap_or(self.front)
    }

    /// The mass centre from the front joint centre: (F·x_F + R·x_R)/(F + R), equilibrium of moments. `None` if both
    /// scales show nothing.
    ///
    /// ```
    /// use balance_core::{quantity::parse, shaft::ScaleReadings};
    /// let scales = ScaleReadings {
    ///     front: parse("7.5 kg")?, rear: parse("6.7 kg")?,
    ///     front_position: parse("0 mm")?, rear_position: parse("1385 mm")?,
    /// };
    /// assert_eq!(scales.mass().kilograms(), 14.2);
    /// let centre = scales.mass_centre().expect("it weighs something");
    /// assert!((centre.millimetres() - 6.7 / 14.2 * 1385.0).abs() < 1e-9);
    /// # Ok::<(), balance_core::quantity::QuantityFault>(())
    /// ```
    #[must_use]
    pub fn mass_centre(&self) -> Option<Length> {
        let moment = self.front.grams() * self.front_position.millimetres()
            + self.rear.grams() * self.rear_position.millimetres();
        Length::from_millimetres(moment / (self.front.grams() + self.rear.grams())).ok()
    }
}

/// What is known of the shaft's mass.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum StatedMass {
    /// It was not weighed: it is estimated from tube and ends.
    NotWeighed,
    /// Weighed as a whole.
    Weighed(Mass),
    /// Weighed on two scales.
    Scales(ScaleReadings),
}

/// Where the mass in an answer comes from; printed with every verdict that depends on it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum MassBasis {
    /// Weighed.
    Weighed,
    /// Estimated from the dimensions of the tube and the ends.
    Estimated,
}

impl MassBasis {
    /// The word printed and stored.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Weighed => "weighed",
            Self::Estimated => "estimated from tube and ends",
        }
    }
}
