//! Recordings written here, read back.

use std::io::{Cursor, Read};

use balance_core::run::Convention;
use balance_core::stand::capture::Stretch;

use super::*;
use crate::files::{JobFile, Source, render_all};

/// A reader that gives a few bytes at a time, as pipes do.
struct Drops<'a>(&'a [u8], usize);

impl Read for Drops<'_> {
    fn read(&mut self, into: &mut [u8]) -> std::io::Result<usize> {
        let count = self.1.min(self.0.len()).min(into.len());
        into[..count].copy_from_slice(&self.0[..count]);
        self.0 = &self.0[count..];
        Ok(count)
    }
}

/// Heading, times, samples of all channels, whether it was cut off.
type All = (Heading, Vec<f64>, Vec<Vec<f64>>, bool);

/// Everything of a recording.
fn all(input: impl Read) -> Result<All, RecordingFault> {
    let mut recording = Recording::open(input)?;
    let heading = recording.heading().clone();
    let times = matches!(heading.written, Written::Table { time: Some(_) });
    let picks = Picks { channels: (0..heading.channels.len()).collect(), times };
    let (mut stamps, mut channels) = (Vec::new(), vec![Vec::new(); heading.channels.len()]);
    let mut block = Block::default();
    while recording.next(&picks, &mut block)? {
        stamps.extend_from_slice(&block.times);
        for (all, own) in channels.iter_mut().zip(&block.channels) {
            all.extend_from_slice(own);
        }
    }
    Ok((heading, stamps, channels, recording.truncated()))
}

fn chunk(tag: &[u8; 4], body: &[u8]) -> Vec<u8> {
    let mut bytes = tag.to_vec();
    bytes.extend(u32::try_from(body.len()).unwrap().to_le_bytes());
    bytes.extend(body);
    bytes.resize(bytes.len().next_multiple_of(2), 0);
    bytes
}

fn format(code: u16, channels: u16, bits: u16) -> Vec<u8> {
    let align = channels * (bits / 8);
    let mut bytes = code.to_le_bytes().to_vec();
    bytes.extend(channels.to_le_bytes());
    bytes.extend(8192_u32.to_le_bytes());
    bytes.extend((8192 * u32::from(align)).to_le_bytes());
    bytes.extend(align.to_le_bytes());
    bytes.extend(bits.to_le_bytes());
    bytes
}

fn extensible(code: u16, channels: u16, bits: u16) -> Vec<u8> {
    let mut bytes = format(0xfffe, channels, bits);
    bytes.extend(22_u16.to_le_bytes());
    bytes.extend(bits.to_le_bytes());
    bytes.extend(3_u32.to_le_bytes());
    bytes.extend(code.to_le_bytes());
    bytes.extend(*b"\0\0\0\0\x10\0\x80\0\0\xaa\0\x38\x9b\x71");
    bytes
}

fn wav(chunks: &[Vec<u8>]) -> Vec<u8> {
    let body: Vec<u8> = std::iter::once(b"WAVE".to_vec()).chain(chunks.iter().cloned()).flatten().collect();
    chunk(b"RIFF", &body)
}

/// Two channels, quarters of full scale.
const FRAMES: [[f64; 2]; 3] = [[0.0, 0.25], [-0.5, 0.75], [0.5, -1.0]];

fn samples(one: impl Fn(f64) -> Vec<u8>) -> Vec<u8> {
    FRAMES.iter().flatten().flat_map(|value| one(*value)).collect()
}

fn wanted() -> Vec<Vec<f64>> {
    (0..2).map(|channel| FRAMES.iter().map(|frame| frame[channel]).collect()).collect()
}

#[expect(clippy::cast_possible_truncation, reason = "quarters fit")]
fn whole(value: f64, bits: i32) -> i32 {
    (value * 2.0_f64.powi(bits - 1)) as i32
}

fn forms() -> Vec<(u16, u16, Vec<u8>)> {
    vec![
        (1, 16, samples(|value| whole(value, 16).to_le_bytes()[..2].to_vec())),
        (1, 24, samples(|value| whole(value, 24).to_le_bytes()[..3].to_vec())),
        (1, 32, samples(|value| whole(value, 32).to_le_bytes().to_vec())),
        (3, 32, samples(|value| (value as f32).to_le_bytes().to_vec())),
        (3, 64, samples(|value| value.to_le_bytes().to_vec())),
    ]
}

#[test]
fn every_form_of_wav_is_read_the_same() {
    for (code, bits, data) in forms() {
        for head in [format(code, 2, bits), extensible(code, 2, bits)] {
            let list = chunk(b"LIST", b"INFOodd");
            let bytes =
                wav(&[list.clone(), chunk(b"fmt ", &head), list.clone(), chunk(b"data", &data), list]);
            let (heading, _, channels, cut) = all(Cursor::new(&bytes)).unwrap();
            assert_eq!((heading.rate, channels, cut), (Some(8192.0), wanted(), false), "{code} {bits}");
            let (_, _, channels, _) = all(Drops(&bytes, 5)).unwrap();
            assert_eq!(channels, wanted(), "{code} {bits} in drops");
        }
    }
}

