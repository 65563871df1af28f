//! Laws that hold for every recording, and the fault of every bad one.

use std::f64::consts::TAU;

use proptest::prelude::*;

use super::*;
use crate::quantity::Angle;
use crate::run::{Convention, MassAngle, Phase};

const RATE: f64 = 4096.0;

/// A recording of two sensors at a speed in Hz that drifts by 2 %, with a little of everything.
fn recording(hertz: f64, amplitude: f64, seed: u64) -> (Vec<f64>, Vec<f64>, Vec<f64>) {
    let mut state = seed;
    let mut noise = || {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (state >> 40) as f64 / 16_777_216.0 - 0.5
    };
    let turns = |n: f64| {
        let time = n / RATE;
        hertz * (time + 0.01 * time * time)
    };
    let mut columns = (Vec::new(), Vec::new(), Vec::new());
    for n in 0..6000 {
        let turn = turns(f64::from(n)) + 0.3;
        let after = turn.fract() * RATE / hertz;
        columns.0.push(
            (after / 2.0).min((0.1 * RATE / hertz - after) / 2.0 + 1.0).clamp(0.0, 1.0) + 0.01 * noise(),
        );
        columns.1.push(amplitude * (TAU * turn - 1.0).cos() + 0.3 * (2.0 * TAU * turn).sin() + 0.2 * noise());
        columns.2.push(0.5 * amplitude * (TAU * turn + 2.0).cos() + 0.1 + 0.1 * noise());
    }
    columns
}

fn setup() -> CaptureSetup {
    let unit = ReadingUnit::parse("mm/s").unwrap();
    CaptureSetup {
        rate: Some(RATE),
        pulse: PulseSetup::rising(),
        sensors: vec![SensorSetup::plain("front", unit.clone()), SensorSetup::plain("rear", unit)],
        stretch: Stretch::Automatic,
        convention: Convention {
            mass_angle: MassAngle::AgainstRotation,
            phase: Phase::Lag,
            ..Convention::unstated()
        },
    }
}

fn read(
    setup: &CaptureSetup,
    pulse: &[f64],
    sensors: &[&[f64]],
    block: usize,
) -> Result<Extracted, CaptureFault> {
    let times: Vec<f64> = (0..pulse.len()).map(|n| n as f64 / RATE).collect();
    let mut extractor = Extractor::new(setup.clone()).unwrap();
    for from in (0..pulse.len()).step_by(block) {
        let to = pulse.len().min(from + block);
        let own: Vec<&[f64]> = sensors.iter().map(|samples| &samples[from..to]).collect();
        extractor.push(setup.rate.is_none().then_some(&times[from..to]), &pulse[from..to], &own)?;
    }
    extractor.finish()
}

