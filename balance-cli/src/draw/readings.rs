//! What one sensor read: every run as a vector in a polar picture of its own.

use super::close_up::Close;
use super::dial::{Dial, counting_arrow, double_ring};
use super::figures::{short, tame, turned};
use super::label::{Frame, Label, Labels};
use super::run_shape::{draw_legend, draw_vector, legend_lines};
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
    /// The job's number, or what the shaft is called.
    pub job: String,
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
    /// Under this the limit is surely met, if every sensor is under its own.
    pub good_enough: Option<f64>,
}

pub(super) const MIDDLE: Point = Point::new(NARROW / 2.0, 122.0);
pub(super) const RADIUS: f64 = 84.0;
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
    draw_good_enough(&mut scene, input, dial);
    let mut labels = Labels::within(Frame { left: 2.0, top: 26.0, width: NARROW - 4.0, height: foot - 30.0 });
    spare_lines(&mut labels, input, dial);
    let scale = dial.draw_scale(&mut scene, free_spoke(input, dial));
    scale.into_iter().for_each(|frame| labels.block(frame));
    for (at, words) in dial.quarters() {
        labels.block(Frame::around(at, letters::width(&words, SMALL, Weight::Plain) + 2.0, SMALL + 1.0));
    }
    labels.block(counting_frame(input.counting));
    labels.block(Frame::around(MIDDLE.shifted(0.0, -RADIUS - 11.0), 14.0, 10.0));
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

/// The largest size in the picture. What would be good enough counts only where it does not make the readings small.
pub(super) fn most(input: &Readings) -> f64 {
    let runs = input.runs.iter().map(|run| size(run.shown));
    let expected = input.expected.map(|expected| reach(&expected));
    let read = runs.chain(expected).fold(0.0, f64::max);
    input
        .good_enough
        .map(|limit| tame(limit).abs())
        .filter(|limit| *limit <= 2.0 * read)
        .map_or(read, |limit| limit.max(read))
}

/// A thin double ring, as for every limit.
pub(super) fn draw_good_enough(scene: &mut Scene, input: &Readings, dial: Dial) {
    let inside = |limit: &f64| *limit <= dial.full * (1.0 + 1e-9);
    if let Some(limit) = input.good_enough.map(|limit| tame(limit).abs()).filter(inside) {
        double_ring(scene, dial.centre, dial.length(limit));
    }
}

pub(super) fn size(shown: Shown) -> f64 {
    match shown {
        Shown::Vector(reading) => tame(reading.amplitude).abs(),
        Shown::Below(limit) => tame(limit).abs(),
    }
}

pub(super) fn reach(expected: &Expected) -> f64 {
    tame(expected.reading.amplitude).abs() + tame(expected.radius_95.unwrap_or(0.0)).abs()
}

fn header(scene: &mut Scene, input: &Readings) {
    let speed = input.speed_rpm.map_or(String::new(), |speed| format!(" · {} rpm", tame(speed).round()));
    let unit = letters::shorten(&format!("{}{speed}", input.unit), SMALL, Weight::Plain, 70.0);
    let unit_width = letters::width(&unit, SMALL, Weight::Plain);
    let job = letters::shorten(&input.job, HEAD, Weight::Bold, 80.0);
    let lead = letters::width(&job, HEAD, Weight::Bold) + if job.is_empty() { 0.0 } else { 5.0 };
    let read_at = letters::width("read at ", SMALL, Weight::Plain) + 1.0;
    let room = NARROW - 12.0 - lead - read_at - unit_width;
    let name = letters::shorten(&input.sensor, HEAD, Weight::Bold, room);
    scene.push(Mark::Text(Text::new(&job, Point::new(4.0, 11.0), HEAD).bold()));
    scene.push(Mark::Text(Text::new("read at", Point::new(4.0 + lead, 11.0), SMALL)));
    scene.push(Mark::Text(Text::new(&name, Point::new(4.0 + lead + read_at, 11.0), HEAD).bold()));
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

pub(super) fn spare_lines(labels: &mut Labels, input: &Readings, dial: Dial) {
    let rim = Arc::whole(dial.centre, dial.radius).points();
    // Twice: better over a reading's line than over the rim.
    rim.windows(2).chain(rim.windows(2)).for_each(|pair| labels.spare(pair[0], pair[1]));
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

/// Points nearer to each other than this are one place, in points of the sheet.
const SAME: f64 = 0.5;

/// Draws lines and shapes, then the labels of the runs that lie farther out than `inner` (the rest is labelled larger
/// elsewhere). What is expected needs none: the legend shows its ring.
pub(super) fn draw_runs(scene: &mut Scene, labels: &mut Labels, input: &Readings, dial: Dial, inner: f64) {
    if let Some(expected) = input.expected {
        draw_expected(scene, &expected, dial);
    }
    for run in &input.runs {
        draw_run(scene, input, run, dial);
    }
    let outer = |shown: Shown| size(shown) > inner;
    let size = SMALL + 0.4;
    // Readings that show the same share their words.
    let mut places: Vec<(Point, Vec<&str>, String)> = Vec::new();
    for run in input.runs.iter().filter(|run| outer(run.shown)) {
        let (near, below) = match run.shown {
            Shown::Vector(reading) => (dial.place(reading.amplitude, reading.degrees), String::new()),
            Shown::Below(limit) => (dial.centre, format!(" below {}", short(limit))),
        };
        let same =
            |place: &&mut (Point, Vec<&str>, String)| place.0.distance(near) < SAME && place.2 == below;
        match places.iter_mut().find(same) {
            Some(place) => place.1.push(&run.label),
            None => places.push((near, vec![&run.label], below)),
        }
    }
    let label = |(near, runs, below): (Point, Vec<&str>, String)| {
        let words = format!("{}{below}", runs.join(", "));
        let lines = vec![letters::shorten(&words, size, Weight::Bold, 60.0)];
        Label { lines, size, weight: Weight::Bold, near, clear: 3.8 }
    };
    let all: Vec<Label> = places.into_iter().map(label).collect();
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

fn notes(input: &Readings) -> Vec<String> {
    let good = input.good_enough.map(|limit| {
        format!("Good enough: up to {} {}, if every dial is within its own.", short(limit), input.unit)
    });
    let mark = input.zero_mark.as_ref().map(|mark| format!("0° is the {mark}."));
    let lines = |words: String| letters::wrap(&words, SMALL, Weight::Plain, NARROW - 8.0).into_iter().take(3);
    good.into_iter().chain(mark).flat_map(lines).collect()
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
