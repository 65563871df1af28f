//! Takes the samples of a recording, block by block.

use super::chapter::Part;
use super::chapter::{Chapter, FEWEST_SAMPLES, PulseCount};
use super::condense::{Clock, Condenser};
use super::edges::{EdgeFinder, EdgeSeen};
use super::health::{Health, LARGEST, range};
use super::level::Levels;
use super::setup::{CaptureSetup, Edge};
use super::whole::put_together;
use super::worker::Worker;
use super::{CaptureCaution, CaptureFault, Channel, Extracted, Progress};

/// Frames after which low and high of the pulse are looked for the first time; then after twice as many, and so on.
const FIRST_LOOK: usize = 4096;
/// Numbers kept before low and high are known, at most.
const MOST_WAITING: usize = 2_000_000;
/// Edges that have to be seen for low and high to be believed; at the end of a recording fewer.
const EDGES: (usize, usize) = (5, 3);
/// Points of a chapter at most with two sensors or fewer.
const MOST_POINTS: usize = 120_000;
/// A turn that lasts so many times longer than the one before is a stop.
const STOP: f64 = 8.0;
/// A larger share of samples that are cut off spoils the reading.
const CUT_SHARE: f64 = 5e-4;

/// Turns a recording into readings, sample by sample, keeping little of it.
///
/// Blocks may have any size: the result is the same to the last bit. Memory stays below some 40 MB however long the
/// recording is. Nothing that is pushed makes it panic.
///
/// # Units
///
/// Times in seconds, pulse and sensors in the recording's own values (±1 for a WAV).
///
/// # Method
///
/// See [the room](super).
///
/// # Example
///
/// Ten seconds at 1500 rpm, the peak 40° after the zero mark:
///
/// ```
/// use balance_core::run::{Convention, MassAngle, Phase};
/// use balance_core::stand::capture::{Extractor, PulseSetup, ReadingUnit, SensorSetup, CaptureSetup, Stretch};
///
/// let convention = Convention { mass_angle: MassAngle::AgainstRotation, phase: Phase::Lag, ..Convention::unstated() };
/// let setup = CaptureSetup {
///     rate: Some(8192.0),
///     pulse: PulseSetup::rising(),
///     sensors: vec![SensorSetup::plain("front", ReadingUnit::parse("mm/s")?)],
///     stretch: Stretch::Automatic,
///     convention,
/// };
/// let turns = |frame: u32| 25.0 * f64::from(frame) / 8192.0;
/// // The light barrier sees the mark for a twentieth of a turn; its edge takes two samples.
/// let pulse: Vec<f64> = (0..81_920).map(|frame| {
///     let after = turns(frame).fract();
///     (after * 163.84).min((0.05 - after) * 163.84 + 1.0).clamp(0.0, 1.0)
/// }).collect();
/// let front: Vec<f64> = (0..81_920).map(|frame| {
///     // Half way up its edge, the pulse is one sample late.
///     3.0 * (std::f64::consts::TAU * (turns(frame) - turns(1)) - 40_f64.to_radians()).cos()
/// }).collect();
///
/// let mut extractor = Extractor::new(setup).map_err(|faults| format!("{faults:?}"))?;
/// for (pulse, front) in pulse.chunks(1000).zip(front.chunks(1000)) {
///     extractor.push(None, pulse, &[front])?;
/// }
/// assert_eq!(extractor.seen().turns, 249);
/// let found = extractor.finish()?;
/// assert!((found.speed_rpm - 1500.0).abs() < 1e-4);
/// let front = &found.sensors[0];
/// assert!((front.reading.amplitude() - 3.0).abs() < 1e-5);
/// assert!((front.reading.phase().degrees() - 40.0).abs() < 0.01);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[derive(Debug)]
pub struct Extractor {
    setup: CaptureSetup,
    clock: Clock,
    waiting: Option<Waiting>,
    finder: Option<EdgeFinder>,
    condenser: Condenser,
    chapter: Chapter,
    worker: Worker,
    /// Whether samples belong to a turn: not before the first edge nor after a stop.
    in_turn: bool,
    /// Frames of the last turns.
    last_turns: [u64; 3],
    parts: Vec<Part>,
    counts: PulseCount,
    health: Vec<Health>,
    pulse_range: (f64, f64),
    fault: Option<CaptureFault>,
    frames: u64,
    edges: u64,
    last_edges: Vec<f64>,
    /// Of the first and the last frame, in seconds.
    times: Option<(f64, f64)>,
    seen: Vec<EdgeSeen>,
}

