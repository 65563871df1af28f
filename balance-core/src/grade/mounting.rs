//! The scatter of what is left from one clamping to the next.

use num_complex::Complex64;

use crate::quantity::UnbalanceAmount;
use crate::run::STATED_DEGREES_OF_FREEDOM;

/// Scatter of one mounting, pooled over all places.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MountingScatter {
    /// Standard deviation of each component in one mounting, g·mm.
    pub deviation: f64,
    /// Complex degrees of freedom behind it.
    pub degrees_of_freedom: f64,
}

/// One figure for all places together, from the stated scatter (complex rms) and the measured one.
///
/// `mountings` holds for each mounting what is left at each of the K places, g·mm. Where the check was not
/// read in the mounting of the trials, what that mounting's own baseline forecasts to be left (`forecast`)
/// counts as one more: a slip in a trial, which no gate can see across mountings, then shows as scatter.
///
/// # Method
///
/// s² = \[10·s₀² + Σ_places Σ_mountings |u − mean|²/2\] / \[10 + K(n − 1)\], the stated part only where
/// something is stated: the usual pooling of variances by their degrees of freedom. `None` if nothing is
/// stated and one mounting was measured.
///
/// # Source
///
/// Derived here. A separate figure for each place has only n − 1 degrees of freedom: with two mountings 20 to
/// 30 of 100 good shafts then stay undecided, pooled at most 2 (simulated here, 2026-11).
#[must_use]
pub fn mounting_scatter(
    mountings: &[Vec<Complex64>],
    forecast: Option<&[Complex64]>,
    stated: Option<UnbalanceAmount>,
) -> Option<MountingScatter> {
    let places = mountings.first().map_or(0, Vec::len);
    let more = forecast;
    let mut squares = 0.0;
    for place in 0..places {
        let own: Vec<Complex64> = mountings
            .iter()
            .filter_map(|mounting| mounting.get(place))
            .chain(more.iter().filter_map(|forecast| forecast.get(place)))
            .copied()
            .collect();
        let mean = own.iter().sum::<Complex64>() / own.len() as f64;
        squares += own.iter().map(|one| (one - mean).norm_sqr()).sum::<f64>() / 2.0;
    }
    let measured = mountings.len() + usize::from(more.is_some());
    let mut degrees = (places * measured.saturating_sub(1)) as f64;
    if let Some(stated) = stated {
        squares += STATED_DEGREES_OF_FREEDOM * stated.gram_millimetres().powi(2) / 2.0;
        degrees += STATED_DEGREES_OF_FREEDOM;
    }
    (degrees > 0.0)
        .then(|| MountingScatter { deviation: (squares / degrees).sqrt(), degrees_of_freedom: degrees })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn c(re: f64, im: f64) -> Complex64 {
        Complex64::new(re, im)
    }

    // By hand: two mountings ±10 about the mean at one place, ±20j at the other: (200/2 + 800/2)/2 = 250.
    #[test]
    fn all_places_are_pooled() {
        let found = mounting_scatter(
            &[vec![c(10.0, 0.0), c(0.0, 20.0)], vec![c(-10.0, 0.0), c(0.0, -20.0)]],
            None,
            None,
        )
        .unwrap();
        assert!((found.deviation - 250.0_f64.sqrt()).abs() < 1e-12);
        assert_eq!(found.degrees_of_freedom, 2.0);
    }

    // By hand: stated 100 complex rms is 5000 a component; (10·5000 + 500)/12.
    #[test]
    fn what_is_stated_counts_as_ten() {
        let stated = UnbalanceAmount::from_gram_millimetres(100.0).ok();
        let mountings = [vec![c(10.0, 0.0), c(0.0, 20.0)], vec![c(-10.0, 0.0), c(0.0, -20.0)]];
        let found = mounting_scatter(&mountings, None, stated).unwrap();
        assert!((found.deviation - (50_500.0_f64 / 12.0).sqrt()).abs() < 1e-12);
        assert_eq!(found.degrees_of_freedom, 12.0);
        let one = mounting_scatter(&mountings[..1], None, stated).unwrap();
        assert!((one.deviation - 5000.0_f64.sqrt()).abs() < 1e-12);
        assert_eq!(mounting_scatter(&mountings[..1], None, None), None);
    }

    #[test]
    fn an_earlier_mountings_forecast_counts_as_one_more() {
        let mountings = [vec![c(10.0, 0.0)], vec![c(-10.0, 0.0)]];
        let found = mounting_scatter(&mountings, Some(&[c(0.0, 0.0)]), None).unwrap();
        assert!((found.deviation - 50.0_f64.sqrt()).abs() < 1e-12);
        assert_eq!(found.degrees_of_freedom, 2.0);
        // One check in another mounting reads 300 at one of two places where nothing was forecast: 2·150²/2 over 2.
        let slip =
            mounting_scatter(&[vec![c(300.0, 0.0), c(0.0, 0.0)]], Some(&[c(0.0, 0.0); 2]), None).unwrap();
        assert!((slip.deviation - 11_250.0_f64.sqrt()).abs() < 1e-9, "{slip:?}");
        assert_eq!(slip.degrees_of_freedom, 2.0);
    }
}
