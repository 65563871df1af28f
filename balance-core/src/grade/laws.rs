//! Laws that hold for any shaft, tried on random ones.

use num_complex::Complex64;
use proptest::prelude::*;
use proptest::test_runner::RngSeed;

use crate::quantity::{Length, Mass, Speed, Unbalance, UnbalanceAmount};
use crate::shaft::{Part, TolerancePlane};

use super::budget::{Budget, Combination, RandomTerm, ShrinksWith, SystematicTerm};
use super::verdict::{Decision, JudgedPlane, Question, Verdict};
use super::{Criterion, Grade, Rated, Transfer};

#[derive(Debug, Clone)]
struct Case {
    planes: Vec<JudgedPlane>,
    budget: Budget,
}

impl Case {
    fn verdict(&self) -> Verdict {
        Question { planes: &self.planes, budget: Some(&self.budget) }.verdict().unwrap()
    }
}

fn amount(value: f64) -> UnbalanceAmount {
    UnbalanceAmount::from_gram_millimetres(value).unwrap()
}

fn random_term(planes: usize) -> impl Strategy<Value = RandomTerm> {
    let shrinks =
        prop_oneof![Just(ShrinksWith::CheckRuns), Just(ShrinksWith::Mountings), Just(ShrinksWith::Nothing)];
    (prop::collection::vec(0.0..120.0, planes), 1.0..20.0, shrinks).prop_map(
        |(sizes, degrees_of_freedom, shrinks)| RandomTerm {
            name: "random".into(),
            sizes,
            degrees_of_freedom,
            shrinks,
        },
    )
}

fn systematic_term(planes: usize) -> impl Strategy<Value = SystematicTerm> {
    prop::collection::vec(0.0..80.0, planes).prop_map(|sizes| SystematicTerm {
        name: "systematic".into(),
        sizes,
        shrinks: ShrinksWith::Nothing,
    })
}

fn case() -> impl Strategy<Value = Case> {
    (1_usize..4).prop_flat_map(|count| {
        let planes = prop::collection::vec((0.0..900.0, 0.0..6.3, 200.0..600.0), count);
        let random = prop::collection::vec(random_term(count), 0..3);
        let systematic = prop::collection::vec(systematic_term(count), 0..3);
        let combination = prop_oneof![Just(Combination::PlainSum), Just(Combination::RootSumSquare)];
        (planes, random, systematic, combination, 1_usize..4).prop_map(
            |(planes, random, systematic, combination, check_runs)| Case {
                planes: planes.into_iter().map(judged).collect(),
                budget: Budget { check_runs, mountings: 1, random, systematic, combination },
            },
        )
    })
}

fn judged((residual, angle, permissible): (f64, f64, f64)) -> JudgedPlane {
    JudgedPlane {
        name: "joint".into(),
        residual: Unbalance::from_vector(Complex64::from_polar(residual, angle)),
        permissible: amount(permissible),
    }
}

/// How favourable a decision is for the shaft.
fn rank(decision: Decision) -> u8 {
    match decision {
        Decision::Exceeds => 0,
        Decision::Undecided => 1,
        Decision::Meets => 2,
    }
}