/// Frames that wait until low and high of the pulse are known.
#[derive(Debug)]
struct Waiting {
    first: u64,
    times: Vec<f64>,
    pulse: Vec<f64>,
    sensors: Vec<Vec<f64>>,
    next_look: usize,
}

impl Waiting {
    fn new(sensors: usize) -> Self {
        Self {
            first: 0,
            times: Vec::new(),
            pulse: Vec::new(),
            sensors: vec![Vec::new(); sensors],
            next_look: FIRST_LOOK,
        }
    }

    fn most(&self) -> usize {
        (MOST_WAITING / (2 + self.sensors.len())).max(2 * FIRST_LOOK)
    }

    /// Waits on after a look in vain: for twice as many frames, or without the older half.
    fn go_on(&mut self) {
        if 2 * self.next_look <= self.most() {
            self.next_look *= 2;
            return;
        }
        let half = self.pulse.len() / 2;
        self.first += half as u64;
        let forget = |values: &mut Vec<f64>| drop(values.drain(..half.min(values.len())));
        forget(&mut self.times);
        forget(&mut self.pulse);
        self.sensors.iter_mut().for_each(forget);
    }
}

impl Extractor {
    /// Begins a recording.
    ///
    /// # Errors
    ///
    /// Every fault of the setup.
    pub fn new(setup: CaptureSetup) -> Result<Self, Vec<CaptureFault>> {
        let faults = setup.faults();
        if !faults.is_empty() {
            return Err(faults);
        }
        let clock = setup.rate.map_or(Clock::Times, Clock::Rate);
        let sensors = setup.sensors.len();
        Ok(Self {
            clock,
            waiting: Some(Waiting::new(sensors)),
            finder: None,
            condenser: Condenser::new(clock, sensors),
            chapter: Chapter::of(sensors),
            worker: Worker::new(setup.stretch),
            in_turn: false,
            last_turns: [0; 3],
            parts: Vec::new(),
            counts: PulseCount::default(),
            health: setup.sensors.iter().map(|sensor| Health::new(sensor.limit)).collect(),
            pulse_range: (f64::INFINITY, f64::NEG_INFINITY),
            fault: None,
            frames: 0,
            edges: 0,
            last_edges: Vec::new(),
            times: None,
            seen: Vec::new(),
            setup,
        })
    }

    /// Takes a block: the time of each frame unless the setup has a rate, the pulse channel, and every sensor in the
    /// setup's order.
    ///
    /// # Errors
    ///
    /// [`CaptureFault`] if the block does not fit the setup or holds values that are no numbers. The recording then
    /// ends here: nothing more is taken, and every further call gives the same fault.
    pub fn push(
        &mut self,
        times: Option<&[f64]>,
        pulse: &[f64],
        sensors: &[&[f64]],
    ) -> Result<(), CaptureFault> {
        if let Some(fault) = &self.fault {
            return Err(fault.clone());
        }
        let taken = self.check(times, pulse, sensors).and_then(|()| {
            self.note(times, pulse);
            self.take(times, pulse, sensors)
        });
        self.fault = taken.clone().err();
        taken
    }

    /// How far the recording has come.
    #[must_use]
    pub fn seen(&self) -> Progress {
        let (first, last) = (self.last_edges.first(), self.last_edges.last());
        let speed_rpm = first
            .zip(last)
            .filter(|(first, last)| last > first)
            .map(|(first, last)| 60.0 * (self.last_edges.len() - 1) as f64 / (last - first));
        Progress {
            seconds: self.seconds(),
            frames: self.frames,
            turns: self.edges.saturating_sub(1),
            speed_rpm,
        }
    }

