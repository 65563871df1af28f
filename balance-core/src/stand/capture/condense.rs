//! Few points in place of many samples.
//!
//! A block of samples is replaced by twelve weighted points in time that have the same inner product with every
//! polynomial of up to the eleventh degree. A block is an eighth of a turn, in which once per turn is such a polynomial
//! to within 2e-17 of its size and five times per turn to within 3e-9 (the remainder of interpolation at Chebyshev's
//! nodes, (Δ/2)¹²/(12!·2¹¹) for a block of Δ radians, any book of numerical analysis). So sums over points stand for
//! sums over samples whatever the signal is, and whatever the shaft's angle turns out to be.

use std::f64::consts::PI;

use super::health::Health;

/// Points in place of a block.
pub(super) const POINTS: usize = 12;
/// No block is longer than this: its table stays in the processor's near memory.
const LONGEST: usize = 512;
/// A turn has this many blocks or more.
const BLOCKS_A_TURN: f64 = 8.0;

/// The points of a stretch of the recording, and what each sensor has there.
#[derive(Debug, Clone, Default)]
pub(super) struct Points {
    /// In seconds.
    pub time: Vec<f64>,
    /// How many samples a point stands for; may be negative.
    pub weight: Vec<f64>,
    /// For each sensor the samples' part at each point.
    pub values: Vec<Vec<f64>>,
}

impl Points {
    pub fn of(sensors: usize) -> Self {
        Self { values: vec![Vec::new(); sensors], ..Self::default() }
    }

    pub fn len(&self) -> usize {
        self.time.len()
    }

    pub fn truncate(&mut self, len: usize) {
        self.time.truncate(len);
        self.weight.truncate(len);
        self.values.iter_mut().for_each(|values| values.truncate(len));
    }

    pub fn clear(&mut self) {
        self.truncate(0);
    }
}

/// Chebyshev's nodes, and what turns the moments of a block into its points.
#[derive(Debug)]
struct Nodes {
    at: [f64; POINTS],
    /// Row by row: c_p·T_p(node)/12.
    from_moments: [[f64; POINTS]; POINTS],
}

impl Nodes {
    fn new() -> Self {
        let angle = |node: usize| PI * (node as f64 + 0.5) / POINTS as f64;
        let mut from_moments = [[0.0; POINTS]; POINTS];
        for (node, row) in from_moments.iter_mut().enumerate() {
            for (degree, entry) in row.iter_mut().enumerate() {
                let twice = if degree == 0 { 1.0 } else { 2.0 };
                *entry = twice * (degree as f64 * angle(node)).cos() / POINTS as f64;
            }
        }
        Self { at: std::array::from_fn(|node| angle(node).cos()), from_moments }
    }

    fn spread(&self, moments: &[f64; POINTS], into: &mut Vec<f64>) {
        for row in &self.from_moments {
            into.push(row.iter().zip(moments).map(|(own, moment)| own * moment).sum());
        }
    }
}

/// Chebyshev's polynomials at −1 ≤ u ≤ 1, even degrees first, then odd ones.
fn chebyshev(u: f64) -> ([f64; POINTS / 2], [f64; POINTS / 2]) {
    let (mut even, mut odd) = ([0.0; POINTS / 2], [0.0; POINTS / 2]);
    let (mut before, mut now) = (1.0, u);
    for pair in 0..POINTS / 2 {
        (even[pair], odd[pair]) = (before, now);
        before = 2.0 * u * now - before;
        now = 2.0 * u * before - now;
    }
    (even, odd)
}

fn interleaved(even: [f64; POINTS / 2], odd: [f64; POINTS / 2]) -> [f64; POINTS] {
    std::array::from_fn(|degree| if degree % 2 == 0 { even[degree / 2] } else { odd[degree / 2] })
}

/// The polynomials at the samples of the first half of a block of evenly spaced samples: the other half mirrors them.
#[derive(Debug)]
struct Table {
    len: usize,
    rows: Vec<([f64; POINTS / 2], [f64; POINTS / 2])>,
    /// Moments of samples that are all one.
    ones: [f64; POINTS],
}

impl Table {
    fn of(len: usize) -> Self {
        let half = (len - 1) as f64 / 2.0;
        let rows: Vec<_> = (0..len / 2).map(|n| chebyshev((n as f64 - half) / half)).collect();
        let mut table = Self { len, rows, ones: [0.0; POINTS] };
        table.ones = table.moments(&vec![1.0; len]).0;
        table
    }