fn close(one: &ExtractedReading, other: &ExtractedReading, allowed: f64) -> bool {
    (one.reading.vector() - other.reading.vector()).norm() <= allowed * one.reading.amplitude()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    #[test]
    fn the_size_of_the_blocks_changes_no_bit(
        hertz in 18.0..60.0, amplitude in 1.0..5.0, seed: u64, size in 1_usize..3000, timed: bool
    ) {
        let (pulse, front, rear) = recording(hertz, amplitude, seed);
        let mut own = setup();
        own.rate = (!timed).then_some(RATE);
        let whole = read(&own, &pulse, &[&front, &rear], 6000).unwrap();
        let cut = read(&own, &pulse, &[&front, &rear], size).unwrap();
        prop_assert_eq!(whole, cut);
    }

    #[test]
    fn the_setup_turns_and_scales_the_reading(
        hertz in 18.0..60.0, seed: u64, at in -400.0..400.0, scale in 0.01..100.0, with: bool, lead: bool
    ) {
        let (pulse, front, rear) = recording(hertz, 3.0, seed);
        let plain = read(&setup(), &pulse, &[&front, &rear], 1000).unwrap();

        // The edge comes at another place of the shaft: phases turn by as much, in the direction in which masses are
        // counted.
        let mut own = setup();
        own.pulse.at = Angle::from_degrees(at).unwrap();
        own.sensors[0].scale = scale;
        let (mut turned, mut sense) = (Angle::from_degrees(at).unwrap().unit_vector(), 1.0);
        if with {
            own.convention.mass_angle = MassAngle::WithRotation;
            turned = turned.conj();
        }
        if lead {
            own.convention.phase = Phase::Lead;
            sense = -1.0;
        }
        let found = read(&own, &pulse, &[&front, &rear], 1000).unwrap();
        for (sensor, scale) in [(0, scale), (1, 1.0)] {
            let lag = plain.sensors[sensor].reading.vector() * turned * scale;
            let wanted = if sense < 0.0 { lag.conj() } else { lag };
            let off = (found.sensors[sensor].reading.vector() - wanted).norm();
            prop_assert!(off <= 1e-12 * wanted.norm(), "{sensor}: {off}");
            let ratio = found.sensors[sensor].amplitude_uncertainty / plain.sensors[sensor].amplitude_uncertainty;
            prop_assert!((ratio / scale - 1.0).abs() < 1e-9, "{ratio} {scale}");
        }

        // Sensors the other way round.
        let mut own = setup();
        own.sensors.reverse();
        let found = read(&own, &pulse, &[&rear, &front], 1000).unwrap();
        prop_assert_eq!(&found.sensors[0], &plain.sensors[1]);
        prop_assert_eq!(&found.sensors[1], &plain.sensors[0]);

        // Times instead of a rate.
        let mut own = setup();
        own.rate = None;
        let found = read(&own, &pulse, &[&front, &rear], 1000).unwrap();
        prop_assert!(close(&found.sensors[0], &plain.sensors[0], 1e-9));

        // A pulse upside down, and its other edge.
        let mut own = setup();
        own.pulse.edge = Edge::Falling;
        let mirrored: Vec<f64> = pulse.iter().map(|value| 7.0 - 2.0 * value).collect();
        let found = read(&own, &mirrored, &[&front, &rear], 1000).unwrap();
        prop_assert!(close(&found.sensors[0], &plain.sensors[0], 1e-6));
    }

    #[test]
    fn nothing_that_is_pushed_makes_it_panic(
        blocks in prop::collection::vec(
            (prop::collection::vec(any::<f64>(), 0..40), prop::collection::vec(any::<f64>(), 0..40), any::<bool>()), 0..6
        ),
        hertz in 1.0..2000.0, factor in prop::num::f64::ANY, timed: bool
    ) {
        let (pulse, front, rear) = recording(hertz, 1.0, 1);
        let mut own = setup();
        own.rate = (!timed).then_some(RATE);
        let times: Vec<f64> = (0..6000).map(|n| f64::from(n) * 1e-3).collect();
        for stretch in [Stretch::Automatic, Stretch::Between { from: 0.1, to: 1.2 }] {
            own.stretch = stretch;
            let mut extractor = Extractor::new(own.clone()).unwrap();
            let scaled: Vec<f64> = front.iter().map(|value| value * factor).collect();
            let _ = extractor.push(timed.then_some(&times[..]), &pulse, &[&scaled, &rear]);
            for (one, other, given) in &blocks {
                let _ = extractor.push(given.then_some(&one[..]), one, &[other, one]);
                let _ = extractor.so_far();
            }
            let _ = extractor.seen();
            let _ = extractor.finish();
        }
    }
}

/// Two minutes at 3600 rpm, which is several chapters, with hum; front grows by `growth` half way through.
fn long_recording(growth: f64) -> (Vec<f64>, Vec<f64>, Vec<f64>) {
    let mut state = 417_u64;
    let mut noise = || {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (state >> 40) as f64 / 16_777_216.0 - 0.5
    };
    let mut columns = (Vec::new(), Vec::new(), Vec::new());
    let frames = 120 * RATE as u32;
    for n in 0..frames {
        let time = f64::from(n) / RATE;
        let turn = 60.0 * time + 0.05 * (0.4 * time).sin();
        let after = turn.fract() * RATE / 60.0;
        let front = if 2 * n < frames { 3.0 } else { 3.0 + growth };
        columns.0.push((after / 2.0).min((7.0 - after) / 2.0 + 1.0).clamp(0.0, 1.0) + 0.01 * noise());
        columns.1.push(front * (TAU * turn - 1.0).cos() + 0.5 * (TAU * 50.0 * time).cos() + 0.5 * noise());
        columns.2.push(2.0 * (TAU * turn + 2.0).cos() + 0.5 * noise());
    }
    columns
}

