//! What one sensor read: every run as a vector in a polar picture of its own.

use super::dial::{Dial, counting_arrow};
use super::figures::{short, tame, turned};
use super::label::{Frame, Label, Labels};
use super::scene::{Dash, Ink, Mark, Point, Scene, Stroke, Text, Weight};
use super::shape::{Arc, PageSense};
use super::{NARROW, SMALL, letters};
use balance_core::run::RunKind;

/// A reading: size and angle as the dial shows them.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PolarReading {
    /// In the sensor's unit.
    pub amplitude: f64,
    /// Degrees, in the stand's counting.
    pub degrees: f64,
}

/// What a run showed on the dial.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Shown {
    /// A reading.
    Vector(PolarReading),
    /// Less than this; no angle could be read.
    Below(f64),
}

/// One run's reading.
#[derive(Debug, Clone, PartialEq)]
pub struct RunPoint {
    /// The run's label in the runs file.
    pub label: String,
    /// What the run was for.
    pub kind: RunKind,
    /// What the dial showed.
    pub shown: Shown,
    /// The run (index into `runs`) a trial is compared with: a dashed line runs from there. Without it from the middle.
    pub base: Option<usize>,
}

/// The reading expected after the advised correction.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Expected {
    /// Where it should land.
    pub reading: PolarReading,
    /// It lands within this distance 95 times of 100; without figures for the noise not known.
    pub radius_95: Option<f64>,
}

/// Everything one sensor's picture shows.
#[derive(Debug, Clone, PartialEq)]
pub struct Readings {
    /// The sensor's name.
    pub sensor: String,
    /// The sensor's unit.
    pub unit: String,
    /// The speed of the runs, if stated.
    pub speed_rpm: Option<f64>,
    /// Which way the phase counts on the page; the same view as the tube, from the front, where that is known.
    pub counting: PageSense,
    /// How the phase counts, in a few words: "lag, against rotation".
    pub counting_words: String,
    /// What the zero mark is.
    pub zero_mark: Option<String>,
    /// The runs, in the file's order.
    pub runs: Vec<RunPoint>,
    /// The expected next reading.
    pub expected: Option<Expected>,
}

const MIDDLE: Point = Point::new(NARROW / 2.0, 122.0);
const RADIUS: f64 = 84.0;
/// Readings within this share of the outer ring are shown again, larger.
const NEAR: f64 = 0.17;
const HEAD: f64 = 8.4;

/// Draws the readings of one sensor.
#[must_use]
pub fn readings(input: &Readings) -> Scene {
    let dial = Dial::new(MIDDLE, RADIUS, most(input), input.counting);
    let close = Close::of(input, dial.full);
    let foot = MIDDLE.y + RADIUS + 24.0;
    let legend = legend_lines(input);
    let notes = notes(input);
    let below = if close.is_some() { 92.0 } else { (legend.len() as f64 / 2.0).ceil() * 10.5 + 2.0 };
    let below = below.max(if close.is_some() { legend.len() as f64 * 10.5 + 2.0 } else { 0.0 });
    let height = foot + below + notes.len() as f64 * 8.6 + 4.0;
    let mut scene = Scene::new(NARROW, height, &format!("Readings at the {} sensor", input.sensor));
    scene.description = describe(input);
    header(&mut scene, input);
    dial.draw_rings(&mut scene);
    dial.draw_angles(&mut scene);
    draw_counting(&mut scene, input);
    let mut labels = Labels::within(Frame { left: 2.0, top: 26.0, width: NARROW - 4.0, height: foot - 30.0 });
    spare_lines(&mut labels, input, dial);
    let scale = dial.draw_scale(&mut scene, free_spoke(input, dial), &input.unit);
    scale.into_iter().for_each(|frame| labels.block(frame));
    for (at, words) in dial.quarters() {
        labels.block(Frame::around(at, letters::width(&words, SMALL, Weight::Plain) + 2.0, SMALL + 1.0));
    }
    labels.block(counting_frame(input.counting));
    draw_runs(&mut scene, &mut labels, input, dial, close.map_or(0.0, |close| close.most));
    if let Some(close) = close {
        scene.circle(MIDDLE, dial.length(close.most).max(5.0), Stroke::solid(0.5).ink(Ink::Grey));
        close.draw(&mut scene, input, foot);
    }
    draw_legend(&mut scene, &legend, foot, if close.is_some() { 1 } else { 2 });
    for (index, line) in notes.iter().enumerate() {
        let at = Point::new(4.0, foot + below + 6.0 + 8.6 * index as f64);
        scene.push(Mark::Text(Text::new(line, at, SMALL)));
    }
    scene
}

