//! Taking weights off, or turning them, instead of adding more.

use super::problem::{BoxCounts, InTheWay, PlaneChoice, PlaneProblem};
use super::task::{TakeOff, WeightTask};
use crate::quantity::UnbalanceAmount;
use crate::shaft::Hold;

/// At most so many weights of one plane come off in one correction.
pub const MOST_TAKEN_OFF: usize = 3;

/// Only the heaviest so many removable weights of a plane are looked at.
const MOST_LOOKED_AT: usize = 12;

/// The best choice for a plane, over every set of at most [`MOST_TAKEN_OFF`] weights that may come off.
///
/// Of choices that leave no more than what is enough the one with the least work, then the least criterion; where
/// none is enough, the least sum of criterion and work, a unit of work counted as `worth_of_work_share` of the
/// permissible. Within one set of weights that come off the choice of new ones is exactly best.
pub(super) fn choose_plane(task: &WeightTask, plane: usize, counts: &BoxCounts) -> PlaneChoice {
    let scale = Scale::of(task, plane);
    let solve = |off: &[usize]| {
        let most = task.weld.most_per_plane();
        let in_the_way = InTheWay::Everything;
        PlaneProblem { task, plane, off, counts, in_the_way, most, enough: scale.enough }.solve()
    };
    let mut best = solve(&[]);
    for off in sets_of(&removable(task, plane)) {
        let choice = solve(&off);
        if scale.is_better(&choice, &best) {
            best = choice;
        }
    }
    best
}

/// Welds and cuts in the shop's units of work.
pub(super) fn work_of(task: &WeightTask, welds: usize, cuts: usize) -> f64 {
    task.settings.work.per_weld * welds as f64 + task.settings.work.per_cut * cuts as f64
}

/// What is enough in a plane and what work is worth there, g·mm.
struct Scale<'a> {
    task: &'a WeightTask,
    enough: f64,
    worth_of_work: f64,
}

impl<'a> Scale<'a> {
    fn of(task: &'a WeightTask, plane: usize) -> Self {
        let asked = &task.planes[plane];
        let permissible = asked.permissible.map(UnbalanceAmount::gram_millimetres);
        let enough = permissible.unwrap_or(0.0) * task.settings.enough_share;
        let whole = permissible.unwrap_or(asked.target.gram_millimetres());
        Self { task, enough, worth_of_work: whole * task.settings.worth_of_work_share }
    }

    fn is_better(&self, one: &PlaneChoice, other: &PlaneChoice) -> bool {
        let work = |choice: &PlaneChoice| work_of(self.task, choice.fitted.len(), choice.off.len());
        let enough = |choice: &PlaneChoice| choice.error.norm() <= self.enough;
        let total = |choice: &PlaneChoice| choice.cost + self.worth_of_work * work(choice);
        match (enough(one), enough(other)) {
            (true, true) => (work(one), one.cost) < (work(other), other.cost),
            (true, false) => true,
            (false, true) => false,
            (false, false) => total(one) < total(other),
        }
    }
}

/// Weights of a plane that may come off: the heaviest ones if there are many.
fn removable(task: &WeightTask, plane: usize) -> Vec<usize> {
    if task.settings.take_off == TakeOff::Never {
        return Vec::new();
    }
    let may = |index: &usize| {
        let old = &task.welded_before[*index];
        old.plane == plane && old.hold == Hold::CanComeOff
    };
    let mut found: Vec<usize> = (0..task.welded_before.len()).filter(may).collect();
    let grams = |index: &usize| task.welded_before[*index].mass.grams();
    found.sort_by(|a, b| grams(b).total_cmp(&grams(a)));
    found.truncate(MOST_LOOKED_AT);
    found
}

/// Every set of one to [`MOST_TAKEN_OFF`] of these, small sets first.
fn sets_of(items: &[usize]) -> Vec<Vec<usize>> {
    let mut all: Vec<Vec<usize>> = Vec::new();
    let mut last: Vec<Vec<usize>> = vec![Vec::new()];
    for _ in 0..MOST_TAKEN_OFF.min(items.len()) {
        let grow = |set: &Vec<usize>| {
            let start =
                set.last().and_then(|end| items.iter().position(|item| item == end)).map_or(0, |at| at + 1);
            let set = set.clone();
            items[start..].iter().map(move |item| set.iter().copied().chain([*item]).collect())
        };
        last = last.iter().flat_map(grow).collect();
        all.extend(last.iter().cloned());
    }
    all
}

#[cfg(test)]
mod tests {
    use super::sets_of;

    #[test]
    fn every_small_set_is_met_once() {
        assert_eq!(
            sets_of(&[7, 3, 5]),
            [vec![7], vec![3], vec![5], vec![7, 3], vec![7, 5], vec![3, 5], vec![7, 3, 5]]
        );
        // 4 + 6 + 4 sets of at most three out of four.
        assert_eq!(sets_of(&[0, 1, 2, 3]).len(), 14);
        assert!(sets_of(&[]).is_empty());
    }
}
