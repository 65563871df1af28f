//! A piece of a recording that is worked out at once, and what it says.
//!
//! A recording of any length is cut into chapters of some thousand turns, so that little of it is kept.

use std::f64::consts::TAU;

use num_complex::Complex64;

use super::HARMONICS;
use super::condense::Points;
use super::extracted::ToneKind;
use super::fit::{Fit, base_sums};
use super::model::{Stage, ToneFit, cosine_of};
use super::path::Path;
use super::setup::Stretch;
use super::steady::{speeds, steady};
use super::tones::fit_with_tones;
use super::turns::{Mark, count};
use super::worker::each;

/// Fewer turns give no reading.
pub(super) const FEWEST_TURNS: usize = 8;
/// Fewer samples a turn cannot show five times per turn.
pub(super) const FEWEST_SAMPLES: usize = 16;
/// Blocks of whole turns for the uncertainty: turns in each, fewest and most blocks.
const TURNS_A_BLOCK: usize = 3;
const BLOCKS: (usize, usize) = (4, 24);

/// Edges and the points between them.
#[derive(Debug, Clone, Default)]
pub(super) struct Chapter {
    /// In seconds.
    pub edges: Vec<f64>,
    /// For each edge the first point after it.
    pub first: Vec<usize>,
    /// For each edge the frames up to it.
    pub frames: Vec<u64>,
    /// For each turn and each sensor the sum of the samples' squares.
    pub energy: Vec<f64>,
    pub points: Points,
}

/// What a chapter says.
#[derive(Debug, Clone, Default)]
pub(super) struct Part {
    pub turns: usize,
    pub samples: u64,
    pub from: f64,
    pub to: f64,
    /// Turns a second: slowest and fastest.
    pub range: (f64, f64),
    pub jitter: f64,
    /// One for each sensor; `None` if its parts cannot be told from each other.
    pub sensors: Vec<Option<SensorPart>>,
}

/// What a chapter says of one sensor, in the recording's values, phases as lag behind the pulse.
#[derive(Debug, Clone)]
pub(super) struct SensorPart {
    pub harmonics: [Complex64; HARMONICS],
    /// Of real and imaginary part of the first harmonic.
    pub covariance: [[f64; 2]; 2],
    pub degrees_of_freedom: f64,
    pub blocks: usize,
    pub tones: Vec<ToneFit>,
    /// Sum of squares of what is left over.
    pub left_over: f64,
}

/// What counting the pulses showed.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub(super) struct PulseCount {
    pub pulses: usize,
    pub missing: usize,
    pub extra: usize,
    pub astray: usize,
    pub dirty: usize,
    /// In turns.
    pub worst: f64,
    /// Turns of the longest stretch of steady speed.
    pub longest: usize,
    /// Turns a second: slowest and fastest over all.
    pub range: Option<(f64, f64)>,
}

impl Chapter {
    pub fn of(sensors: usize) -> Self {
        Self { points: Points::of(sensors), ..Self::default() }
    }

    /// Its room for the chapter that begins at the last edge of another.
    pub fn begun_at(mut self, before: &Self) -> Self {
        let last = before.edges.len().saturating_sub(1);
        self.edges.clear();
        self.edges.extend_from_slice(&before.edges[last..]);
        self.frames.clear();
        self.frames.extend_from_slice(&before.frames[last..]);
        self.first.clear();
        self.first.push(0);
        self.energy.clear();
        self.points.clear();
        self
    }