#[test]
fn a_length_that_was_not_known_means_to_the_end() {
    let (_, _, data) = forms().remove(0);
    let bytes = wav(&[chunk(b"fmt ", &format(1, 2, 16)), chunk(b"data", &data)]);
    let at = bytes.len() - data.len() - 4;
    for length in [0, u32::MAX, 0x7fff_ffdb] {
        let mut stream = bytes.clone();
        stream[at..at + 4].copy_from_slice(&u32::to_le_bytes(length));
        let (_, _, channels, cut) = all(Cursor::new(&stream)).unwrap();
        assert_eq!((channels, cut), (wanted(), false), "{length:x}");
    }
}

#[test]
fn a_wav_that_was_cut_off_gives_what_is_whole() {
    let (_, _, data) = forms().remove(0);
    let bytes = wav(&[chunk(b"fmt ", &format(1, 2, 16)), chunk(b"data", &data)]);
    for (cut, frames) in [(1, 2), (4, 2), (5, 1)] {
        let (_, _, channels, truncated) = all(Cursor::new(&bytes[..bytes.len() - cut])).unwrap();
        assert_eq!((channels[0].len(), truncated), (frames, true), "{cut}");
    }
    for end in 4..bytes.len() - data.len() {
        let found = all(Cursor::new(&bytes[..end]));
        assert!(matches!(found, Err(RecordingFault::NotWav | RecordingFault::NoSamples)), "{end}: {found:?}");
    }
}

#[test]
fn rf64_states_its_length_in_a_chunk_of_its_own() {
    let (_, _, data) = forms().remove(0);
    let sizes: Vec<u8> = [0, data.len() as u64, 0].iter().flat_map(|size: &u64| size.to_le_bytes()).collect();
    let chunks = [
        chunk(b"ds64", &sizes),
        chunk(b"fmt ", &format(1, 2, 16)),
        chunk(b"data", &data),
        chunk(b"LIST", b"more"),
    ];
    let mut bytes = wav(&chunks);
    bytes[..4].copy_from_slice(b"RF64");
    let at = bytes.len() - 12 - data.len() - 4;
    bytes[at..at + 4].copy_from_slice(&u32::MAX.to_le_bytes());
    let (_, _, channels, cut) = all(Cursor::new(&bytes)).unwrap();
    assert_eq!((channels, cut), (wanted(), false));
}

#[test]
fn other_wavs_are_refused() {
    let read = |format: Vec<u8>| all(Cursor::new(wav(&[chunk(b"fmt ", &format), chunk(b"data", &[0; 64])])));
    assert!(matches!(read(format(1, 1, 16)), Err(RecordingFault::Channels { found: 1, .. })));
    assert!(matches!(read(format(1, 9, 16)), Err(RecordingFault::Channels { found: 9, .. })));
    assert!(matches!(read(format(1, 2, 8)), Err(RecordingFault::Sample { code: 1, bits: 8 })));
    assert!(matches!(read(format(3, 2, 16)), Err(RecordingFault::Sample { code: 3, bits: 16 })));
    assert!(matches!(read(format(2, 2, 16)), Err(RecordingFault::Sample { code: 2, bits: 16 })));
    assert!(matches!(all(Cursor::new(b"RIFX....WAVE")), Err(RecordingFault::NotWav)));
    assert!(matches!(all(Cursor::new(b"")), Err(RecordingFault::Empty)));
}

/// Found by fuzzing: the largest frame that a format can state, eight times which is no 16 bit number.
#[test]
fn a_frame_as_long_as_can_be_stated_is_refused() {
    let mut head = format(1, 2, 16);
    head[12..14].copy_from_slice(&u16::MAX.to_le_bytes());
    let bytes = wav(&[chunk(b"fmt ", &head), chunk(b"data", &[0; 64])]);
    let refused = all(Cursor::new(&bytes));
    assert!(matches!(refused, Err(RecordingFault::Sample { code: 1, bits: 16 })), "{:?}", refused.err());
}

