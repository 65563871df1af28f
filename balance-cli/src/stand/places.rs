//! Without phase: where in its plane the trial mass goes next.

/// How the mass goes round.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Way {
    /// Three places, a third of a turn apart.
    Thirds,
    /// Four places, a quarter of a turn apart.
    Quarters,
}

/// Two places nearer to each other than this, in degrees, count as one.
const NEAR: f64 = 30.0;
/// As near to a quarter turn as this, in degrees, two places mean four.
const QUARTER: f64 = 15.0;

impl Way {
    /// The way that two or more places show; `None`: one place shows none.
    #[must_use]
    pub fn of(read: &[f64]) -> Option<Self> {
        let (first, second) = (read.first()?, read.get(1)?);
        let quarters = (apart(*first, *second) - 90.0).abs() < QUARTER;
        Some(if quarters { Self::Quarters } else { Self::Thirds })
    }

    fn step(self) -> f64 {
        match self {
            Self::Thirds => 120.0,
            Self::Quarters => 90.0,
        }
    }

    /// How many places there are.
    #[must_use]
    pub fn places(self) -> usize {
        match self {
            Self::Thirds => 3,
            Self::Quarters => 4,
        }
    }
}

/// The next place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Next {
    /// Where, in degrees; `None`: anywhere, it is the first.
    pub degrees: Option<f64>,
    /// How the mass goes round, as far as it was chosen.
    pub way: Option<Way>,
}

/// Where the mass goes next, after these places and without those left out; `None`: it has been all round.
#[must_use]
pub fn next_place(read: &[f64], left_out: &[f64], way: Option<Way>) -> Option<Next> {
    let Some(first) = read.first() else { return Some(Next { degrees: None, way }) };
    let own = way.unwrap_or(Way::Thirds);
    let free = |degrees: &f64| read.iter().chain(left_out).all(|other| apart(*degrees, *other) >= NEAR);
    let places = (1..own.places()).map(|place| (first + own.step() * place as f64).rem_euclid(360.0));
    let degrees = places.into_iter().find(free)?;
    Some(Next { degrees: Some(degrees), way })
}

/// How far two places are apart, degrees.
#[must_use]
pub fn apart(one: f64, other: f64) -> f64 {
    let turned = (one - other).rem_euclid(360.0);
    turned.min(360.0 - turned)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn degrees(read: &[f64], left_out: &[f64]) -> Option<f64> {
        next_place(read, left_out, Way::of(read))?.degrees
    }

    #[test]
    fn a_mass_goes_round_in_thirds_unless_a_quarter_was_chosen() {
        assert_eq!(next_place(&[], &[], None), Some(Next { degrees: None, way: None }));
        assert_eq!(degrees(&[300.0], &[]), Some(60.0));
        assert_eq!(degrees(&[300.0, 60.0], &[]), Some(180.0));
        assert_eq!(degrees(&[300.0, 60.0, 180.0], &[]), None);
        assert_eq!(degrees(&[0.0, 90.0], &[]), Some(180.0));
        assert_eq!(degrees(&[0.0, 270.0, 180.0], &[]), Some(90.0));
        assert_eq!(degrees(&[0.0, 90.0, 180.0, 270.0], &[]), None);
        let other_plane = next_place(&[10.0], &[], Some(Way::Quarters));
        assert_eq!(other_plane.and_then(|next| next.degrees), Some(100.0));
    }

    #[test]
    fn a_place_near_the_wanted_one_counts_and_one_left_out_is_not_asked_again() {
        assert_eq!(degrees(&[0.0, 135.0], &[]), Some(240.0));
        assert_eq!(degrees(&[0.0, 135.0, 245.0], &[]), None);
        assert_eq!(degrees(&[0.0, 120.0], &[240.0]), None);
    }
}
