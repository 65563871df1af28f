//! The fewest weights, over all planes together.

use std::collections::HashMap;
use std::rc::Rc;

use num_complex::Complex64;

use super::effect::effective_unbalance;
use super::forecasting::Placing;
use super::problem::{BoxCounts, PlaneChoice};
use super::take_off::{SAME_WORK, TIE, Worked, best_by_work};
use super::task::WeightTask;
use crate::quantity::UnbalanceAmount;
use crate::shaft::PlaneId;

/// A choice for every plane.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Chosen {
    /// One for each plane, in the order asked for.
    pub choices: Vec<PlaneChoice>,
    /// Whether it is good enough by the forecast (without one: by the share of the permissible that is left).
    pub good_enough: bool,
}

/// The choice with the least work (without weights that come off: the fewest weights) that is good enough, of
/// several, the one with the least criterion; if none is good enough, the one with the least work whose
/// criterion is only a little above the least.
///
/// # Method
///
/// The planes are taken in `order`, each with its best choice for every amount of work and for what the
/// planes before it leave in the box; every combination is judged. The criterion over all planes is the root
/// of the sum of squares, including what the readings leave uncertain, each plane as a share of its
/// permissible where all have one. In the second rule a plane that could keep its share must not fall short
/// because another leaves much more.
pub(super) fn fewest(task: &WeightTask, order: &[PlaneId], counts: &BoxCounts) -> Chosen {
    let mut search = Search::new(task, order);
    search.walk(&mut Vec::new(), counts, Sum::default());
    let (found, good_enough) = match search.good.take() {
        Some(good) => (good, true),
        None => (search.little_worse(), false),
    };
    let choices = found.picks.iter().map(|pick| pick.of.choices[pick.at].choice.clone()).collect();
    Chosen { choices, good_enough }
}

/// Not above; a value that is not a number is never above.
fn at_most(value: f64, most: f64) -> bool {
    value <= most || value.is_nan() || most.is_nan()
}

/// A plane's choices for one state of the box.
#[derive(Debug)]
struct Choices {
    choices: Vec<Worked>,
    /// The criterion squared of each, uncertainty of the readings included, as it counts in the sum.
    squares: Vec<f64>,
    /// Whether each is acceptable on its own: it does not fall short, or is little worse than the best.
    acceptable: Vec<bool>,
}

/// One of a plane's choices.
#[derive(Debug, Clone)]
struct Pick {
    of: Rc<Choices>,
    at: usize,
}

/// The total of the planes picked so far.
#[derive(Debug, Clone, Copy)]
struct Sum {
    work: f64,
    square: f64,
    acceptable: bool,
}

impl Default for Sum {
    fn default() -> Self {
        Self { work: 0.0, square: 0.0, acceptable: true }
    }
}

impl Sum {
    fn with(self, pick: &Pick) -> Self {
        Self {
            work: self.work + pick.of.choices[pick.at].work,
            square: self.square + pick.of.squares[pick.at],
            acceptable: self.acceptable && pick.of.acceptable[pick.at],
        }
    }

    fn is_less_work(self, other: Self) -> bool {
        self.work < other.work - SAME_WORK
    }

    fn is_better(self, other: Self) -> bool {
        let same_work = (self.work - other.work).abs() <= SAME_WORK;
        self.is_less_work(other) || same_work && self.square < other.square * (1.0 - TIE)
    }
}

#[derive(Debug, Clone)]
struct Found {
    picks: Vec<Pick>,
    sum: Sum,
}

struct Search<'a> {
    task: &'a WeightTask,
    order: &'a [PlaneId],
    known: HashMap<(PlaneId, BoxCounts), Rc<Choices>>,
    good: Option<Found>,
    /// For each amount of work the best acceptable combination.
    by_work: Vec<Found>,
}

impl<'a> Search<'a> {
    fn new(task: &'a WeightTask, order: &'a [PlaneId]) -> Self {
        Self { task, order, known: HashMap::new(), good: None, by_work: Vec::new() }
    }

    /// Picks for the next plane in every way, with what is left in the box.
    fn walk(&mut self, picks: &mut Vec<Pick>, counts: &BoxCounts, sum: Sum) {
        let Some(&plane) = self.order.get(picks.len()) else { return self.judge(picks, sum) };
        let of = self.choices(plane, counts);
        for at in 0..of.choices.len() {
            let pick = Pick { of: Rc::clone(&of), at };
            let next = sum.with(&pick);
            // More work than a choice that is already good enough: choices come with the least work first.
            if self.good.as_ref().is_some_and(|good| good.sum.is_less_work(next)) {
                break;
            }
            let mut left = counts.clone();
            of.choices[at].choice.fitted.iter().for_each(|weight| left.take(weight.source));
            picks.push(pick);
            self.walk(picks, &left, next);
            picks.pop();
        }
    }

