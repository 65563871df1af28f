//! The critical speed over the shaft's length: how far this shaft stays below, and how long it might be.

use super::figures::{length, step, tame, whole};
use super::label::{Frame, Label, Labels};
use super::letters;
use super::scene::{Dash, Ink, Mark, Point, Scene, Stroke, Text, Weight};
use super::{NARROW, SMALL};
use balance_core::quantity::Units;
use balance_core::quantity::shown::figures;

/// The critical speeds at one length.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SpeedAtLength {
    /// Joint centre to joint centre, mm.
    pub length: f64,
    /// By the formula for a plain tube, rpm.
    pub formula: f64,
    /// By the model of the whole build, rpm.
    pub model: f64,
}

impl SpeedAtLength {
    fn lowest(self) -> f64 {
        self.formula.min(self.model)
    }
}

/// Everything the picture shows.
#[derive(Debug, Clone, PartialEq)]
pub struct CriticalSpeed {
    /// First line: job number or shaft.
    pub heading: String,
    /// The units of its lengths.
    pub units: Units,
    /// This shaft.
    pub here: SpeedAtLength,
    /// This build at other lengths, short to long.
    pub curve: Vec<SpeedAtLength>,
    /// Speed over critical speed, at most.
    pub margin_ratio: f64,
    /// The highest speed in service, rpm.
    pub service: Option<f64>,
    /// The speed on the stand, rpm.
    pub stand: Option<f64>,
    /// The longest of this build that keeps the margin, mm.
    pub longest: Option<f64>,
}

const HEIGHT: f64 = 196.0;
const PANEL: Frame = Frame { left: 32.0, top: 24.0, width: NARROW - 40.0, height: 118.0 };

/// From length and speed to the sheet.
#[derive(Clone, Copy)]
struct Scales {
    shortest: f64,
    longest: f64,
    fastest: f64,
}

impl Scales {
    fn of(input: &CriticalSpeed) -> Self {
        let lengths = || input.curve.iter().map(|at| tame(at.length));
        let shortest = lengths().fold(tame(input.here.length), f64::min);
        let longest = lengths().chain(input.longest).map(tame).fold(tame(input.here.length), f64::max);
        let speeds = [input.service, input.stand].into_iter().flatten();
        let fastest = speeds.chain([1.6 * input.here.lowest()]).map(tame).fold(1.0, f64::max) * 1.08;
        Self { shortest, longest: longest.max(shortest + 1.0), fastest }
    }

    fn point(self, length: f64, speed: f64) -> Point {
        let along = ((tame(length) - self.shortest) / (self.longest - self.shortest)).clamp(0.0, 1.0);
        let up = (tame(speed) / self.fastest).clamp(0.0, 1.0);
        Point::new(PANEL.left + PANEL.width * along, PANEL.top + PANEL.height * (1.0 - up))
    }
}

/// Draws the critical speed over the length.
#[must_use]
pub fn critical_speed(input: &CriticalSpeed) -> Scene {
    let scales = Scales::of(input);
    let mut scene = Scene::new(NARROW, HEIGHT, "Critical speed over length");
    scene.description = describe(input);
    let heading = letters::shorten(&input.heading, 7.6, Weight::Bold, NARROW - 8.0);
    scene.push(Mark::Text(Text::new(&heading, Point::new(4.0, 11.0), 7.6).bold()));
    draw_forbidden(&mut scene, input, scales);
    draw_axes(&mut scene, input.units, scales);
    let curve = |speed: fn(SpeedAtLength) -> f64| -> Vec<(f64, f64)> {
        input.curve.iter().map(|at| (at.length, speed(*at))).collect()
    };
    scene.begin("formula", Vec::new());
    scene.path(clipped(scales, &curve(|at| at.formula)), Stroke::solid(0.7).dash(Dash::Dashed));
    scene.end();
    scene.begin("model", Vec::new());
    scene.path(clipped(scales, &curve(|at| at.model)), Stroke::solid(1.3));
    scene.end();
    let mut labels = Labels::within(PANEL);
    spare_curves(&mut labels, input, scales);
    draw_speeds(&mut scene, &mut labels, input, scales);
    draw_here(&mut scene, &mut labels, input, scales);
    draw_legend(&mut scene, input);
    scene
}

