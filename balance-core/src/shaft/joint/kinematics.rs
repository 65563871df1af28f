//! One joint, exactly.
//!
//! φ in radians is how far the driving yoke has turned from the place where its ears lie in the plane of the
//! two shafts and the driven shaft is fastest. All functions take angles below a quarter turn between the
//! shafts.

use crate::quantity::Angle;

/// Driven over driving speed: ω₂/ω₁ = cos θ/(1 − sin²θ·cos²φ). It swings between cos θ and 1/cos θ, twice a turn
/// (any theory-of-machines textbook).
///
/// ```
/// use balance_core::{quantity::parse, shaft::speed_ratio};
/// let fastest = speed_ratio(parse("20 deg")?, 0.0);
/// assert!((500.0 * fastest - 532.1).abs() < 0.05); // Khurmi & Gupta, Theory of Machines
/// # Ok::<(), balance_core::quantity::QuantityFault>(())
/// ```
#[must_use]
pub fn speed_ratio(angle: Angle, phi: f64) -> f64 {
    let (sine, cosine) = angle.radians().sin_cos();
    cosine / (1.0 - (sine * phi.cos()).powi(2))
}

/// The angle the driven shaft has turned through when the driving one has turned φ, without jumps:
/// tan φ₂ = tan φ/cos θ.
#[must_use]
pub fn output_turn(angle: Angle, phi: f64) -> f64 {
    let cosine = angle.radians().cos();
    let (s, c) = phi.sin_cos();
    phi + ((1.0 - cosine) * s * c).atan2(cosine * c * c + s * s)
}

/// Angular acceleration of the driven shaft over ω₁²: the derivative of [`speed_ratio`] by φ,
/// −cos θ·sin²θ·sin 2φ/(1 − sin²θ·cos²φ)².
#[must_use]
pub fn acceleration_ratio(angle: Angle, phi: f64) -> f64 {
    let (sine, cosine) = angle.radians().sin_cos();
    let below = 1.0 - (sine * phi.cos()).powi(2);
    -cosine * sine * sine * (2.0 * phi).sin() / (below * below)
}

/// The largest acceleration over ω₁². It is where s·u² + (2 − s)·u − 2s = 0 with u = cos 2φ and s = sin²θ (the
/// derivative of [`acceleration_ratio`] set to zero).
///
/// ```
/// use balance_core::{quantity::parse, shaft::peak_acceleration_ratio};
/// let ratio = peak_acceleration_ratio(parse("10 deg")?);
/// assert!((ratio - 0.0306).abs() < 0.0001); // Baranyi 1969
/// # Ok::<(), balance_core::quantity::QuantityFault>(())
/// ```
#[must_use]
pub fn peak_acceleration_ratio(angle: Angle) -> f64 {
    let s = angle.radians().sin().powi(2);
    let b = 2.0 - s;
    // The root in a form that does not cancel for small angles.
    let u = 4.0 * s / (b + (b * b + 8.0 * s * s).sqrt());
    acceleration_ratio(angle, 0.5 * u.clamp(-1.0, 1.0).acos()).abs()
}

/// Coefficient of irregularity: (fastest − slowest)/input = 1/cos θ − cos θ = sin θ·tan θ.
#[must_use]
pub fn irregularity(angle: Angle) -> f64 {
    let radians = angle.radians();
    radians.sin() * radians.tan()
}

/// The joint angle with this coefficient of irregularity U: cos²θ + U·cos θ − 1 = 0. `None` for a negative one.
///
/// ```
/// use balance_core::shaft::angle_for_irregularity;
/// // 1200 rpm, 100 rpm between slowest and fastest: 16.42° (textbook exercise).
/// let angle = angle_for_irregularity(100.0 / 1200.0).expect("it is not negative");
/// assert!((angle.degrees() - 16.42).abs() < 0.005);
/// ```
#[must_use]
pub fn angle_for_irregularity(irregularity: f64) -> Option<Angle> {
    if !(irregularity.is_finite() && irregularity >= 0.0) {
        return None;
    }
    // 2·sin²(θ/2) = 1 − cos θ = (U + 2 − sqrt(U² + 4))/2, written without cancellation.
    let root = (irregularity * irregularity + 4.0).sqrt();
    let versine = irregularity * (1.0 - irregularity / (root + 2.0)) / 2.0;
    Angle::from_degrees((2.0 * (versine / 2.0).sqrt().asin()).to_degrees()).ok()
}
