//! What a test showed, as figures for its picture.

use balance_core::Complex64;
use balance_core::quantity::Units;
use balance_core::stand::{
    IndexReading, IndexTest, LIMIT_LINES, LeastUnbalanceTest, MovedMass, MovedReading, ReductionPoint,
    ReductionTest, Repeat, Repeats,
};

use crate::draw::{
    LimitCircle, LimitLines, Overlay, RoundFixture, Scene, fixtures, limit_circles, limit_lines, overlays,
};
use crate::print::text::units;

/// Readings between their limit lines.
pub(super) fn least_unbalance(heading: &str, shop: Units, planes: &[(String, LeastUnbalanceTest)]) -> Scene {
    let lines = |(name, test): &(String, LeastUnbalanceTest)| LimitLines {
        words: format!(
            "{name}: {} at {} places",
            units::unbalance(shop, test.test_mass.gram_millimetres()),
            test.points.len()
        ),
        points: test.points.iter().map(|point| (point.degrees, point.share)).collect(),
        limits: LIMIT_LINES,
    };
    limit_lines(heading, &planes.iter().map(lines).collect::<Vec<_>>())
}

/// What one correction would leave in each run.
pub(super) fn reduction(heading: &str, ratio: f64, planes: &[(String, ReductionTest)]) -> Scene {
    let share = |point: &ReductionPoint| {
        let left = (point.shown - point.resultant) / point.resultant;
        (left.re, left.im)
    };
    let circle = |(name, test): &(String, ReductionTest)| LimitCircle {
        words: format!("{name}: {} runs, ratio reached {:.1} %", test.points.len(), 100.0 * test.reached),
        points: test.points.iter().map(share).collect(),
        radius: 1.0 - ratio,
    };
    limit_circles(heading, &planes.iter().map(circle).collect::<Vec<_>>())
}

/// Readings round what turns with the fixture.
pub(super) fn index(
    heading: &str,
    shop: Units,
    planes: &[(String, IndexTest)],
    readings: &[Vec<IndexReading>],
) -> Scene {
    let pair = |own: Complex64| (own.re, own.im);
    let round = |((name, test), readings): (&(String, IndexTest), &Vec<IndexReading>)| RoundFixture {
        words: format!(
            "{name}: fixture {}, shaft {}",
            units::unbalance(shop, test.fixture.norm()),
            units::unbalance(shop, test.shaft.norm())
        ),
        fixture: pair(test.fixture),
        shaft: test.shaft.norm(),
        readings: readings.iter().map(|own| (own.turned, pair(own.reading))).collect(),
    };
    fixtures(heading, &planes.iter().zip(readings).map(round).collect::<Vec<_>>())
}

/// Readings against the place of the mass, with what the fit says in between.
pub(super) fn left(
    heading: &str,
    shop: Units,
    planes: &[(String, MovedMass)],
    readings: &[Vec<MovedReading>],
) -> Scene {
    let overlay = |((name, test), readings): (&(String, MovedMass), &Vec<MovedReading>)| {
        let moved: Vec<&MovedReading> = readings.iter().filter(|own| own.mass.norm() > 0.0).collect();
        let best = test.possible.first().map_or(Complex64::ZERO, |own| own.left);
        let shape = |mass: Complex64| (best + mass).norm();
        let shown: f64 = moved.iter().map(|own| own.shown.amplitude()).sum();
        let expected: f64 = moved.iter().map(|own| shape(own.mass)).sum();
        let scale = if expected > 0.0 { shown / expected } else { 0.0 };
        let size = moved.iter().map(|own| own.mass.norm()).fold(0.0, f64::max);
        let place =
            |own: &&MovedReading| (own.mass.arg().to_degrees().rem_euclid(360.0), own.shown.amplitude());
        let curve = |step: u32| {
            let degrees = f64::from(step) * 5.0;
            (degrees, scale * shape(Complex64::from_polar(size, degrees.to_radians())))
        };
        Overlay {
            words: format!("{name}: {} left", units::unbalance(shop, best.norm())),
            points: moved.iter().map(place).collect(),
            curve: (0..=72).map(curve).collect(),
            across: [0.0, 360.0],
            note: "place of the mass, deg; amplitude as read, the line is the fit".into(),
        }
    };
    let panels: Vec<Overlay> = planes.iter().zip(readings).map(overlay).collect();
    overlays(heading, "What is left, by one mass moved round", &panels)
}

/// Every reading as a share of the middle one, over the time, with the drift.
pub(super) fn repeats(heading: &str, sensors: &[(String, Repeats)], readings: &[Vec<Repeat>]) -> Scene {
    let overlay = |((name, found), readings): (&(String, Repeats), &Vec<Repeat>)| {
        let first = readings.iter().map(|own| own.minutes).fold(f64::INFINITY, f64::min);
        let last = readings.iter().map(|own| own.minutes).fold(0.0, f64::max);
        let middle = found.middle.norm().max(f64::MIN_POSITIVE);
        let mean = readings.iter().map(|own| own.minutes).sum::<f64>() / readings.len().max(1) as f64;
        let off = |vector: Complex64| 100.0 * (vector.norm() / middle - 1.0);
        let line = |step: u32| {
            let minutes = first + (last - first) * f64::from(step) / 20.0;
            (minutes - first, off(found.middle + found.drift_per_hour * ((minutes - mean) / 60.0)))
        };
        Overlay {
            words: format!(
                "{name}: {} readings, scatter {:.2} %",
                found.count,
                100.0 * found.noise().unwrap_or(0.0)
            ),
            points: readings.iter().map(|own| (own.minutes - first, off(own.reading))).collect(),
            curve: (0..=20).map(line).collect(),
            across: [0.0, (last - first).max(1.0)],
            note: "minutes; amplitude off its middle, %; the line is the drift".into(),
        }
    };
    let panels: Vec<Overlay> = sensors.iter().zip(readings).map(overlay).collect();
    overlays(heading, "Noise and drift, from repeats", &panels)
}
