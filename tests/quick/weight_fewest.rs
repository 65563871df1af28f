//! The fewest weights compared with trying everything: small random boxes, two and three planes, limited
//! counts. The other side does not use the search. The law of Rice is the library's, which is compared with
//! SciPy elsewhere.

#![expect(clippy::unwrap_used, reason = "in a test what cannot be had is a failure")]

use balance_core::Complex64;
use balance_core::chance::Rice;
use balance_core::correction::weights::{
    Forecasting, LimitedPlace, Placing, PlaneTask, WeightPlan, WeightTask, plan_weights,
};
use balance_core::linear::CMatrix;
use balance_core::quantity::{Angle, Length, Mass, Unbalance, UnbalanceAmount};
use balance_core::run::PlaceError;
use balance_core::shaft::{CorrectionPlane, FixedPlace, PlaneId, StampedWeight, Weld, WeldOn};
use balance_tests::random::Random;
use balance_tests::record::record;

const RADIUS: f64 = 46.0;
const LENGTH: f64 = 1385.0;
const MOST: usize = 2;

fn mm(value: f64) -> Length {
    Length::from_millimetres(value).unwrap()
}

/// Points at fixed places, so that room does not matter: room is tested elsewhere.
fn random_task(random: &mut Random, positions: &[f64], few_in_the_box: bool) -> WeightTask {
    let planes: Vec<PlaneTask> = positions.iter().map(|_| plane(random)).collect();
    let stock = (0..1 + random.below(2)).map(|_| weight(random, few_in_the_box)).collect();
    let mut task = WeightTask::new(planes, stock);
    task.weld = Weld::new(Mass::ZERO, MOST, mm(0.0)).unwrap();
    let radians: f64 = random.between(0.01, 0.05);
    task.place_error = Some(PlaceError::Angle(Angle::from_degrees(radians.to_degrees()).unwrap()));
    for plane in 0..positions.len() {
        for _ in 0..6 {
            let angle = Angle::from_degrees(random.between(0.0, 360.0)).unwrap();
            task.fixed_places.push(FixedPlace { plane: PlaneId::new(plane), angle, name: "hole".into() });
        }
    }
    task.forecasting = Some(forecasting(random, positions, radians));
    task
}

fn plane(random: &mut Random) -> PlaneTask {
    let target = Unbalance::from_vector(random.direction() * random.between(0.0, 1100.0));
    let plane = CorrectionPlane { radius: Some(mm(RADIUS)), ..CorrectionPlane::named("somewhere") };
    let permissible = UnbalanceAmount::from_gram_millimetres(random.between(250.0, 450.0)).ok();
    PlaneTask { plane, target, permissible }
}

fn weight(random: &mut Random, few: bool) -> WeldOn {
    let mut weight = StampedWeight::new(Mass::from_grams(random.between(3.0, 22.0)).unwrap()).unwrap();
    weight.count = few.then(|| random.below(3) as u32);
    WeldOn::Stamped(weight)
}

/// Limits at both ends of the shaft; a covariance of random independent errors, mixed.
fn forecasting(random: &mut Random, positions: &[f64], radians: f64) -> Forecasting {
    let planes = positions.len();
    let mixed = CMatrix::from_fn(planes, planes, |row, column| {
        let size = if row == column { 1.0 } else { 0.3 };
        random.circular() * size
    });
    let spread = random.between(5.0, 60.0);
    let place = |levers: Vec<f64>| {
        let limit = UnbalanceAmount::from_gram_millimetres(417.0).unwrap();
        LimitedPlace { limit, levers }
    };
    let rear: Vec<f64> = positions.iter().map(|position| position / LENGTH).collect();
    let front = rear.iter().map(|share| 1.0 - share).collect();
    let covariance = &mixed * mixed.adjoint() * Complex64::from(spread * spread);
    let real = |row, column| covariance[(row, column)].re;
    Forecasting {
        places: vec![place(front), place(rear)],
        covariance: (0..planes).map(|row| (0..planes).map(|column| real(row, column)).collect()).collect(),
        widening: random.between(1.0, 1.3),
        placing: vec![Placing { share: radians * radians, each: (0.2 * RADIUS).powi(2) }; planes],
    }
}

