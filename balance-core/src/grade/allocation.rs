//! Sharing the permissible residual unbalance between tolerance planes.

use crate::quantity::Length;

use super::LimitFault;

/// Bounds of a share when the mass centre lies between the planes.
const INBOARD: (f64, f64) = (0.3, 0.7);
/// Bounds of a share when it lies outside.
const OVERHUNG: (f64, f64) = (0.3, 1.3);

/// The share of each tolerance plane in the permissible residual unbalance of one rigid piece.
///
/// # Method
///
/// One plane takes all. Two planes: U_A = U_per·L_B/L, each as far as the mass centre is near it; a share is kept
/// within 0.3 to 0.7 when the mass centre lies between the planes and within 0.3 to 1.3 when it lies outside.
/// Without a mass centre each gets half. The planes may come in either order.
///
/// # Source
///
/// ISO 21940-11:2016, clause 7 [from memory, high]; the turbine rotor there as a case in `tests/cases`.
///
/// # Errors
///
/// [`LimitFault`] if there is no plane, there are more than two, or the two are at one place.
///
/// # Example
///
/// ```
/// use balance_core::{grade::shares, quantity::Length};
/// # fn main() -> Result<(), Box<dyn std::error::Error>> {
/// let planes = [Length::from_millimetres(0.0)?, Length::from_millimetres(1200.0)?];
/// let share = shares(Some(Length::from_millimetres(400.0)?), &planes)?;
/// assert!((share[0] - 2.0 / 3.0).abs() < 1e-12 && (share[1] - 1.0 / 3.0).abs() < 1e-12);
/// # Ok(())
/// # }
/// ```
pub fn shares(mass_centre: Option<Length>, planes: &[Length]) -> Result<Vec<f64>, LimitFault> {
    match *planes {
        [] => Err(LimitFault::NoTolerancePlane),
        [_] => Ok(vec![1.0]),
        [first, second] => two_shares(mass_centre, first.millimetres(), second.millimetres()),
        _ => Err(LimitFault::TooManyPlanes { found: planes.len() }),
    }
}

fn two_shares(mass_centre: Option<Length>, first: f64, second: f64) -> Result<Vec<f64>, LimitFault> {
    let between = second - first;
    if between == 0.0 {
        return Err(LimitFault::SamePosition { millimetres: first });
    }
    let Some(centre) = mass_centre else {
        return Ok(vec![0.5, 0.5]);
    };
    let raw = [(second - centre.millimetres()) / between, (centre.millimetres() - first) / between];
    let inboard = raw.iter().all(|share| *share >= 0.0);
    let (least, most) = if inboard { INBOARD } else { OVERHUNG };
    Ok(raw.iter().map(|share| share.abs().clamp(least, most)).collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(millimetres: f64) -> Length {
        Length::from_millimetres(millimetres).unwrap()
    }

    // Recomputed by hand from the rule of ISO 21940-11 clause 7: planes at 0 and 1200 mm, 1000 g·mm to share.
    #[test]
    fn shares_follow_the_mass_centre_within_bounds() {
        for (centre, front, rear) in [
            (600.0, 500.0, 500.0),
            (400.0, 666.67, 333.33),
            (300.0, 700.0, 300.0),
            (200.0, 700.0, 300.0),
            (1300.0, 300.0, 1083.33),
            (1600.0, 333.33, 1300.0),
        ] {
            let share = shares(Some(at(centre)), &[at(0.0), at(1200.0)]).unwrap();
            assert!((1000.0 * share[0] - front).abs() < 0.005, "{centre}: {share:?}");
            assert!((1000.0 * share[1] - rear).abs() < 0.005, "{centre}: {share:?}");
            let turned = shares(Some(at(centre)), &[at(1200.0), at(0.0)]).unwrap();
            assert_eq!((turned[0], turned[1]), (share[1], share[0]));
        }
    }

    #[test]
    fn one_plane_takes_all_and_no_mass_centre_means_half_each() {
        assert_eq!(shares(Some(at(7.0)), &[at(0.0)]).unwrap(), [1.0]);
        assert_eq!(shares(None, &[at(0.0), at(100.0)]).unwrap(), [0.5, 0.5]);
    }

    #[test]
    fn no_plane_three_planes_and_planes_at_one_place_are_refused() {
        assert_eq!(shares(None, &[]), Err(LimitFault::NoTolerancePlane));
        assert_eq!(shares(None, &[at(0.0), at(1.0), at(2.0)]), Err(LimitFault::TooManyPlanes { found: 3 }));
        assert_eq!(shares(None, &[at(5.0), at(5.0)]), Err(LimitFault::SamePosition { millimetres: 5.0 }));
    }
}