/// Rounding may change a decision that is exactly on the edge.
fn on_the_edge(verdict: &Verdict) -> bool {
    let near = |p: f64| (p - 0.05).abs() < 1e-9 || (p - 0.95).abs() < 1e-9;
    near(verdict.probability.unwrap())
        || verdict.planes.iter().any(|plane| near(plane.probability_at_best.unwrap()))
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 500, rng_seed: RngSeed::Fixed(417), ..ProptestConfig::default() })]

    #[test]
    fn a_stricter_limit_never_helps(case in case(), stricter in 0.05_f64..1.0) {
        let before = case.verdict();
        let mut harder = case;
        for plane in &mut harder.planes {
            plane.permissible = amount(plane.permissible.gram_millimetres() * stricter);
        }
        prop_assert!(rank(harder.verdict().decision) <= rank(before.decision));
    }

    #[test]
    fn scaling_everything_changes_nothing(case in case(), factor in 1e-6_f64..1e6) {
        let before = case.verdict();
        prop_assume!(!on_the_edge(&before));
        let mut scaled = case;
        for plane in &mut scaled.planes {
            plane.permissible = amount(plane.permissible.gram_millimetres() * factor);
            plane.residual = Unbalance::from_vector(plane.residual.vector() * factor);
        }
        let random = scaled.budget.random.iter_mut().flat_map(|term| &mut term.sizes);
        let systematic = scaled.budget.systematic.iter_mut().flat_map(|term| &mut term.sizes);
        random.chain(systematic).for_each(|size| *size *= factor);
        let after = scaled.verdict();
        prop_assert_eq!(after.decision, before.decision);
        prop_assert_eq!(after.reason, before.reason);
        prop_assert!((after.probability.unwrap() - before.probability.unwrap()).abs() < 1e-9);
    }

    #[test]
    fn turning_the_zero_mark_changes_no_verdict(case in case(), turn in 0.0..6.3) {
        let before = case.verdict();
        prop_assume!(!on_the_edge(&before));
        let mut turned = case;
        for plane in &mut turned.planes {
            plane.residual = Unbalance::from_vector(plane.residual.vector() * Complex64::from_polar(1.0, turn));
        }
        prop_assert_eq!(turned.verdict().decision, before.decision);
    }

    #[test]
    fn one_more_systematic_term_decides_nothing((case, term) in case().prop_flat_map(|case| {
        let planes = case.planes.len();
        (Just(case), systematic_term(planes))
    })) {
        let before = case.verdict();
        let mut worse = case;
        worse.budget.systematic.push(term);
        let after = worse.verdict();
        prop_assert!(after.decision == before.decision || after.decision == Decision::Undecided);
        prop_assert!(after.probability.unwrap() <= before.probability.unwrap() + 1e-12);
    }

    #[test]
    fn the_advised_number_of_check_runs_decides(case in case()) {
        let verdict = case.verdict();
        prop_assert_eq!(verdict.more_check_runs == Some(0), verdict.decision != Decision::Undecided);
        prop_assert_eq!(verdict.in_the_way.is_some(), verdict.decision == Decision::Undecided);
        if let Some(further) = verdict.more_check_runs {
            let mut done = case.clone();
            let had = done.budget.check_runs as f64;
            let left = (had / (had + further as f64)).sqrt();
            let shrinking = |term: &&mut RandomTerm| term.shrinks == ShrinksWith::CheckRuns;
            for term in done.budget.random.iter_mut().filter(shrinking) {
                term.sizes.iter_mut().for_each(|size| *size *= left);
            }
            prop_assume!(!on_the_edge(&done.verdict()));
            prop_assert!(done.verdict().decision != Decision::Undecided);
        }
    }

    #[test]
    fn statics_keeps_sum_and_moment(
        masses in prop::collection::vec((0.0..1500.0, -900.0..900.0, -900.0..900.0), 1..6),
        supports in prop::collection::btree_set(0_u32..1500, 2..5),
        joint in prop::option::of(1_u32..1499),
    ) {
        let at = |mm: f64| Length::from_millimetres(mm).unwrap();
        let mut supports: Vec<f64> = supports.into_iter().map(f64::from).collect();
        let mut parts = Vec::new();
        if let Some(joint) = joint.map(f64::from) {
            supports = vec![0.0, joint, 1500.0];
            let part = |from, to| Part { name: "half".into(), mass: Mass::from_grams(1.0).unwrap(), from: at(from), to: at(to) };
            parts = vec![part(0.0, joint), part(joint, 1500.0)];
        }
        let planes: Vec<TolerancePlane> =
            supports.iter().map(|&mm| TolerancePlane { name: mm.to_string(), position: at(mm) }).collect();
        let from: Vec<Length> = masses.iter().map(|mass| at(mass.0)).collect();
        let unbalances: Vec<Complex64> = masses.iter().map(|mass| Complex64::new(mass.1, mass.2)).collect();
        let moved = Transfer::new(&from, &planes, &parts).unwrap().moved(&unbalances);
        let sum: Complex64 = unbalances.iter().sum();
        let moment: Complex64 = masses.iter().zip(&unbalances).map(|(mass, unbalance)| unbalance * mass.0).sum();
        // Supports 1 mm apart carry levers up to 1500: rounding is measured by what they carry.
        let size = 1.0 + moved.iter().chain(&unbalances).map(|vector| vector.norm()).sum::<f64>();
        let found: Complex64 = moved.iter().sum();
        prop_assert!((found - sum).norm() <= 1e-13 * size, "{found} {sum}");
        let found: Complex64 = moved.iter().zip(&supports).map(|(vector, at)| vector * *at).sum();
        prop_assert!((found - moment).norm() <= 1e-13 * 1500.0 * size, "{found} {moment}");
    }

    #[test]
    fn shares_of_an_inboard_mass_centre_make_the_whole(centre in 0.0_f64..1000.0, grade in 0.4..4000.0, grams in 1.0..1e6) {
        let at = |mm: f64| Length::from_millimetres(mm).unwrap();
        let planes = [0.0, 1000.0].map(|mm| TolerancePlane { name: mm.to_string(), position: at(mm) });
        let grade = Grade::from_millimetres_per_second(grade).unwrap();
        let (mass, speed) = (Mass::from_grams(grams).unwrap(), Speed::from_rpm(2600.0).unwrap());
        let rated = Rated {
            criterion: Criterion::Grade(grade),
            mass: Some(mass),
            mass_centre: Some(at(centre)),
            service_speed: Some(speed),
            planes: &planes,
            parts: &[],
        };
        let sum: f64 = rated.permissible().unwrap().iter().map(|limit| limit.amount.gram_millimetres()).sum();
        let whole = grade.permissible(mass, speed).unwrap().gram_millimetres();
        prop_assert!((sum / whole - 1.0).abs() < 1e-12);
    }
}