#[test]
fn a_table_is_read_in_every_dress() {
    let numbers = [vec![0.5, 0.25], vec![1e-3, -2.0], vec![4.0, 5.0]];
    let texts = [
        "time [ms],pulse [V],front [mV]\n500,0.001,4\n250,-2,5\n",
        "\u{feff}\"time [ms]\",\"pulse [V]\",\"front [mV]\"\r\n# a note\r\n\r\n\"500\", 1e-3 ,4\r\n250,-2.0,5.\r\n",
        "Time [ms];Pulse [V];front [mV]\n500;0,001;4\n250;-2;5,0",
        "t [ms]\tpulse [V]\tfront [mV]\n500\t0.001\t4\n250\t-2\t5",
        "time [ms],pulse [V],front [mV]\n500,0.001,4,,\n250,-2,5,,\n",
    ];
    for text in texts {
        for drops in [1, 7, 1 << 20] {
            let (heading, times, channels, cut) = all(Drops(text.as_bytes(), drops)).unwrap();
            assert_eq!(heading.written, Written::Table { time: Some((0, 1e-3)) }, "{text}");
            assert_eq!(heading.channels[2], ChannelHeading { name: "front".into(), unit: "mV".into() });
            assert_eq!(times, [0.5, 0.25], "{text}");
            assert_eq!(channels[1..], numbers[1..], "{text}");
            assert!(!cut);
        }
    }
    let (heading, times, channels, _) = all(Cursor::new("1,2\n3,4\n")).unwrap();
    assert_eq!(heading.channels, [ChannelHeading::default(), ChannelHeading::default()]);
    assert_eq!((times, channels), (vec![], vec![vec![1.0, 3.0], vec![2.0, 4.0]]));
}

#[test]
fn columns_that_nobody_wants_may_hold_anything() {
    let text = "note,pulse,front\nx y,1,2\n,3,4\n";
    let mut recording = Recording::open(Cursor::new(text)).unwrap();
    let mut block = Block::default();
    assert!(recording.next(&Picks { channels: vec![2, 1], times: false }, &mut block).unwrap());
    assert_eq!(block.channels, [[2.0, 4.0], [1.0, 3.0]]);
}

#[test]
fn a_table_that_was_cut_off_gives_its_whole_rows() {
    let (_, _, channels, cut) = all(Cursor::new("a,b\n1,2\n3,4\n5")).unwrap();
    assert_eq!((channels[0].as_slice(), cut), (&[1.0, 3.0][..], true));
    let (_, _, channels, cut) = all(Cursor::new("a,b\n1,2\n3,4\n5,-")).unwrap();
    assert_eq!((channels[0].as_slice(), cut), (&[1.0, 3.0][..], true));
}

#[test]
fn a_bad_row_is_named_with_its_line() {
    let told = |text: &str| all(Cursor::new(text)).unwrap_err().of("rec.csv").render();
    let said = told("a,b\n1,2\n# note\n\n3,x\n5,6\n");
    assert!(said.starts_with("rec.csv:5, column \"b\": found `x`; allowed: a number"), "{said}");
    let said = told("a,b\n1,2\n3\n5,6\n");
    assert!(said.starts_with("rec.csv:3: 1 cells; allowed: 2"), "{said}");
    let said = told("a,b\n1,2\n3,4,5\n5,6\n");
    assert!(said.starts_with("rec.csv:3: 3 cells; allowed: 2"), "{said}");
    assert!(told(&format!("a,b\n1,2\n{}\n", "9".repeat(1 << 17))).contains("line of more than"));
    assert!(told("time [days],b\n1,2\n").contains("time column in `days`"));
    assert!(told("\u{feff}").contains("is empty"));
    let utf16: Vec<u8> = "a,b\n".encode_utf16().flat_map(u16::to_le_bytes).collect();
    assert!(matches!(all(Cursor::new([&[0xff, 0xfe], &utf16[..]].concat())), Err(RecordingFault::Utf16)));
}

#[test]
fn two_threads_hand_over_every_frame_in_order() {
    let text: String = (0..100_000).map(|row| format!("{row},{}\n", row * 2)).collect();
    let picks = Picks { channels: vec![1], times: false };
    let mut seen = Vec::new();
    let mut watched = 0;
    let mut recording = Recording::open(Cursor::new(&text)).unwrap();
    let work = |block: &Block| {
        seen.extend_from_slice(&block.channels[0]);
        Flow::More
    };
    let fed = feed(&mut recording, &picks, work, |frames| watched = frames).unwrap();
    assert!(!fed.truncated);
    assert_eq!(watched, 100_000);
    assert!(seen.iter().enumerate().all(|(row, value)| *value == 2.0 * row as f64));
    // Whoever has enough is given no more.
    let mut recording = Recording::open(Cursor::new(&text)).unwrap();
    let mut blocks = 0;
    feed(
        &mut recording,
        &picks,
        |_| {
            blocks += 1;
            Flow::Enough
        },
        |_| {},
    )
    .unwrap();
    assert_eq!(blocks, 1);
    // A bad row ends it, with its line.
    let mut recording = Recording::open(Cursor::new(format!("{text}1,x\n2,3\n"))).unwrap();
    let mut frames = 0;
    let fault = feed(
        &mut recording,
        &picks,
        |block| {
            frames += block.frames();
            Flow::More
        },
        |_| {},
    );
    assert!(matches!(fault, Err(RecordingFault::NotANumber { line: 100_001, .. })));
    assert!((1..=100_000).contains(&frames));
}

