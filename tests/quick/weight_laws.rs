//! Laws of choosing weights, on random boxes.

#![expect(clippy::unwrap_used, reason = "in a test what cannot be had is a failure")]

use std::f64::consts::FRAC_PI_2;

use balance_core::Complex64;
use balance_core::correction::weights::{
    PlacedWeight, PlaneTask, Room, Source, TakeOff, WeightCriterion, WeightPlan, WeightTask, plan_weights,
};
use balance_core::quantity::{Angle, Length, Mass, Unbalance, UnbalanceAmount};
use balance_core::shaft::{
    Aim, CorrectionPlane, HowHeld, NoWeld, PlaneId, Sector, StampedWeight, Tube, Weld, WeldOn, WeldedBefore,
};
use proptest::prelude::*;
use proptest::test_runner::RngSeed;

const RADIUS: f64 = 44.45;

/// The width of old weights where it is stated.
const OLD_WIDTH: f64 = 20.0;

fn mm(value: f64) -> Length {
    Length::from_millimetres(value).unwrap()
}

fn grams(value: f64) -> Mass {
    Mass::from_grams(value).unwrap()
}

fn degrees(value: f64) -> Angle {
    Angle::from_degrees(value).unwrap()
}

#[derive(Debug, Clone)]
struct Bench {
    masses: Vec<f64>,
    width: f64,
    target: (f64, f64),
    sectors: Vec<(u16, u16)>,
    /// Mass, angle, and whether the width is stated.
    old: Vec<(f64, u16, bool)>,
    bead: f64,
    robust: bool,
    turn: u16,
    aim: Aim,
}

fn bench() -> impl Strategy<Value = Bench> {
    (
        prop::collection::vec(2.0..30.0_f64, 1..6),
        5.0..40.0_f64,
        (50.0..2500.0_f64, 0.0..360.0_f64),
        prop::collection::vec((0..360_u16, 5..100_u16), 0..3),
        prop::collection::vec((3.0..20.0_f64, 0..360_u16, any::<bool>()), 0..3),
        0.0..2.0_f64,
        any::<bool>(),
        0..360_u16,
        prop_oneof![Just(Aim::FewestWeights), Just(Aim::LeastLeft)],
    )
        .prop_map(|(masses, width, target, sectors, old, bead, robust, turn, aim)| Bench {
            masses,
            width,
            target,
            sectors,
            old,
            bead,
            robust,
            turn,
            aim,
        })
}

impl Bench {
    /// The task with its zero mark turned back by this many degrees.
    fn task(&self, turn: f64) -> WeightTask {
        let amount = UnbalanceAmount::from_gram_millimetres(self.target.0).unwrap();
        let target = Unbalance::at(amount, degrees(self.target.1 + turn));
        let plane = PlaneTask { plane: CorrectionPlane::named("front"), target, permissible: None };
        let weight = |mass: &f64| {
            let mut weight = StampedWeight::new(grams(*mass)).unwrap();
            (weight.width, weight.thickness) = (Some(mm(self.width)), Some(mm(3.0)));
            WeldOn::Stamped(weight)
        };
        let mut task = WeightTask::new(vec![plane], self.masses.iter().map(weight).collect());
        task.tube = Some(Tube { outer_diameter: mm(2.0 * RADIUS), wall: mm(2.4), length: mm(1385.0) });
        task.weld = Weld::new(grams(self.bead), 2, mm(3.0)).unwrap();
        task.weld.aim = self.aim;
        task.settings.criterion =
            if self.robust { WeightCriterion::Robust } else { WeightCriterion::LeftOverAlone };
        for (from, wide) in &self.sectors {
            let from = f64::from(*from) + turn;
            let sector = Sector::new(degrees(from), degrees(from + f64::from(*wide))).unwrap();
            task.no_weld.push(NoWeld { plane: PlaneId::new(0), sector, reason: "tube seam".into() });
        }
        for (mass, at, stated) in &self.old {
            task.welded_before.push(WeldedBefore {
                plane: PlaneId::new(0),
                mass: grams(*mass),
                bead: grams(1.0),
                angle: degrees(f64::from(*at) + turn),
                radius: None,
                width: stated.then(|| mm(OLD_WIDTH)),
                thickness: Some(mm(3.0)),
                hold: HowHeld::CanComeOff,
                fitted_in: None,
            });
        }
        task
    }

    /// Nothing comes off, and as little as possible is to be left.
    fn adding_only(&self) -> WeightTask {
        let mut task = self.task(0.0);
        task.settings.take_off = TakeOff::Never;
        task.weld.aim = Aim::LeastLeft;
        // What is assumed for a weight without a width depends on the box.
        task.welded_before.iter_mut().for_each(|old| old.width = Some(mm(OLD_WIDTH)));
        task
    }
}

fn apart(one: f64, other: f64) -> f64 {
    let apart = (one - other).rem_euclid(360.0);
    apart.min(360.0 - apart)
}

fn round(millimetres: f64) -> f64 {
    (millimetres / RADIUS).to_degrees()
}