/// The largest size in the picture.
fn most(input: &Readings) -> f64 {
    let runs = input.runs.iter().map(|run| size(run.shown));
    let expected = input.expected.map(|expected| reach(&expected));
    runs.chain(expected).fold(0.0, f64::max)
}

fn size(shown: Shown) -> f64 {
    match shown {
        Shown::Vector(reading) => tame(reading.amplitude).abs(),
        Shown::Below(limit) => tame(limit).abs(),
    }
}

fn reach(expected: &Expected) -> f64 {
    tame(expected.reading.amplitude).abs() + tame(expected.radius_95.unwrap_or(0.0)).abs()
}

fn header(scene: &mut Scene, input: &Readings) {
    let speed = input.speed_rpm.map_or(String::new(), |speed| format!(" · {} rpm", tame(speed).round()));
    let unit = letters::shorten(&format!("{}{speed}", input.unit), SMALL, Weight::Plain, 70.0);
    let unit_width = letters::width(&unit, SMALL, Weight::Plain);
    let lead = letters::width("read at ", SMALL, Weight::Plain) + 1.0;
    let name = letters::shorten(&input.sensor, HEAD, Weight::Bold, NARROW - 12.0 - lead - unit_width);
    scene.push(Mark::Text(Text::new("read at", Point::new(4.0, 11.0), SMALL)));
    scene.push(Mark::Text(Text::new(&name, Point::new(4.0 + lead, 11.0), HEAD).bold()));
    scene.push(Mark::Text(Text::new(&unit, Point::new(NARROW - 4.0, 11.0), SMALL).end()));
}

/// Where the words about counting and their arrow stand.
fn counting_frame(sense: PageSense) -> Frame {
    let left = if sense == PageSense::Clockwise { NARROW - 60.0 } else { 0.0 };
    Frame { left, top: 14.0, width: 60.0, height: 35.0 }
}

/// The arrow and the words that say which way the phase counts, in the upper corner on that side.
fn draw_counting(scene: &mut Scene, input: &Readings) {
    counting_arrow(scene, MIDDLE, RADIUS + 9.0, input.counting);
    let mut lines = vec!["phase counts".to_owned(), "this way".to_owned()];
    lines.extend(letters::wrap(&input.counting_words, SMALL, Weight::Plain, 48.0).into_iter().take(2));
    for (index, line) in lines.iter().enumerate() {
        let down = 22.0 + 8.0 * index as f64;
        let text = match input.counting {
            PageSense::Clockwise => Text::new(line, Point::new(NARROW - 4.0, down), SMALL).end(),
            PageSense::CounterClockwise => Text::new(line, Point::new(4.0, down), SMALL),
        };
        scene.push(Mark::Text(text));
    }
}

/// The spoke farthest from every reading, for the figures on the rings.
fn free_spoke(input: &Readings, dial: Dial) -> f64 {
    let room = |clock: f64| {
        let far = |run: &RunPoint| match run.shown {
            Shown::Vector(reading) if dial.length(reading.amplitude) > 8.0 => {
                let angle =
                    turned(input.counting.clock_degrees(tame(reading.degrees).rem_euclid(360.0)) - clock);
                angle.min(360.0 - angle)
            }
            _ => 180.0,
        };
        input.runs.iter().map(far).fold(180.0, f64::min)
    };
    let spokes = [105.0, 75.0, 255.0, 285.0, 135.0, 225.0, 45.0, 315.0, 165.0, 195.0, 15.0, 345.0];
    spokes
        .into_iter()
        .fold((105.0, -1.0), |best, clock| if room(clock) > best.1 { (clock, room(clock)) } else { best })
        .0
}

