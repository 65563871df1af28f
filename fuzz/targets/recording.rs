//! Recordings: WAVs and tables, whole, cut off and broken.
#![no_main]

use arbitrary::{Result, Unstructured};
use balance_cli::files::JobFile;
use balance_cli::files::recording::{Block, Flow, Known, Recording, feed, wired};
use balance_cli::files::{Source, render_all};
use balance_core::stand::capture::{Extractor, Stretch};
use balance_fuzz::Share;
use libfuzzer_sys::fuzz_target;

static SHARE: Share = Share::of("recording");

const JOB: &str = "format = 1\n[capture]\nrate = 1000\n[[sensor]]\nname = \"front\"\nreads = \"parts\"\n";

fuzz_target!(|data: &[u8]| {
    let bytes = match data.strip_prefix(b"raw:") {
        Some(raw) => raw.to_vec(),
        None => match made(&mut Unstructured::new(data)) {
            Ok(bytes) => bytes,
            Err(_) => return,
        },
    };
    let Ok(job) = JobFile::read(&Source::new("job.toml", JOB), None) else { return };
    let heard = heard(&bytes, &job);
    SHARE.note(heard.is_some());
});

/// Reads and works it out; `None`: it was refused, in words.
fn heard(bytes: &[u8], job: &JobFile) -> Option<()> {
    let mut recording = match Recording::open(bytes) {
        Ok(recording) => recording,
        Err(fault) => {
            assert!(!fault.of("rec").render().is_empty());
            return None;
        }
    };
    let sensors = [("front".to_owned(), None)];
    let known = Known {
        name: "rec",
        wiring: &job.paperwork.wiring,
        convention: &job.job.setup.convention,
        sensors: &sensors,
        stretch: Stretch::Automatic,
    };
    let wired = match wired(recording.heading(), known) {
        Ok(wired) => wired,
        Err(faults) => {
            assert!(!render_all(&faults).is_empty());
            return None;
        }
    };
    let mut extractor = Extractor::new(wired.setup).ok()?;
    let work = |block: &Block| {
        let times = (!block.times.is_empty()).then_some(block.times.as_slice());
        let mut channels = block.channels.iter().map(Vec::as_slice);
        let pulse = channels.next().unwrap_or_default();
        match extractor.push(times, pulse, &channels.collect::<Vec<_>>()) {
            Ok(()) => Flow::More,
            Err(_) => Flow::Enough,
        }
    };
    if let Err(fault) = feed(&mut recording, &wired.picks, work, |_| {}) {
        assert!(!fault.of("rec").render().is_empty());
    }
    if let Err(fault) = extractor.finish() {
        assert!(!fault.to_string().is_empty() && !fault.hint().is_empty());
    }
    Some(())
}

/// A recording that mostly makes sense: a few turns, a pulse, a sensor, and now and then a slip.
fn made(u: &mut Unstructured<'_>) -> Result<Vec<u8>> {
    let turns = u.int_in_range(0..=40)?;
    let per_turn = u.int_in_range(1..=60)?;
    let frames = (0..turns * per_turn).map(|frame| {
        let angle = f64::from(frame % per_turn) / f64::from(per_turn);
        [if angle < 0.1 { 0.7 } else { 0.0 }, (angle * std::f64::consts::TAU).sin() * 0.4]
    });
    let frames: Vec<[f64; 2]> = frames.collect();
    let mut bytes = if u.arbitrary()? { wav(&frames, u)? } else { table(&frames, u)? };
    for _ in 0..u.int_in_range(0..=4)? {
        if bytes.is_empty() {
            break;
        }
        let at = u.choose_index(bytes.len())?;
        match u.int_in_range(0..=3)? {
            0 => bytes.truncate(at),
            1 => bytes[at] = u.arbitrary()?,
            2 => bytes.insert(at, u.arbitrary()?),
            _ => drop(bytes.remove(at)),
        }
    }
    Ok(bytes)
}

fn wav(frames: &[[f64; 2]], u: &mut Unstructured<'_>) -> Result<Vec<u8>> {
    let (code, bits) = *u.choose(&[(1_u16, 16_u16), (1, 24), (1, 32), (3, 32), (3, 64)])?;
    let mut data = Vec::new();
    for value in frames.iter().flatten() {
        let whole = (value * 2_147_483_000.0) as i32;
        match (code, bits) {
            (1, bits) => data.extend(&whole.to_le_bytes()[4 - usize::from(bits / 8)..]),
            (_, 32) => data.extend((*value as f32).to_le_bytes()),
            _ => data.extend(value.to_le_bytes()),
        }
    }
    let align = bits / 8 * 2;
    let mut bytes = b"RIFF\0\0\0\0WAVEfmt \x10\0\0\0".to_vec();
    bytes.extend(code.to_le_bytes());
    bytes.extend(2_u16.to_le_bytes());
    bytes.extend(1000_u32.to_le_bytes());
    bytes.extend((1000 * u32::from(align)).to_le_bytes());
    bytes.extend(align.to_le_bytes());
    bytes.extend(bits.to_le_bytes());
    bytes.extend(b"data");
    let stated = if u.arbitrary()? { data.len() as u32 } else { u.arbitrary()? };
    bytes.extend(stated.to_le_bytes());
    bytes.extend(data);
    Ok(bytes)
}

fn table(frames: &[[f64; 2]], u: &mut Unstructured<'_>) -> Result<Vec<u8>> {
    let separator = *u.choose(&[",", ";", "\t"])?;
    let header = *u.choose(&["pulse,front", "time [s],pulse [V],front [mV]", ""])?;
    let times = header.starts_with("time");
    let mut text = header.replace(',', separator);
    for (at, [pulse, front]) in frames.iter().enumerate() {
        let time = if times { format!("{:.3}{separator}", at as f64 / 1000.0) } else { String::new() };
        text.push_str(&format!("\n{time}{pulse}{separator}{front:.5}"));
    }
    Ok(text.into_bytes())
}
