//! The columns of the fit: offset, slope, once to five times per turn, and tones.

use super::HARMONICS;
use super::extracted::ToneKind;

/// Offset and slope.
const PLAIN: usize = 2;
/// Columns without tones.
pub(super) const BASE: usize = PLAIN + 2 * HARMONICS;
/// Tones fitted beside the harmonics, at most.
pub(super) const MOST_TONES: usize = 4;
/// Columns at most: each tone has cosine, sine and frequency, next to each other.
pub(super) const MOST: usize = BASE + 3 * MOST_TONES;

/// Index of a tone's cosine in a fit of its frequency; its sine and its frequency follow.
pub(super) fn tone_at(number: usize) -> usize {
    BASE + 3 * number
}

/// Index of a harmonic's cosine; its sine follows.
pub(super) fn cosine_of(times: usize) -> usize {
    PLAIN + 2 * (times - 1)
}

/// A tone as the fit has it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct ToneFit {
    pub kind: ToneKind,
    /// Radians of the tone per radian of the shaft, or per second.
    pub frequency: f64,
    pub cosine: f64,
    pub sine: f64,
}

/// The points of a stretch with the shaft's angle at each.
#[derive(Debug)]
pub(super) struct Stage<'a> {
    pub time: &'a [f64],
    pub weight: &'a [f64],
    pub values: Vec<&'a [f64]>,
    /// Radians.
    pub angle: Vec<f64>,
    /// Cosine and sine of the angle.
    pub turn: Vec<(f64, f64)>,
    /// First point of each block, and the end.
    pub blocks: Vec<usize>,
    /// Middle and half length of the stretch, in radians and in seconds.
    pub angle_span: (f64, f64),
    pub time_span: (f64, f64),
}

impl Stage<'_> {
    /// Where a tone's phase is counted from: the middle of the stretch. In radians of the shaft or in seconds.
    pub fn place(&self, kind: ToneKind, at: usize) -> f64 {
        match kind {
            ToneKind::Shaft => self.angle[at] - self.angle_span.0,
            ToneKind::Clock => self.time[at] - self.time_span.0,
        }
    }

    /// Half length of the stretch as a tone sees it.
    pub fn half_length(&self, kind: ToneKind) -> f64 {
        match kind {
            ToneKind::Shaft => self.angle_span.1,
            ToneKind::Clock => self.time_span.1,
        }
    }

    /// Offset, slope and harmonics at a point.
    #[inline]
    pub fn base_columns(&self, at: usize, into: &mut [f64; MOST]) {
        into[0] = 1.0;
        into[1] = (self.angle[at] - self.angle_span.0) / self.angle_span.1;
        let (cosine, sine) = self.turn[at];
        let (mut real, mut imaginary) = (cosine, sine);
        for times in 1..=HARMONICS {
            let column = cosine_of(times);
            (into[column], into[column + 1]) = (real, imaginary);
            (real, imaginary) = (real * cosine - imaginary * sine, real * sine + imaginary * cosine);
        }
    }

    /// Of each tone at a point, after the base: cosine, sine, and what a turn of the tone by one radian at the ends of
    /// the stretch changes.
    #[inline]
    pub fn tone_columns(&self, at: usize, tones: &[ToneFit], into: &mut [f64; MOST]) {
        for (own, tone) in into[BASE..].chunks_exact_mut(3).zip(tones) {
            let place = self.place(tone.kind, at);
            let (sine, cosine) = (tone.frequency * place).sin_cos();
            (own[0], own[1]) = (cosine, sine);
            own[2] = place / self.half_length(tone.kind) * (tone.sine * cosine - tone.cosine * sine);
        }
    }
}
