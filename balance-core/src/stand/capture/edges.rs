//! The moments at which the pulse channel crosses its level.

use super::condense::Clock;
use super::level::Levels;

/// An edge counts once the pulse has gone this share of its height beyond the level, and the next one once it has gone
/// as far back.
pub(super) const HYSTERESIS: f64 = 0.25;
/// Pulses over whose levels a running mean is taken.
const PULSES: f64 = 16.0;
/// The samples of a pulse that may lie on its slopes.
const ON_SLOPES: usize = 4;
/// Samples looked at together where nothing happens; of the low ones the last of each tells how low.
const CHUNK: usize = 32;
/// So many samples of a pulse tell its height, and so many after it how low it is where it is low for a short time.
const OF_A_PULSE: usize = 31;

/// An edge between two samples.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct EdgeSeen {
    /// The sample of the block at which the edge was certain.
    pub certain: usize,
    /// When it crossed the level, in seconds.
    pub time: f64,
}

/// Finds rising edges in blocks of any size.
#[derive(Debug)]
pub(super) struct EdgeFinder {
    clock: Clock,
    /// −1 if falling edges count.
    sign: f64,
    levels: Levels,
    /// Stated by the user, instead of half way up.
    stated: Option<f64>,
    level: f64,
    margin: f64,
    high: bool,
    /// The last sample and its time.
    before: (f64, f64),
    /// When the level was last crossed.
    crossing: f64,
    pulse: Vec<f64>,
    gap: Vec<f64>,
    low_sum: f64,
    low_count: f64,
    /// Pulses whose levels were taken, up to [`PULSES`].
    followed: f64,
    frame: u64,
}

impl EdgeFinder {
    /// With levels of the channel times `sign`, from a frame on.
    pub fn new(clock: Clock, sign: f64, levels: Levels, stated: Option<f64>, frame: u64) -> Self {
        let mut own = Self {
            clock,
            sign,
            levels,
            stated,
            level: 0.0,
            margin: 0.0,
            high: true,
            before: (levels.high, 0.0),
            crossing: 0.0,
            pulse: Vec::with_capacity(OF_A_PULSE),
            gap: Vec::with_capacity(OF_A_PULSE),
            low_sum: 0.0,
            low_count: 0.0,
            followed: 0.0,
            frame,
        };
        own.set_level();
        own
    }

    /// The same from the frame `frame` on, with the levels as they are now.
    pub fn again(self, frame: u64) -> Self {
        let followed = self.followed;
        Self { followed, ..Self::new(self.clock, self.sign, self.levels, self.stated, frame) }
    }

    fn set_level(&mut self) {
        self.level = self.stated.unwrap_or_else(|| self.levels.middle());
        self.margin = HYSTERESIS * self.levels.height();
    }

    /// The edges of a block of finite samples.
    pub fn scan(&mut self, times: Option<&[f64]>, samples: &[f64], found: &mut Vec<EdgeSeen>) {
        let mut at = 0;
        while at < samples.len() {
            let until_next = CHUNK - (self.frame % CHUNK as u64) as usize;
            let to = samples.len().min(at + until_next);
            let chunk = &samples[at..to];
            if !self.passes_over(chunk) {
                self.look(times.map(|times| &times[at..to]), chunk, at, found);
            }
            self.frame += chunk.len() as u64;
            if let Some(last) = chunk.last() {
                self.before = (self.sign * last, self.time(times, to - 1, self.frame - 1));
            }
            at = to;
        }
    }

    fn time(&self, times: Option<&[f64]>, at: usize, frame: u64) -> f64 {
        match self.clock {
            Clock::Rate(rate) => frame as f64 / rate,
            Clock::Times => times.and_then(|times| times.get(at)).copied().unwrap_or_default(),
        }
    }

    /// Whether a chunk stays on its side of the level, so that nothing is to be done but to note how low it is.
    fn passes_over(&mut self, chunk: &[f64]) -> bool {
        let (sign, level, low) = (self.sign, self.level, self.level - self.margin);
        if self.high {
            let full = self.pulse.len() == OF_A_PULSE;
            return full && chunk.iter().fold(true, |all, value| all & (sign * value >= level));
        }
        let full = self.gap.len() == OF_A_PULSE;
        let passes = full && chunk.iter().fold(true, |all, value| all & (sign * value < low));
        if passes && (self.frame as usize + chunk.len()).is_multiple_of(CHUNK) {
            self.note_low(chunk.last().map_or(0.0, |value| sign * value));
        }
        passes
    }