    /// What the recording says up to here; more can be pushed afterwards.
    ///
    /// # Errors
    ///
    /// [`CaptureFault`] if it says nothing yet.
    pub fn so_far(&mut self) -> Result<Extracted, CaptureFault> {
        if let Some(fault) = &self.fault {
            return Err(fault.clone());
        }
        if self.waiting.as_ref().is_some_and(|waiting| !waiting.pulse.is_empty()) {
            self.look_for_levels(EDGES.1)?;
        }
        self.check_channels()?;
        self.take_back();
        let mut parts = self.parts.clone();
        let mut counts = self.counts;
        let (part, own) = self.chapter.work_out(self.setup.stretch);
        counts.add(&own);
        parts.extend(part);
        let mut whole = put_together(&self.setup, &parts, &counts, self.seconds())?;
        let cut = self.setup.sensors.iter().zip(&self.health).filter_map(|(sensor, health)| {
            let cut = health.cut()?;
            Some(CaptureCaution::Clipped {
                sensor: sensor.name.clone(),
                level: cut.level,
                count: cut.count as usize,
            })
        });
        whole.cautions.extend(cut);
        Ok(whole)
    }

    /// What the whole recording says.
    ///
    /// # Errors
    ///
    /// [`CaptureFault`] if it gives no reading, with what was found and what is allowed.
    pub fn finish(mut self) -> Result<Extracted, CaptureFault> {
        self.so_far()
    }

    fn seconds(&self) -> f64 {
        match self.clock {
            Clock::Rate(rate) => self.frames as f64 / rate,
            Clock::Times => self.times.map_or(0.0, |(first, last)| last - first),
        }
    }

    fn check(&self, times: Option<&[f64]>, pulse: &[f64], sensors: &[&[f64]]) -> Result<(), CaptureFault> {
        if times.is_some() != (self.clock == Clock::Times) {
            return Err(CaptureFault::Times { given: times.is_some() });
        }
        let (found, expected) = (sensors.len(), self.setup.sensors.len());
        if found != expected {
            return Err(CaptureFault::SensorCount { found, expected });
        }
        let lengths = |channel, found| Err(CaptureFault::Lengths { channel, found, expected: pulse.len() });
        if let Some(times) = times
            && times.len() != pulse.len()
        {
            return lengths(Channel::Time, times.len());
        }
        for (samples, sensor) in sensors.iter().zip(&self.setup.sensors) {
            if samples.len() != pulse.len() {
                return lengths(Channel::Sensor(sensor.name.clone()), samples.len());
            }
        }
        let time_at = |at: usize| match self.clock {
            Clock::Rate(rate) => (self.frames + at as u64) as f64 / rate,
            Clock::Times => times.and_then(|times| times.get(at)).copied().unwrap_or(0.0),
        };
        let mut last = self.times.map_or(f64::NEG_INFINITY, |(_, last)| last);
        for &time in times.unwrap_or_default() {
            if !is_sound(time) {
                return Err(CaptureFault::NotFinite { channel: Channel::Time, seconds: last.max(0.0) });
            }
            if time <= last {
                return Err(CaptureFault::TimeNotGrowing { before: last, after: time });
            }
            last = time;
        }
        // Faults of the pulse are told before those of sensors, and the earliest of each: whatever the blocks are.
        let first_bad = |samples: &[f64]| {
            let all_sound = samples.iter().fold(true, |all, value| all & is_sound(*value));
            if all_sound { None } else { samples.iter().position(|value| !is_sound(*value)) }
        };
        let sensor = |number: usize| Channel::Sensor(self.setup.sensors[number].name.clone());
        let bad_pulse = first_bad(pulse).map(|at| (at, Channel::Pulse));
        let bad =
            sensors.iter().enumerate().filter_map(|(number, own)| Some((first_bad(own)?, sensor(number))));
        match bad_pulse.into_iter().chain(bad).min_by_key(|(at, _)| *at) {
            Some((at, channel)) => Err(CaptureFault::NotFinite { channel, seconds: time_at(at) }),
            None => Ok(()),
        }
    }

    fn note(&mut self, times: Option<&[f64]>, pulse: &[f64]) {
        let (low, high) = range(pulse);
        self.pulse_range = (self.pulse_range.0.min(low), self.pulse_range.1.max(high));
        if let Some((first, last)) = times.and_then(|times| times.first().zip(times.last())) {
            self.times = Some((self.times.map_or(*first, |(first, _)| first), *last));
        }
        self.frames += pulse.len() as u64;
    }

