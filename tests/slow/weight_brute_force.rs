//! The choice of weights compared with trying everything: small random boxes with widths, gaps, beads,
//! counts, no-weld sectors and weights that are already on. The other side does not use the search: it goes
//! through every set.

#![expect(clippy::unwrap_used, reason = "in a test what cannot be had is a failure")]

use balance_core::Complex64;
use balance_core::correction::weights::{PlaneTask, TakeOff, WeightCriterion, WeightTask, plan_weights};
use balance_core::quantity::{Angle, Length, Mass, Unbalance};
use balance_core::run::PlaceError;
use balance_core::shaft::{
    Aim, CorrectionPlane, FixedPlace, HowHeld, NoWeld, PlaneId, Sector, StampedWeight, Tube, Weld, WeldOn,
    WeldedBefore,
};
use balance_tests::random::Random;
use balance_tests::record::record;

const TUBE: f64 = 88.9;

fn mm(value: f64) -> Length {
    Length::from_millimetres(value).unwrap()
}

fn grams(value: f64) -> Mass {
    Mass::from_grams(value).unwrap()
}

fn degrees(value: f64) -> Angle {
    Angle::from_degrees(value).unwrap()
}

/// Where weights may go in a trial.
enum Places {
    Fixed(usize),
    WholeDegrees,
}

fn random_task(random: &mut Random, places: &Places, sizes: usize, most: usize) -> WeightTask {
    let amount = random.between(0.0, 45.0) * 45.0;
    let target = Unbalance::from_vector(random.direction() * amount);
    let plane = PlaneTask { plane: CorrectionPlane::named("front"), target, permissible: None };
    let weight = |random: &mut Random| {
        let mut weight = StampedWeight::new(grams(random.between(1.0, 32.0))).unwrap();
        weight.width = Some(mm(random.between(5.0, 60.0)));
        weight.thickness = Some(mm(random.between(1.0, 6.0)));
        weight.count = (random.below(2) == 0).then(|| random.below(3) as u32);
        WeldOn::Stamped(weight)
    };
    let stock = (0..sizes).map(|_| weight(random)).collect();
    let mut task = WeightTask::new(vec![plane], stock);
    task.tube = Some(Tube { outer_diameter: mm(TUBE), wall: mm(2.4), length: mm(1385.0) });
    let (bead, gap) = (grams(random.between(0.0, 2.0)), mm(random.between(0.0, 6.0)));
    task.place_error = Some(PlaceError::Tape(mm(random.between(0.0, 3.0))));
    task.settings.take_off = TakeOff::Never;
    task.settings.criterion =
        if random.below(3) == 0 { WeightCriterion::LeftOverAlone } else { WeightCriterion::Robust };
    for _ in 0..random.below(4) {
        let from = random.between(-50.0, 400.0);
        let sector = Sector::new(degrees(from), degrees(from + random.between(5.0, 120.0))).unwrap();
        task.no_weld.push(NoWeld { plane: PlaneId::new(0), sector, reason: "tube seam".into() });
    }
    for _ in 0..random.below(3) {
        task.welded_before.push(WeldedBefore {
            plane: PlaneId::new(0),
            mass: grams(10.0),
            bead: grams(1.0),
            angle: degrees(random.between(0.0, 360.0)),
            radius: None,
            width: Some(mm(random.between(5.0, 40.0))),
            thickness: Some(mm(3.0)),
            hold: HowHeld::Stays,
            fitted_in: None,
        });
    }
    // Weights that stay count too: so many new ones may go on beside them.
    task.weld = Weld::new(bead, most + task.welded_before.len(), gap).unwrap();
    task.weld.aim = Aim::LeastLeft;
    if let Places::Fixed(count) = places {
        for _ in 0..*count {
            let angle = degrees(random.between(0.0, 360.0));
            task.fixed_places.push(FixedPlace { plane: PlaneId::new(0), angle, name: "hole".into() });
        }
    }
    task
}

/// A weight at a place, as plain numbers.
#[derive(Clone, Copy)]
struct Possible {
    size: usize,
    vector: Complex64,
    squared: f64,
    middle: f64,
    half: f64,
}

fn apart(one: f64, other: f64) -> f64 {
    let apart = (one - other).rem_euclid(360.0);
    apart.min(360.0 - apart)
}

/// Every weight at every place where sectors and old weights allow it.
fn options(task: &WeightTask) -> Vec<Possible> {
    let places: Vec<f64> = if task.fixed_places.is_empty() {
        (0..360).map(f64::from).collect()
    } else {
        task.fixed_places.iter().map(|place| place.angle.degrees()).collect()
    };
    let round = |millimetres: f64| millimetres / (TUBE / 2.0) * 180.0 / std::f64::consts::PI;
    let gap = round(task.weld.gap.millimetres());
    let mut found = Vec::new();
    for (size, item) in task.stock.iter().enumerate() {
        let WeldOn::Stamped(weight) = item else { unreachable!("only stamped weights in this box") };
        let width = weight.width.unwrap().millimetres();
        let radius = TUBE / 2.0 + weight.thickness.unwrap().millimetres() / 2.0;
        let beta = width / 2.0 / radius;
        let amount = (weight.mass().grams() + task.weld.bead_mass.grams()) * radius * beta.sin() / beta;
        let half = round(width / 2.0);
        for middle in &places {
            let in_sector = task.no_weld.iter().any(|no_weld| {
                let (from, wide) = (no_weld.sector.from_degrees(), no_weld.sector.width_degrees());
                apart(*middle, from + wide / 2.0) < half + wide / 2.0 - 1e-9
            });
            let on_old = task.welded_before.iter().any(|old| {
                let half_old = round(old.width.unwrap().millimetres() / 2.0);
                apart(*middle, old.angle.degrees()) < half + half_old + gap - 1e-9
            });
            if !in_sector && !on_old {
                let vector = Complex64::from_polar(amount, middle.to_radians());
                found.push(Possible { size, vector, squared: amount * amount, middle: *middle, half });
            }
        }
    }
    found
}

