//! What the limit means at the bench: grams at a radius, the force at service speed, the readings that are
//! certain to meet it.

use crate::linear::CMatrix;
use crate::quantity::{Length, Mass, Speed, UnbalanceAmount};
use crate::shaft::CorrectionPlane;

use super::{PlaneLimit, Transfer};

/// The centrifugal force of an unbalance in newtons: U·Ω².
///
/// ```
/// use balance_core::{grade::centrifugal_newtons, quantity::{Speed, parse}};
/// # fn main() -> Result<(), Box<dyn std::error::Error>> {
/// // Recomputed: 1 oz·in at 1000 r/min is 7.8965 N.
/// let force = centrifugal_newtons(parse("1 oz.in")?, Speed::from_rpm(1000.0)?);
/// assert!((force - 7.8965).abs() < 5e-5);
/// # Ok(())
/// # }
/// ```
#[must_use]
pub fn centrifugal_newtons(unbalance: UnbalanceAmount, speed: Speed) -> f64 {
    // 1 g·mm = 10⁻⁶ kg·m.
    unbalance.gram_millimetres() * 1e-6 * speed.radians_per_second().powi(2)
}

/// The mass that makes an unbalance at a radius; `None` at radius zero.
#[must_use]
pub fn grams_at(unbalance: UnbalanceAmount, radius: Length) -> Option<Mass> {
    Mass::from_grams(unbalance.gram_millimetres() / radius.millimetres()).ok()
}

/// What the limit allows in one correction plane if nothing else is left anywhere.
#[derive(Debug, Clone, PartialEq)]
pub struct CorrectionPlaneLimit {
    /// The correction plane's name.
    pub name: String,
    /// The unbalance there alone that uses up the limit of a tolerance plane.
    pub amount: UnbalanceAmount,
    /// The same as a mass at the plane's radius, where that is known.
    pub mass: Option<Mass>,
    /// Index of the tolerance plane whose limit it uses up first.
    pub decides: usize,
}

/// For each correction plane the unbalance that alone uses up a limit: the least T_i/|T_ij| over tolerance
/// planes i. Planes, limits and transfer must match; anything without a counterpart is left out.
#[must_use]
pub fn limits_at_correction_planes(
    planes: &[CorrectionPlane],
    limits: &[PlaneLimit],
    transfer: &Transfer,
) -> Vec<CorrectionPlaneLimit> {
    let columns = transfer.matrix().column_iter();
    planes
        .iter()
        .zip(columns)
        .filter_map(|(plane, levers)| {
            let allowed = |limit: &PlaneLimit, lever: f64| limit.amount.gram_millimetres() / lever.abs();
            let (decides, amount) = limits
                .iter()
                .zip(levers.iter())
                .map(|(limit, lever)| allowed(limit, *lever))
                .enumerate()
                .min_by(|one, other| one.1.total_cmp(&other.1))?;
            let amount = UnbalanceAmount::from_gram_millimetres(amount).ok()?;
            let mass = plane.radius.and_then(|radius| grams_at(amount, radius));
            Some(CorrectionPlaneLimit { name: plane.name.clone(), amount, mass, decides })
        })
        .collect()
}

/// Readings under which the limit is certain to be met, as multiples of one scale for each sensor.
///
/// # Units
///
/// `moved` is T·A⁺, a row for each tolerance plane and a column for each sensor: g·mm for one unit of the
/// sensor. `scales` are in the sensors' units: 1 for all where they share one.
///
/// # Method
///
/// |u_i| ≤ Σ_k |(T·A⁺)_ik|·|v_k|, so readings |v_k| ≤ c·scale_k with c = min_i T_i/Σ_k |(T·A⁺)_ik|·scale_k meet every
/// limit whatever their phases. The coefficients count as exact; readings above may meet the limit as well.
/// `None` if the sizes do not match, or no reading gives any information.
pub(crate) fn sure_reading(moved: &CMatrix, limits: &[UnbalanceAmount], scales: &[f64]) -> Option<Vec<f64>> {
    if moved.shape() != (limits.len(), scales.len()) {
        return None;
    }
    let at_scale = |row: usize| -> f64 {
        scales.iter().enumerate().map(|(k, scale)| moved[(row, k)].norm() * scale).sum()
    };
    let share = limits
        .iter()
        .enumerate()
        .map(|(row, limit)| limit.gram_millimetres() / at_scale(row))
        .fold(f64::INFINITY, f64::min);
    share.is_finite().then(|| scales.iter().map(|scale| share * scale).collect())
}

