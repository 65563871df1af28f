//! A small polar picture of readings, drawn with the raised dots of braille letters.

use balance_core::run::RunKind;

use super::talk::Pictures;
use crate::draw::{Readings, RunPoint, Shown};
use crate::picture::sensor_readings;
use crate::print::text::{units, wrapped};
use crate::view::View;

/// Letters across and down for one sensor: two fit side by side on 80 × 24.
const ACROSS: usize = 37;
const DOWN: usize = 17;
/// Dots of one letter.
const DOTS: [usize; 2] = [2, 4];

/// Every sensor's readings at the last speed.
pub fn readings(view: &View<'_>, pictures: Pictures) -> String {
    let group = view.answer.runs.rows().last().map_or(0, |row| row.group);
    let sensors = view.answer.runs.setup().sensor_ids();
    let all: Vec<Readings> = sensors.map(|sensor| sensor_readings(view, group, sensor)).collect();
    match pictures {
        Pictures::InWords => all.iter().map(in_words).collect(),
        Pictures::Drawn => all.chunks(2).map(side_by_side).collect::<Vec<String>>().join("\n"),
    }
}

fn in_words(readings: &Readings) -> String {
    let unit = &readings.unit;
    let mut parts: Vec<String> = readings.runs.iter().map(|run| run_words(run, unit)).collect();
    parts.extend(readings.expected.map(|expected| {
        let give = expected.radius_95.map(|radius| format!(", give or take {}", units::amplitude(radius)));
        format!(
            "expected under clamps {} {unit}{}",
            units::amplitude(expected.reading.amplitude),
            give.unwrap_or_default()
        )
    }));
    wrapped("", "  ", &format!("{}: {}.", readings.sensor.to_uppercase(), parts.join("; ")))
}

fn run_words(run: &RunPoint, unit: &str) -> String {
    match run.shown {
        Shown::Below(limit) => format!("run {} {} below {limit} {unit}", run.label, run.kind.word()),
        Shown::Vector(reading) => {
            let amplitude = units::amplitude(reading.amplitude);
            format!("run {} {} {amplitude} {unit} at {:.0} deg", run.label, run.kind.word(), reading.degrees)
        }
    }
}

fn side_by_side(two: &[Readings]) -> String {
    let drawn: Vec<Vec<String>> = two.iter().map(|one| draw(one).lines()).collect();
    let mut text = String::new();
    for line in 0..drawn.iter().map(Vec::len).max().unwrap_or(0) {
        let parts = drawn.iter().map(|lines| format!("{:<ACROSS$}", lines.get(line).map_or("", |line| line)));
        text.push_str(parts.collect::<Vec<String>>().join("  ").trim_end());
        text.push('\n');
    }
    text
}

/// Dots and letters.
struct Sheet {
    dots: Vec<[u8; ACROSS]>,
    letters: Vec<[Option<char>; ACROSS]>,
    head: String,
    foot: String,
}

impl Sheet {
    fn new(head: String, foot: String) -> Self {
        Self { dots: vec![[0; ACROSS]; DOWN], letters: vec![[None; ACROSS]; DOWN], head, foot }
    }

    /// Raises the dot nearest to a point, counted in dots from the middle, right and up.
    fn dot(&mut self, right: f64, up: f64) {
        let (column, row) = (middle()[0] + right, middle()[1] - up);
        if !(column >= 0.0 && row >= 0.0) {
            return;
        }
        let (column, row) = (column.round() as usize, row.round() as usize);
        let bit = match (column % DOTS[0], row % DOTS[1]) {
            (0, 3) => 0x40,
            (1, 3) => 0x80,
            (0, line) => 1 << line,
            (_, line) => 8 << line,
        };
        if let Some(cell) = self.dots.get_mut(row / DOTS[1]).and_then(|line| line.get_mut(column / DOTS[0])) {
            *cell |= bit;
        }
    }

    fn line(&mut self, from: [f64; 2], to: [f64; 2], every: f64) {
        let length = (to[0] - from[0]).hypot(to[1] - from[1]);
        let steps = (length / every).ceil().clamp(1.0, 400.0) as usize;
        for step in 0..=steps {
            let share = step as f64 / steps as f64;
            self.dot(from[0] + share * (to[0] - from[0]), from[1] + share * (to[1] - from[1]));
        }
    }

    fn circle(&mut self, at: [f64; 2], radius: f64, every: f64) {
        let steps = (std::f64::consts::TAU * radius / every).ceil().clamp(6.0, 800.0) as usize;
        for step in 0..steps {
            let (sine, cosine) = (std::f64::consts::TAU * step as f64 / steps as f64).sin_cos();
            self.dot(at[0] + radius * cosine, at[1] + radius * sine);
        }
    }

