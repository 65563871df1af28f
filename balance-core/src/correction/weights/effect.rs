//! The effect of one weight: its unbalance with arc and bead, and how hard it pulls.

use crate::quantity::{Length, Mass, Speed};
use crate::shaft::{CorrectionPlane, Tube};

/// A weight as it lies on the tube: its mass and the room it takes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Piece {
    /// Without bead.
    pub mass: Mass,
    /// The weld bead's mass, at the same place.
    pub bead: Mass,
    /// Along the circumference; `None`: a point that takes no room.
    pub width: Option<Length>,
    /// Across the tube's wall.
    pub thickness: Option<Length>,
    /// Radius of its mass centre, if stated for this weight.
    pub radius: Option<Length>,
}

impl Piece {
    /// A point mass without bead, at the plane's radius.
    #[must_use]
    pub fn point(mass: Mass) -> Self {
        Self { mass, bead: Mass::ZERO, width: None, thickness: None, radius: None }
    }

    /// Weight and bead together.
    #[must_use]
    pub fn total_grams(&self) -> f64 {
        self.mass.grams() + self.bead.grams()
    }
}

/// The radii of one row of weights.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct RowGeometry {
    /// Outside of the tube, where the tape lies.
    pub tube_radius: Option<Length>,
    /// Mass centre of a weight, if the job states it; otherwise tube radius plus half the weight's thickness.
    pub plane_radius: Option<Length>,
}

impl RowGeometry {
    /// The radii of this plane on this tube.
    #[must_use]
    pub fn of(plane: &CorrectionPlane, tube: Option<&Tube>) -> Self {
        let tube_radius =
            tube.and_then(|tube| Length::from_millimetres(tube.outer_diameter.millimetres() / 2.0).ok());
        Self { tube_radius, plane_radius: plane.radius }
    }

    /// The radius, in mm, at which a piece touches the tube: where tape distances and room are measured.
    /// `None`: not known, a piece then takes no room.
    #[must_use]
    pub fn surface_radius(&self) -> Option<f64> {
        let radius = self.tube_radius.or(self.plane_radius)?.millimetres();
        (radius > 0.0).then_some(radius)
    }

    /// The radius of a piece's mass centre in mm; `None`: not known.
    #[must_use]
    pub fn mass_radius(&self, piece: &Piece) -> Option<f64> {
        let from_tube = || {
            let half = piece.thickness.map_or(0.0, |thickness| thickness.millimetres() / 2.0);
            self.tube_radius.map(|radius| radius.millimetres() + half)
        };
        let stated = piece.radius.or(self.plane_radius).map(Length::millimetres);
        stated.or_else(from_tube).filter(|radius| *radius > 0.0)
    }

    /// Half of the room a width takes round the tube, in degrees; zero without a width.
    ///
    /// A piece is taken to be as wide on the tube as it measures flat; bent round, it is a few per cent
    /// narrower.
    #[must_use]
    pub fn half_width_degrees(&self, width: Option<Length>) -> f64 {
        let width = width.map_or(0.0, Length::millimetres);
        self.surface_radius().map_or(0.0, |radius| (width / 2.0 / radius).to_degrees())
    }
}

/// The unbalance of one weight in g·mm (in g where no radius is known).
///
/// # Method
///
/// `(m + bead)·r·sin β/β`, with `r` the radius of the mass centre and `2β = width/r` the arc it spans: the mass
/// centre of an arc lies inside its radius (centroid of a circular arc, any statics handbook).
///
/// # Example
///
/// ```
/// use balance_core::correction::weights::{Piece, RowGeometry, effective_unbalance};
/// use balance_core::quantity::{Length, Mass};
/// # fn main() -> Result<(), balance_core::quantity::QuantityFault> {
/// // A strip 60 mm long at 52 mm radius loses 5.46 % (β = 30/52, by hand).
/// let row = RowGeometry { plane_radius: Some(Length::from_millimetres(52.0)?), ..RowGeometry::default() };
/// let strip = Piece { width: Some(Length::from_millimetres(60.0)?), ..Piece::point(Mass::from_grams(10.0)?) };
/// let kept = effective_unbalance(&strip, &row) / 520.0;
/// assert!((kept - 0.9454).abs() < 5e-5);
/// # Ok(())
/// # }
/// ```
#[must_use]
pub fn effective_unbalance(piece: &Piece, row: &RowGeometry) -> f64 {
    let Some(radius) = row.mass_radius(piece) else {
        return piece.total_grams();
    };
    let half_arc = piece.width.map_or(0.0, |width| width.millimetres() / 2.0 / radius);
    piece.total_grams() * radius * sine_ratio(half_arc)
}

/// sin β/β, 1 at zero.
fn sine_ratio(beta: f64) -> f64 {
    if beta.abs() < 1e-8 { 1.0 } else { beta.sin() / beta }
}

/// How hard a weight and its bead pull on the weld at a speed, in newtons: m·r·Ω². `None` without a radius.
///
/// # Example
///
/// ```
/// use balance_core::correction::weights::{Piece, RowGeometry, pull_newtons};
/// use balance_core::quantity::{Length, Mass, Speed};
/// # fn main() -> Result<(), balance_core::quantity::QuantityFault> {
/// // One ounce at 2 inches: 142 N at 3000 rpm, 395 N at 5000 rpm (recomputed by hand).
/// let row = RowGeometry { plane_radius: Some(Length::from_millimetres(50.8)?), ..RowGeometry::default() };
/// let ounce = Piece::point(Mass::from_grams(28.35)?);
/// let pull = |rpm| Ok::<_, balance_core::quantity::QuantityFault>(
///     pull_newtons(&ounce, &row, Speed::from_rpm(rpm)?).unwrap_or(f64::NAN).round());
/// assert_eq!((pull(3000.0)?, pull(5000.0)?), (142.0, 395.0));
/// # Ok(())
/// # }
/// ```
#[must_use]
pub fn pull_newtons(piece: &Piece, row: &RowGeometry, speed: Speed) -> Option<f64> {
    const KILOGRAM_METRES_PER_GRAM_MILLIMETRE: f64 = 1e-6;
    let radius = row.mass_radius(piece)?;
    let moment = piece.total_grams() * radius * KILOGRAM_METRES_PER_GRAM_MILLIMETRE;
    Some(moment * speed.radians_per_second().powi(2))
}
