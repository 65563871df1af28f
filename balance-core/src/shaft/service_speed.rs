//! The highest speed a shaft can ever reach.
//!
//! The grade and the critical speed must hold at the highest speed ever reached, not at the usual one: ask for the
//! engine's governed maximum and the fastest gear, or the highest road speed downhill.

use crate::quantity::{Length, Quantity, QuantityFault, Speed, Unit, quantity_traits};

/// A road speed, zero or more. Base unit: kilometre an hour.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct RoadSpeed(f64);

impl RoadSpeed {
    /// Kilometres an hour.
    #[must_use]
    pub fn kilometres_per_hour(self) -> f64 {
        self.0
    }
}

quantity_traits!(RoadSpeed);

impl Quantity for RoadSpeed {
    const WORD: &'static str = "road speed";
    const UNITS: &'static [Unit] = &[
        Unit { symbol: "km/h", factor: 1.0 },
        Unit { symbol: "mph", factor: 1.609_344 },
        Unit { symbol: "m/s", factor: 3.6 },
    ];

    fn from_base(value: f64) -> Result<Self, QuantityFault> {
        if value.is_finite() && value >= 0.0 {
            Ok(Self(value))
        } else {
            Err(QuantityFault::OutOfRange { quantity: Self::WORD, value })
        }
    }

    fn base(self) -> f64 {
        self.0
    }
}

/// What drives the shaft.
#[derive(Debug, Clone, Copy, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[non_exhaustive]
pub enum Drive {
    /// From the engine's side.
    Engine {
        /// The highest speed the engine can reach.
        engine_speed: Speed,
        /// Gearbox input turns for one output turn, in the fastest gear (less than 1 in overdrive).
        gearbox_ratio: f64,
        /// Transfer box input turns for one output turn; 1 without one.
        transfer_ratio: f64,
    },
    /// From the wheels' side.
    Road {
        /// The highest road speed of the vehicle, also downhill.
        road_speed: RoadSpeed,
        /// Rolling radius of the loaded tyre: distance in one turn over 2π.
        rolling_radius: Length,
        /// Shaft turns for one wheel turn.
        axle_ratio: f64,
    },
}

/// The shaft's speed: engine/(gearbox·transfer), or v/(2πr)·axle.
///
/// # Errors
///
/// [`QuantityFault::OutOfRange`] for a ratio or a rolling radius that is not above zero.
///
/// ```
/// use balance_core::{quantity::parse, shaft::{Drive, service_speed}};
/// let engine = Drive::Engine { engine_speed: parse("2400 rpm")?, gearbox_ratio: 0.8, transfer_ratio: 1.0 };
/// assert!((service_speed(&engine)?.rpm() - 3000.0).abs() < 1e-9);
/// // 90 km/h is 25 m/s; on a rolling radius of 0.5 m the wheel turns 50 rad/s.
/// let road = Drive::Road { road_speed: parse("90 km/h")?, rolling_radius: parse("500 mm")?, axle_ratio: 4.0 };
/// assert!((service_speed(&road)?.rpm() - 4.0 * 50.0 * 30.0 / std::f64::consts::PI).abs() < 1e-9);
/// # Ok::<(), balance_core::quantity::QuantityFault>(())
/// ```
pub fn service_speed(drive: &Drive) -> Result<Speed, QuantityFault> {
    match *drive {
        Drive::Engine { engine_speed, gearbox_ratio, transfer_ratio } => Speed::from_rpm(
            engine_speed.rpm()
                / (positive("gearbox ratio", gearbox_ratio)? * positive("transfer ratio", transfer_ratio)?),
        ),
        Drive::Road { road_speed, rolling_radius, axle_ratio } => {
            let radius = positive("rolling radius", rolling_radius.millimetres())? / 1000.0;
            let wheel = road_speed.kilometres_per_hour() / 3.6 / radius;
            let axle = positive("axle ratio", axle_ratio)?;
            Speed::from_rpm(wheel * axle * 60.0 / std::f64::consts::TAU)
        }
    }
}

fn positive(quantity: &'static str, value: f64) -> Result<f64, QuantityFault> {
    if value.is_finite() && value > 0.0 {
        Ok(value)
    } else {
        Err(QuantityFault::OutOfRange { quantity, value })
    }
}
