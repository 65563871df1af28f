//! WAV: a small reader of chunks that streams, for recorders write into pipes with lengths they do not know.
//!
//! Source of the layout: Microsoft and IBM, Multimedia Programming Interface and Data Specifications 1.0 (1991),
//! and the registry of `WAVE_FORMAT_EXTENSIBLE`; RF64 as in EBU Tech 3306 \[all from memory\].

use std::io::{ErrorKind, Read};

use super::fault::{RecordingFault, read_fully, read_some};
use super::heading::{Block, ChannelHeading, Heading, Picks, Written};

/// Channels of a recording: a pulse and at least one sensor.
const CHANNELS: std::ops::RangeInclusive<u16> = 2..=8;
/// Frames read at once.
const FRAMES: usize = 8192;
/// The largest format chunk: the extensible one has 40 bytes.
const FORMAT: u32 = 4096;
/// The largest 64-bit size chunk.
const SIZES: u32 = 1 << 16;

/// Recorders that write into a pipe state a length near the largest possible.
const PLACEHOLDER: u32 = 0x7f00_0000;

/// How a sample is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Sample {
    Int16,
    Int24,
    Int32,
    Float32,
    Float64,
}

impl Sample {
    fn bytes(self) -> usize {
        match self {
            Self::Int16 => 2,
            Self::Int24 => 3,
            Self::Int32 | Self::Float32 => 4,
            Self::Float64 => 8,
        }
    }

    /// The largest value that can be written on both sides of zero.
    fn limit(self) -> Option<f64> {
        let one_below = |bits: i32| 1.0 - 2.0_f64.powi(1 - bits);
        match self {
            Self::Int16 => Some(one_below(16)),
            Self::Int24 => Some(one_below(24)),
            Self::Int32 => Some(one_below(32)),
            Self::Float32 | Self::Float64 => None,
        }
    }
}

/// A WAV that is being read.
pub(super) struct Wav<R> {
    input: R,
    heading: Heading,
    sample: Sample,
    /// Bytes of samples that are still to come; `None`: to the end of the stream.
    left: Option<u64>,
    /// Whether the length stated is one that recorders state when they do not know it.
    placeholder: bool,
    buffer: Vec<u8>,
    truncated: bool,
}

impl<R: Read> Wav<R> {
    /// Reads up to the first sample. The first four bytes were read already.
    pub(super) fn open(mut input: R, tag: [u8; 4]) -> Result<Self, RecordingFault> {
        let mut rest = [0; 8];
        if read_fully(&mut input, &mut rest)? < 8 || &rest[4..] != b"WAVE" {
            return Err(RecordingFault::NotWav);
        }
        let mut format = None;
        // RF64 gives the length of its samples in a chunk of its own.
        let mut long = None;
        loop {
            let Some((tag_of, length)) = chunk(&mut input)? else { return Err(RecordingFault::NoSamples) };
            match &tag_of {
                b"fmt " if length > FORMAT => return Err(RecordingFault::NotWav),
                b"fmt " => format = Some(read_format(&body(&mut input, length)?)?),
                b"ds64" if length > SIZES => return Err(RecordingFault::NotWav),
                b"ds64" => long = body(&mut input, length)?.get(8..16).map(eight),
                b"data" => {
                    let Some((sample, channels, rate)) = format else { return Err(RecordingFault::NotWav) };
                    let left = match length {
                        u32::MAX if &tag == b"RF64" => long.filter(|length| *length > 0),
                        0 | u32::MAX => None,
                        length => Some(u64::from(length)),
                    };
                    let heading = Heading {
                        written: Written::Wav { limit: sample.limit() },
                        rate: Some(rate),
                        channels: vec![ChannelHeading::default(); usize::from(channels)],
                    };
                    let placeholder = length >= PLACEHOLDER;
                    let buffer = Vec::new();
                    return Ok(Self { input, heading, sample, left, placeholder, buffer, truncated: false });
                }
                _ => skip(&mut input, u64::from(length) + u64::from(length % 2))?,
            }
        }
    }

    pub(super) fn heading(&self) -> &Heading {
        &self.heading
    }

    /// Whether it ended before the length it states.
    pub(super) fn truncated(&self) -> bool {
        self.truncated
    }

