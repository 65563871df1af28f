//! The last turns of a recording and its speed, kept for a picture. Bounded: the turns are cut at a number of frames, the
//! speed is thinned out as the recording grows. No reading comes from here.

use balance_core::stand::capture::Edge;

use super::heading::Block;

/// Frames kept of the end of a recording.
const FRAMES: usize = 1 << 16;
/// Speeds kept of the whole.
const SPEEDS: usize = 400;
/// A pulse counts again after the signal was this far back, as a share of its height.
const BACK: f64 = 0.25;

/// What a picture of a recording shows.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct KeptTurns {
    /// Seconds, and rpm over the turns before.
    pub speeds: Vec<(f64, f64)>,
    /// For each sensor its last turns.
    pub turns: Vec<KeptSignal>,
}

/// The last turns of a sensor.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct KeptSignal {
    /// The unit of what it picks up.
    pub unit: String,
    /// Degrees after the pulse, and the value in that unit.
    pub samples: Vec<(f64, f64)>,
}

/// What is kept while a recording is read.
#[derive(Debug, Clone)]
pub struct Trace {
    edge: Edge,
    rate: Option<f64>,
    /// For each sensor what its samples are multiplied by, and the unit they are then in.
    scales: Vec<(f64, String)>,
    frames: u64,
    times: Vec<f64>,
    pulse: Vec<f64>,
    sensors: Vec<Vec<f64>>,
    range: (f64, f64),
    armed: bool,
    /// The sample before.
    before: (f64, f64),
    last_edge: Option<f64>,
    /// Time of a turn's end, and how long so many turns took.
    ends: Vec<(f64, f64)>,
    each: u32,
    waiting: (u32, f64),
}

impl Trace {
    /// For a recording with this rate, or times of its own; for each sensor what its samples are multiplied by, and the
    /// unit they are then in.
    #[must_use]
    pub fn new(edge: Edge, rate: Option<f64>, scales: Vec<(f64, String)>) -> Self {
        Self {
            edge,
            rate,
            frames: 0,
            times: Vec::new(),
            pulse: Vec::new(),
            sensors: vec![Vec::new(); scales.len()],
            scales,
            range: (f64::INFINITY, f64::NEG_INFINITY),
            armed: false,
            before: (0.0, 0.0),
            last_edge: None,
            ends: Vec::new(),
            each: 1,
            waiting: (0, 0.0),
        }
    }

    /// Takes a block: the pulse's samples first, then those of the sensors.
    pub fn take(&mut self, block: &Block) {
        let Some((pulse, sensors)) = block.channels.split_first() else { return };
        for (at, &value) in pulse.iter().enumerate() {
            let time = match self.rate {
                Some(rate) => (self.frames + at as u64) as f64 / rate,
                None => block.times.get(at).copied().unwrap_or(0.0),
            };
            self.times.push(time);
            self.look(time, value);
        }
        self.frames += pulse.len() as u64;
        self.pulse.extend_from_slice(pulse);
        for (kept, own) in self.sensors.iter_mut().zip(sensors) {
            kept.extend_from_slice(own);
        }
        if self.pulse.len() > 2 * FRAMES {
            let gone = self.pulse.len() - FRAMES;
            self.times.drain(..gone);
            self.pulse.drain(..gone);
            self.sensors.iter_mut().for_each(|kept| drop(kept.drain(..gone)));
        }
    }

    /// Looks for the edge of a pulse.
    fn look(&mut self, time: f64, value: f64) {
        let value = self.upward(value);
        self.range = (self.range.0.min(value), self.range.1.max(value));
        let (low, high) = self.range;
        let share = if high > low { (value - low) / (high - low) } else { 0.5 };
        if share < 0.5 - BACK {
            self.armed = true;
        } else if share >= 0.5 && std::mem::take(&mut self.armed) {
            let edge = self.between(time, value);
            if let Some(last) = self.last_edge.replace(edge) {
                self.turned(edge, edge - last);
            }
        }
        self.before = (time, value);
    }

    /// When the signal passed the middle on its way from the sample before.
    fn between(&self, time: f64, value: f64) -> f64 {
        let (middle, (earlier, lower)) = ((self.range.0 + self.range.1) / 2.0, self.before);
        if value > lower { earlier + (middle - lower) / (value - lower) * (time - earlier) } else { time }
    }