/// The least criterion over every set of at most `most`, by trying every one.
fn try_everything(task: &WeightTask, most: usize) -> f64 {
    let options = options(task);
    let (WeightCriterion::Robust, Some(PlaceError::Tape(error))) =
        (task.settings.criterion, task.place_error)
    else {
        return extend(task, &options, 0.0, most);
    };
    extend(task, &options, (error.millimetres() / (TUBE / 2.0)).powi(2), most)
}

fn extend(task: &WeightTask, options: &[Possible], variance: f64, most: usize) -> f64 {
    let mut best = f64::INFINITY;
    let mut chosen = Vec::new();
    let everything = Everything { task, options, variance };
    everything.grow(&mut chosen, 0, most, &mut best);
    best.sqrt()
}

struct Everything<'a> {
    task: &'a WeightTask,
    options: &'a [Possible],
    variance: f64,
}

impl Everything<'_> {
    fn grow(&self, chosen: &mut Vec<Possible>, from: usize, more: usize, best: &mut f64) {
        let sum: Complex64 = chosen.iter().map(|option| option.vector).sum();
        let squares: f64 = chosen.iter().map(|option| option.squared).sum();
        let cost = (self.task.planes[0].target.vector() - sum).norm_sqr() + self.variance * squares;
        *best = best.min(cost);
        if more == 0 {
            return;
        }
        for (at, option) in self.options.iter().enumerate().skip(from) {
            if self.fits(chosen, option) {
                chosen.push(*option);
                self.grow(chosen, at, more - 1, best);
                chosen.pop();
            }
        }
    }

    fn fits(&self, chosen: &[Possible], option: &Possible) -> bool {
        let gap = self.task.weld.gap.millimetres() / (TUBE / 2.0) * 180.0 / std::f64::consts::PI;
        let WeldOn::Stamped(weight) = &self.task.stock[option.size] else { return false };
        let used = chosen.iter().filter(|other| other.size == option.size).count();
        let clear =
            |other: &Possible| apart(other.middle, option.middle) >= other.half + option.half + gap - 1e-9;
        weight.count.is_none_or(|count| used < count as usize) && chosen.iter().all(clear)
    }
}

/// A third weight is used only where the criterion charges for misplacing it, from 0.01 rad.
fn allowed(task: &WeightTask, most: usize) -> usize {
    let charged = match (task.settings.criterion, task.place_error) {
        (WeightCriterion::Robust, Some(PlaceError::Tape(error))) => {
            error.millimetres() / (TUBE / 2.0) >= 0.01
        }
        _ => false,
    };
    if charged { most } else { most.min(2) }
}

/// Runs one family of boxes and gives the worst difference and how many had an answer with two or more weights.
fn compare(trials: usize, seed: u64, places: &Places, sizes: usize, most: usize) -> (f64, usize) {
    let mut random = Random::seeded(seed);
    let (mut worst, mut several) = (0.0_f64, 0);
    for trial in 0..trials {
        let sizes = 1 + random.below(sizes);
        let most = 1 + random.below(most);
        let task = random_task(&mut random, places, sizes, most);
        let wanted = try_everything(&task, allowed(&task, most));
        let plan = plan_weights(&task).unwrap();
        let got = plan.planes[0].left_with_place_error;
        let scale = wanted.max(1.0);
        assert!(
            (got - wanted).abs() <= 1e-9 * scale,
            "trial {trial}: wanted {wanted}, got {got}, tolerance 1e-9, task {task:#?}"
        );
        worst = worst.max((got - wanted).abs() / scale);
        several += usize::from(plan.planes[0].weights.len() > 1);
    }
    (worst, several)
}

#[test]
fn two_thousand_boxes_with_given_places() {
    let (worst, several) = compare(2000, 1, &Places::Fixed(30), 5, 2);
    println!("2000 boxes, worst relative difference {worst:e}, {several} answers with two weights");
    record("weights, brute force", &format!("{worst:.1e}"));
    assert!(several > 300, "too few of the answers use two weights: {several}");
}

#[test]
fn two_hundred_boxes_on_whole_degrees() {
    let (worst, several) = compare(200, 2, &Places::WholeDegrees, 3, 2);
    println!("200 boxes, worst relative difference {worst:e}, {several} answers with two weights");
    assert!(several > 30, "too few of the answers use two weights: {several}");
}

#[test]
fn three_hundred_boxes_with_three_weights() {
    let (worst, several) = compare(300, 3, &Places::Fixed(14), 4, 3);
    println!("300 boxes, worst relative difference {worst:e}, {several} answers with two or three weights");
    assert!(several > 60, "too few of the answers use several weights: {several}");
}