    /// Puts a word beside a point: at the first place round it that is free and not against another word.
    fn word(&mut self, word: &str, right: f64, up: f64) {
        let length = word.chars().count();
        let column = ((middle()[0] + right) / DOTS[0] as f64).round() as i64;
        let row = ((middle()[1] - up) / DOTS[1] as f64).floor() as i64;
        let wide = length as i64;
        let outward = if right < 0.0 { [-wide, 1] } else { [1, -wide] };
        let around = outward.into_iter().flat_map(|over| [0, -1, 1].map(|down| (over, down)));
        let above = [(0, -1), (0, 1), (0, 0)];
        let place = |(over, down): (i64, i64)| {
            let left = (column + over).clamp(0, (ACROSS.saturating_sub(length)) as i64) as usize;
            (left, (row + down).clamp(0, DOWN as i64 - 1) as usize)
        };
        let free = |&(left, line): &(usize, usize)| {
            let near = left.saturating_sub(1)..(left + length + 1).min(ACROSS);
            self.letters[line][near].iter().all(Option::is_none)
        };
        let found = around.chain(above).map(place).find(free).unwrap_or(place((1, 0)));
        self.put(word, found);
    }

    fn put(&mut self, word: &str, (left, line): (usize, usize)) {
        for (cell, letter) in self.letters[line].iter_mut().skip(left).zip(word.chars()) {
            *cell = Some(letter);
        }
    }

    fn lines(&self) -> Vec<String> {
        let cell = |(dots, letter): (&u8, &Option<char>)| match (letter, dots) {
            (Some(letter), _) => *letter,
            (None, 0) => ' ',
            (None, dots) => char::from_u32(0x2800 + u32::from(*dots)).unwrap_or(' '),
        };
        let rows = self.dots.iter().zip(&self.letters);
        let drawn = rows.map(|(dots, letters)| dots.iter().zip(letters).map(cell).collect::<String>());
        std::iter::once(self.head.clone()).chain(drawn).chain(std::iter::once(self.foot.clone())).collect()
    }
}

/// The middle of the sheet, in dots.
fn middle() -> [f64; 2] {
    [(ACROSS * DOTS[0]) as f64 / 2.0 - 0.5, (DOWN * DOTS[1]) as f64 / 2.0 - 0.5]
}

/// The rim's radius in dots.
const RIM: f64 = 30.0;

fn draw(readings: &Readings) -> Sheet {
    let full = full_scale(readings);
    let place = |amplitude: f64, degrees: f64| {
        let (sine, cosine) = readings.counting.clock_degrees(degrees).to_radians().sin_cos();
        let length = amplitude / full * RIM;
        [length * sine, length * cosine]
    };
    let speed = readings.speed_rpm.map(|speed| format!(", {speed:.0} rpm")).unwrap_or_default();
    let head = format!("{} {}{speed}", readings.sensor.to_uppercase(), readings.unit);
    let mut sheet = Sheet::new(head, format!("rim {} {}; dotted: expected", full, readings.unit));
    sheet.circle([0.0, 0.0], RIM, 1.0);
    sheet.line([-RIM, 0.0], [RIM, 0.0], 4.0);
    sheet.line([0.0, -RIM], [0.0, RIM], 4.0);
    for quarter in [0.0, 90.0, 180.0, 270.0] {
        let at = place(full * 1.12, quarter);
        let word = format!("{quarter:.0}");
        let left = (middle()[0] + at[0]) / DOTS[0] as f64 - word.len() as f64 / 2.0 + 0.5;
        let line = ((middle()[1] - at[1]) / DOTS[1] as f64).max(0.0) as usize;
        sheet.put(&word, (left.max(0.0) as usize, line.min(DOWN - 1)));
    }
    if let Some(expected) = readings.expected {
        let at = place(expected.reading.amplitude, expected.reading.degrees);
        sheet.circle(at, expected.radius_95.map_or(1.0, |radius| radius / full * RIM).max(1.0), 2.5);
    }
    for run in &readings.runs {
        draw_run(&mut sheet, readings, run, place);
    }
    sheet
}

fn draw_run(sheet: &mut Sheet, readings: &Readings, run: &RunPoint, place: impl Fn(f64, f64) -> [f64; 2]) {
    let Shown::Vector(reading) = run.shown else {
        sheet.word(&run.label, 0.0, 0.0);
        return;
    };
    let tip = place(reading.amplitude, reading.degrees);
    let base = match run.base.and_then(|at| readings.runs.get(at)).map(|base| base.shown) {
        Some(Shown::Vector(base)) => place(base.amplitude, base.degrees),
        _ => [0.0, 0.0],
    };
    sheet.line(base, tip, if run.kind == RunKind::Trial { 3.0 } else { 1.0 });
    sheet.word(&run.label, tip[0], tip[1]);
}

/// The rim stands for the largest reading and a little more.
fn full_scale(readings: &Readings) -> f64 {
    let size = |run: &RunPoint| match run.shown {
        Shown::Vector(reading) => reading.amplitude,
        Shown::Below(limit) => limit,
    };
    let most = readings.runs.iter().map(size).fold(0.0, f64::max);
    if !(most.is_finite() && most > 0.0) {
        return 1.0;
    }
    let decade = 10f64.powf(most.log10().floor());
    let steps = [1.0, 1.5, 2.0, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0];
    steps.into_iter().map(|step| step * decade).find(|full| *full >= most).unwrap_or(10.0 * decade)
}