/// Pairs of middles (degrees) and the least they may be apart, for everything that is on the plane afterwards.
fn crowding(task: &WeightTask, plan: &WeightPlan) -> Vec<(f64, f64)> {
    let plane = &plan.planes[0];
    let gap = round(task.weld.gap.millimetres());
    let half = |width: Length| round(width.millimetres() / 2.0);
    // A weight whose width is not stated takes the room that is assumed for it, wherever it is.
    let room = |old: usize| Room::of(&task.welded_before[old], &task.stock, task.weld.bead_mass).width;
    let width = |weight: &PlacedWeight| match weight.source {
        Source::Turned { welded } => room(welded).millimetres().min(RADIUS * FRAC_PI_2),
        _ => weight.piece.width.unwrap().millimetres(),
    };
    let half_of = |weight: &PlacedWeight| half(mm(width(weight)));
    let off: Vec<usize> = plane.come_off.iter().map(|gone| gone.welded).collect();
    let mut found = Vec::new();
    for (at, weight) in plane.weights.iter().enumerate() {
        let (middle, own) = (weight.angle.degrees(), half_of(weight));
        for other in &plane.weights[at + 1..] {
            found.push((apart(middle, other.angle.degrees()), own + half_of(other) + gap));
        }
        for (index, old) in task.welded_before.iter().enumerate().filter(|(index, _)| !off.contains(index)) {
            let assumed = mm(room(index).millimetres().min(RADIUS * FRAC_PI_2));
            found.push((apart(middle, old.angle.degrees()), own + half(old.width.unwrap_or(assumed)) + gap));
        }
        for no_weld in &task.no_weld {
            let wide = no_weld.sector.width_degrees() / 2.0;
            found.push((apart(middle, no_weld.sector.from_degrees() + wide), own + wide));
        }
    }
    found
}

proptest! {
    #![proptest_config(ProptestConfig {
        cases: 300,
        rng_seed: RngSeed::Fixed(417),
        failure_persistence: None,
        ..ProptestConfig::default()
    })]

    #[test]
    fn nothing_ever_overlaps(bench in bench()) {
        let task = bench.task(0.0);
        let plan = plan_weights(&task).unwrap();
        for (apart, least) in crowding(&task, &plan) {
            prop_assert!(apart >= least - 1e-6, "{apart} apart, {least} needed");
        }
    }

    #[test]
    fn a_plane_never_gets_more_than_it_may_carry(bench in bench()) {
        let task = bench.task(0.0);
        let plane = &plan_weights(&task).unwrap().planes[0];
        let staying = task.welded_before.len() - plane.come_off.len();
        prop_assert!(plane.weights.is_empty() || staying + plane.weights.len() <= 2, "{plane:?}");
    }

    #[test]
    fn what_is_left_is_what_the_weights_do_not_make(bench in bench()) {
        let task = bench.task(0.0);
        let plan = plan_weights(&task).unwrap();
        let plane = &plan.planes[0];
        let lever = |mass: f64, width: f64| {
            let radius = RADIUS + 1.5;
            let beta: f64 = width / 2.0 / radius;
            mass * radius * if beta > 0.0 { beta.sin() / beta } else { 1.0 }
        };
        let mut sum = Complex64::new(0.0, 0.0);
        for weight in &plane.weights {
            let (mass, width) = (weight.piece.total_grams(), weight.piece.width.map_or(0.0, Length::millimetres));
            sum += Complex64::from_polar(lever(mass, width), weight.angle.radians());
        }
        for gone in &plane.come_off {
            let old = &task.welded_before[gone.welded];
            let width = old.width.map_or(0.0, Length::millimetres);
            sum -= Complex64::from_polar(lever(old.mass.grams() + 1.0, width), old.angle.radians());
        }
        let left = sum - plane.target.vector();
        prop_assert!((left - plane.left_over.vector()).norm() < 1e-8, "{left} {:?}", plane.left_over);
    }

    #[test]
    fn never_worse_than_one_rounded_piece(bench in bench()) {
        let task = bench.adding_only();
        let free = WeightTask { no_weld: Vec::new(), welded_before: Vec::new(), ..task };
        let plan = plan_weights(&free).unwrap();
        let radius = RADIUS + 1.5;
        let beta: f64 = bench.width / 2.0 / radius;
        let variance = if bench.robust { (2.0 / RADIUS).powi(2) } else { 0.0 };
        for mass in &bench.masses {
            let amount = (mass + bench.bead) * radius * beta.sin() / beta;
            let at = bench.target.1.round().to_radians();
            let miss = free.planes[0].target.vector() - Complex64::from_polar(amount, at);
            let rounded = (miss.norm_sqr() + variance * amount * amount).sqrt();
            prop_assert!(plan.planes[0].left_with_place_error <= rounded + 1e-9);
        }
    }

    #[test]
    fn turning_the_mark_turns_the_answer(bench in bench()) {
        let turn = f64::from(bench.turn);
        let (before, after) =
            (plan_weights(&bench.task(0.0)).unwrap(), plan_weights(&bench.task(turn)).unwrap());
        let (before, after) = (&before.planes[0], &after.planes[0]);
        prop_assert!((before.left_with_place_error - after.left_with_place_error).abs() < 1e-6);
        prop_assert_eq!(before.weights.len(), after.weights.len());
        prop_assert_eq!(before.come_off.len(), after.come_off.len());
        let turned = before.left_over.vector() * degrees(turn).unit_vector();
        prop_assert!((turned - after.left_over.vector()).norm() < 1e-6);
    }

    #[test]
    fn a_bigger_box_never_worsens(bench in bench(), more in 2.0..30.0_f64) {
        let small = bench.adding_only();
        let mut masses = bench.masses.clone();
        masses.push(more);
        let large = Bench { masses, ..bench }.adding_only();
        let (small, large) = (plan_weights(&small).unwrap(), plan_weights(&large).unwrap());
        let figure = |plan: &WeightPlan| plan.planes[0].left_with_place_error;
        prop_assert!(figure(&large) <= figure(&small) + 1e-9);
    }
}
