//! The value of the robust choice, in figures.
//!
//! Setting: a box from 2.5 to 40 g in steps of 2.5 g, targets evenly from 2.5 to 40 g at any angle, places on whole
//! degrees, at most two weights, always the best of them, no bead, no widths, place error 1.1° (one sigma). Medians of
//! `sqrt(|what is left|² + s²·Σm²)`.
//!
//! Source: recomputed with NumPy by trying every pair (12 000 targets): 0.310 g robust, 0.537 g by what is left alone,
//! 0.802 g for the nearest single weight at the nearest degree. The figures 0.31, 0.52 and 0.80 g that the design was
//! judged by state no place error; 1.1° fits them within 4 %, 1.0° gives 0.282, 0.488 and 0.771 g.
//!
//! The value of the fewest weights is in `weight_savings.rs`.

#![expect(clippy::unwrap_used, reason = "in a test what cannot be had is a failure")]

use balance_core::Complex64;
use balance_core::correction::weights::{PlaneTask, WeightCriterion, WeightTask, plan_weights};
use balance_core::quantity::{Angle, Mass, Unbalance};
use balance_core::run::PlaceError;
use balance_core::shaft::{Aim, CorrectionPlane, StampedWeight, WeldOn};
use balance_tests::random::Random;
use balance_tests::record::record;

const TARGETS: usize = 4000;
const PLACE_ERROR_DEGREES: f64 = 1.1;

fn box_of_sixteen() -> Vec<WeldOn> {
    let weight = |step: u32| {
        let mass = Mass::from_grams(2.5 * f64::from(step)).unwrap();
        WeldOn::Stamped(StampedWeight::new(mass).unwrap())
    };
    (1..=16).map(weight).collect()
}

/// The robust figure of the choice by a criterion.
fn chosen_by(criterion: WeightCriterion, target: Complex64, stock: &[WeldOn]) -> f64 {
    let target = Unbalance::from_vector(target);
    let plane = PlaneTask { plane: CorrectionPlane::named("front"), target, permissible: None };
    let mut task = WeightTask::new(vec![plane], stock.to_vec());
    task.place_error = Some(PlaceError::Angle(Angle::from_degrees(PLACE_ERROR_DEGREES).unwrap()));
    task.settings.criterion = criterion;
    task.weld.aim = Aim::LeastLeft;
    let plan = plan_weights(&task).unwrap();
    let left = plan.planes[0].left_over.gram_millimetres();
    let masses: Vec<f64> = plan.planes[0].weights.iter().map(|weight| weight.piece.mass.grams()).collect();
    robust(left, &masses)
}

fn robust(left: f64, masses: &[f64]) -> f64 {
    let squares: f64 = masses.iter().map(|mass| mass * mass).sum();
    (left * left + PLACE_ERROR_DEGREES.to_radians().powi(2) * squares).sqrt()
}

/// The robust figure of the nearest weight of the box at the nearest whole degree.
fn rounded_to_one(target: Complex64) -> f64 {
    let mass = (target.norm() / 2.5).round().clamp(1.0, 16.0) * 2.5;
    let at = target.arg().to_degrees().round().to_radians();
    robust((target - Complex64::from_polar(mass, at)).norm(), &[mass])
}

fn median(mut values: Vec<f64>) -> f64 {
    values.sort_by(f64::total_cmp);
    values[values.len() / 2]
}

#[test]
fn robust_choice_beats_residual_choice_beats_rounding() {
    let stock = box_of_sixteen();
    let mut random = Random::seeded(31);
    let targets: Vec<Complex64> =
        (0..TARGETS).map(|_| random.direction() * random.between(2.5, 40.0)).collect();
    let of =
        |figure: &dyn Fn(Complex64) -> f64| median(targets.iter().map(|target| figure(*target)).collect());
    let figures = [
        ("robust", of(&|target| chosen_by(WeightCriterion::Robust, target, &stock)), 0.310, 0.31),
        (
            "what is left alone",
            of(&|target| chosen_by(WeightCriterion::LeftOverAlone, target, &stock)),
            0.537,
            0.52,
        ),
        ("rounded to one", of(&rounded_to_one), 0.802, 0.80),
    ];
    for (name, got, recomputed, judged_by) in figures {
        println!("{name}: {got:.3} g, NumPy {recomputed} g, judged by {judged_by} g");
        record(&format!("weights, {name}"), &format!("{got:.2} g"));
        // The median of 4000 targets scatters by about 1.5 %; the design's figures fit the setting within 4 %.
        assert!((got / recomputed - 1.0).abs() < 0.05, "{name}: {got}, wanted {recomputed} ± 5 %");
        assert!((got / judged_by - 1.0).abs() < 0.08, "{name}: {got}, wanted {judged_by} ± 8 %");
    }
}