    fn note_low(&mut self, value: f64) {
        self.low_sum += value;
        self.low_count += 1.0;
    }

    fn look(&mut self, times: Option<&[f64]>, chunk: &[f64], at: usize, found: &mut Vec<EdgeSeen>) {
        for (n, value) in chunk.iter().enumerate() {
            let value = self.sign * value;
            let frame = self.frame + n as u64;
            let (last, last_time) = self.before;
            let time = self.time(times, n, frame);
            if last < self.level && value >= self.level {
                let share = (self.level - last) / (value - last);
                self.crossing = match self.clock {
                    Clock::Rate(rate) => ((frame - 1) as f64 + share) / rate,
                    Clock::Times => last_time + share * (time - last_time),
                };
            }
            self.before = (value, time);
            if self.high {
                if value < self.level - self.margin {
                    self.high = false;
                    self.follow();
                } else if value >= self.level && self.pulse.len() < OF_A_PULSE {
                    self.pulse.push(value);
                }
            } else if value >= self.level + self.margin {
                self.high = true;
                self.pulse.push(value);
                found.push(EdgeSeen { certain: at + n, time: self.crossing });
            }
            if !self.high && value < self.level - self.margin {
                if self.gap.len() < OF_A_PULSE {
                    self.gap.push(value);
                }
                if (frame + 1).is_multiple_of(CHUNK as u64) {
                    self.note_low(value);
                }
            }
        }
    }

    /// Lets the levels follow the pulse that has just ended and the low before it.
    fn follow(&mut self) {
        let high = upper_middle(&mut self.pulse);
        let low = if self.low_count >= 4.0 {
            Some(self.low_sum / self.low_count)
        } else {
            lower_middle(&mut self.gap)
        };
        (self.low_sum, self.low_count) = (0.0, 0.0);
        self.pulse.clear();
        self.gap.clear();
        let (Some(high), Some(low)) = (high, low) else { return };
        let height = self.levels.height();
        if (0.5 * height..2.0 * height).contains(&(high - low)) {
            self.followed = (self.followed + 1.0).min(PULSES);
            self.levels.low += (low - self.levels.low) / self.followed;
            self.levels.high += (high - self.levels.high) / self.followed;
            self.set_level();
        }
    }
}

/// The same upside down.
fn lower_middle(values: &mut [f64]) -> Option<f64> {
    values.iter_mut().for_each(|value| *value = -*value);
    upper_middle(values).map(|value| -value)
}

/// The middle of values without the lowest few, which lie on the slopes.
fn upper_middle(values: &mut [f64]) -> Option<f64> {
    let slopes = ON_SLOPES.min(values.len() / 2);
    let at = slopes + (values.len() - slopes) / 2;
    (at < values.len()).then(|| *values.select_nth_unstable_by(at, f64::total_cmp).1)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn edges_lie_between_samples_and_do_not_depend_on_the_blocks() {
        // A rise over two samples, every 100.3 samples.
        let rise = |n: f64| ((n % 100.3) / 2.0).clamp(0.0, 1.0) - ((n % 100.3 - 20.0) / 2.0).clamp(0.0, 1.0);
        let samples: Vec<f64> = (0..1000).map(|n| 1.0 + rise(f64::from(n))).collect();
        let levels = Levels { low: 1.0, high: 2.0 };
        let finder = || EdgeFinder::new(Clock::Rate(1.0), 1.0, levels, None, 0);
        let mut whole = Vec::new();
        finder().scan(None, &samples, &mut whole);
        assert_eq!(whole.len(), 10);
        for (turn, edge) in (0..).zip(&whole) {
            assert!((edge.time - (100.3 * f64::from(turn) + 1.0)).abs() < 1e-9, "{turn}: {edge:?}");
        }
        for size in [1, 7, 32, 333] {
            let (mut finder, mut found) = (finder(), Vec::new());
            samples.chunks(size).for_each(|part| finder.scan(None, part, &mut found));
            let times = |edges: &[EdgeSeen]| edges.iter().map(|edge| edge.time).collect::<Vec<_>>();
            assert_eq!(times(&found), times(&whole), "blocks of {size}");
        }
        // Falling edges of the same: eighteen or twenty samples later.
        let mirrored = Levels { low: -2.0, high: -1.0 };
        let mut falling = Vec::new();
        EdgeFinder::new(Clock::Rate(1.0), -1.0, mirrored, None, 0).scan(None, &samples, &mut falling);
        assert!((falling[1].time - (100.3 + 21.0)).abs() < 1e-9, "{:?}", falling[1]);
    }
}