    /// Works the chapter out. `None` for the part if too few turns are steady.
    pub fn work_out(&self, stretch: Stretch) -> (Option<Part>, PulseCount) {
        let counted = count(&self.edges);
        let mut pulses = PulseCount {
            pulses: self.edges.len(),
            missing: counted.missing,
            extra: counted.extra,
            astray: counted.astray,
            ..PulseCount::default()
        };
        let mut best: Option<&[Mark]> = None;
        for run in &counted.runs {
            let run = within(run, stretch);
            if run.len() < FEWEST_TURNS / 2 {
                continue;
            }
            for speed in speeds(run) {
                let (slow, fast) = pulses.range.unwrap_or((speed, speed));
                pulses.range = Some((slow.min(speed), fast.max(speed)));
            }
            let part = match stretch {
                Stretch::Automatic => {
                    let (from, to) = steady(run);
                    &run[from..=to]
                }
                Stretch::Between { .. } => run,
            };
            if turns_of(part) > best.map_or(0, turns_of) {
                best = Some(part);
            }
        }
        let Some(marks) = best else { return (None, pulses) };
        pulses.longest = turns_of(marks);
        let usable =
            pulses.longest >= FEWEST_TURNS && marks.len() >= FEWEST_TURNS / 2 && is_steady(marks, stretch);
        if !usable {
            return (None, pulses);
        }
        let path = Path::through(marks);
        (pulses.dirty, pulses.worst) = path.dirty;
        (Some(self.part(marks, &path)), pulses)
    }

    fn part(&self, marks: &[Mark], path: &Path) -> Part {
        let (first, last) = (marks[0], marks[marks.len() - 1]);
        let stage = self.stage(marks, path);
        let count = stage.values.len();
        let base = base_sums(&stage);
        let lateness = block_lateness(marks, path);
        let sensors = each(count, |sensor| {
            let (fit, tones) = fit_with_tones(&stage, sensor, &base)?;
            let energy: f64 =
                (first.edge..last.edge).filter_map(|turn| self.energy.get(turn * count + sensor)).sum();
            Some(sensor_part(&fit, tones, (energy - fit.explained).max(0.0), &lateness))
        });
        let speeds = speeds(marks);
        Part {
            turns: turns_of(marks),
            samples: self.frames[last.edge] - self.frames[first.edge],
            from: first.time,
            to: last.time,
            range: (
                speeds.iter().copied().fold(f64::INFINITY, f64::min),
                speeds.iter().copied().fold(0.0, f64::max),
            ),
            jitter: path.jitter,
            sensors,
        }
    }

    fn stage<'a>(&'a self, marks: &[Mark], path: &Path) -> Stage<'a> {
        let (first, last) = (marks[0], marks[marks.len() - 1]);
        let (from, to) = (self.first[first.edge], self.first[last.edge]);
        let time = &self.points.time[from..to];
        let angle: Vec<f64> = path.angles(time).collect();
        let turn = angle.iter().map(|angle| {
            let (sine, cosine) = angle.sin_cos();
            (cosine, sine)
        });
        let (begin, end) = (TAU * f64::from(first.turn), TAU * f64::from(last.turn));
        Stage {
            time,
            weight: &self.points.weight[from..to],
            values: self.points.values.iter().map(|values| &values[from..to]).collect(),
            turn: turn.collect(),
            angle,
            blocks: block_marks(marks).iter().map(|&mark| self.first[marks[mark].edge] - from).collect(),
            angle_span: ((begin + end) / 2.0, (end - begin) / 2.0),
            time_span: ((first.time + last.time) / 2.0, (last.time - first.time) / 2.0),
        }
    }
}

fn turns_of(marks: &[Mark]) -> usize {
    match (marks.first(), marks.last()) {
        (Some(first), Some(last)) => (last.turn - first.turn) as usize,
        _ => 0,
    }
}

fn within(run: &[Mark], stretch: Stretch) -> &[Mark] {
    match stretch {
        Stretch::Automatic => run,
        Stretch::Between { from, to } => {
            let begin = run.partition_point(|mark| mark.time < from);
            let end = run.partition_point(|mark| mark.time <= to);
            run.get(begin..end).unwrap_or_default()
        }
    }
}

/// A run-up is not steady however short the piece: the speed may vary by so much for each turn, as a share of it.
const A_TURN: f64 = 0.004;

