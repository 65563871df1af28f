//! How fast samples become a reading: 48 kHz, 1500 rpm, a pulse and one or two sensors, in blocks of 16 k frames.

use std::f64::consts::TAU;
use std::hint::black_box;

use balance_core::run::Convention;
use balance_core::stand::capture::{CaptureSetup, Extractor, PulseSetup, ReadingUnit, SensorSetup, Stretch};
use criterion::{Criterion as Bench, Throughput, criterion_group, criterion_main};

const RATE: f64 = 48_000.0;
const FRAMES: usize = 48_000 * 60;
const BLOCK: usize = 16_384;

fn setup(sensors: usize) -> CaptureSetup {
    let unit = ReadingUnit::parse("mm/s").expect("a unit");
    CaptureSetup {
        rate: Some(RATE),
        pulse: PulseSetup::rising(),
        sensors: vec![SensorSetup { limit: Some(1.0), ..SensorSetup::plain("front", unit) }; sensors],
        stretch: Stretch::Automatic,
        convention: Convention::unstated(),
    }
}

fn noise(state: &mut u64) -> f64 {
    *state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
    (*state >> 40) as f64 / 16_777_216.0 - 0.5
}

fn samples() -> (Vec<f64>, Vec<f64>) {
    let mut state = 1;
    let turn = |n: usize| 25.0 * n as f64 / RATE;
    let pulse = (0..FRAMES)
        .map(|n| {
            let after = turn(n).fract() * RATE / 25.0;
            (after / 3.0).min((80.0 - after) / 3.0 + 1.0).clamp(0.0, 1.0) * 0.8 + 0.01 * noise(&mut state)
        })
        .collect();
    let sensor = (0..FRAMES).map(|n| 0.3 * (TAU * turn(n)).cos() + 0.1 * noise(&mut state)).collect();
    (pulse, sensor)
}

fn extracting(bench: &mut Bench) {
    let (pulse, sensor) = samples();
    let mut group = bench.benchmark_group("extract");
    group.sample_size(10);
    for sensors in [1, 2] {
        group.throughput(Throughput::Elements(FRAMES as u64));
        group.bench_function(format!("frames of a pulse and {sensors} sensors"), |timer| {
            timer.iter(|| {
                let mut extractor = Extractor::new(setup(sensors)).expect("a sound setup");
                for (pulse, sensor) in pulse.chunks(BLOCK).zip(sensor.chunks(BLOCK)) {
                    extractor.push(None, pulse, &vec![sensor; sensors]).expect("sound samples");
                }
                black_box(extractor.finish().expect("a reading"))
            });
        });
    }
    group.finish();
}

criterion_group!(benches, extracting);
criterion_main!(benches);