    fn judge(&mut self, picks: &[Pick], sum: Sum) {
        let found = || Found { picks: picks.to_vec(), sum };
        if self.good.as_ref().is_none_or(|good| sum.is_better(good.sum)) && self.is_good_enough(picks) {
            self.good = Some(found());
        }
        if self.good.is_some() || !sum.acceptable {
            return;
        }
        match self.by_work.iter_mut().find(|other| (other.sum.work - sum.work).abs() <= SAME_WORK) {
            Some(other) if sum.is_better(other.sum) => *other = found(),
            Some(_) => {}
            None => self.by_work.push(found()),
        }
    }

    /// The least work whose criterion is little above the least.
    fn little_worse(&self) -> Found {
        let least = self.by_work.iter().map(|found| found.sum.square).fold(f64::INFINITY, f64::min);
        let most = least * (1.0 + self.task.settings.worse_share).powi(2);
        let enough = self.by_work.iter().filter(|found| at_most(found.sum.square, most));
        let found = enough.min_by(|one, other| one.sum.work.total_cmp(&other.sum.work));
        found.cloned().expect("the best choice of each plane in turn is acceptable")
    }

    fn choices(&mut self, plane: PlaneId, counts: &BoxCounts) -> Rc<Choices> {
        let task = self.task;
        let work_out = || Rc::new(Choices::of(task, plane, counts));
        Rc::clone(self.known.entry((plane, counts.clone())).or_insert_with(work_out))
    }

    fn is_good_enough(&self, picks: &[Pick]) -> bool {
        let planes =
            self.order.iter().zip(picks).map(|(&plane, pick)| (plane, &pick.of.choices[pick.at].choice));
        let Some(forecasting) = &self.task.forecasting else {
            return planes.into_iter().all(|(plane, choice)| self.leaves_little(plane, choice));
        };
        let mut left = vec![Complex64::ZERO; self.task.planes.len()];
        let mut placed = vec![0.0; self.task.planes.len()];
        for (plane, choice) in planes {
            left[plane] = -choice.error;
            placed[plane] = self.placing(&forecasting.placing[plane], plane, choice);
        }
        forecasting.is_met(&left, &placed, &self.task.settings)
    }

    /// Complex variance of where a plane's new weights end up, and of where the weights that come off were.
    fn placing(&self, placing: &Placing, plane: PlaneId, choice: &PlaneChoice) -> f64 {
        let geometry = self.task.geometry(plane);
        let off = choice.off.iter().map(|index| self.task.old_piece(*index));
        let pieces = choice.fitted.iter().map(|weight| weight.piece).chain(off);
        pieces.map(|piece| placing.variance(effective_unbalance(&piece, &geometry))).sum()
    }

    /// Whether a plane keeps the share of its permissible that is enough where no forecast can be made.
    fn leaves_little(&self, plane: PlaneId, choice: &PlaneChoice) -> bool {
        let permissible = self.task.planes[plane].permissible.map(UnbalanceAmount::gram_millimetres);
        permissible.is_some_and(|limit| choice.error.norm() <= limit * self.task.settings.enough_share)
    }
}

impl Choices {
    fn of(task: &WeightTask, plane: PlaneId, counts: &BoxCounts) -> Self {
        let choices = best_by_work(task, plane, counts);
        let read = task.forecasting.as_ref().map_or(0.0, |known| known.reading_variance(plane));
        let scale = scale(task, plane);
        let squares: Vec<f64> =
            choices.iter().map(|known| (known.choice.cost.powi(2) + read) / scale.powi(2)).collect();
        let least = squares.iter().copied().fold(f64::INFINITY, f64::min);
        let most = least * (1.0 + task.settings.worse_share).powi(2);
        let sound = |known: &Worked| known.choice.error.norm() <= task.short_limit(plane);
        let acceptable = choices
            .iter()
            .zip(&squares)
            .map(|(known, square)| sound(known) || at_most(*square, most))
            .collect();
        Self { choices, squares, acceptable }
    }
}

/// What a plane's criterion is divided by: its permissible if all planes have one.
fn scale(task: &WeightTask, plane: PlaneId) -> f64 {
    let known =
        |limit: Option<UnbalanceAmount>| limit.map(UnbalanceAmount::gram_millimetres).filter(|l| *l > 0.0);
    if task.planes.iter().all(|asked| known(asked.permissible).is_some()) {
        known(task.planes[plane].permissible).unwrap_or(1.0)
    } else {
        1.0
    }
}