    fn take(&mut self, times: Option<&[f64]>, pulse: &[f64], sensors: &[&[f64]]) -> Result<(), CaptureFault> {
        let mut from = 0;
        while let Some(waiting) = &mut self.waiting
            && from < pulse.len()
        {
            let to = pulse.len().min(from + waiting.next_look - waiting.pulse.len());
            waiting.pulse.extend_from_slice(&pulse[from..to]);
            waiting.times.extend_from_slice(times.map_or(&[][..], |times| &times[from..to]));
            for (own, samples) in waiting.sensors.iter_mut().zip(sensors) {
                own.extend_from_slice(&samples[from..to]);
            }
            from = to;
            if waiting.pulse.len() >= waiting.next_look {
                self.look_for_levels(EDGES.0)?;
            }
        }
        let rest: Vec<&[f64]> = sensors.iter().map(|samples| &samples[from..]).collect();
        let first = self.frames - (pulse.len() - from) as u64;
        self.run(times.map(|times| &times[from..]), &pulse[from..], &rest, first)
    }

    /// Looks for low and high of the pulse in what waits, and if they are there takes it all.
    fn look_for_levels(&mut self, edges: usize) -> Result<(), CaptureFault> {
        let Some(mut waiting) = self.waiting.take() else { return Ok(()) };
        let sign = match self.setup.pulse.edge {
            Edge::Rising => 1.0,
            Edge::Falling => -1.0,
        };
        let level = self.setup.pulse.level.map(|level| sign * level);
        let signed: Vec<f64> = waiting.pulse.iter().map(|value| sign * value).collect();
        let Some(levels) = Levels::find(&signed, level, edges) else {
            waiting.go_on();
            self.waiting = Some(waiting);
            return Ok(());
        };
        let mut finder = EdgeFinder::new(self.clock, sign, levels, level, waiting.first);
        let times = (self.clock == Clock::Times).then_some(&waiting.times[..]);
        let mut seen = Vec::new();
        finder.scan(times, &waiting.pulse, &mut seen);
        let mut turns: Vec<usize> = seen.windows(2).map(|pair| pair[1].certain - pair[0].certain).collect();
        turns.sort_unstable();
        let turn = turns.get(turns.len() / 2).copied().unwrap_or(0) as u64;
        self.last_turns = [turn; 3];
        self.finder = Some(finder.again(waiting.first));
        let sensors: Vec<&[f64]> = waiting.sensors.iter().map(Vec::as_slice).collect();
        self.run(times, &waiting.pulse, &sensors, waiting.first)
    }

    fn run(
        &mut self,
        times: Option<&[f64]>,
        pulse: &[f64],
        sensors: &[&[f64]],
        first: u64,
    ) -> Result<(), CaptureFault> {
        let mut seen = std::mem::take(&mut self.seen);
        seen.clear();
        if let Some(finder) = &mut self.finder {
            finder.scan(times, pulse, &mut seen);
        }
        let mut from = 0;
        for edge in &seen {
            self.condense(times, sensors, from..edge.certain, first);
            self.on_edge(edge, first + edge.certain as u64)?;
            from = edge.certain;
        }
        self.condense(times, sensors, from..pulse.len(), first);
        self.seen = seen;
        Ok(())
    }

    fn condense(
        &mut self,
        times: Option<&[f64]>,
        sensors: &[&[f64]],
        part: std::ops::Range<usize>,
        first: u64,
    ) {
        if !self.in_turn || part.is_empty() {
            return;
        }
        // A stop ends the turn at the same frame whatever the blocks are.
        let begun = self.chapter.frames.last().copied().unwrap_or(0);
        let stop = begun + (STOP * self.turn().max(1) as f64) as u64;
        let to = part.end.min(part.start.max(stop.saturating_sub(first) as usize));
        let own: Vec<&[f64]> = sensors.iter().map(|samples| &samples[part.start..to]).collect();
        let times = times.map(|times| &times[part.start..to]);
        self.condenser.take(times, &own, &mut self.chapter.points, &mut self.health);
        if to < part.end {
            self.in_turn = false;
            self.chapter.points.truncate(self.chapter.first.last().copied().unwrap_or(0));
        }
    }

    /// Frames of a turn: the middle one of the last three.
    fn turn(&self) -> u64 {
        let [a, b, c] = self.last_turns;
        a.max(b).min(a.min(b).max(c))
    }

