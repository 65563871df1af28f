//! Whether a sensor's channel is cut off or dead.

/// Samples within this share of the whole range of an end are near it.
const NEAR: f64 = 0.05;
/// So much below the recorder's limit counts as at it: 16 bits end a 32768th below.
const AT_LIMIT: f64 = 5e-5;
/// Larger values are as good as infinite: their squares have to be finite.
pub(super) const LARGEST: f64 = 1e100;

/// One end of the range.
#[derive(Debug, Clone, Copy)]
struct End {
    at: f64,
    /// Samples at it, and near it.
    count: u64,
    near: u64,
}

/// What a channel looks like.
#[derive(Debug, Clone)]
pub(super) struct Health {
    limit: Option<f64>,
    top: End,
    /// Of the channel times −1.
    bottom: End,
    at_limit: u64,
    samples: u64,
}

/// A channel that is cut off.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Cut {
    pub level: f64,
    pub count: u64,
    pub share: f64,
}

impl Health {
    pub fn new(limit: Option<f64>) -> Self {
        let end = End { at: f64::NEG_INFINITY, count: 0, near: 0 };
        Self { limit, top: end, bottom: end, at_limit: 0, samples: 0 }
    }

    /// Looks at some finite samples.
    pub fn look(&mut self, samples: &[f64]) {
        let (low, high) = range(samples);
        self.samples += samples.len() as u64;
        if self.limit.is_none() {
            let span = self.top.at.max(high) + self.bottom.at.max(-low);
            self.top.look(samples, 1.0, high, span);
            self.bottom.look(samples, -1.0, -low, span);
        } else {
            (self.top.at, self.bottom.at) = (self.top.at.max(high), self.bottom.at.max(-low));
        }
        if let Some(limit) = self.limit.map(|limit| limit * (1.0 - AT_LIMIT))
            && high.max(-low) >= limit
        {
            self.at_limit += samples.iter().filter(|value| value.abs() >= limit).count() as u64;
        }
    }

    /// The value at which the channel stays, if it does.
    pub fn dead(&self) -> Option<f64> {
        (self.samples > 0 && self.top.at == -self.bottom.at).then_some(self.top.at)
    }

    /// Where the channel is cut off, if it is: at the recorder's limit; where that is not known, at an end at which
    /// more samples lie than near it, as no vibration does.
    pub fn cut(&self) -> Option<Cut> {
        let cut = |level: f64, count: u64| Cut { level, count, share: count as f64 / self.samples as f64 };
        if let Some(limit) = self.limit {
            return (self.at_limit > 0).then(|| cut(limit, self.at_limit));
        }
        let is_cut = |end: &End| end.count >= 10 && end.count > end.near && end.count * 2000 > self.samples;
        match (is_cut(&self.top), is_cut(&self.bottom)) {
            (false, false) => None,
            (true, false) => Some(cut(self.top.at, self.top.count)),
            (false, true) => Some(cut(-self.bottom.at, self.bottom.count)),
            (true, true) => Some(cut(self.top.at, self.top.count + self.bottom.count)),
        }
        .filter(|_| self.dead().is_none())
    }
}

impl End {
    fn look(&mut self, samples: &[f64], sign: f64, highest: f64, span: f64) {
        if highest > self.at {
            let was_near = self.at >= highest - NEAR * span;
            self.near = if was_near { self.near + self.count } else { 0 };
            (self.at, self.count) = (highest, 0);
        }
        let from = self.at - NEAR * span;
        if highest < from {
            return;
        }
        let count = |least: f64| samples.iter().map(|value| u64::from(sign * value >= least)).sum::<u64>();
        let at = count(self.at);
        self.count += at;
        self.near += count(from) - at;
    }
}

/// Least and largest of finite samples.
pub(super) fn range(samples: &[f64]) -> (f64, f64) {
    const LANES: usize = 8;
    let (mut low, mut high) = ([f64::INFINITY; LANES], [f64::NEG_INFINITY; LANES]);
    let mut chunks = samples.chunks_exact(LANES);
    for chunk in &mut chunks {
        for lane in 0..LANES {
            let value = chunk[lane];
            low[lane] = if value < low[lane] { value } else { low[lane] };
            high[lane] = if value > high[lane] { value } else { high[lane] };
        }
    }
    for &value in chunks.remainder() {
        (low[0], high[0]) = (low[0].min(value), high[0].max(value));
    }
    (low.into_iter().fold(f64::INFINITY, f64::min), high.into_iter().fold(f64::NEG_INFINITY, f64::max))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sine(amplitude: f64, cut: f64) -> Vec<f64> {
        (0..10_000).map(|n| (amplitude * (f64::from(n) * 0.01).sin()).clamp(-cut, cut)).collect()
    }

    fn seen(samples: &[f64], limit: Option<f64>) -> Health {
        let mut health = Health::new(limit);
        samples.chunks(60).for_each(|part| health.look(part));
        health
    }

    #[test]
    fn a_cut_sine_is_seen_and_a_whole_one_is_not() {
        let cut = seen(&sine(1.0, 0.9), None).cut().unwrap();
        assert!((cut.level - 0.9).abs() < 1e-12 && (cut.share - 0.287).abs() < 0.01, "{cut:?}");
        assert_eq!(seen(&sine(1.0, 2.0), None).cut(), None);
        // Thirty steps high.
        let steps: Vec<f64> = sine(30.0, 99.0).iter().map(|value| value.round()).collect();
        assert_eq!(seen(&steps, None).cut(), None);
        assert_eq!(seen(&sine(1.5, 1.0), Some(1.0)).cut().map(|cut| cut.level), Some(1.0));
        assert_eq!(seen(&sine(0.99, 1.0), Some(1.0)).cut(), None);
    }

    #[test]
    fn a_dead_channel_is_seen() {
        assert_eq!(seen(&[0.25; 100], None).dead(), Some(0.25));
    }
}