fn describe(input: &CriticalSpeed) -> String {
    let service = input.service.map(|speed| format!(", service speed {} rpm", whole(speed)));
    let longest = input.longest.map(|at| format!(", longest safe length {}", length(input.units, at)));
    format!(
        "Critical speed {} rpm at {}{}{}",
        figures(tame(input.here.lowest()), 0),
        length(input.units, input.here.length),
        service.unwrap_or_default(),
        longest.unwrap_or_default()
    )
}

/// Above the margin nothing may run: hatched, with the limit line at its edge.
fn draw_forbidden(scene: &mut Scene, input: &CriticalSpeed, scales: Scales) {
    let limit = limit_line(input);
    scene.begin("limit", vec![("ratio", input.margin_ratio.to_string())]);
    let line = clipped(scales, &limit);
    let from = |x: f64| {
        let pair = line.windows(2).find(|pair| pair[0].x <= x && x < pair[1].x)?;
        let share = (x - pair[0].x) / (pair[1].x - pair[0].x);
        Some(pair[0].towards(pair[1], share))
    };
    for step in 1..(PANEL.width / HATCH) as u32 {
        let x = PANEL.left + HATCH * f64::from(step);
        if let Some(edge) = from(x) {
            scene.line(edge, Point::new(x, PANEL.top), Stroke::solid(0.5).ink(Ink::Pale));
        }
    }
    scene.path(line, Stroke::solid(0.9).dash(Dash::DashDot));
    scene.end();
}

/// Points between the lines of the hatch.
const HATCH: f64 = 3.2;

fn limit_line(input: &CriticalSpeed) -> Vec<(f64, f64)> {
    input.curve.iter().map(|at| (at.length, input.margin_ratio * at.lowest())).collect()
}

/// The points of a falling line on the sheet, cut off where it leaves the top of the panel.
fn clipped(scales: Scales, points: &[(f64, f64)]) -> Vec<Point> {
    let mut line = Vec::new();
    for (at, &(length, speed)) in points.iter().enumerate() {
        if speed > scales.fastest {
            continue;
        }
        if let Some(&(before, above)) = at.checked_sub(1).and_then(|at| points.get(at))
            && above > scales.fastest
        {
            let share = (above - scales.fastest) / (above - speed);
            line.push(scales.point(before + share * (length - before), scales.fastest));
        }
        line.push(scales.point(length, speed));
    }
    line
}

fn draw_axes(scene: &mut Scene, units: Units, scales: Scales) {
    scene.outline(&PANEL.corners(), Stroke::solid(0.6));
    let mut speed = 0.0;
    let speeds = step(scales.fastest, 6.0);
    while speed <= scales.fastest {
        let at = scales.point(scales.shortest, speed);
        scene.line(at, at.shifted(-3.0, 0.0), Stroke::solid(0.5));
        scene.push(Mark::Text(Text::new(&whole(speed), at.shifted(-4.5, 2.3), SMALL).end()));
        speed += speeds;
    }
    let (unit, words) = match units {
        Units::Us => (25.4, "in between joint centres"),
        Units::Metric | Units::Both => (1.0, "mm between joint centres"),
    };
    let lengths = step((scales.longest - scales.shortest) / unit, 5.0);
    let mut length = (scales.shortest / unit / lengths).ceil() * lengths;
    while length * unit <= scales.longest {
        let at = scales.point(length * unit, 0.0);
        scene.line(at, at.shifted(0.0, 3.0), Stroke::solid(0.5));
        scene.push(Mark::Text(Text::new(&whole(length), at.shifted(0.0, 10.0), SMALL).middle()));
        length += lengths;
    }
    let below = Point::new(PANEL.left + PANEL.width, PANEL.top + PANEL.height + 18.5);
    scene.push(Mark::Text(Text::new(words, below, SMALL).end()));
    scene.push(Mark::Text(Text::new("rpm", Point::new(4.0, PANEL.top - 3.5), SMALL)));
}

fn spare_curves(labels: &mut Labels, input: &CriticalSpeed, scales: Scales) {
    let line = |speed: fn(&SpeedAtLength) -> f64| -> Vec<(f64, f64)> {
        input.curve.iter().map(|at| (at.length, speed(at))).collect()
    };
    for points in [line(|at| at.model), line(|at| at.formula), limit_line(input)] {
        clipped(scales, &points).windows(2).for_each(|pair| labels.spare(pair[0], pair[1]));
    }
}

