//! The exactly best choice of a few weights in one row.
//!
//! # Method
//!
//! Branch and bound over every piece but the last and every place for it; the last piece of each size goes to the
//! free place nearest to what is missing, which is exactly its best one (`Row::nearest`). Pieces are tried in falling
//! order of size, so each set is met once. Three bounds cut branches that cannot hold the best, all of them true lower
//! bounds: `n` pieces no larger than `a` reach at most `n·a`; `n` pieces that make a sum `q` cost at least `s²q²/n`
//! (Cauchy-Schwarz), hence at least `c/(1+c)·|rest|²` with `c = s²/n` when what they miss is counted too; and the last
//! piece of unbalance `a` misses at least `||rest| − a|`. Nothing else is cut, so the result is the best there is.

use num_complex::Complex64;

use super::row::{Row, Taken, around};
use crate::quantity::Angle;

/// A piece at a place: indices into the row's sizes and places.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Pick {
    pub size: usize,
    pub place: usize,
}

/// A choice of pieces and what it costs.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Choice {
    /// Largest first.
    pub picks: Vec<Pick>,
    /// What is missing: g·mm still to add.
    pub error: Complex64,
    /// The criterion squared.
    pub cost: f64,
}

/// The question for one row.
#[derive(Debug, Clone, Copy)]
pub(super) struct Question {
    /// Unbalance to add, g·mm.
    pub target: Complex64,
    /// Cost that applies whatever is chosen: the misplacement of weights that come off, squared.
    pub fixed_cost: f64,
    /// Square of the place error in radians; zero: judge only by what is left.
    pub place_variance: f64,
    /// At most so many pieces.
    pub most: usize,
}

/// The best choice of none, of at most one, of at most two … up to `most` pieces, each worked out on demand.
pub(super) fn by_number(row: &Row, question: Question) -> impl Iterator<Item = Choice> {
    let mut search = Search::new(row, question);
    (0..=question.most).map(move |pieces| {
        if pieces > 0 {
            search.extend(pieces, row.sizes().len(), question.target, question.fixed_cost);
        }
        search.best.clone()
    })
}

struct Search<'row> {
    row: &'row Row,
    place_variance: f64,
    wanted_at: f64,
    /// Costs closer than this are a tie.
    tie: f64,
    chosen: Vec<Pick>,
    taken: Vec<Taken>,
    best: Choice,
}

impl<'row> Search<'row> {
    fn new(row: &'row Row, question: Question) -> Self {
        let nothing = question.target.norm_sqr() + question.fixed_cost;
        let largest = row.sizes().last().map_or(0.0, |size| size.unbalance);
        Self {
            row,
            place_variance: question.place_variance,
            wanted_at: Angle::of(question.target).degrees(),
            tie: 1e-12 * (nothing + largest * largest),
            chosen: Vec::new(),
            taken: Vec::new(),
            best: Choice { picks: Vec::new(), error: question.target, cost: nothing },
        }
    }

    /// The most that a better choice, or a tie, may cost.
    fn budget(&self) -> f64 {
        self.best.cost + self.tie
    }

    /// What misplacing a piece of this size costs, squared.
    fn penalty(&self, size: usize) -> f64 {
        let unbalance = self.row.sizes()[size].unbalance;
        self.place_variance * unbalance * unbalance
    }

    /// The least that `pieces` more pieces cost when this much is missing.
    fn least_cost(&self, pieces: usize, rest_squared: f64) -> f64 {
        let share = self.place_variance / pieces as f64;
        rest_squared * share / (1.0 + share)
    }

    fn is_left(&self, size: usize) -> bool {
        let used = self.chosen.iter().filter(|pick| pick.size == size).count();
        (used as u64) < u64::from(self.row.sizes()[size].count)
    }

    /// Tries every way to add exactly `pieces` pieces of sizes below `below`.
    fn extend(&mut self, pieces: usize, below: usize, rest: Complex64, cost: f64) {
        if pieces == 1 {
            return self.finish(below, rest, cost);
        }
        let missing = rest.norm();
        for size in (0..below).rev() {
            let largest = self.row.sizes()[size].unbalance;
            let short = missing - pieces as f64 * largest;
            if short > 0.0 && cost + short * short > self.budget() {
                break;
            }
            if self.is_left(size) {
                self.try_places(pieces, size, rest, cost + self.penalty(size));
            }
        }
    }

    /// Tries a piece of one size at every place, with `pieces - 1` pieces to follow.
    fn try_places(&mut self, pieces: usize, size: usize, rest: Complex64, cost: f64) {
        let row = self.row;
        let unbalance = row.sizes()[size].unbalance;
        for place in 0..row.places() {
            let remaining = rest - row.direction(place) * unbalance;
            let least = self.least_cost(pieces - 1, remaining.norm_sqr());
            if cost + least > self.budget()
                || !row.sizes()[size].may_take(place)
                || !row.is_free(size, place, &self.taken)
            {
                continue;
            }
            self.chosen.push(Pick { size, place });
            self.taken.push(row.taken_by(size, place));
            self.extend(pieces - 1, size + 1, remaining, cost);
            self.chosen.pop();
            self.taken.pop();
        }
    }

    /// The last piece: each size goes to the nearest free place, if its size can beat the best at all.
    fn finish(&mut self, below: usize, rest: Complex64, cost: f64) {
        let row = self.row;
        let sizes = row.sizes();
        let missing = rest.norm();
        let reach = (self.budget() - cost).max(0.0).sqrt();
        let first = sizes[..below].partition_point(|size| size.unbalance < missing - reach);
        for (size, data) in sizes.iter().enumerate().take(below).skip(first) {
            let miss = missing - data.unbalance;
            if miss < -reach {
                break;
            }
            let total = cost + self.penalty(size);
            if total + miss * miss > self.budget() || !self.is_left(size) {
                continue;
            }
            if let Some(place) = row.nearest(size, rest, &self.taken) {
                let error = rest - row.direction(place) * data.unbalance;
                self.offer(Pick { size, place }, error, total + error.norm_sqr());
            }
        }
    }

    fn offer(&mut self, last: Pick, error: Complex64, cost: f64) {
        if cost > self.budget() {
            return;
        }
        let better = cost < self.best.cost - self.tie;
        if !better && !self.precedes(last) {
            return;
        }
        let mut picks = self.chosen.clone();
        picks.push(last);
        self.best = Choice { picks, error, cost };
    }

    /// Which of two equally good choices is taken: the one with fewer pieces, then the one whose larger piece
    /// lies further in counting direction from the wanted angle. Turning the mark turns the answer.
    fn precedes(&self, last: Pick) -> bool {
        let found = self.chosen.iter().chain(std::iter::once(&last));
        if self.best.picks.len() != self.chosen.len() + 1 {
            return false;
        }
        for (new, old) in found.zip(&self.best.picks) {
            if new.size != old.size {
                return new.size < old.size;
            }
            let (new_at, old_at) = (self.offset(new.place), self.offset(old.place));
            if (new_at - old_at).abs() > 1e-6 {
                return new_at > old_at;
            }
        }
        false
    }

    /// How far a place lies from the wanted angle in counting direction, −180 to 180 degrees.
    fn offset(&self, place: usize) -> f64 {
        let at = self.row.degrees(place);
        let ahead = (at - self.wanted_at).rem_euclid(360.0);
        if ahead <= 180.0 { ahead } else { -around(at, self.wanted_at) }
    }
}
