//! Readings out of seeded recordings: how far off they are beside the Cramér-Rao bound, and whether the stated
//! uncertainty holds what it promises.
//!
//! The bound is worked out from Fisher's information of the whole model, summed over every sample and every pulse of
//! the whole recording ([`Recording::bound`]); the goal of 1.15 times it is METHOD's, section 7. The recordings come
//! from a continuous angle and know nothing of the program.

use std::thread;

use balance_core::Complex64;
use balance_tests::random::Random;
use balance_tests::record::record;
use balance_tests::recording::{Beside, Recording, Scene, SpeedLaw};

/// Sums over many recordings, two sensors each.
#[derive(Debug, Default, Clone, Copy)]
struct Tally {
    readings: f64,
    /// Squared errors along the true vector and across it.
    along: f64,
    across: f64,
    /// How often the stated uncertainty covers amplitude and phase.
    covers: [f64; 2],
    failed: usize,
}

impl Tally {
    fn add(&mut self, other: &Self) {
        self.readings += other.readings;
        self.along += other.along;
        self.across += other.across;
        self.covers[0] += other.covers[0];
        self.covers[1] += other.covers[1];
        self.failed += other.failed;
    }

    fn of(scene: Scene, seed: u64) -> Self {
        let recording = Recording::of(scene, &mut Random::seeded(seed));
        let mut tally = Self::default();
        let Ok(found) = recording.extracted() else {
            tally.failed = 1;
            return tally;
        };
        for (own, parts) in found.sensors.iter().zip(&recording.parts) {
            let truth: Complex64 = parts[0];
            let off = own.reading.vector() / (truth / truth.norm()) - truth.norm();
            tally.readings += 1.0;
            tally.along += off.re * off.re;
            tally.across += off.im * off.im;
            let amplitude = (own.reading.amplitude() - truth.norm()).abs();
            let phase = (own.reading.vector() / truth).arg().abs().to_degrees();
            let covers = |off: f64, sigma: f64| f64::from(u8::from(off <= 1.96 * sigma));
            tally.covers[0] += covers(amplitude, own.amplitude_uncertainty);
            tally.covers[1] += covers(phase, own.phase_uncertainty.degrees());
        }
        tally
    }
}

fn recordings() -> u64 {
    std::env::var("CAPTURE_RECORDINGS").ok().and_then(|text| text.parse().ok()).unwrap_or(1000)
}

/// Asserts what has to hold of one scene; gives the ratio to the bound, the two coverages, and all of it in words.
fn holds(name: &str, scene: Scene) -> (f64, [f64; 2], String) {
    let count = recordings();
    let halves = [0..count / 2, count / 2..count];
    let tally = thread::scope(|scope| {
        let work = halves.map(|seeds| {
            scope.spawn(move || {
                let mut tally = Tally::default();
                seeds.for_each(|seed| tally.add(&Tally::of(scene, seed)));
                tally
            })
        });
        let mut tally = Tally::default();
        work.into_iter().for_each(|own| tally.add(&own.join().expect("a thread ends")));
        tally
    });
    // The bound hardly depends on the random phases: a mean over some recordings.
    let some = 6;
    let mut bound = (0.0, 0.0);
    for seed in 0..some {
        let recording = Recording::of(scene, &mut Random::seeded(seed));
        for sensor in 0..2 {
            let own = recording.bound(sensor);
            bound = (bound.0 + own.0 / (2 * some) as f64, bound.1 + own.1 / (2 * some) as f64);
        }
    }
    let of_bound = |squares: f64, bound: f64| (squares / tally.readings / bound).sqrt();
    let both = of_bound(tally.along + tally.across, bound.0 + bound.1);
    let (along, across) = (of_bound(tally.along, bound.0), of_bound(tally.across, bound.1));
    let covers = tally.covers.map(|own| 100.0 * own / tally.readings);
    let said = format!(
        "{name}: {count} recordings, rms {both:.3} of the bound (amplitude {along:.3}, phase {across:.3}), \
         covers {:.2} % (amplitude), {:.2} % (phase); bound {:.2e} {:.2e}",
        covers[0],
        covers[1],
        bound.0.sqrt(),
        bound.1.sqrt()
    );
    assert_eq!(tally.failed, 0, "{name}: no reading");
    for (what, ratio) in [("amplitude", along), ("phase", across), ("both", both)] {
        assert!(ratio <= 1.15, "{name}, {what}: {ratio:.3} of the bound");
        assert!(ratio > 0.9, "{name}, {what}: {ratio:.3}, better than the bound: the bound is wrong");
    }
    for (what, covers) in ["amplitude", "phase"].into_iter().zip(covers) {
        assert!(
            (94.0..=96.0).contains(&covers),
            "{name}, {what}: 1.96 of the stated one sigma covers {covers:.2} %"
        );
    }
    (both, covers, said)
}

/// Steady; 1 % wander; 5 % drift; a slip tone larger than the reading; jitter; ten steps of a 16 bit recorder with noise of
/// half a step; mains hum that falls on twice per turn, and hum 1.7 Hz beside once per turn.
#[test]
fn readings_reach_the_bound_and_their_uncertainty_holds() {
    let plain = Scene::steady();
    let step = 1.0 / 32768.0;
    let (amplitude, noise) = (10.0 * step * plain.full_scale, 0.5 * step * plain.full_scale);
    let scenes = [
        ("steady", plain),
        ("wander", Scene { speed: SpeedLaw::Wander(0.01), ..plain }),
        ("drift", Scene { speed: SpeedLaw::Drift(0.05), ..plain }),
        ("slip tone", Scene { beside: Some(Beside::Slip(0.87, 4.0)), ..plain }),
        ("jitter", Scene { jitter: 0.5, ..plain }),
        ("16 bits", Scene { step, amplitude, noise, ..plain }),
        ("50 Hz at 1500 rpm", Scene { beside: Some(Beside::Hum(50.0, 2.0)), ..plain }),
        ("50 Hz at 2900 rpm", Scene { rpm: 2900.0, beside: Some(Beside::Hum(50.0, 2.0)), ..plain }),
    ];
    let (mut worst, mut least, mut most) = (0.0_f64, 100.0_f64, 0.0_f64);
    for (name, scene) in scenes {
        let (ratio, covers, said) = holds(name, scene);
        println!("{said}");
        worst = worst.max(ratio);
        (least, most) = (least.min(covers[0]).min(covers[1]), most.max(covers[0]).max(covers[1]));
    }
    record(
        "capture, eight conditions",
        &format!("{worst:.3} of the bound, {least:.1} to {most:.1} % covered"),
    );
}