fn spare_lines(labels: &mut Labels, input: &Readings, dial: Dial) {
    let rim = Arc::whole(dial.centre, dial.radius).points();
    rim.windows(2).for_each(|pair| labels.spare(pair[0], pair[1]));
    for run in &input.runs {
        if let Shown::Vector(reading) = run.shown {
            let tip = dial.place(reading.amplitude, reading.degrees);
            labels.spare(start(input, run, dial), tip);
            labels.block(Frame::around(tip, 6.0, 6.0));
        }
    }
    if let Some(expected) = input.expected {
        let at = dial.place(expected.reading.amplitude, expected.reading.degrees);
        let size = 2.0 * dial.length(expected.radius_95.unwrap_or(0.0)).clamp(2.4, RADIUS);
        let rim = Arc::whole(at, size / 2.0).points();
        rim.windows(2).for_each(|pair| labels.spare(pair[0], pair[1]));
    }
}

/// Where a run's line begins: a trial's at the run it is compared with, any other in the middle.
fn start(input: &Readings, run: &RunPoint, dial: Dial) -> Point {
    let base = run.base.and_then(|index| input.runs.get(index)).map(|base| base.shown);
    match (run.kind, base) {
        (RunKind::Trial, Some(Shown::Vector(reading))) => dial.place(reading.amplitude, reading.degrees),
        _ => dial.centre,
    }
}

/// Draws lines and shapes, then the labels of what lies farther out than `inner` (the rest is labelled larger elsewhere).
fn draw_runs(scene: &mut Scene, labels: &mut Labels, input: &Readings, dial: Dial, inner: f64) {
    if let Some(expected) = input.expected {
        draw_expected(scene, &expected, dial);
    }
    for run in &input.runs {
        draw_run(scene, input, run, dial);
    }
    let outer = |shown: Shown| size(shown) > inner;
    let size = SMALL + 0.4;
    let mut all = Vec::new();
    for run in input.runs.iter().filter(|run| outer(run.shown)) {
        let (near, words) = match run.shown {
            Shown::Vector(reading) => (dial.place(reading.amplitude, reading.degrees), run.label.clone()),
            Shown::Below(limit) => (dial.centre, format!("{} below {}", run.label, short(limit))),
        };
        let lines = vec![letters::shorten(&words, size, Weight::Bold, 60.0)];
        all.push(Label { lines, size, weight: Weight::Bold, near, clear: 3.8 });
    }
    if let Some(expected) = input.expected.filter(|expected| reach(expected) > inner) {
        let near = dial.place(expected.reading.amplitude, expected.reading.degrees);
        let clear = dial.length(expected.radius_95.unwrap_or(0.0)).clamp(2.4, 30.0) + 1.0;
        all.push(Label {
            lines: vec!["expected".to_owned()],
            size: SMALL,
            weight: Weight::Plain,
            near,
            clear,
        });
    }
    labels.write_all(scene, &all);
}

fn draw_expected(scene: &mut Scene, expected: &Expected, dial: Dial) {
    let at = dial.place(expected.reading.amplitude, expected.reading.degrees);
    dial.draw_region(scene, at, expected.radius_95.unwrap_or(0.0), 1.1);
    scene.disc(at, 0.8, Ink::Black);
}

fn draw_run(scene: &mut Scene, input: &Readings, run: &RunPoint, dial: Dial) {
    match run.shown {
        Shown::Vector(reading) => {
            let tip = dial.place(reading.amplitude, reading.degrees);
            draw_vector(scene, run.kind, start(input, run, dial), tip);
        }
        Shown::Below(limit) => {
            scene.circle(dial.centre, dial.length(limit).max(3.0), Stroke::solid(0.9).dash(Dash::Dashed));
        }
    }
}

