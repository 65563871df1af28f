//! What is left, where the limit holds: one panel for each tolerance plane, the permissible as a thin double ring.

use super::dial::{Dial, double_ring, nick};
use super::figures::{tame, whole};
use super::label::Frame;
use super::scene::{Ink, Mark, Point, Scene, Stroke, Text, Weight};
use super::shape::PageSense;
use super::{NARROW, SMALL, letters};
use balance_core::quantity::{Units, shown};

/// What is left at one place.
#[derive(Debug, Clone, PartialEq)]
pub struct LeftPlane {
    /// The tolerance plane's name.
    pub name: String,
    /// What is left, g·mm.
    pub residual: f64,
    /// Where it sits, degrees in the job's counting of masses.
    pub degrees: f64,
    /// Give or take, g·mm; without figures for the noise not known.
    pub give_or_take: Option<f64>,
    /// The truth lies within this distance 95 times of 100, g·mm.
    pub radius_95: Option<f64>,
    /// What is allowed, g·mm.
    pub permissible: Option<f64>,
    /// The verdict in words: "within what is allowed", "too much is left", "cannot be told yet".
    pub verdict: String,
}

/// Everything the picture shows.
#[derive(Debug, Clone, PartialEq)]
pub struct Left {
    /// First line: job number or shaft, and what was run.
    pub heading: String,
    /// In which units the amounts are told.
    pub units: Units,
    /// Which way masses are counted on the page (seen from the front).
    pub counting: PageSense,
    /// The places, front to rear.
    pub planes: Vec<LeftPlane>,
}

const PANEL: f64 = 86.0;
const RADIUS: f64 = 36.0;
const WORDS: f64 = 96.0;
const TOP: f64 = 18.0;

/// Draws what is left at every place where the limit holds.
#[must_use]
pub fn left(input: &Left) -> Scene {
    let height = TOP + PANEL * input.planes.len().max(1) as f64 + 30.0;
    let mut scene = Scene::new(NARROW, height, "What is left");
    scene.description =
        input.planes.iter().map(|plane| describe(plane, input.units)).collect::<Vec<_>>().join("; ");
    let heading = letters::shorten(&input.heading, 7.6, Weight::Bold, NARROW - 8.0);
    scene.push(Mark::Text(Text::new(&heading, Point::new(4.0, 11.0), 7.6).bold()));
    for (index, plane) in input.planes.iter().enumerate() {
        let top = TOP + PANEL * index as f64;
        if index > 0 {
            let line = Stroke::solid(0.4).ink(Ink::Pale);
            scene.line(Point::new(4.0, top), Point::new(NARROW - 4.0, top), line);
        }
        draw_panel(&mut scene, plane, input, top);
    }
    if input.planes.is_empty() {
        scene.push(Mark::Text(Text::new("no place where a limit holds", Point::new(4.0, TOP + 20.0), SMALL)));
    }
    draw_legend(&mut scene, height - 22.0);
    scene
}

fn draw_panel(scene: &mut Scene, plane: &LeftPlane, input: &Left, top: f64) {
    let centre = Point::new(48.0, top + PANEL / 2.0 + 1.0);
    let residual = tame(plane.residual).abs();
    let spread = tame(plane.radius_95.unwrap_or(0.0)).abs();
    let permissible = plane.permissible.map(|limit| tame(limit).abs());
    let full = (residual + spread).max(permissible.unwrap_or(0.0)) * 1.08;
    let full = if full > 0.0 { full } else { 1.0 };
    let dial = Dial { centre, radius: RADIUS, full, step: full, sense: input.counting };
    dial.draw_rings(scene);
    scene.circle(centre, RADIUS, Stroke::solid(1.0).ink(Ink::White));
    scene.circle(centre, RADIUS, Stroke::solid(0.5).ink(Ink::Grey));
    nick(scene, centre, RADIUS, 4.5);
    if let Some(limit) = permissible {
        double_ring(scene, centre, dial.length(limit));
    }
    let tip = dial.place(residual, plane.degrees);
    scene.line(centre, tip, Stroke::solid(1.6));
    let square = if plane.radius_95.is_some() { (dial.length(spread) * 0.9).clamp(2.2, 4.4) } else { 4.4 };
    scene.area(Frame::around(tip, square, square).corners(), Ink::Black);
    if plane.radius_95.is_some() {
        dial.draw_region(scene, tip, spread.min(4.0 * full), 1.1);
    }
    draw_words(scene, plane, input.units, top);
}

fn draw_words(scene: &mut Scene, plane: &LeftPlane, units: Units, top: f64) {
    let most = NARROW - WORDS - 4.0;
    let mut down = top + 17.0;
    let mut write = |words: &str, size: f64, weight: Weight, lines: usize| {
        for line in letters::wrap(words, size, weight, most).into_iter().take(lines) {
            scene.push(Mark::Text(Text { weight, ..Text::new(&line, Point::new(WORDS, down), size) }));
            down += size * 1.28;
        }
    };
    write(&plane.name, 8.4, Weight::Bold, 2);
    for line in figure_lines(plane, units) {
        write(&line, 7.2, Weight::Plain, 2);
    }
    write(&plane.verdict, 7.4, Weight::Bold, 3);
}

fn figure_lines(plane: &LeftPlane, units: Units) -> Vec<String> {
    let number = |amount: f64| {
        let amount = tame(amount).abs();
        units.show(whole(amount), shown::ounce_inches(amount))
    };
    let unit = units.show("g·mm".to_owned(), "oz·in".to_owned());
    let left = format!("what is left {}", number(plane.residual));
    let spread = plane.give_or_take.map(|spread| format!("give or take {} {unit}", number(spread)));
    let limit =
        plane.permissible.map_or("no limit stated".to_owned(), |limit| format!("allowed {}", number(limit)));
    match spread {
        Some(spread) => vec![format!("{left},"), spread, limit],
        None => vec![format!("{left} {unit}"), "give or take not known".to_owned(), limit],
    }
}

fn describe(plane: &LeftPlane, units: Units) -> String {
    format!("{}: {}. {}", plane.name, figure_lines(plane, units).join(" "), plane.verdict)
}

fn draw_legend(scene: &mut Scene, top: f64) {
    double_ring(scene, Point::new(9.0, top + 3.0), 4.0);
    scene.push(Mark::Text(Text::new("allowed", Point::new(18.0, top + 5.4), SMALL)));
    scene.line(Point::new(58.0, top + 3.0), Point::new(68.0, top + 3.0), Stroke::solid(1.6));
    scene.area(Frame::around(Point::new(68.0, top + 3.0), 4.4, 4.4).corners(), Ink::Black);
    scene.push(Mark::Text(Text::new(
        "what is left; within the dotted ring",
        Point::new(74.0, top + 5.4),
        SMALL,
    )));
    let note = "95 times of 100. Seen from the front, zero mark on top.";
    scene.push(Mark::Text(Text::new(note, Point::new(4.0, top + 15.4), SMALL)));
}
