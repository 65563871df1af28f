//! Kinds of run told by line and shape, and the legend that explains them.

use super::SMALL;
use super::dial::double_ring;
use super::label::Frame;
use super::readings::Readings;
use super::scene::{Dash, Ink, Mark, Point, Scene, Stroke, Text};
use balance_core::run::RunKind;

fn stroke(kind: RunKind) -> Stroke {
    match kind {
        RunKind::Initial => Stroke::solid(1.0),
        RunKind::Trial => Stroke::solid(0.7).dash(Dash::Dashed),
        RunKind::Tried => Stroke::solid(0.8).dash(Dash::DashDot),
        RunKind::Check => Stroke::solid(2.0),
    }
}

/// A run's line with its shape at the tip: a bar for initial, a diamond for trial, clamp jaws for tried, a square for check.
pub(super) fn draw_vector(scene: &mut Scene, kind: RunKind, from: Point, tip: Point) {
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

/// One line of the legend: a kind of run, what is expected, what would do.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Entry {
    Run(RunKind),
    Expected,
    GoodEnough,
}

pub(super) fn legend_lines(input: &Readings) -> Vec<Entry> {
    let kinds = [RunKind::Initial, RunKind::Trial, RunKind::Tried, RunKind::Check];
    let used =
        kinds.into_iter().filter(|kind| input.runs.iter().any(|run| run.kind == *kind)).map(Entry::Run);
    let expected = input.expected.map(|_| Entry::Expected);
    used.chain(expected).chain(input.good_enough.map(|_| Entry::GoodEnough)).collect()
}

pub(super) fn draw_legend(scene: &mut Scene, entries: &[Entry], top: f64, columns: usize) {
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
            Entry::GoodEnough => {
                double_ring(scene, at.shifted(17.0, 0.0), 3.4);
                "good enough"
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
