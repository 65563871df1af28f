//! Taking weights off, or turning them, instead of adding more.

use super::problem::{BoxCounts, PlaneChoice, PlaneProblem};
use super::task::{TakeOff, WeightTask};
use crate::quantity::UnbalanceAmount;
use crate::shaft::{HowHeld, PlaneId};

/// At most this many weights of one plane come off in one correction.
pub const MOST_TAKEN_OFF: usize = 3;

/// Only this many of a plane's removable weights are considered, the heaviest first.
const MOST_LOOKED_AT: usize = 12;

/// The best choice for a plane by itself, over every set of at most [`MOST_TAKEN_OFF`] weights that may come
/// off.
///
/// Among choices that leave no more than what is enough, the one with the least work is taken, then the least
/// criterion; where none is enough, the least sum of criterion and work, a unit of work counted as
/// `worth_of_work_share` of the permissible. Within one set of weights that come off the choice of new ones
/// is exactly best.
pub(super) fn choose_plane(task: &WeightTask, plane: PlaneId, counts: &BoxCounts) -> PlaneChoice {
    let scale = Scale::of(task, plane);
    let solve = |off: &[usize]| PlaneProblem::new(task, plane, off, counts, Some(scale.enough)).solve();
    let mut best = solve(&[]);
    for off in sets_of(&removable(task, plane)) {
        let choice = solve(&off);
        if scale.is_better(&choice, &best) {
            best = choice;
        }
    }
    best
}

/// A choice for a plane and the work it takes.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Worked {
    pub choice: PlaneChoice,
    /// In the shop's units.
    pub work: f64,
}

/// For each amount of work the best choice for a plane, least work first, over every number of weights and every set
/// of at most [`MOST_TAKEN_OFF`] weights that may come off.
pub(super) fn best_by_work(task: &WeightTask, plane: PlaneId, counts: &BoxCounts) -> Vec<Worked> {
    let mut sets = vec![Vec::new()];
    sets.extend(sets_of(&removable(task, plane)));
    let mut found: Vec<Worked> = Vec::new();
    for off in sets {
        for choice in PlaneProblem::new(task, plane, &off, counts, None).solve_by_number() {
            let work = work_of(task, choice.fitted.len(), off.len());
            match found.iter_mut().find(|other| (other.work - work).abs() <= SAME_WORK) {
                Some(other) if choice.cost < other.choice.cost * (1.0 - TIE) => other.choice = choice,
                Some(_) => {}
                None => found.push(Worked { choice, work }),
            }
        }
    }
    found.sort_by(|one, other| one.work.total_cmp(&other.work));
    found
}

/// Amounts of work closer than this are the same.
pub(super) const SAME_WORK: f64 = 1e-9;

/// Criteria within this share of each other count as equal.
pub(super) const TIE: f64 = 1e-12;

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
    fn of(task: &'a WeightTask, plane: PlaneId) -> Self {
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
fn removable(task: &WeightTask, plane: PlaneId) -> Vec<usize> {
    if task.settings.take_off == TakeOff::Never {
        return Vec::new();
    }
    let may = |index: &usize| {
        let old = &task.welded_before[*index];
        old.plane == plane && old.hold == HowHeld::CanComeOff
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
    use super::super::plan::{PlanePlan, plan_weights};
    use super::super::problem::Source;
    use super::super::task::{PlaneTask, TakeOff, WeightTask};
    use super::sets_of;
    use crate::quantity::{Angle, Length, Mass, Unbalance, UnbalanceAmount};
    use crate::shaft::{CorrectionPlane, HowHeld, PlaneId, StampedWeight, WeldOn, WeldedBefore};

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

    /// A plane at 50 mm with a 10 g weight at 40 degrees on it, and a box of 10 g weights.
    fn with_ten_grams_on(grams: f64, degrees: f64, hold: HowHeld) -> WeightTask {
        let angle = |degrees| Angle::from_degrees(degrees).unwrap();
        let mass = |grams| Mass::from_grams(grams).unwrap();
        let plane = CorrectionPlane {
            radius: Some(Length::from_millimetres(50.0).unwrap()),
            ..CorrectionPlane::named("front")
        };
        let amount = UnbalanceAmount::from_gram_millimetres(grams * 50.0).unwrap();
        let target = Unbalance::at(amount, angle(degrees));
        let permissible = Some(UnbalanceAmount::from_gram_millimetres(100.0).unwrap());
        let stock = vec![WeldOn::Stamped(StampedWeight::new(mass(10.0)).unwrap())];
        let mut task = WeightTask::new(vec![PlaneTask { plane, target, permissible }], stock);
        task.place_error = None;
        task.welded_before =
            vec![WeldedBefore { hold, ..WeldedBefore::new(PlaneId::new(0), mass(10.0), angle(40.0)) }];
        task
    }

    fn front(task: &WeightTask) -> PlanePlan {
        plan_weights(task).unwrap().planes.remove(0)
    }

    #[test]
    fn a_weight_that_is_too_much_comes_off() {
        // 10 g missing at 220 degrees: opposite to the 10 g at 40. One cut or one weld does it; one cut leaves 0 too,
        // and adding comes first between equals, so make a cut cheaper.
        let mut task = with_ten_grams_on(10.0, 220.0, HowHeld::CanComeOff);
        assert_eq!(front(&task).weights.len(), 1);
        task.settings.work.per_cut = 0.5;
        let plan = front(&task);
        assert_eq!((plan.weights.len(), plan.come_off.len()), (0, 1));
        assert!(plan.left_over.gram_millimetres() < 1e-9);
        assert_eq!(plan.total_mass, Mass::ZERO);
    }

    #[test]
    fn a_weight_is_turned_where_the_box_has_none() {
        // Taking 10 g from 40 to 80 degrees adds 2·10·sin 20° = 6.84 g at 60 + 90 = 150 degrees (a chord, by hand).
        let grams = 20.0 * 20.0_f64.to_radians().sin();
        let mut task = with_ten_grams_on(grams, 150.0, HowHeld::CanComeOff);
        let WeldOn::Stamped(weight) = &mut task.stock[0] else { unreachable!("a stamped weight") };
        weight.count = Some(0);
        let plan = front(&task);
        assert_eq!(plan.weights[0].source, Source::Turned { welded: 0 });
        assert_eq!(plan.weights[0].angle.degrees(), 80.0);
        assert_eq!(plan.come_off[0].turned_to, Some(0));
        assert!(plan.left_over.gram_millimetres() < 1e-9);
        assert_eq!(plan.work, 2.0);
    }

    #[test]
    fn what_stays_stays() {
        for (hold, take_off) in [(HowHeld::Stays, TakeOff::Consider), (HowHeld::CanComeOff, TakeOff::Never)] {
            let mut task = with_ten_grams_on(10.0, 220.0, hold);
            task.settings.work.per_cut = 0.1;
            task.settings.take_off = take_off;
            assert!(front(&task).come_off.is_empty());
        }
    }
}