    /// The next samples; `false`: there are no more.
    pub(super) fn next(&mut self, picks: &Picks, block: &mut Block) -> Result<bool, RecordingFault> {
        block.clear(picks.channels.len());
        let frame = self.sample.bytes() * self.heading.channels.len();
        let most = (FRAMES * frame) as u64;
        let wanted = usize::try_from(self.left.map_or(most, |left| left.min(most))).unwrap_or(0);
        self.buffer.resize(wanted.next_multiple_of(frame), 0);
        let mut read = read_some(&mut self.input, &mut self.buffer[..wanted])?;
        if read == 0 {
            self.truncated |= self.left.is_some_and(|left| left > 0) && !self.placeholder;
            return Ok(false);
        }
        let rest = (read.next_multiple_of(frame)).min(wanted);
        read += read_fully(&mut self.input, &mut self.buffer[read..rest])?;
        if let Some(left) = &mut self.left {
            *left = left.saturating_sub(read as u64);
        }
        // A part of a frame at the end is no frame.
        self.truncated |= read % frame != 0;
        let whole = &self.buffer[..read - read % frame];
        for (&channel, samples) in picks.channels.iter().zip(&mut block.channels) {
            unpack(whole, frame, channel * self.sample.bytes(), self.sample, samples);
        }
        Ok(!whole.is_empty())
    }
}

/// One channel out of the frames.
fn unpack(frames: &[u8], frame: usize, at: usize, sample: Sample, into: &mut Vec<f64>) {
    let own = frames.chunks_exact(frame).map(|frame| &frame[at..]);
    let whole = |bytes: [u8; 4]| f64::from(i32::from_le_bytes(bytes)) / 2_147_483_648.0;
    match sample {
        Sample::Int16 => {
            into.extend(own.map(|b| f64::from(i16::from_le_bytes([b[0], b[1]])) / 32_768.0));
        }
        // Moved up into 32 bits: the sign comes along.
        Sample::Int24 => into.extend(own.map(|b| whole([0, b[0], b[1], b[2]]))),
        Sample::Int32 => into.extend(own.map(|b| whole([b[0], b[1], b[2], b[3]]))),
        Sample::Float32 => {
            into.extend(own.map(|b| f64::from(f32::from_le_bytes([b[0], b[1], b[2], b[3]]))));
        }
        Sample::Float64 => {
            let float = |b: &[u8]| f64::from_le_bytes([b[0], b[1], b[2], b[3], b[4], b[5], b[6], b[7]]);
            into.extend(own.map(float));
        }
    }
}

/// A chunk's name and length; `None`: the file ends.
fn chunk<R: Read>(input: &mut R) -> Result<Option<([u8; 4], u32)>, RecordingFault> {
    let mut head = [0; 8];
    if read_fully(input, &mut head)? < 8 {
        return Ok(None);
    }
    let [a, b, c, d, length @ ..] = head;
    Ok(Some(([a, b, c, d], u32::from_le_bytes(length))))
}

fn body<R: Read>(input: &mut R, length: u32) -> Result<Vec<u8>, RecordingFault> {
    let mut bytes = vec![0; usize::try_from(length).unwrap_or(0)];
    if read_fully(input, &mut bytes)? < bytes.len() {
        return Err(RecordingFault::NoSamples);
    }
    // Chunks begin on even places.
    skip(input, u64::from(length % 2))?;
    Ok(bytes)
}

fn skip<R: Read>(input: &mut R, bytes: u64) -> Result<(), RecordingFault> {
    std::io::copy(&mut input.take(bytes), &mut std::io::sink()).map(|_| ()).or_else(|error| {
        match error.kind() {
            ErrorKind::UnexpectedEof => Ok(()),
            _ => Err(error.into()),
        }
    })
}

fn eight(bytes: &[u8]) -> u64 {
    bytes.iter().rev().fold(0, |value, byte| value << 8 | u64::from(*byte))
}

/// Sample, channels and rate.
fn read_format(bytes: &[u8]) -> Result<(Sample, u16, f64), RecordingFault> {
    let two = |at: usize| -> Option<u16> { Some(u16::from_le_bytes([*bytes.get(at)?, *bytes.get(at + 1)?])) };
    let (Some(mut code), Some(channels), Some(align), Some(bits)) = (two(0), two(2), two(12), two(14)) else {
        return Err(RecordingFault::NotWav);
    };
    let rate = bytes.get(4..8).map_or(0, eight);
    // The extensible format names the real one at the beginning of its last part.
    if code == 0xfffe {
        code = two(24).ok_or(RecordingFault::NotWav)?;
    }
    if !CHANNELS.contains(&channels) {
        return Err(RecordingFault::Channels { found: channels, allowed: CHANNELS });
    }
    // The place that a sample takes counts: 24 bits in four bytes stand at their upper end.
    let place = u32::from(align / channels) * 8;
    let sample = match (code, place) {
        (1, 16) => Sample::Int16,
        (1, 24) => Sample::Int24,
        (1, 32) => Sample::Int32,
        (3, 32) => Sample::Float32,
        (3, 64) => Sample::Float64,
        _ => return Err(RecordingFault::Sample { code, bits }),
    };
    if align % channels != 0 || bits == 0 || u32::from(bits) > place {
        return Err(RecordingFault::Sample { code, bits });
    }
    if rate == 0 {
        return Err(RecordingFault::NotWav);
    }
    Ok((sample, channels, rate as f64))
}