/// What weights on a plane make, how many of each size they are, and what they cost.
#[derive(Debug, Clone)]
struct Tried {
    left: Complex64,
    used: Vec<u32>,
    cost: f64,
    placed: f64,
}

impl Tried {
    fn number(&self) -> u32 {
        self.used.iter().sum()
    }
}

/// Every set of at most two weights on a plane, each once.
fn everything(task: &WeightTask, plane: usize) -> Vec<Tried> {
    let masses: Vec<f64> = task
        .stock
        .iter()
        .map(|item| match item {
            WeldOn::Stamped(weight) => weight.mass().grams() * RADIUS,
            WeldOn::Bar(_) => unreachable!("no bars in this box"),
        })
        .collect();
    let places = task.fixed_places.iter().filter(|place| place.plane.index() == plane);
    let one: Vec<(usize, Complex64)> = places
        .flat_map(|place| {
            let at = place.angle.radians();
            masses.iter().enumerate().map(move |(size, amount)| (size, Complex64::from_polar(*amount, at)))
        })
        .collect();
    let mut sets: Vec<Vec<usize>> = vec![Vec::new()];
    sets.extend((0..one.len()).map(|first| vec![first]));
    sets.extend((0..one.len()).flat_map(|first| (first..one.len()).map(move |second| vec![first, second])));
    let Some(PlaceError::Angle(angle)) = task.place_error else { unreachable!("an angle is stated") };
    let tried = |set: &Vec<usize>| {
        let mut used = vec![0; masses.len()];
        set.iter().for_each(|at| used[one[*at].0] += 1);
        let sum: Complex64 = set.iter().map(|at| one[*at].1).sum();
        let squares: f64 = set.iter().map(|at| one[*at].1.norm_sqr()).sum();
        let left = sum - task.planes[plane].target.vector();
        let placing = &task.forecasting.as_ref().unwrap().placing[plane];
        Tried {
            left,
            used,
            cost: left.norm_sqr() + angle.radians().powi(2) * squares,
            placed: placing.share * squares + set.len() as f64 * placing.each,
        }
    };
    sets.iter().map(tried).collect()
}

/// Whether the forecast is good enough, written out.
fn is_good(task: &WeightTask, planes: &[&Tried]) -> bool {
    let forecasting = task.forecasting.as_ref().unwrap();
    let mut miss = 0.0;
    for place in &forecasting.places {
        let limit = place.limit.gram_millimetres();
        let left: Complex64 = place.levers.iter().zip(planes).map(|(lever, tried)| tried.left * *lever).sum();
        if left.norm() > limit / 2.0 {
            return false;
        }
        let mut variance = 0.0;
        for (row, one) in place.levers.iter().enumerate() {
            variance += one * one * planes[row].placed / 2.0;
            for (column, other) in place.levers.iter().enumerate() {
                variance += one * other * forecasting.covariance[row][column];
            }
        }
        miss += Rice::new(left.norm(), forecasting.widening * variance.sqrt()).unwrap().beyond(limit);
    }
    1.0 - miss >= 0.99
}

/// The criterion of a plane as a share of its permissible, squared, the readings' uncertainty included.
fn share_squared(task: &WeightTask, plane: usize, cost: f64) -> f64 {
    let forecasting = task.forecasting.as_ref().unwrap();
    let read = 2.0 * forecasting.widening.powi(2) * forecasting.covariance[plane][plane];
    (cost + read) / task.planes[plane].permissible.unwrap().gram_millimetres().powi(2)
}

struct Everything<'a> {
    task: &'a WeightTask,
    /// Planes by need, and everything that can be done in each plane.
    order: Vec<usize>,
    sets: &'a [Vec<Tried>],
}

/// One combination: (number of weights, criterion squared, good enough, acceptable).
type Judged = (u32, f64, bool, bool);