    /// The inner products of a block's samples with the polynomials, and the sum of the samples' squares.
    ///
    /// Samples at equal distance from the middle are taken together: even polynomials see their sum, odd ones their
    /// difference.
    fn moments(&self, samples: &[f64]) -> ([f64; POINTS], f64) {
        let half = self.len / 2;
        let (first, rest) = samples.split_at(half);
        let (middle, last) = rest.split_at(rest.len() - half);
        let (mut even, mut odd, mut squares) = ([0.0; POINTS / 2], [0.0; POINTS / 2], [0.0; 2]);
        for ((row, &one), &other) in self.rows.iter().zip(first).zip(last.iter().rev()) {
            let (sum, difference) = (one + other, one - other);
            for (moment, own) in even.iter_mut().zip(&row.0) {
                *moment += sum * own;
            }
            for (moment, own) in odd.iter_mut().zip(&row.1) {
                *moment += difference * own;
            }
            squares[0] += one * one;
            squares[1] += other * other;
        }
        let mut energy = squares[0] + squares[1];
        if let &[middle] = middle {
            let (at_middle, _) = chebyshev(0.0);
            for (moment, own) in even.iter_mut().zip(&at_middle) {
                *moment += middle * own;
            }
            energy += middle * middle;
        }
        (interleaved(even, odd), energy)
    }
}

/// How the samples' times are known.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Clock {
    /// So many samples a second.
    Rate(f64),
    /// Every frame carries its time.
    Times,
}

/// Takes samples, gives points.
#[derive(Debug)]
pub(super) struct Condenser {
    clock: Clock,
    block: usize,
    nodes: Nodes,
    tables: Vec<Table>,
    /// Samples that do not fill a block yet.
    waiting: Vec<Vec<f64>>,
    waiting_times: Vec<f64>,
    /// Frame number of the first sample that waits.
    first: u64,
    /// Sum of squares for each sensor since it was last taken.
    energy: Vec<f64>,
}

impl Condenser {
    pub fn new(clock: Clock, sensors: usize) -> Self {
        Self {
            clock,
            block: LONGEST,
            nodes: Nodes::new(),
            tables: Vec::new(),
            waiting: vec![Vec::new(); sensors],
            waiting_times: Vec::new(),
            first: 0,
            energy: vec![0.0; sensors],
        }
    }

    /// Fits the length of a block to a turn of so many samples. Only between turns.
    pub fn turn_of(&mut self, samples: f64) {
        let wanted = (samples / BLOCKS_A_TURN).ceil().clamp(1.0, LONGEST as f64) as usize;
        let fits = wanted <= self.block && self.block <= wanted + wanted / 8;
        if !fits {
            self.block = (wanted + wanted / 16).min(LONGEST);
            self.tables.clear();
        }
    }

    /// Forgets what waits and goes on at this frame.
    pub fn start_at(&mut self, frame: u64) {
        self.waiting.iter_mut().for_each(Vec::clear);
        self.waiting_times.clear();
        self.energy.fill(0.0);
        self.first = frame;
    }

    /// Takes samples of every sensor, and their times unless there is a rate.
    pub fn take(
        &mut self,
        times: Option<&[f64]>,
        sensors: &[&[f64]],
        into: &mut Points,
        health: &mut [Health],
    ) {
        let len = sensors.first().map_or(0, |samples| samples.len());
        let mut from = 0;
        while from < len {
            let room = self.block.saturating_sub(self.waiting_len()).max(1);
            let to = len.min(from + room);
            for (waiting, samples) in self.waiting.iter_mut().zip(sensors) {
                waiting.extend_from_slice(&samples[from..to]);
            }
            if let Some(times) = times {
                self.waiting_times.extend_from_slice(&times[from..to]);
            }
            from = to;
            if self.waiting_len() >= self.block {
                self.flush(into, health);
            }
        }
    }

    fn waiting_len(&self) -> usize {
        self.waiting.first().map_or(0, Vec::len)
    }

    /// Turns everything that waits into points: in blocks, halves of blocks and so on, the last few samples as they
    /// are.
    pub fn flush(&mut self, into: &mut Points, health: &mut [Health]) {
        for (own, waiting) in health.iter_mut().zip(&self.waiting) {
            own.look(waiting);
        }
        let mut from = 0;
        let mut len = self.block;
        while len > POINTS {
            while self.waiting_len() - from >= len {
                self.condense(from, len, into);
                from += len;
            }
            len /= 2;
        }
        for at in from..self.waiting_len() {
            into.time.push(self.time_of(at as f64));
            into.weight.push(1.0);
        }
        for ((waiting, values), energy) in self.waiting.iter().zip(&mut into.values).zip(&mut self.energy) {
            values.extend_from_slice(&waiting[from..]);
            *energy += waiting[from..].iter().map(|value| value * value).sum::<f64>();
        }
        self.first += self.waiting_len() as u64;
        self.waiting.iter_mut().for_each(Vec::clear);
        self.waiting_times.clear();
    }

