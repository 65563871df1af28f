//! Low and high of the pulse channel, as the pulses themselves show them.

/// Low and high of a pulse channel in which the edge that counts rises.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Levels {
    pub low: f64,
    pub high: f64,
}

/// How far apart low and high lie, in scatters of each: less is noise. Noise alone shows 3.4, a sine 5.6.
const STANDS_OUT: f64 = 4.5;
/// Shares of the samples that are left aside at both ends when a first middle is looked for.
const ASIDE: [f64; 5] = [0.0, 0.0005, 0.002, 0.01, 0.05];

impl Levels {
    /// Half way up.
    pub fn middle(&self) -> f64 {
        0.5 * (self.low + self.high)
    }

    /// From low to high.
    pub fn height(&self) -> f64 {
        self.high - self.low
    }

    /// From samples that hold several pulses; `None` if no two levels stand out, or fewer edges than `edges` are
    /// between them. With a `level` that was stated, low and high lie on its sides.
    pub fn find(samples: &[f64], level: Option<f64>, edges: usize) -> Option<Self> {
        let mut sorted: Vec<f64> = samples.iter().copied().filter(|value| value.is_finite()).collect();
        if sorted.len() < 8 {
            return None;
        }
        sorted.sort_unstable_by(f64::total_cmp);
        if let Some(level) = level {
            return Self::split(&sorted, level).filter(|own| own.edges(samples, level) >= edges);
        }
        ASIDE.into_iter().find_map(|share| Self::with_aside(&sorted, samples, share, edges))
    }

    fn with_aside(sorted: &[f64], samples: &[f64], share: f64, edges: usize) -> Option<Self> {
        let aside = (share * sorted.len() as f64) as usize;
        let (first, last) = (sorted.get(aside)?, sorted.get(sorted.len() - 1 - aside)?);
        let mut own = Self::split(sorted, 0.5 * (first + last))?;
        for _ in 0..3 {
            own = Self::split(sorted, own.middle())?;
        }
        let middle = sorted.partition_point(|value| *value < own.middle());
        let (below, above) = sorted.split_at(middle);
        let scatter = scatter(below, own.low).max(scatter(above, own.high));
        (own.height() > STANDS_OUT * scatter && own.edges(samples, own.middle()) >= edges).then_some(own)
    }

    /// Medians of both sides of a level, if there are samples on both.
    fn split(sorted: &[f64], level: f64) -> Option<Self> {
        let middle = sorted.partition_point(|value| *value < level);
        let (below, above) = sorted.split_at(middle);
        Some(Self { low: *below.get(below.len() / 2)?, high: *above.get(above.len() / 2)? })
    }

    /// How often the samples go from low to high.
    fn edges(&self, samples: &[f64], level: f64) -> usize {
        let (mut high, mut edges) = (true, 0);
        let margin = super::edges::HYSTERESIS * self.height();
        for &value in samples {
            if !high && value >= level + margin {
                (high, edges) = (true, edges + 1);
            } else if high && value < level - margin {
                high = false;
            }
        }
        edges
    }
}

/// Median of the distances from the middle.
fn scatter(values: &[f64], middle: f64) -> f64 {
    let mut distances: Vec<f64> = values.iter().map(|value| (value - middle).abs()).collect();
    let half = distances.len() / 2;
    if distances.is_empty() {
        return 0.0;
    }
    *distances.select_nth_unstable_by(half, f64::total_cmp).1
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A small shuffle of −1…1 that looks like noise.
    fn noise(n: usize) -> f64 {
        ((n.wrapping_mul(2_654_435_761) >> 7) % 2001) as f64 / 1000.0 - 1.0
    }

    #[test]
    fn narrow_pulses_with_a_glitch_are_found_and_noise_is_not() {
        let pulses: Vec<f64> = (0..8192)
            .map(|n| if n % 512 < 12 { 3.0 } else { 1.0 } + 0.05 * noise(n) + if n == 700 { 90.0 } else { 0.0 })
            .collect();
        let found = Levels::find(&pulses, None, 5).unwrap();
        assert!((found.low - 1.0).abs() < 0.05 && (found.high - 3.0).abs() < 0.05, "{found:?}");
        let quiet: Vec<f64> = (0..8192).map(noise).collect();
        assert_eq!(Levels::find(&quiet, None, 3), None);
        assert_eq!(Levels::find(&[0.0; 100], None, 3), None);
        assert_eq!(Levels::find(&[f64::NAN; 100], None, 3), None);
    }
}