impl Everything<'_> {
    /// Every combination of numbers of weights: the planes in order of need, each with its best set of that number
    /// for what is left in the box.
    fn combinations(
        &self,
        box_left: &[u32],
        picked: &mut Vec<Tried>,
        acceptable: bool,
        found: &mut Vec<Judged>,
    ) {
        let Some(&plane) = self.order.get(picked.len()) else {
            let mut by_plane: Vec<&Tried> = picked.iter().collect();
            self.order.iter().zip(picked.iter()).for_each(|(plane, tried)| by_plane[*plane] = tried);
            let shares =
                by_plane.iter().enumerate().map(|(at, tried)| share_squared(self.task, at, tried.cost));
            let number = picked.iter().map(Tried::number).sum();
            found.push((number, shares.sum(), is_good(self.task, &by_plane), acceptable));
            return;
        };
        let fits = |tried: &&Tried| tried.used.iter().zip(box_left).all(|(used, left)| used <= left);
        let best = |most: u32| {
            let few = self.sets[plane].iter().filter(fits).filter(|tried| tried.number() <= most);
            few.min_by(|one, other| one.cost.total_cmp(&other.cost)).unwrap().clone()
        };
        let mut choices: Vec<Tried> = (0..=MOST as u32).map(best).collect();
        choices.dedup_by_key(|tried| tried.number());
        let share = |tried: &Tried| share_squared(self.task, plane, tried.cost);
        let least = choices.iter().map(share).fold(f64::INFINITY, f64::min);
        let half = self.task.planes[plane].permissible.unwrap().gram_millimetres() / 2.0;
        for tried in choices {
            let left: Vec<u32> = box_left.iter().zip(&tried.used).map(|(left, used)| left - used).collect();
            let sound = tried.left.norm() <= half || share(&tried) <= 1.21 * least;
            picked.push(tried);
            self.combinations(&left, picked, acceptable && sound, found);
            picked.pop();
        }
    }
}

fn counts(task: &WeightTask) -> Vec<u32> {
    let count = |item: &WeldOn| match item {
        WeldOn::Stamped(weight) => weight.count.unwrap_or(99),
        WeldOn::Bar(_) => 0,
    };
    task.stock.iter().map(count).collect()
}

/// By the rule: the number of weights, the criterion squared, and whether it is good enough.
fn by_the_rule(task: &WeightTask, sets: &[Vec<Tried>]) -> (u32, f64, bool) {
    let mut order: Vec<usize> = (0..sets.len()).collect();
    let need = |plane: &usize| {
        let asked = &task.planes[*plane];
        asked.target.gram_millimetres() / asked.permissible.unwrap().gram_millimetres()
    };
    order.sort_by(|one, other| need(other).total_cmp(&need(one)));
    let mut found = Vec::new();
    Everything { task, order, sets }.combinations(&counts(task), &mut Vec::new(), true, &mut found);
    let least_of = |some: &mut dyn Iterator<Item = &Judged>| {
        some.min_by(|one, other| one.0.cmp(&other.0).then(one.1.total_cmp(&other.1))).copied()
    };
    if let Some((number, square, ..)) = least_of(&mut found.iter().filter(|judged| judged.2)) {
        return (number, square, true);
    }
    let acceptable: Vec<&Judged> = found.iter().filter(|judged| judged.3).collect();
    let least = acceptable.iter().map(|judged| judged.1).fold(f64::INFINITY, f64::min);
    let close = acceptable.iter().copied().filter(|judged| judged.1 <= 1.21 * least);
    let (number, square, ..) = least_of(&mut close.into_iter()).unwrap();
    (number, square, false)
}

/// The fewest weights of any two sets that are good enough together, whether best in their planes or not.
fn fewest_of_all(task: &WeightTask, sets: &[Vec<Tried>]) -> Option<u32> {
    let counts = counts(task);
    let [first, second] = sets else { unreachable!("two planes") };
    let fits = |one: &Tried, other: &Tried| {
        let used = one.used.iter().zip(&other.used).map(|(one, other)| one + other);
        used.zip(&counts).all(|(used, count)| used <= *count)
    };
    let pairs = first.iter().flat_map(|one| second.iter().map(move |other| (one, other)));
    let good = pairs.filter(|(one, other)| fits(one, other) && is_good(task, &[*one, *other]));
    good.map(|(one, other)| one.number() + other.number()).min()
}

