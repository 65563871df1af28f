//! One row of weights round the tube: the places there are, and which of them a piece may take.

use num_complex::Complex64;

use crate::quantity::Angle;

/// Two pieces, or a piece and a sector, may touch: this many degrees of overlap still count as touching.
pub(super) const TOUCH: f64 = 1e-9;

/// Something on the row that a new piece has to stay clear of.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Obstacle {
    /// Its middle, in degrees.
    pub middle: f64,
    /// Half its width and the room kept beside it, in degrees.
    pub half_width: f64,
}

impl Obstacle {
    /// Whether a piece that reaches `half_width` to both sides may sit with its middle here.
    pub(super) fn leaves(&self, degrees: f64, half_width: f64) -> bool {
        around(degrees, self.middle) >= self.half_width + half_width - TOUCH
    }
}

/// How far apart two angles are, 0 to 180 degrees.
pub(super) fn around(one: f64, other: f64) -> f64 {
    let apart = (one - other).rem_euclid(360.0);
    apart.min(360.0 - apart)
}

/// One size of weight as it can be used in this row.
#[derive(Debug, Clone)]
pub(super) struct Size {
    /// Unbalance in g·mm.
    pub unbalance: f64,
    /// Half the room it takes, in degrees.
    pub half_width: f64,
    /// How many there are.
    pub count: u32,
    /// What it is, for the caller.
    pub tag: usize,
    allowed: Vec<bool>,
    next: Vec<usize>,
    previous: Vec<usize>,
}

impl Size {
    /// Whether a piece of this size may take this place, considering only sectors and old weights.
    pub(super) fn may_take(&self, place: usize) -> bool {
        self.allowed[place]
    }
}

/// The places of a row and the sizes that can go there.
#[derive(Debug, Clone)]
pub(super) struct Row {
    degrees: Vec<f64>,
    directions: Vec<Complex64>,
    /// Lightest first.
    sizes: Vec<Size>,
    gap: f64,
}

/// A size before it is fitted to the row.
#[derive(Debug, Clone, Copy)]
pub(super) struct SizeWanted {
    pub unbalance: f64,
    pub half_width: f64,
    pub count: u32,
    pub tag: usize,
}

/// Where a new piece may not go because of an earlier one in the same choice.
pub(super) type Taken = Obstacle;

impl Row {
    /// A row with these places (degrees), obstacles, and room between two pieces (degrees).
    pub(super) fn new(
        mut degrees: Vec<f64>,
        obstacles: &[Obstacle],
        gap: f64,
        wanted: &[SizeWanted],
    ) -> Self {
        degrees.sort_by(f64::total_cmp);
        degrees.dedup();
        let directions = degrees.iter().map(|at| direction(*at)).collect();
        let mut sizes: Vec<Size> = wanted.iter().map(|size| measure(*size, &degrees, obstacles)).collect();
        sizes.sort_by(|a, b| a.unbalance.total_cmp(&b.unbalance));
        Self { degrees, directions, sizes, gap }
    }

    pub(super) fn sizes(&self) -> &[Size] {
        &self.sizes
    }

    pub(super) fn places(&self) -> usize {
        self.degrees.len()
    }

    pub(super) fn degrees(&self, place: usize) -> f64 {
        self.degrees[place]
    }

    pub(super) fn direction(&self, place: usize) -> Complex64 {
        self.directions[place]
    }

    /// What a piece of this size at this place takes from later ones, the gap included.
    pub(super) fn taken_by(&self, size: usize, place: usize) -> Taken {
        Obstacle { middle: self.degrees[place], half_width: self.sizes[size].half_width + self.gap }
    }

    /// Whether the place is free of the pieces chosen before.
    pub(super) fn is_free(&self, size: usize, place: usize, taken: &[Taken]) -> bool {
        let half_width = self.sizes[size].half_width;
        taken.iter().all(|other| other.leaves(self.degrees[place], half_width))
    }

    /// The place nearest to the direction of `rest` that a piece of this size may take: exactly the best one.
    ///
    /// |rest − a·e^{jθ}|² = |rest|² + a² − 2a|rest|cos(θ − arg rest) falls as θ nears arg rest, so the best place is
    /// the first free one going up from arg rest or the first going down. Going up, the first free one is either the
    /// next place that sectors allow or, if an earlier piece covers that, the next allowed place after the end of
    /// an earlier piece; going down likewise. So these few places are all that need to be looked at.
    pub(super) fn nearest(&self, size: usize, rest: Complex64, taken: &[Taken]) -> Option<usize> {
        let wanted = Angle::of(rest).degrees_in_turn();
        let half_width = self.sizes[size].half_width;
        let mut best: Option<(usize, f64)> = None;
        let tie = 1e-12 * rest.norm();
        let mut offer = |place: Option<usize>| {
            let Some(place) = place.filter(|place| self.is_free(size, *place, taken)) else {
                return;
            };
            let towards = (self.directions[place].conj() * rest).re;
            if best.is_none_or(|(_, found)| towards > found + tie) {
                best = Some((place, towards));
            }
        };
        offer(self.allowed_from(size, wanted));
        for other in taken {
            offer(self.allowed_from(size, other.middle + other.half_width + half_width - TOUCH));
        }
        offer(self.allowed_to(size, wanted));
        for other in taken {
            offer(self.allowed_to(size, other.middle - other.half_width - half_width + TOUCH));
        }
        best.map(|(place, _)| place)
    }