#[cfg(test)]
mod tests {
    use num_complex::Complex64;

    use super::*;
    use crate::quantity::parse;
    use crate::shaft::TolerancePlane;

    fn at(millimetres: f64) -> Length {
        Length::from_millimetres(millimetres).unwrap()
    }

    fn amount(gram_millimetres: f64) -> UnbalanceAmount {
        UnbalanceAmount::from_gram_millimetres(gram_millimetres).unwrap()
    }

    // By hand: the first limit allows 100/(2*3 + 1*5) = 9.09 of each scale, the second 40/(1*3 + 4*5) = 1.739.
    #[test]
    fn sure_readings_follow_their_scales() {
        let moved = CMatrix::from_fn(2, 2, |row, column| [[2.0, 1.0], [1.0, 4.0]][row][column].into());
        let sure = sure_reading(&moved, &[amount(100.0), amount(40.0)], &[3.0, 5.0]).unwrap();
        for (own, expected) in sure.iter().zip([3.0, 5.0].map(|scale| scale * 40.0 / 23.0)) {
            assert!((own - expected).abs() < 1e-12, "{sure:?}");
        }
    }

    // m·r·Ω², recomputed: 28.35 g at 50.8 mm; 1 oz·in at 1000 r/min = 1.7752 lbf (4.448222 N a pound).
    #[test]
    fn forces() {
        let ounce_at_two_inches = amount(28.35 * 50.8);
        for (rpm, newtons) in [(3000.0, 142.0), (5000.0, 395.0)] {
            let force = centrifugal_newtons(ounce_at_two_inches, Speed::from_rpm(rpm).unwrap());
            assert!((force - newtons).abs() < 0.5, "{rpm}: {force}");
        }
        let force = centrifugal_newtons(parse("1 oz.in").unwrap(), Speed::from_rpm(1000.0).unwrap());
        assert!((force / 4.448_221_615 - 1.7752).abs() < 5e-5, "{force}");
    }

    #[test]
    fn grams_at_a_radius() {
        assert!((grams_at(amount(417.2), at(45.95)).unwrap().grams() - 9.0794).abs() < 5e-5);
        assert_eq!(grams_at(amount(417.2), at(0.0)), None);
    }

    // By hand: at 300 of 1200 mm three quarters go to the front: 400/0.75 = 533.3 before 400/0.25 = 1600.
    #[test]
    fn what_one_correction_plane_may_hold() {
        let ends = [0.0, 1200.0].map(|mm| TolerancePlane { name: format!("at {mm}"), position: at(mm) });
        let limits = ends.clone().map(|end| PlaneLimit {
            name: end.name,
            position: end.position,
            amount: amount(400.0),
            part: None,
        });
        let plane = CorrectionPlane {
            position: Some(at(300.0)),
            radius: Some(at(50.0)),
            ..CorrectionPlane::named("front")
        };
        let transfer = Transfer::new(&[at(300.0)], &ends, &[]).unwrap();
        let found = limits_at_correction_planes(&[plane], &limits, &transfer);
        assert!((found[0].amount.gram_millimetres() - 533.333).abs() < 1e-3);
        assert!((found[0].mass.unwrap().grams() - 10.666_67).abs() < 1e-5);
        assert_eq!(found[0].decides, 0);
    }

    #[test]
    fn readings_that_surely_meet() {
        let moved = CMatrix::from_row_slice(1, 2, &[Complex64::new(0.0, 300.0), Complex64::new(-100.0, 0.0)]);
        assert_eq!(sure_reading(&moved, &[amount(400.0)], &[1.0, 1.0]), Some(vec![1.0, 1.0]));
        assert_eq!(sure_reading(&moved, &[amount(400.0)], &[1.0]), None);
        assert_eq!(sure_reading(&CMatrix::zeros(1, 1), &[amount(400.0)], &[1.0]), None);
    }
}