fn stroke(kind: RunKind) -> Stroke {
    match kind {
        RunKind::Initial => Stroke::solid(1.0),
        RunKind::Trial => Stroke::solid(0.7).dash(Dash::Dashed),
        RunKind::Tried => Stroke::solid(0.8).dash(Dash::DashDot),
        RunKind::Check => Stroke::solid(2.0),
    }
}

/// A run's line with its shape at the tip: a bar for initial, a diamond for trial, clamp jaws for tried, a square for check.
fn draw_vector(scene: &mut Scene, kind: RunKind, from: Point, tip: Point) {
    scene.line(from, tip, stroke(kind));
    let length = from.distance(tip);
    let along = if length > 1e-6 {
        Point::new((tip.x - from.x) / length, (tip.y - from.y) / length)
    } else {
        Point::new(0.0, -1.0)
    };
    let at = |ahead: f64, aside: f64| {
        tip.shifted(along.x * ahead - along.y * aside, along.y * ahead + along.x * aside)
    };
    match kind {
        RunKind::Initial => scene.line(at(0.0, -3.2), at(0.0, 3.2), Stroke::solid(1.6)),
        RunKind::Trial => {
            let corners = [at(3.0, 0.0), at(0.0, 2.3), at(-3.0, 0.0), at(0.0, -2.3)];
            scene.area(corners.to_vec(), Ink::White);
            scene.outline(&corners, Stroke::solid(0.9));
        }
        RunKind::Tried => {
            scene.line(at(1.3, -3.0), at(1.3, 3.0), Stroke::solid(0.9));
            scene.line(at(-1.3, -3.0), at(-1.3, 3.0), Stroke::solid(0.9));
        }
        RunKind::Check => scene.area(Frame::around(tip, 5.2, 5.2).corners(), Ink::Black),
    }
}

/// The middle of the picture, drawn again and larger.
#[derive(Debug, Clone, Copy)]
struct Close {
    /// Everything up to this size is in it.
    most: f64,
    times: f64,
}

impl Close {
    /// What needs it: something within the innermost part, and something outside.
    fn of(input: &Readings, full: f64) -> Option<Self> {
        let sizes = input.runs.iter().map(|run| size(run.shown)).chain(input.expected.iter().map(reach));
        let inner: Vec<f64> = sizes.filter(|size| *size <= NEAR * full).collect();
        let most = inner.iter().copied().fold(0.0, f64::max);
        (!inner.is_empty() && most > 0.0).then(|| Self { most, times: 0.0 }.sized(full))
    }

    fn sized(self, full: f64) -> Self {
        let dial = Dial::new(MIDDLE, Self::RADIUS, self.most * 1.1, PageSense::Clockwise);
        Self {
            most: dial.full.min(NEAR * full).max(self.most),
            times: full / dial.full * Self::RADIUS / RADIUS,
        }
    }

    const RADIUS: f64 = 34.0;