    /// The first allowed place at or after an angle, going round.
    fn allowed_from(&self, size: usize, degrees: f64) -> Option<usize> {
        let at = degrees.rem_euclid(360.0);
        let first = self.degrees.partition_point(|place| *place < at);
        let first = if first == self.degrees.len() { 0 } else { first };
        self.sizes[size].next.get(first).copied()
    }

    /// The first allowed place at or before an angle, going round.
    fn allowed_to(&self, size: usize, degrees: f64) -> Option<usize> {
        let at = degrees.rem_euclid(360.0);
        let after = self.degrees.partition_point(|place| *place <= at);
        let last = if after == 0 { self.degrees.len().checked_sub(1)? } else { after - 1 };
        self.sizes[size].previous.get(last).copied()
    }
}

/// The unit vector at an angle in degrees.
pub(super) fn direction(degrees: f64) -> Complex64 {
    Angle::from_degrees(degrees).map_or(Complex64::new(1.0, 0.0), Angle::unit_vector)
}

/// Which places of the row a size may take, with the next and the previous one for each place.
fn measure(size: SizeWanted, degrees: &[f64], obstacles: &[Obstacle]) -> Size {
    let free = |at: &f64| obstacles.iter().all(|obstacle| obstacle.leaves(*at, size.half_width));
    let fits = size.half_width <= 180.0 + TOUCH;
    let allowed: Vec<bool> = degrees.iter().map(|at| fits && free(at)).collect();
    let (next, previous) = neighbours(&allowed);
    let SizeWanted { unbalance, half_width, count, tag } = size;
    Size { unbalance, half_width, count, tag, allowed, next, previous }
}

/// For each place the next allowed one at or after it and the previous one at or before it, going round; both empty
/// if none is allowed.
fn neighbours(allowed: &[bool]) -> (Vec<usize>, Vec<usize>) {
    let (Some(first), Some(last)) =
        (allowed.iter().position(|free| *free), allowed.iter().rposition(|free| *free))
    else {
        return (Vec::new(), Vec::new());
    };
    let mut next = vec![first; allowed.len()];
    let mut coming = first;
    for place in (0..allowed.len()).rev() {
        coming = if allowed[place] { place } else { coming };
        next[place] = coming;
    }
    let mut previous = vec![last; allowed.len()];
    let mut passed = last;
    for place in 0..allowed.len() {
        passed = if allowed[place] { place } else { passed };
        previous[place] = passed;
    }
    (next, previous)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Against every place tried in turn: with a sector, with earlier pieces beside which others just fit, and between
    /// two places that are equally good.
    #[test]
    fn the_nearest_place_is_the_best_of_all() {
        let degrees: Vec<f64> = (0..72).map(|at| 5.0 * f64::from(at)).collect();
        let size = |half_width: f64| SizeWanted { unbalance: half_width, half_width, count: 9, tag: 0 };
        let sector = Obstacle { middle: 40.0, half_width: 20.0 };
        let row = Row::new(degrees, &[sector], 5.0, &[size(10.0), size(15.0)]);
        let earlier: [&[(usize, usize)]; 4] =
            [&[], &[(0, 30)], &[(1, 30), (0, 36)], &[(0, 0), (1, 14), (0, 71)]];
        for pieces in earlier {
            let taken: Vec<Taken> = pieces.iter().map(|&(size, place)| row.taken_by(size, place)).collect();
            for (own, wanted) in (0..2).flat_map(|own| (0..144).map(move |at| (own, 2.5 * f64::from(at)))) {
                let rest = 3.0 * direction(wanted);
                let towards = |place: usize| (row.direction(place).conj() * rest).re;
                let open =
                    |place: &usize| row.sizes()[own].may_take(*place) && row.is_free(own, *place, &taken);
                let best = (0..row.places()).filter(open).map(towards).fold(f64::NEG_INFINITY, f64::max);
                let found = row.nearest(own, rest, &taken).unwrap();
                assert!(open(&found), "{pieces:?} {own} {wanted}: {found}");
                assert!((towards(found) - best).abs() < 1e-12, "{pieces:?} {own} {wanted}: {found}");
            }
        }
    }

    #[test]
    fn nothing_is_offered_where_no_place_is_left() {
        let size = SizeWanted { unbalance: 1.0, half_width: 10.0, count: 1, tag: 0 };
        let all_round = Obstacle { middle: 0.0, half_width: 180.0 };
        let full = Row::new(vec![0.0, 90.0], &[all_round], 0.0, &[size]);
        assert_eq!(full.nearest(0, Complex64::ONE, &[]), None);
        let row = Row::new(vec![0.0, 90.0], &[], 0.0, &[size]);
        let taken = [row.taken_by(0, 0), row.taken_by(0, 1)];
        assert_eq!(row.nearest(0, Complex64::ONE, &taken[..1]), Some(1));
        assert_eq!(row.nearest(0, Complex64::ONE, &taken), None);
    }
}