/// A stretch that was stated may vary twice as much as one that was chosen.
fn is_steady(marks: &[Mark], stretch: Stretch) -> bool {
    let speeds = speeds(marks);
    let fastest = speeds.iter().copied().fold(0.0, f64::max);
    let slowest = speeds.iter().copied().fold(f64::INFINITY, f64::min);
    let allowed = (super::steady::STEADY - 1.0).min(A_TURN * turns_of(marks) as f64);
    let times = if stretch == Stretch::Automatic { 1.0 } else { 2.0 };
    fastest <= slowest * (1.0 + times * allowed)
}

/// The marks at which blocks begin, and the last.
fn block_marks(marks: &[Mark]) -> Vec<usize> {
    let last = marks.len() - 1;
    let blocks = (turns_of(marks) / TURNS_A_BLOCK).clamp(BLOCKS.0, BLOCKS.1).min(last);
    (0..=blocks).map(|block| block * last / blocks).collect()
}

/// For each block how far its pulses come behind the smooth angle, in radians: a mean over its turns, less that of all.
///
/// What the pulses' jitter does to the reading shows here and not in the signal: the angle is smooth.
fn block_lateness(marks: &[Mark], path: &Path) -> Vec<f64> {
    let knots: Vec<(f64, f64)> = path.knots().collect();
    let lateness = |from: f64, to: f64| {
        let inside = knots.iter().filter(|(angle, _)| (from - 0.1..=to + 0.1).contains(angle));
        let weigh =
            |angle: f64| if (angle - from).abs() < 0.1 || (angle - to).abs() < 0.1 { 0.5 } else { 1.0 };
        let (weights, sum) = inside.fold((0.0, 0.0), |(weights, sum), &(angle, late)| {
            (weights + weigh(angle), sum + weigh(angle) * late)
        });
        if weights > 0.0 { sum / weights } else { 0.0 }
    };
    let bounds: Vec<f64> =
        block_marks(marks).into_iter().map(|mark| TAU * f64::from(marks[mark].turn)).collect();
    let whole = lateness(bounds[0], bounds[bounds.len() - 1]);
    bounds.windows(2).map(|pair| lateness(pair[0], pair[1]) - whole).collect()
}

fn sensor_part(fit: &Fit, tones: Vec<ToneFit>, left_over: f64, lateness: &[f64]) -> SensorPart {
    let at =
        |times: usize| Complex64::new(fit.solution[cosine_of(times)], fit.solution[cosine_of(times) + 1]);
    let harmonics: [Complex64; HARMONICS] = std::array::from_fn(|own| at(own + 1));
    // Counted from pulses that come behind the smooth angle by m, the part k times per turn lags by k·m less.
    let mut turned = fit.solution.clone() * 0.0;
    for (times, own) in (1..).zip(&harmonics) {
        let change = Complex64::new(0.0, -f64::from(times)) * own;
        let column = cosine_of(times as usize);
        (turned[column], turned[column + 1]) = (change.re, change.im);
    }
    let mut blocks = fit.blocks.clone();
    for (block, late) in blocks.iter_mut().zip(lateness) {
        block.score += &block.gram * &turned * *late;
    }
    let own = [cosine_of(1), cosine_of(1) + 1];
    let found = fit.normal.covariance(&blocks, &own);
    let entry = |row: usize, column: usize| found.matrix[(row, column)];
    SensorPart {
        harmonics,
        covariance: [[entry(0, 0), entry(0, 1)], [entry(1, 0), entry(1, 1)]],
        degrees_of_freedom: found.degrees_of_freedom.iter().copied().fold(f64::INFINITY, f64::min),
        blocks: blocks.len(),
        tones,
        left_over,
    }
}

impl ToneFit {
    /// Frequency in radians a second at a mean speed in radians a second.
    pub fn per_second(&self, mean: f64) -> f64 {
        match self.kind {
            ToneKind::Shaft => self.frequency * mean,
            ToneKind::Clock => self.frequency,
        }
    }
}
