//! A recording over the shaft's angle, and its speed: what the pickup gave in the last turns as dots, once per turn as a
//! line.

use super::label::Frame;
use super::letters;
use super::scene::{Ink, Mark, Point, Scene, Stroke, Text, Weight};
use super::{NARROW, SMALL};
use balance_core::quantity::shown::figures;

/// One sensor's signal.
#[derive(Debug, Clone, PartialEq)]
pub struct SignalOverTurn {
    /// The sensor's name.
    pub name: String,
    /// The unit of the samples.
    pub unit: String,
    /// Degrees after the pulse, and the sample.
    pub samples: Vec<(f64, f64)>,
    /// What is written beside its name: the reading.
    pub reading: String,
}

/// Everything the picture shows.
#[derive(Debug, Clone, PartialEq)]
pub struct RecordingPicture {
    /// First line.
    pub heading: String,
    /// One for each sensor.
    pub signals: Vec<SignalOverTurn>,
    /// Seconds and rpm.
    pub speeds: Vec<(f64, f64)>,
    /// What was used, in seconds.
    pub used: (f64, f64),
}

const TOP: f64 = 20.0;
const SIGNAL: f64 = 104.0;
const SPEED: f64 = 56.0;
/// From the top of a title to its panel.
const UNDER_TITLE: f64 = 12.0;
const GAP: f64 = 34.0;
const LEFT: f64 = 34.0;
/// Dots of a panel, at most.
const DOTS: usize = 1500;

/// Draws the last turns of each sensor and the speed over time.
#[must_use]
pub fn recording(input: &RecordingPicture) -> Scene {
    let height = TOP + input.signals.len() as f64 * (SIGNAL + GAP) + SPEED + 16.0;
    let mut scene = Scene::new(NARROW, height, "What was recorded");
    scene.description = input.heading.clone();
    let heading = letters::shorten(&input.heading, 7.6, Weight::Bold, NARROW - 8.0);
    scene.push(Mark::Text(Text::new(&heading, Point::new(4.0, 11.0), 7.6).bold()));
    let mut top = TOP;
    for signal in &input.signals {
        draw_signal(&mut scene, signal, panel(top + UNDER_TITLE, SIGNAL - UNDER_TITLE));
        top += SIGNAL + GAP;
    }
    draw_speed(&mut scene, input, panel(top + UNDER_TITLE, SPEED - UNDER_TITLE));
    scene
}

fn panel(top: f64, height: f64) -> Frame {
    Frame { left: LEFT, top, width: NARROW - LEFT - 8.0, height }
}

/// From values to the panel.
#[derive(Clone, Copy)]
struct Scales {
    panel: Frame,
    across: (f64, f64),
    up: (f64, f64),
}

impl Scales {
    fn point(self, across: f64, up: f64) -> Point {
        let share = |value: f64, (low, high): (f64, f64)| ((value - low) / (high - low)).clamp(0.0, 1.0);
        Point::new(
            self.panel.left + self.panel.width * share(across, self.across),
            self.panel.top + self.panel.height * (1.0 - share(up, self.up)),
        )
    }

    fn frame(self, scene: &mut Scene) {
        let Frame { left, top, width, height } = self.panel;
        let corners = [(0.0, 0.0), (width, 0.0), (width, height), (0.0, height), (0.0, 0.0)];
        let corners = corners.map(|(dx, dy)| Point::new(left + dx, top + dy));
        scene.path(corners.to_vec(), Stroke::solid(0.5).ink(Ink::Grey));
    }

    fn upright(self, scene: &mut Scene, values: &[f64], places: usize) {
        for &value in values {
            let at = self.point(self.across.0, value);
            scene.line(at, at.shifted(-2.5, 0.0), Stroke::solid(0.5));
            let words = figures(value, places);
            scene.push(Mark::Text(Text::new(&words, at.shifted(-4.0, 2.0), SMALL).end()));
        }
    }

    fn level(self, scene: &mut Scene, value: f64, words: &str) {
        let at = self.point(value, self.up.0);
        scene.line(at, at.shifted(0.0, 2.5), Stroke::solid(0.5));
        scene.push(Mark::Text(Text::new(words, at.shifted(0.0, 9.5), SMALL).middle()));
    }
}

fn title(scene: &mut Scene, panel: Frame, words: &str) {
    let words = letters::shorten(words, 6.4, Weight::Plain, panel.width + LEFT - 6.0);
    scene.push(Mark::Text(Text::new(&words, Point::new(4.0, panel.top - 6.0), 6.4)));
}