/// The speeds as level lines: the upper one's words above it, the lower one's below.
fn draw_speeds(scene: &mut Scene, labels: &mut Labels, input: &CriticalSpeed, scales: Scales) {
    let upper_is_service = input.service.unwrap_or(0.0) >= input.stand.unwrap_or(0.0);
    let rows = [
        ("service", input.service, Dash::Solid, upper_is_service),
        ("stand", input.stand, Dash::Dotted, !upper_is_service),
    ];
    for (name, speed, dash, above) in rows {
        let Some(speed) = speed else { continue };
        let (from, to) = (scales.point(scales.shortest, speed), scales.point(scales.longest, speed));
        scene.begin(name, vec![("rpm", whole(speed))]);
        scene.line(from, to, Stroke::solid(0.8).dash(dash));
        let words = format!("{name} {} rpm", whole(speed));
        let width = letters::width(&words, SMALL, Weight::Plain);
        let base = from.shifted(4.0, if above { -2.4 } else { SMALL });
        scene.push(Mark::Text(Text::new(&words, base, SMALL)));
        labels.block(Frame { left: base.x, top: base.y - SMALL, width, height: SMALL * 1.2 });
        labels.spare(from, to);
        scene.end();
    }
}

fn draw_here(scene: &mut Scene, labels: &mut Labels, input: &CriticalSpeed, scales: Scales) {
    let here = scales.point(input.here.length, input.here.lowest());
    let foot = scales.point(input.here.length, 0.0);
    scene.begin(
        "here",
        vec![("rpm", figures(tame(input.here.lowest()), 0)), ("mm", whole(input.here.length))],
    );
    scene.line(here, foot, Stroke::solid(0.7));
    scene.area(Frame::around(here, 4.6, 4.6).corners(), Ink::Black);
    labels.block(Frame::around(here, 5.0, 5.0));
    labels.spare(here, foot);
    let this = vec![
        format!("this shaft {} rpm", figures(tame(input.here.lowest()), 0)),
        length(input.units, input.here.length),
    ];
    let mut words = vec![Label { lines: this, size: SMALL, weight: Weight::Bold, near: here, clear: 4.0 }];
    let fastest = [input.service, input.stand].into_iter().flatten().map(tame).reduce(f64::max);
    if let Some((longest, speed)) = input.longest.zip(fastest) {
        let end = scales.point(longest, speed);
        scene.line(end, scales.point(longest, 0.0), Stroke::solid(0.7).dash(Dash::Dashed));
        scene.area(
            vec![
                end.shifted(-3.0, 0.0),
                end.shifted(0.0, -3.0),
                end.shifted(3.0, 0.0),
                end.shifted(0.0, 3.0),
            ],
            Ink::Black,
        );
        labels.block(Frame::around(end, 6.0, 6.0));
        labels.spare(end, scales.point(longest, 0.0));
        let lines = vec!["longest safe".to_owned(), safe_length(input.units, longest)];
        words.push(Label { lines, size: SMALL, weight: Weight::Plain, near: end, clear: 4.0 });
    }
    labels.write_all(scene, &words);
    scene.end();
}

/// A length that is no longer than this one: whole mm, or eighths of an inch.
fn safe_length(units: Units, longest: f64) -> String {
    const EIGHTH: f64 = 25.4 / 8.0;
    units.show(
        format!("{} mm", whole(longest.floor())),
        super::figures::sixteenths((longest / EIGHTH).floor() * EIGHTH),
    )
}

fn draw_legend(scene: &mut Scene, input: &CriticalSpeed) {
    let top = PANEL.top + PANEL.height + 28.0;
    let limit = format!("{:.2} of the lower one: not beyond it (hatched)", input.margin_ratio);
    let rows = [
        (Stroke::solid(1.3), "critical speed, model of the whole build"),
        (Stroke::solid(0.7).dash(Dash::Dashed), "critical speed, formula for the plain tube"),
        (Stroke::solid(0.9).dash(Dash::DashDot), limit.as_str()),
    ];
    for (row, (stroke, words)) in rows.into_iter().enumerate() {
        let at = Point::new(6.0, top + 9.0 * row as f64);
        scene.line(at, at.shifted(20.0, 0.0), stroke);
        scene.push(Mark::Text(Text::new(words, at.shifted(25.0, 2.3), SMALL)));
    }
}