    fn draw(self, scene: &mut Scene, input: &Readings, top: f64) {
        let frame = Frame { left: NARROW - 130.0, top: top - 2.0, width: 126.0, height: 90.0 };
        scene.outline(&frame.corners(), Stroke::solid(0.5).ink(Ink::Grey));
        let centre = frame.centre().shifted(20.0, 0.0);
        let inner = |shown: Shown| size(shown) <= self.most;
        let expected = input.expected.filter(|expected| reach(expected) <= self.most);
        let runs: Vec<RunPoint> = input
            .runs
            .iter()
            .filter(|run| inner(run.shown))
            .map(|run| RunPoint { base: None, ..run.clone() })
            .collect();
        let part = Readings { runs, expected, ..input.clone() };
        let dial = Dial::new(centre, Self::RADIUS, most(&part) * 1.1, input.counting);
        dial.draw_rings(scene);
        super::dial::nick(scene, centre, Self::RADIUS, 4.0);
        let mut labels = Labels::within(Frame {
            left: frame.left + 1.0,
            top: frame.top + 1.0,
            width: 124.0,
            height: 88.0,
        });
        let title = [
            "the middle,".to_owned(),
            format!("{} times", short(self.times.round().max(1.0))),
            "larger".to_owned(),
        ];
        for (index, line) in title.iter().enumerate() {
            scene.push(Mark::Text(Text::new(
                line,
                Point::new(frame.left + 3.0, frame.top + 9.0 + 8.0 * index as f64),
                SMALL,
            )));
        }
        labels.block(Frame { left: frame.left, top: frame.top, width: 44.0, height: 27.0 });
        spare_lines(&mut labels, &part, dial);
        let ring = format!("ring {} {}", short(dial.full), input.unit);
        let ring = letters::shorten(&ring, SMALL, Weight::Plain, 52.0);
        let at = Point::new(frame.left + 3.0, frame.top + frame.height - 4.0);
        scene.push(Mark::Text(Text::new(&ring, at, SMALL).ink(Ink::Grey)));
        labels.block(Frame {
            left: frame.left,
            top: at.y - 7.0,
            width: letters::width(&ring, SMALL, Weight::Plain) + 5.0,
            height: 11.0,
        });
        draw_runs(scene, &mut labels, &part, dial, -1.0);
    }
}

/// One line of the legend: a kind of run, or what is expected.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Entry {
    Run(RunKind),
    Expected,
}

fn legend_lines(input: &Readings) -> Vec<Entry> {
    let kinds = [RunKind::Initial, RunKind::Trial, RunKind::Tried, RunKind::Check];
    let used =
        kinds.into_iter().filter(|kind| input.runs.iter().any(|run| run.kind == *kind)).map(Entry::Run);
    used.chain(input.expected.map(|_| Entry::Expected)).collect()
}

fn draw_legend(scene: &mut Scene, entries: &[Entry], top: f64, columns: usize) {
    for (index, entry) in entries.iter().enumerate() {
        let (column, row) = (index % columns, index / columns);
        let at = Point::new(5.0 + 108.0 * column as f64, top + 4.0 + 10.5 * row as f64);
        let tip = at.shifted(20.0, 0.0);
        let words = match entry {
            Entry::Run(kind) => {
                draw_vector(scene, *kind, at, tip);
                legend_words(*kind)
            }
            Entry::Expected => {
                scene.circle(at.shifted(17.0, 0.0), 3.4, Stroke::solid(1.1).dash(Dash::Dotted));
                scene.disc(at.shifted(17.0, 0.0), 0.8, Ink::Black);
                "expected (95 %)"
            }
        };
        scene.push(Mark::Text(Text::new(words, tip.shifted(6.5, SMALL * 0.36), SMALL)));
    }
}

fn legend_words(kind: RunKind) -> &'static str {
    match kind {
        RunKind::Initial => "initial",
        RunKind::Trial => "trial",
        RunKind::Tried => "tried, clamped",
        RunKind::Check => "check",
    }
}

fn notes(input: &Readings) -> Vec<String> {
    let mark = input.zero_mark.as_ref().map(|mark| format!("0° is the {mark}."));
    let mark =
        mark.map(|words| letters::wrap(&words, SMALL, Weight::Plain, NARROW - 8.0)).unwrap_or_default();
    mark.into_iter().take(3).collect()
}

fn describe(input: &Readings) -> String {
    let runs = input.runs.iter().map(|run| {
        let shown = match run.shown {
            Shown::Vector(reading) => {
                format!("{} {} at {:.0}°", short(reading.amplitude), input.unit, turned(reading.degrees))
            }
            Shown::Below(limit) => format!("below {} {}", short(limit), input.unit),
        };
        format!("run {}, {}: {shown}", run.label, run.kind.word())
    });
    let expected = input.expected.map(|expected| {
        let spread =
            expected.radius_95.map_or(String::new(), |radius| format!(", give or take {}", short(radius)));
        format!("expected: {} {}{spread}", short(expected.reading.amplitude), input.unit)
    });
    runs.chain(expected).collect::<Vec<_>>().join("; ")
}