#[test]
fn the_chapters_of_a_long_recording_are_one_reading() {
    let (pulse, front, rear) = long_recording(0.0);
    let whole = read(&setup(), &pulse, &[&front, &rear], 8192).unwrap();
    assert_eq!(whole, read(&setup(), &pulse, &[&front, &rear], 777).unwrap());
    assert!(whole.turns > 7190, "{}", whole.turns);
    for (own, amplitude) in whole.sensors.iter().zip([3.0, 2.0]) {
        let off = (own.reading.amplitude() - amplitude).abs();
        assert!(off < 4.0 * own.amplitude_uncertainty, "{own:?}");
        // White noise of 0.5/√12 over half a million samples: the bound is a third of a thousandth.
        let bound = 0.5 / 12.0_f64.sqrt() * (2.0 / pulse.len() as f64).sqrt();
        assert!(own.amplitude_uncertainty < 1.5 * bound, "{own:?}");
    }
    let hum: Vec<_> = whole.sensors.iter().map(|own| own.tones.len()).collect();
    assert_eq!(hum, [1, 0]);
    assert!((whole.sensors[0].tones[0].frequency_hz - 50.0).abs() < 1e-3);
    let changed = |found: &Extracted| {
        found.cautions.iter().any(|caution| matches!(caution, CaptureCaution::ReadingChanged { .. }))
    };
    assert!(!changed(&whole));

    let (pulse, front, rear) = long_recording(0.2);
    let whole = read(&setup(), &pulse, &[&front, &rear], 8192).unwrap();
    assert!(changed(&whole));
    let front = &whole.sensors[0];
    // The middle of both, with an uncertainty that holds both.
    assert!((front.reading.amplitude() - 3.1).abs() < 0.03, "{front:?}");
    assert!((0.02..0.2).contains(&front.amplitude_uncertainty), "{front:?}");
}

#[test]
fn motions_are_integrated_and_differentiated_at_the_running_speed() {
    let (pulse, front, rear) = recording(30.0, 3.0, 5);
    let plain = read(&setup(), &pulse, &[&front, &rear], 1000).unwrap();
    let speed = plain.speed_rpm / 60.0 * TAU;
    for (reads, factor, lag) in [
        // mm/s over ω is mm; a displacement lags its velocity by a quarter turn.
        ("um pp", 2.0 * 1000.0 / speed, 90.0),
        ("mm/s rms", std::f64::consts::FRAC_1_SQRT_2, 0.0),
        ("m/s2", speed / 1000.0, -90.0),
        ("g", speed / 9806.65, -90.0),
        ("in/s", 1.0 / 25.4, 0.0),
    ] {
        let mut own = setup();
        own.sensors[0].reads = ReadingUnit::parse(reads).unwrap();
        own.sensors[0].phase_correction = Angle::from_degrees(10.0).unwrap();
        let found = read(&own, &pulse, &[&front, &rear], 1000).unwrap().sensors.remove(0);
        let turned = Angle::from_degrees(lag + 10.0).unwrap().unit_vector() * factor;
        let wanted = plain.sensors[0].reading.vector() * turned;
        assert!((found.reading.vector() - wanted).norm() < 1e-12 * wanted.norm(), "{reads}");
        let ratio = found.phase_uncertainty.degrees() / plain.sensors[0].phase_uncertainty.degrees();
        assert!((ratio - 1.0).abs() < 1e-9, "{reads}: {ratio}");
    }
}

