//! The true shaft: heavy spots at positions, rigid pieces hinged where they are supported.

use balance_core::Complex64;

use crate::random::Random;

/// A heavy spot: mm from the front joint centre, and g·mm.
pub type Spot = (f64, Complex64);

/// Rigid pieces between supports, with heavy spots all along.
#[derive(Debug, Clone)]
pub struct TrueShaft {
    /// Where it is supported, mm from the front joint centre; a piece between each and the next.
    pub supports: Vec<f64>,
    /// Its unbalance, including both ends.
    pub spots: Vec<Spot>,
}

/// Heavy spots in each piece, both its ends included.
const SPOTS_IN_A_PIECE: usize = 12;

impl TrueShaft {
    /// Heavy spots at random so that what they make at the supports is this in g·mm (rms over the supports).
    #[must_use]
    pub fn random(supports: &[f64], rms: f64, random: &mut Random) -> Self {
        let mut spots = Vec::new();
        for piece in supports.windows(2) {
            for at in 0..SPOTS_IN_A_PIECE {
                let place = match at {
                    0 => piece[0],
                    1 => piece[1],
                    _ => random.between(piece[0], piece[1]),
                };
                spots.push((place, random.circular()));
            }
        }
        let found = at_supports(supports, &spots);
        let size = (found.iter().map(Complex64::norm_sqr).sum::<f64>() / found.len() as f64).sqrt();
        spots.iter_mut().for_each(|spot| spot.1 *= rms / size);
        Self { supports: supports.to_vec(), spots }
    }

    /// The unbalance at each support, g·mm, with these masses on.
    #[must_use]
    pub fn at_supports(&self, more: &[Spot]) -> Vec<Complex64> {
        let own = at_supports(&self.supports, &self.spots);
        own.iter().zip(at_supports(&self.supports, more)).map(|(own, more)| own + more).collect()
    }

    /// What a slightly elastic shaft on two supports shows beyond that: the first bending shape, a half sine, pushes
    /// each support with 2/π of its modal unbalance times `1/(1 − r²) − 1`, r the part of the critical speed.
    #[must_use]
    pub fn by_bending(&self, more: &[Spot], part_of_critical: f64) -> Complex64 {
        let length = self.supports[1] - self.supports[0];
        let square = part_of_critical * part_of_critical;
        let shape =
            |spot: &Spot| spot.1 * (std::f64::consts::PI * (spot.0 - self.supports[0]) / length).sin();
        let modal: Complex64 = self.spots.iter().chain(more).map(shape).sum();
        modal * (square / (1.0 - square)) * std::f64::consts::FRAC_2_PI
    }
}

/// Statics: each spot shared by the lever rule between the two supports of its piece.
#[must_use]
pub fn at_supports(supports: &[f64], spots: &[Spot]) -> Vec<Complex64> {
    let mut found = vec![Complex64::ZERO; supports.len()];
    for (place, unbalance) in spots {
        for (own, share) in found.iter_mut().zip(shares(supports, *place)) {
            *own += unbalance * share;
        }
    }
    found
}

/// The share that each support carries of something at a place.
#[must_use]
pub fn shares(supports: &[f64], place: f64) -> Vec<f64> {
    let last = supports.len() - 2;
    let piece = supports[1..=last].iter().filter(|end| place > **end).count();
    let (from, to) = (supports[piece], supports[piece + 1]);
    let behind = (place - from) / (to - from);
    let share = |at: usize| match at {
        own if own == piece => 1.0 - behind,
        own if own == piece + 1 => behind,
        _ => 0.0,
    };
    (0..supports.len()).map(share).collect()
}
