//! A recording heard to its end: from samples to readings.

use std::io::Read;
use std::sync::Mutex;

use balance_core::stand::capture::{
    CaptureCaution, CaptureFault, Extracted, ExtractedReading, Extractor, Progress,
};

use crate::files::Problem;
use crate::files::recording::{Block, Flow, Known, Recording, Trace, feed, wired};
use crate::programs::Recorder;

/// What a recording says.
pub struct Heard {
    /// The readings.
    pub extracted: Extracted,
    /// Whether it was cut off in the middle.
    pub truncated: bool,
    /// Its last turns and its speed, if they were to be kept.
    pub trace: Option<Trace>,
}

/// Whether the last turns are kept for a picture.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Keep {
    /// Nothing but the reading.
    Reading,
    /// The last turns and the speed as well.
    LastTurns,
}

/// Reads a recording in one thread and works on it in another. `progress` is called now and then; `enough` looks at what
/// was heard after each block and may end it.
///
/// # Errors
///
/// The recording cannot be read, or gives no reading.
pub fn listen<R: Read>(
    input: R,
    known: Known<'_>,
    keep: Keep,
    mut progress: impl FnMut(Progress),
    mut enough: impl FnMut(&mut Extractor) -> Flow + Send,
) -> Result<Heard, Vec<Problem>> {
    let mut recording = Recording::open(input).map_err(|fault| vec![fault.of(known.name)])?;
    let wired = wired(recording.heading(), known)?;
    let told = |fault: &CaptureFault| told(known.name, fault);
    let scales =
        wired.setup.sensors.iter().map(|sensor| (sensor.scale, sensor.picks_up.label().to_owned())).collect();
    let mut trace =
        (keep == Keep::LastTurns).then(|| Trace::new(wired.setup.pulse.edge, wired.setup.rate, scales));
    let mut extractor =
        Extractor::new(wired.setup).map_err(|faults| faults.iter().map(told).collect::<Vec<Problem>>())?;
    let mut failed = None;
    let last = Mutex::new(None);
    let work = |block: &Block| {
        let times = (!block.times.is_empty()).then_some(block.times.as_slice());
        let mut channels = block.channels.iter().map(Vec::as_slice);
        let pulse = channels.next().unwrap_or_default();
        if let Err(fault) = extractor.push(times, pulse, &channels.collect::<Vec<_>>()) {
            failed = Some(fault);
            return Flow::Enough;
        }
        if let Some(trace) = &mut trace {
            trace.take(block);
        }
        if let Ok(mut last) = last.lock() {
            *last = Some(extractor.seen());
        }
        enough(&mut extractor)
    };
    let fed = feed(&mut recording, &wired.picks, work, |_| {
        if let Some(seen) = last.lock().ok().and_then(|mut last| last.take()) {
            progress(seen);
        }
    });
    if let Some(fault) = failed {
        return Err(vec![told(&fault)]);
    }
    let fed = fed.map_err(|fault| vec![fault.of(known.name)])?;
    let extracted = extractor.finish().map_err(|fault| {
        let problem = told(&fault);
        // What is missing may be what was cut off.
        vec![if fed.truncated { problem.hinting(CUT_OFF.to_owned()) } else { problem }]
    })?;
    Ok(Heard { extracted, truncated: fed.truncated, trace })
}

/// A steady reading comes from this many turns and seconds at least [common practice, no source].
const TURNS: usize = 60;
const SECONDS: f64 = 5.0;
/// It is looked at again after this long.
const AGAIN: f64 = 1.0;
/// One sigma of a reading that is sure enough, as a share of it, and how long it is waited for.
const SURE: f64 = 0.01;
const LONGEST: f64 = 30.0;

/// Starts a recorder and takes its value when it is steady; then the recorder is ended.
///
/// # Errors
///
/// The recorder cannot be started or fails, or what it gives is no reading.
pub fn when_steady(recorder: &Recorder, known: Known<'_>) -> Result<Heard, Vec<Problem>> {
    let mut recording = recorder.start()?;
    let mut next = SECONDS;
    let enough = |extractor: &mut Extractor| {
        let heard = extractor.seen().seconds;
        if heard < next {
            return Flow::More;
        }
        next = heard + AGAIN;
        let steady = extractor.so_far().is_ok_and(|found| is_steady(&found));
        if steady || heard >= LONGEST { Flow::Enough } else { Flow::More }
    };
    let heard = listen(&mut recording, known, Keep::Reading, |_| {}, enough);
    match (heard, recording.stop()) {
        // A recorder that was ended stops in the middle of its data.
        (Ok(heard), _) => Ok(Heard { truncated: false, ..heard }),
        (Err(_), Some(failed)) => Err(vec![failed]),
        (Err(problems), None) => Err(problems),
    }
}

/// Whether a reading is long and sure enough, and did not change while it was recorded.
fn is_steady(found: &Extracted) -> bool {
    let long = found.turns >= TURNS && found.stretch.1 - found.stretch.0 >= SECONDS * 0.9;
    let changed = |caution: &CaptureCaution| matches!(caution, CaptureCaution::ReadingChanged { .. });
    let sure = |own: &ExtractedReading| own.amplitude_uncertainty <= SURE * own.reading.amplitude();
    long && !found.cautions.iter().any(changed) && found.sensors.iter().all(sure)
}

const CUT_OFF: &str =
    "the recording ends in the middle of its data: was the recorder stopped, or the disk full?";

fn told(name: &str, fault: &CaptureFault) -> Problem {
    let text = fault.to_string();
    let (found, allowed) = match text.split_once("; allowed: ") {
        Some((found, allowed)) => (found.to_owned(), Some(allowed.to_owned())),
        None => (text, None),
    };
    let problem = Problem::of_file("no-reading", name, found).hinting(fault.hint().to_owned());
    match allowed {
        Some(allowed) => problem.allowing(allowed),
        None => problem,
    }
}