fn draw_signal(scene: &mut Scene, signal: &SignalOverTurn, panel: Frame) {
    title(scene, panel, &format!("{} in {}: {}", signal.name.to_uppercase(), signal.unit, signal.reading));
    let values = signal.samples.iter().map(|(_, value)| value.abs());
    let most = values.fold(0.0, f64::max).max(f64::MIN_POSITIVE) * 1.05;
    let round = round_below(most);
    let scales = Scales { panel, across: (0.0, 360.0), up: (-most, most) };
    scales.frame(scene);
    scales.upright(scene, &[-round, 0.0, round], places(round));
    scene.line(scales.point(0.0, 0.0), scales.point(360.0, 0.0), Stroke::solid(0.4).ink(Ink::Pale));
    for degrees in [0.0, 90.0, 180.0, 270.0, 360.0] {
        scales.level(scene, degrees, &format!("{degrees:.0}"));
    }
    let below = Point::new(panel.left + panel.width / 2.0, panel.top + panel.height + 17.5);
    scene.push(Mark::Text(Text::new("degrees after the pulse; line: once per turn", below, SMALL).middle()));
    scene.begin("samples", vec![("sensor", signal.name.clone())]);
    let every = signal.samples.len().div_ceil(DOTS).max(1);
    for (degrees, value) in signal.samples.iter().step_by(every) {
        let at = scales.point(*degrees, *value);
        scene.line(at.shifted(-0.4, 0.0), at.shifted(0.4, 0.0), Stroke::solid(0.8).ink(Ink::Grey));
    }
    scene.end();
    let Some((cosine, sine)) = once_per_turn(&signal.samples) else { return };
    scene.begin("once-per-turn", Vec::new());
    let curve = (0..=120).map(|step| {
        let degrees = 3.0 * f64::from(step);
        let (s, c) = degrees.to_radians().sin_cos();
        scales.point(degrees, cosine * c + sine * s)
    });
    scene.path(curve.collect(), Stroke::solid(1.3));
    scene.end();
}

/// Cosine and sine of the part that comes once per turn, from whole turns.
fn once_per_turn(samples: &[(f64, f64)]) -> Option<(f64, f64)> {
    if samples.is_empty() {
        return None;
    }
    let sums = samples.iter().fold((0.0, 0.0), |(cosine, sine), (degrees, value)| {
        let (s, c) = degrees.to_radians().sin_cos();
        (cosine + value * c, sine + value * s)
    });
    let share = 2.0 / samples.len() as f64;
    Some((sums.0 * share, sums.1 * share))
}

fn draw_speed(scene: &mut Scene, input: &RecordingPicture, panel: Frame) {
    title(scene, panel, "Speed in rpm; between the bars: what was used");
    let times = || input.speeds.iter().map(|(time, _)| *time);
    let speeds = || input.speeds.iter().map(|(_, rpm)| *rpm);
    let end = times().fold(input.used.1, f64::max).max(1e-3);
    let (slow, fast) = (speeds().fold(f64::INFINITY, f64::min), speeds().fold(0.0, f64::max));
    if !(slow.is_finite() && fast > 0.0) {
        return;
    }
    let room = (fast - slow).max(0.01 * fast);
    let scales = Scales { panel, across: (0.0, end), up: (slow - 0.3 * room, fast + 0.3 * room) };
    scales.frame(scene);
    scales.upright(scene, &[scales.up.0, scales.up.1], 0);
    scales.level(scene, 0.0, "0");
    scales.level(scene, end, &figures(end, 0));
    let below = Point::new(panel.left + panel.width / 2.0, panel.top + panel.height + 9.5);
    scene.push(Mark::Text(Text::new("seconds", below, SMALL).middle()));
    for bar in [input.used.0, input.used.1] {
        let (low, high) = scales.up;
        scene.line(scales.point(bar, low), scales.point(bar, high), Stroke::solid(1.0));
    }
    scene.begin("speed", Vec::new());
    scene
        .path(input.speeds.iter().map(|(time, rpm)| scales.point(*time, *rpm)).collect(), Stroke::solid(0.9));
    scene.end();
}

/// The largest 1, 2 or 5 times a power of ten that is no larger.
fn round_below(most: f64) -> f64 {
    let decade = 10_f64.powf(most.log10().floor());
    [5.0, 2.0, 1.0].into_iter().map(|step| step * decade).find(|round| *round <= most).unwrap_or(decade)
}

fn places(round: f64) -> usize {
    (-round.log10().floor()).clamp(0.0, 6.0) as usize
}