    /// The sums of squares since they were last taken.
    pub fn take_energy(&mut self, into: &mut Vec<f64>) {
        into.extend_from_slice(&self.energy);
        self.energy.fill(0.0);
    }

    /// The time of a waiting sample; between samples only with a rate.
    fn time_of(&self, at: f64) -> f64 {
        match self.clock {
            Clock::Rate(rate) => (self.first as f64 + at) / rate,
            Clock::Times => self.waiting_times.get(at as usize).copied().unwrap_or_default(),
        }
    }

    fn condense(&mut self, from: usize, len: usize, into: &mut Points) {
        let (begin, end) = (self.time_of(from as f64), self.time_of((from + len - 1) as f64));
        let (middle, half) = ((begin + end) / 2.0, (end - begin) / 2.0);
        into.time.extend(self.nodes.at.iter().map(|node| middle + half * node));
        match self.clock {
            Clock::Rate(_) => {
                let table = table(&mut self.tables, len);
                self.nodes.spread(&table.ones, &mut into.weight);
                for ((waiting, values), energy) in
                    self.waiting.iter().zip(&mut into.values).zip(&mut self.energy)
                {
                    let (moments, squares) = table.moments(&waiting[from..from + len]);
                    self.nodes.spread(&moments, values);
                    *energy += squares;
                }
            }
            Clock::Times => {
                let times = &self.waiting_times[from..from + len];
                let rows: Vec<[f64; POINTS]> = times
                    .iter()
                    .map(|time| {
                        let (even, odd) = chebyshev((time - middle) / half);
                        interleaved(even, odd)
                    })
                    .collect();
                self.nodes.spread(&uneven(&rows, std::iter::repeat(&1.0)), &mut into.weight);
                for ((waiting, values), energy) in
                    self.waiting.iter().zip(&mut into.values).zip(&mut self.energy)
                {
                    let samples = &waiting[from..from + len];
                    self.nodes.spread(&uneven(&rows, samples.iter()), values);
                    *energy += samples.iter().map(|value| value * value).sum::<f64>();
                }
            }
        }
    }
}

fn uneven<'a>(rows: &[[f64; POINTS]], samples: impl Iterator<Item = &'a f64>) -> [f64; POINTS] {
    let mut moments = [0.0; POINTS];
    for (row, sample) in rows.iter().zip(samples) {
        for (moment, own) in moments.iter_mut().zip(row) {
            *moment += sample * own;
        }
    }
    moments
}

fn table(tables: &mut Vec<Table>, len: usize) -> &Table {
    let at = match tables.iter().position(|table| table.len == len) {
        Some(at) => at,
        None => {
            tables.push(Table::of(len));
            tables.len() - 1
        }
    };
    &tables[at]
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Inner products with a slow cosine, of samples that are anything but smooth: by points and by samples.
    #[test]
    fn points_stand_for_samples() {
        let samples: Vec<f64> = (0..1000).map(|n| f64::from((n * 7919) % 101) - 50.0).collect();
        for clock in [Clock::Rate(1000.0), Clock::Times] {
            let mut condenser = Condenser::new(clock, 1);
            condenser.turn_of(500.0);
            let times: Vec<f64> = (0..1000).map(|n| f64::from(n) / 1000.0).collect();
            let mut points = Points::of(1);
            let some = (clock == Clock::Times).then_some(&times[..]);
            condenser.take(some, &[&samples], &mut points, &mut []);
            condenser.flush(&mut points, &mut []);
            assert!(points.len() < 260, "{}", points.len());
            for per_second in [2.0, 4.0, 10.0] {
                let wave = |time: f64| (std::f64::consts::TAU * per_second * time + 0.3).cos();
                let exact: f64 = times.iter().zip(&samples).map(|(time, value)| wave(*time) * value).sum();
                let found: f64 =
                    points.time.iter().zip(&points.values[0]).map(|(time, value)| wave(*time) * value).sum();
                let allowed = if per_second < 5.0 { 1e-9 } else { 1e-5 };
                assert!((exact - found).abs() < allowed, "{clock:?} {per_second}: {exact} {found}");
            }
            let mut energy = Vec::new();
            condenser.take_energy(&mut energy);
            let exact: f64 = samples.iter().map(|value| value * value).sum();
            assert!((energy[0] / exact - 1.0).abs() < 1e-12);
        }
    }
}