    fn on_edge(&mut self, edge: &EdgeSeen, frame: u64) -> Result<(), CaptureFault> {
        let chapter = &mut self.chapter;
        if let Some(&last) = chapter.frames.last() {
            if self.in_turn {
                self.condenser.flush(&mut chapter.points, &mut self.health);
                self.last_turns = [self.last_turns[1], self.last_turns[2], frame - last];
            }
            self.condenser.take_energy(&mut chapter.energy);
        }
        chapter.edges.push(edge.time);
        chapter.first.push(chapter.points.len());
        chapter.frames.push(frame);
        self.edges += 1;
        if self.last_edges.len() == 9 {
            self.last_edges.remove(0);
        }
        self.last_edges.push(edge.time);
        if chapter.points.len() > most_points(self.health.len()) {
            self.close_chapter();
        }
        self.in_turn = true;
        self.condenser.start_at(frame);
        let turn = self.turn();
        self.condenser.turn_of(turn as f64);
        Ok(())
    }

    /// The chapter goes to be worked out; the next one begins at its last edge.
    fn close_chapter(&mut self) {
        let room = self.take_back().unwrap_or_else(|| Chapter::of(self.health.len()));
        let next = room.begun_at(&self.chapter);
        self.worker.give(std::mem::replace(&mut self.chapter, next));
    }

    /// Waits for the chapter that is being worked out; gives its room.
    fn take_back(&mut self) -> Option<Chapter> {
        let (part, counts, room) = self.worker.take_back()?;
        self.counts.add(&counts);
        self.parts.extend(part);
        Some(room)
    }

    fn check_channels(&self) -> Result<(), CaptureFault> {
        let (low, high) = self.pulse_range;
        if self.frames == 0 {
            return Err(CaptureFault::TooShort {
                turns: 0,
                seconds: 0.0,
                needed: super::chapter::FEWEST_TURNS,
            });
        }
        if low == high {
            return Err(CaptureFault::Dead { channel: Channel::Pulse, value: low });
        }
        if self.edges == 0 {
            return Err(CaptureFault::NoPulse { seconds: self.seconds(), low, high });
        }
        let turn = self.turn();
        if turn > 0 && turn < FEWEST_SAMPLES as u64 {
            return Err(CaptureFault::TooSparse { per_turn: turn as f64, needed: FEWEST_SAMPLES });
        }
        for (sensor, health) in self.setup.sensors.iter().zip(&self.health) {
            if let Some(value) = health.dead() {
                return Err(CaptureFault::Dead { channel: Channel::Sensor(sensor.name.clone()), value });
            }
            if let Some(cut) = health.cut().filter(|cut| cut.share > CUT_SHARE) {
                return Err(CaptureFault::Clipped {
                    sensor: sensor.name.clone(),
                    level: cut.level,
                    share: 100.0 * cut.share,
                });
            }
        }
        Ok(())
    }
}

/// Points of a chapter at most: each is a time, a weight and a value of every sensor, and with more than two sensors
/// all of them together are as many numbers as with two.
fn most_points(sensors: usize) -> usize {
    4 * MOST_POINTS / (2 + sensors).max(4)
}

/// Whether a value is a number that can be squared.
fn is_sound(value: f64) -> bool {
    value.abs() <= LARGEST
}

impl PulseCount {
    fn add(&mut self, other: &Self) {
        self.pulses += other.pulses;
        self.missing += other.missing;
        self.extra += other.extra;
        self.astray += other.astray;
        self.dirty += other.dirty;
        self.worst = self.worst.max(other.worst);
        self.longest = self.longest.max(other.longest);
        self.range = match (self.range, other.range) {
            (Some((slow, fast)), Some((slower, faster))) => Some((slow.min(slower), fast.max(faster))),
            (one, other) => one.or(other),
        };
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_chapter_holds_no_more_numbers_with_many_sensors_than_with_two() {
        assert_eq!([0, 1, 2].map(most_points), [MOST_POINTS; 3]);
        for sensors in 2..40 {
            let numbers = |points: usize| points * (2 + sensors);
            assert!(numbers(most_points(sensors)) <= 4 * MOST_POINTS, "{sensors}");
            assert!(numbers(most_points(sensors) + 1) > 4 * MOST_POINTS, "{sensors}");
        }
    }
}