    fn upward(&self, value: f64) -> f64 {
        match self.edge {
            Edge::Rising => value,
            Edge::Falling => -value,
        }
    }

    fn turned(&mut self, time: f64, took: f64) {
        self.waiting = (self.waiting.0 + 1, self.waiting.1 + took);
        if self.waiting.0 < self.each {
            return;
        }
        self.ends.push((time, self.waiting.1 / f64::from(self.waiting.0)));
        self.waiting = (0, 0.0);
        if self.ends.len() >= 2 * SPEEDS {
            self.ends =
                self.ends.chunks_exact(2).map(|two| (two[1].0, (two[0].1 + two[1].1) / 2.0)).collect();
            self.each *= 2;
        }
    }

    /// The last turns inside a stretch (in seconds), at most so many, and the speed over the whole recording.
    #[must_use]
    pub fn shown(&self, stretch: (f64, f64), most: usize) -> KeptTurns {
        let inside: Vec<usize> = (0..self.times.len())
            .filter(|&at| self.times[at] >= stretch.0 && self.times[at] <= stretch.1)
            .collect();
        let edges = self.edges(&inside);
        let edges = &edges[edges.len().saturating_sub(most + 1)..];
        let signal = |(_, unit): &(f64, String)| KeptSignal { unit: unit.clone(), samples: Vec::new() };
        let mut turns: Vec<KeptSignal> = self.scales.iter().map(signal).collect();
        for pair in edges.windows(2) {
            for at in
                inside.iter().copied().filter(|&at| self.times[at] >= pair[0] && self.times[at] < pair[1])
            {
                let degrees = 360.0 * (self.times[at] - pair[0]) / (pair[1] - pair[0]);
                for ((turn, samples), (scale, _)) in turns.iter_mut().zip(&self.sensors).zip(&self.scales) {
                    turn.samples.push((degrees, samples[at] * scale));
                }
            }
        }
        let speeds =
            self.ends.iter().filter(|(_, took)| *took > 0.0).map(|(time, took)| (*time, 60.0 / took));
        KeptTurns { speeds: speeds.collect(), turns }
    }

    /// Times of the pulses' edges among these frames, between samples.
    fn edges(&self, frames: &[usize]) -> Vec<f64> {
        let (low, high) = self.range;
        let (middle, back) = ((low + high) / 2.0, low + (0.5 - BACK) * (high - low));
        let (mut armed, mut edges) = (false, Vec::new());
        for pair in frames.windows(2) {
            let [before, now] = [pair[0], pair[1]].map(|at| self.upward(self.pulse[at]));
            armed |= before < back;
            if armed && now >= middle && before < middle {
                armed = false;
                let share = (middle - before) / (now - before);
                edges.push(self.times[pair[0]] + share * (self.times[pair[1]] - self.times[pair[0]]));
            }
        }
        edges
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_last_turns_and_the_speed_are_kept() {
        let mut trace = Trace::new(Edge::Rising, Some(1000.0), vec![(2.0, "mm/s".into())]);
        for block in 0..100 {
            let frames = (0..1000).map(|frame| block * 1000 + frame);
            let turn = |frame: i32| f64::from(frame % 40) / 40.0;
            let pulse = frames.clone().map(|frame| if turn(frame) < 0.1 { 1.0 } else { 0.0 }).collect();
            let front = frames.map(|frame| (std::f64::consts::TAU * turn(frame)).cos()).collect();
            trace.take(&Block { times: Vec::new(), channels: vec![pulse, front] });
        }
        let shown = trace.shown((0.0, 100.0), 20);
        assert!(shown.speeds.len() >= SPEEDS && shown.speeds.len() < 2 * SPEEDS);
        assert!(shown.speeds.iter().all(|(_, rpm)| (rpm - 1500.0).abs() < 1e-6));
        assert_eq!((shown.turns[0].samples.len(), shown.turns[0].unit.as_str()), (20 * 40, "mm/s"));
        for (degrees, value) in &shown.turns[0].samples {
            // The edge is half a sample before the first high one.
            assert!((value - 2.0 * (degrees - 4.5).to_radians().cos()).abs() < 1e-9, "{degrees} {value}");
        }
        assert!(trace.shown((200.0, 300.0), 20).turns[0].samples.is_empty());
    }
}
