//! The laws of the job, for any number of planes, sensors, runs and mountings.

use std::cell::Cell;

use balance_tests::job::{Job, Shape};
use balance_tests::law::LAWS;
use balance_tests::random::Random;
use balance_tests::record::record;
use proptest::prelude::*;
use proptest::test_runner::{Config, RngAlgorithm, TestRng, TestRunner};

/// How far two answers may differ that should be the same by a law: rounding, increased by planes that act
/// alike.
const SAME: f64 = 1e-9;

fn shapes() -> impl Strategy<Value = Shape> {
    let counts = (2..=5_usize, 2..=8_usize, 0..=6_usize, 1..=3_usize, 0..=3_usize);
    let noise = (prop_oneof![Just(0.0), Just(0.5e-3)], prop_oneof![Just(None), Just(Some(1e-3))]);
    (counts, noise, -2.0..0.0_f64).prop_map(
        |((planes, sensors, extra, mountings, checks), (needles, stated), alike)| Shape {
            planes,
            sensors,
            extra,
            mountings,
            checks,
            needles,
            stated,
            alike,
        },
    )
}

/// Recomputed: the same program on both sides, so this checks consistency, not constants.
#[test]
fn every_law_holds() {
    for law in &LAWS {
        let worst = Cell::new(0.0_f64);
        let rng = TestRng::from_seed(RngAlgorithm::ChaCha, &[7; 32]);
        let mut runner = TestRunner::new_with_rng(
            Config { cases: 300, failure_persistence: None, ..Config::default() },
            rng,
        );
        let done = runner.run(&(shapes(), any::<u64>()), |(shape, seed)| {
            let off = (law.off)(&Job::random(&shape, &mut Random::seeded(seed)));
            worst.set(worst.get().max(off));
            prop_assert!(off <= SAME, "{}: off by {:e}", law.claim, off);
            Ok(())
        });
        if let Err(fault) = done {
            panic!("{fault}");
        }
        let worst = worst.get();
        println!("{}: worst {worst:.1e}", law.name);
        record(&format!("law {}", law.name), &format!("{worst:.1e} of the largest mass over 300 jobs"));
    }
}