/// The wiring of a job laid over the heading of a recording.
fn laid(job: &str, shop: &str, recording: &[u8], units: [Option<&str>; 2]) -> Result<Wired, String> {
    let shop = Source::new("shop.toml", shop);
    let job =
        JobFile::read(&Source::new("job.toml", job), Some(&shop)).map_err(|faults| render_all(&faults))?;
    let recording = Recording::open(Cursor::new(recording)).unwrap();
    let sensors: Vec<(String, Option<String>)> = ["front", "rear"]
        .into_iter()
        .zip(units)
        .map(|(name, unit)| (name.to_owned(), unit.map(str::to_owned)))
        .collect();
    let known = Known {
        name: "rec",
        wiring: &job.paperwork.wiring,
        convention: &Convention::unstated(),
        sensors: &sensors,
        stretch: Stretch::Automatic,
    };
    wired(recording.heading(), known).map_err(|faults| render_all(&faults))
}

fn three_channels() -> Vec<u8> {
    wav(&[chunk(b"fmt ", &format(1, 3, 16)), chunk(b"data", &[0; 60])])
}

const JOB: &str = "format = 1\n[[sensor]]\nname = \"front\"\nchannel = 3\n[[sensor]]\nname = \"rear\"\nfull_scale = \"1.2 V\"\n";
const SHOP: &str = "format = 1\n[capture]\nedge = \"falling\"\npulse_at = \"90 deg\"\n[[sensor]]\nname = \"rear\"\nchannel = 2\n\
scale = \"100 mV/(mm/s)\"\n[[sensor]]\nname = \"front\"\nchannel = 2\nfull_scale = \"40 mm/s\"\n[[sensor]]\nname = \"middle\"\n";

#[test]
fn job_and_shop_sensors_of_one_name_are_read_as_one() {
    let wired = laid(JOB, SHOP, &three_channels(), [None, Some("mm/s rms")]).unwrap();
    assert_eq!(wired.picks, Picks { channels: vec![0, 2, 1], times: false });
    let [front, rear] = &wired.setup.sensors[..] else { panic!("two sensors") };
    assert_eq!((front.name.as_str(), front.scale, front.reads.to_string().as_str()), ("front", 40.0, "mm/s"));
    assert!((rear.scale - 12.0).abs() < 1e-12, "1.2 V over 0.1 V/(mm/s)");
    assert_eq!(rear.reads.to_string(), "mm/s rms");
    assert_eq!((wired.setup.rate, wired.setup.pulse.at.degrees()), (Some(8192.0), 90.0));
    // The record's text says the same by itself.
    let shop = Source::new("shop.toml", SHOP);
    let job = JobFile::read(&Source::new("job.toml", JOB), Some(&shop)).unwrap();
    let alone = JobFile::read(&Source::new("job.toml", job.merged_text.as_str()), None).unwrap();
    assert_eq!(alone.paperwork.wiring, job.paperwork.wiring);
}

#[test]
fn a_table_brings_its_own_units_and_names() {
    let table = b"time [s],rear [um],tacho [V],front [mV]\n0,1,2,3\n";
    let shop = "format = 1\n[capture]\npulse = \"tacho\"\n[[sensor]]\nname = \"front\"\nscale = \"100 mV/(mm/s)\"\nreads = \"um pp\"\n\
                [[sensor]]\nname = \"rear\"\nfull_scale = \"40 mm/s\"\n";
    let wired = laid("format = 1\n", shop, table, [None, None]).unwrap();
    assert_eq!(wired.picks, Picks { channels: vec![2, 3, 1], times: true });
    let [front, rear] = &wired.setup.sensors[..] else { panic!("two sensors") };
    assert!((front.scale - 0.01).abs() < 1e-15, "a millivolt is 0.01 mm/s");
    assert_eq!((rear.scale, rear.picks_up.label()), (1.0, "um"));
    assert_eq!(wired.setup.rate, None);
}

#[test]
fn what_cannot_be_read_as_asked_is_told_all_at_once() {
    let told =
        laid("format = 1\n", "format = 1\n", &three_channels(), [Some("mm/s"), Some("parts")]).unwrap_err();
    assert!(told.contains("sensor `front` without a calibration") && !told.contains("rear"), "{told}");
    let told = laid(
        "format = 1\n[capture]\npulse = 7\n[[sensor]]\nname = \"rear\"\nchannel = \"aft\"\n",
        "format = 1\n",
        b"front,pulse,reat\n1,2,3\n",
        [None, None],
    );
    let told = told.unwrap_err();
    for words in ["channel 7", "column `aft`", "neither a time column nor a sample rate"] {
        assert!(told.contains(words), "{words}: {told}");
    }
}
