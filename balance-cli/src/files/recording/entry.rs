//! A reading out of a recording as it stands in a runs file: as many digits as its uncertainty deserves.

use balance_core::quantity::Angle;
use balance_core::run::{ReadingUncertainty, SensorReading};
use balance_core::stand::capture::ExtractedReading;

/// A reading and what it says of its own uncertainty. Rounding adds less than a hundredth of the latter.
#[must_use]
pub fn entry(own: &ExtractedReading) -> (SensorReading, ReadingUncertainty) {
    let sigma = figures(own.amplitude_uncertainty);
    let of_phase = figures(own.phase_uncertainty.degrees());
    let angle = |degrees: f64| Angle::from_degrees(degrees).unwrap_or(Angle::ZERO);
    let phase = rounded(own.reading.phase().degrees_in_turn(), of_phase).rem_euclid(360.0);
    let reading =
        SensorReading::Shown { amplitude: rounded(own.reading.amplitude(), sigma), phase: angle(phase) };
    (reading, ReadingUncertainty { amplitude: sigma, phase: angle(of_phase) })
}

/// Three significant digits; never zero.
fn figures(sigma: f64) -> f64 {
    let least = 1e-12;
    let sigma = if sigma.is_finite() { sigma.max(least) } else { least };
    format!("{sigma:.2e}").parse().unwrap_or(sigma)
}

/// To a decimal place two below the first digit of the uncertainty.
fn rounded(value: f64, sigma: f64) -> f64 {
    let places = (2.0 - sigma.log10().floor()).clamp(0.0, 12.0) as usize;
    format!("{value:.places$}").parse().unwrap_or(value)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn digits_follow_the_uncertainty() {
        assert_eq!((figures(0.012_345), figures(0.0)), (0.0123, 1e-12));
        assert_eq!(rounded(5.290_123_4, 0.0123), 5.2901);
        assert_eq!(rounded(5.290_123_4, 12.0), 5.3);
        assert_eq!(rounded(1234.56, 1234.0), 1235.0);
    }
}