fn number(plan: &WeightPlan) -> u32 {
    plan.planes.iter().map(|plane| plane.weights.len() as u32).sum()
}

/// How many were good enough, how many of those with fewer weights than all there is room for.
fn compare(trials: usize, seed: u64, positions: &[f64], few_in_the_box: bool) -> (usize, usize, f64) {
    let mut random = Random::seeded(seed);
    let (mut good, mut fewer, mut worst) = (0, 0, 0.0_f64);
    for trial in 0..trials {
        let task = random_task(&mut random, positions, few_in_the_box);
        let sets: Vec<Vec<Tried>> = (0..positions.len()).map(|plane| everything(&task, plane)).collect();
        let wanted = by_the_rule(&task, &sets);
        let plan = plan_weights(&task).unwrap();
        let costs = plan.planes.iter().enumerate();
        let square: f64 =
            costs.map(|(at, plane)| share_squared(&task, at, plane.left_with_place_error.powi(2))).sum();
        assert_eq!(
            (number(&plan), plan.good_enough),
            (wanted.0, wanted.2),
            "trial {trial}: wanted {wanted:?}, got criterion {square}, task {task:#?}"
        );
        let off = (square - wanted.1).abs() / wanted.1;
        assert!(off <= 1e-9, "trial {trial}: wanted {}, got {square}, tolerance 1e-9", wanted.1);
        worst = worst.max(off);
        good += usize::from(plan.good_enough);
        fewer += usize::from(plan.good_enough && number(&plan) < (MOST * positions.len()) as u32);
    }
    (good, fewer, worst)
}

#[test]
fn five_hundred_boxes_for_two_planes() {
    let (good, fewer, worst) = compare(500, 11, &[95.0, 1290.0], false);
    println!(
        "500 boxes, {good} good enough, {fewer} with fewer than four; worst relative difference {worst:e}"
    );
    record("fewest weights, brute force", &format!("{worst:.1e}"));
    assert!(good > 100 && fewer > 80 && good < 480, "{good} good enough, {fewer} with fewer");
}

#[test]
fn three_hundred_boxes_that_run_out() {
    let (good, fewer, worst) = compare(300, 12, &[95.0, 1290.0], true);
    println!("300 boxes that run out, {good} good enough, {fewer} with fewer than four; worst {worst:e}");
    assert!(good > 15 && good < 250, "{good} good enough");
}

#[test]
fn two_hundred_boxes_for_three_planes() {
    let (good, fewer, worst) = compare(200, 13, &[95.0, 700.0, 1290.0], false);
    println!("200 boxes, three planes, {good} good enough, {fewer} with fewer than six; worst {worst:e}");
    assert!(good > 30, "{good} good enough");
}

/// Each plane offers only its best set of a number. Sets that are not best in their planes could make up for each
/// other; how seldom that saves a weight.
#[test]
fn planes_that_make_up_for_each_other_seldom_save_a_weight() {
    let mut random = Random::seeded(14);
    let (mut possible, mut same) = (0, 0);
    for _ in 0..300 {
        let task = random_task(&mut random, &[95.0, 1290.0], false);
        let sets: Vec<Vec<Tried>> = (0..2).map(|plane| everything(&task, plane)).collect();
        let plan = plan_weights(&task).unwrap();
        let Some(fewest) = fewest_of_all(&task, &sets) else {
            assert!(!plan.good_enough, "nothing is good enough, {task:#?}");
            continue;
        };
        assert!(!plan.good_enough || number(&plan) >= fewest, "fewer than possible, {task:#?}");
        possible += 1;
        same += usize::from(plan.good_enough && number(&plan) == fewest);
    }
    println!("{possible} boxes of 300 can be good enough, {same} with the fewest of all");
    record("fewest weights, of all that are possible", &format!("{same} of {possible}"));
    assert!(possible > 100 && same as f64 >= 0.95 * f64::from(possible), "{same} of {possible}");
}