/// One bad recording for each fault that samples can have.
#[test]
fn every_bad_recording_has_its_fault() {
    let (pulse, front, rear) = recording(30.0, 3.0, 5);
    let fault =
        |pulse: &[f64], front: &[f64], rear: &[f64]| read(&setup(), pulse, &[front, rear], 999).unwrap_err();
    let with = |samples: &[f64], at: usize, value: f64| {
        let mut own = samples.to_vec();
        own[at] = value;
        own
    };
    let short = |len: usize| fault(&pulse[..len], &front[..len], &rear[..len]);
    assert!(matches!(short(0), CaptureFault::TooShort { turns: 0, .. }));
    assert!(matches!(short(800), CaptureFault::TooShort { .. }), "{:?}", short(800));
    assert!(matches!(
        fault(&vec![0.2; 6000], &front, &rear),
        CaptureFault::Dead { channel: Channel::Pulse, .. }
    ));
    let quiet: Vec<f64> = rear.iter().rev().map(|value| (value * 1e5).fract().abs()).collect();
    assert!(
        matches!(fault(&quiet, &front, &rear), CaptureFault::NoPulse { .. }),
        "{:?}",
        fault(&quiet, &front, &rear)
    );
    let dead = fault(&pulse, &front, &vec![1.5; 6000]);
    assert_eq!(dead, CaptureFault::Dead { channel: Channel::Sensor("rear".into()), value: 1.5 });
    let cut: Vec<f64> = front.iter().map(|value| value.clamp(-2.5, 2.5)).collect();
    assert!(matches!(fault(&pulse, &cut, &rear), CaptureFault::Clipped { .. }));
    for bad in [f64::NAN, f64::INFINITY, 1e101] {
        let found = fault(&pulse, &with(&front, 3000, bad), &rear);
        assert_eq!(
            found,
            CaptureFault::NotFinite { channel: Channel::Sensor("front".into()), seconds: 3000.0 / RATE }
        );
        let found = fault(&with(&pulse, 10, bad), &front, &rear);
        assert_eq!(found, CaptureFault::NotFinite { channel: Channel::Pulse, seconds: 10.0 / RATE });
    }
    // 300 turns a second: fourteen samples each.
    let turns: Vec<f64> = (0..6000).map(|n| 300.0 * f64::from(n) / RATE).collect();
    let square: Vec<f64> = turns.iter().map(|turn| f64::from(u8::from(turn.fract() < 0.4))).collect();
    let fast: Vec<f64> = turns.iter().map(|turn| (TAU * turn).cos()).collect();
    let found = fault(&square, &fast, &fast);
    assert!(matches!(found, CaptureFault::TooSparse { .. }), "{found:?}");

    let mut extractor = Extractor::new(setup()).unwrap();
    assert!(matches!(
        extractor.push(None, &[1.0, 2.0], &[&[1.0], &[1.0, 2.0]]),
        Err(CaptureFault::Lengths { found: 1, expected: 2, .. })
    ));
    // From then on the same fault.
    assert!(matches!(extractor.push(None, &[], &[]), Err(CaptureFault::Lengths { .. })));
    let first = |times: Option<&[f64]>, sensors: &[&[f64]], timed: bool| {
        let mut own = setup();
        own.rate = (!timed).then_some(RATE);
        Extractor::new(own).unwrap().push(times, &[0.0, 1.0], sensors).unwrap_err()
    };
    let both: [&[f64]; 2] = [&[0.0, 1.0], &[0.0, 1.0]];
    assert!(matches!(first(None, &both[..1], false), CaptureFault::SensorCount { found: 1, expected: 2 }));
    assert_eq!(first(None, &both, true), CaptureFault::Times { given: false });
    assert_eq!(first(Some(&[0.0, 1.0]), &both, false), CaptureFault::Times { given: true });
    assert_eq!(
        first(Some(&[1.0, 1.0]), &both, true),
        CaptureFault::TimeNotGrowing { before: 1.0, after: 1.0 }
    );
}

/// A run-up without a steady part; and pulses that belong to no turn.
#[test]
fn speed_and_pulses_have_to_be_steady() {
    let run = |turns: &dyn Fn(f64) -> f64| {
        let turn: Vec<f64> = (0..20_000).map(|n| turns(f64::from(n) / RATE)).collect();
        let pulse: Vec<f64> =
            turn.iter().map(|turn| f64::from(u8::from(turn.rem_euclid(1.0) < 0.1))).collect();
        let front: Vec<f64> = turn.iter().map(|turn| (TAU * turn).cos()).collect();
        read(&setup(), &pulse, &[&front, &front], 1000)
    };
    let up = run(&|time| 5.0 * time + 2.0 * time * time);
    assert!(matches!(up, Err(CaptureFault::SpeedNotSteady { .. })), "{up:?}");
    let stray = run(&|time| 5.0 * (time + 0.09 * (3.0 * TAU * time).sin() + 0.06 * (7.7 * TAU * time).cos()));
    assert!(
        matches!(stray, Err(CaptureFault::PulsesAstray { .. } | CaptureFault::SpeedNotSteady { .. })),
        "{stray:?}"
    );
}

/// Pulses lost, doubled and late are told, and the reading stays.
#[test]
fn bad_pulses_are_repaired_and_told() {
    let (pulse, front, rear) = recording(30.0, 3.0, 5);
    let clean = read(&setup(), &pulse, &[&front, &rear], 1000).unwrap();
    let mut bad = pulse.clone();
    // A turn is about 136 samples long, its pulse thirteen: pulses 10 and 20 are wiped out, a false one added.
    let edges: Vec<usize> = (1..6000).filter(|&n| pulse[n - 1] < 0.5 && pulse[n] >= 0.5).collect();
    for lost in [10, 20] {
        bad[edges[lost] - 5..edges[lost] + 20].fill(0.0);
    }
    bad[edges[15] + 60..edges[15] + 64].fill(1.0);
    let found = read(&setup(), &bad, &[&front, &rear], 1000).unwrap();
    let codes: Vec<&str> = found.cautions.iter().map(CaptureCaution::code).collect();
    assert!(codes.contains(&"pulses-missing") && codes.contains(&"pulses-extra"), "{codes:?}");
    assert_eq!(found.turns, clean.turns);
    assert!(close(&found.sensors[0], &clean.sensors[0], 1e-3));
}
