//! What a recording says, for people and for programs.

use balance_core::stand::capture::{Extracted, ExtractedReading, Harmonic, Progress, Tone};
use serde::Serialize;

use super::text::units;
use crate::page::Page;

/// Cautions in an answer, at most.
const MOST: usize = 3;
/// From one sigma to the half-width that holds 95 %.
const GIVE_OR_TAKE: f64 = 1.96;
/// A recording that ended in the middle.
const CUT_OFF: &str = "The recording ends in the middle of its data; what is whole was used. Was the recorder stopped, or the disk full?";

/// The reading, how sure it is, and what joints make of it.
#[must_use]
pub fn text(found: &Extracted, truncated: bool, page: Page) -> String {
    let seconds = found.stretch.1 - found.stretch.0;
    let mut text = format!("{} rpm, {} turns in {seconds:.1} s\n", figure(found.speed_rpm), found.turns);
    let rows: Vec<[String; 2]> = found.sensors.iter().map(row).collect();
    let names = found.sensors.iter().map(|own| own.name.chars().count()).max().unwrap_or(0);
    let readings = rows.iter().map(|row| row[0].chars().count()).max().unwrap_or(0);
    for (own, [reading, sure]) in found.sensors.iter().zip(&rows) {
        let name = own.name.to_uppercase();
        text.push_str(&format!("  {name:names$}  {reading:readings$}   {sure}\n"));
    }
    let twice = found
        .sensors
        .iter()
        .map(|own| format!("{} {} {}", own.name, units::amplitude(own.twice_per_turn.amplitude()), own.unit));
    let twice = twice.collect::<Vec<String>>().join(", ");
    let joints = format!("Twice per turn: {twice}. Joints make it, weights cannot cure it.");
    text.push_str(&page.wrapped("", "", &joints));
    let cautions = cautions(found, truncated);
    for (_, words) in cautions.iter().take(MOST) {
        text.push_str(&page.wrapped(&format!("{}: ", page.bold("TAKE CARE")), "   ", words));
    }
    if cautions.len() > MOST {
        let more = cautions.len() - MOST;
        text.push_str(&format!("({more} more under `cautions` in the --json answer.)\n"));
    }
    text
}

/// "5.29 mm/s at 230 deg".
#[must_use]
pub fn reading(own: &ExtractedReading) -> String {
    let amplitude = units::amplitude(own.reading.amplitude());
    format!("{amplitude} {} at {} deg", own.unit, units::whole_degrees(own.reading.phase()))
}

/// The reading, and "give or take 0.04 mm/s, 0.6 deg".
fn row(own: &ExtractedReading) -> [String; 2] {
    let sure = format!(
        "give or take {} {}, {} deg",
        figure_of_two(GIVE_OR_TAKE * own.amplitude_uncertainty),
        own.unit,
        figure_of_two((GIVE_OR_TAKE * own.phase_uncertainty.degrees()).min(180.0))
    );
    [reading(own), sure]
}

/// One line about how far it has come.
#[must_use]
pub fn progress(seen: Progress) -> String {
    let speed = seen.speed_rpm.map_or_else(String::new, |rpm| format!(", {} rpm", figure(rpm)));
    format!("{:.0} s heard, {} turns{speed}", seen.seconds, seen.turns)
}

/// `balance-reading/1`, on one line.
#[must_use]
pub fn json(found: &Extracted, truncated: bool) -> String {
    let caution = |(code, text): (&'static str, String)| CautionJson { level: "take care", code, text };
    let reading = ReadingJson {
        format: "balance-reading/1",
        speed_rpm: found.speed_rpm,
        turns: found.turns,
        sensors: found.sensors.iter().map(SensorJson::of).collect(),
        slowest_rpm: found.speed_range_rpm.0,
        fastest_rpm: found.speed_range_rpm.1,
        from_s: found.stretch.0,
        to_s: found.stretch.1,
        pulse_jitter_deg: found.pulse_jitter.degrees(),
        truncated,
        cautions: cautions(found, truncated).into_iter().map(caution).collect(),
    };
    // Numbers and texts can always be written.
    serde_json::to_string(&reading).unwrap_or_default()
}

#[derive(Serialize)]
struct ReadingJson<'a> {
    format: &'static str,
    speed_rpm: f64,
    turns: usize,
    sensors: Vec<SensorJson<'a>>,
    slowest_rpm: f64,
    fastest_rpm: f64,
    from_s: f64,
    to_s: f64,
    pulse_jitter_deg: f64,
    truncated: bool,
    cautions: Vec<CautionJson>,
}

#[derive(Serialize)]
struct CautionJson {
    level: &'static str,
    code: &'static str,
    text: String,
}

#[derive(Serialize)]
struct SensorJson<'a> {
    name: &'a str,
    unit: String,
    amplitude: f64,
    phase_deg: f64,
    amplitude_uncertainty: f64,
    phase_uncertainty_deg: f64,
    twice_per_turn: f64,
    degrees_of_freedom: f64,
    harmonics: Vec<HarmonicJson>,
    tones: Vec<ToneJson>,
    left_over_rms: f64,
}

#[derive(Serialize)]
struct HarmonicJson {
    times_per_turn: usize,
    amplitude: f64,
    phase_deg: f64,
}

#[derive(Serialize)]
struct ToneJson {
    frequency_hz: f64,
    per_turn: f64,
    amplitude: f64,
}

impl<'a> SensorJson<'a> {
    fn of(own: &'a ExtractedReading) -> Self {
        let harmonic = |part: &Harmonic| HarmonicJson {
            times_per_turn: part.times,
            amplitude: part.reading.amplitude(),
            phase_deg: part.reading.phase().degrees_in_turn(),
        };
        let tone = |own: &Tone| ToneJson {
            frequency_hz: own.frequency_hz,
            per_turn: own.per_turn,
            amplitude: own.amplitude,
        };
        Self {
            name: &own.name,
            unit: own.unit.to_string(),
            amplitude: own.reading.amplitude(),
            phase_deg: own.reading.phase().degrees_in_turn(),
            amplitude_uncertainty: own.amplitude_uncertainty,
            phase_uncertainty_deg: own.phase_uncertainty.degrees(),
            twice_per_turn: own.twice_per_turn.amplitude(),
            degrees_of_freedom: own.degrees_of_freedom,
            harmonics: own.harmonics.iter().map(harmonic).collect(),
            tones: own.tones.iter().map(tone).collect(),
            left_over_rms: own.left_over_rms,
        }
    }
}

/// Code and sentence of each caution.
fn cautions(found: &Extracted, truncated: bool) -> Vec<(&'static str, String)> {
    let cut = truncated.then(|| ("recording-cut-off", CUT_OFF.to_owned()));
    let own = found.cautions.iter().map(|caution| (caution.code(), sentence(&caution.to_string())));
    cut.into_iter().chain(own).collect()
}

/// With a capital and a full stop.
fn sentence(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| format!("{}{}.", first.to_uppercase(), letters.as_str()))
}

fn figure(value: f64) -> String {
    format!("{value:.0}")
}

/// Two figures that count.
fn figure_of_two(value: f64) -> String {
    let places = (1.0 - value.abs().max(1e-9).log10().floor()).clamp(0.0, 9.0) as usize;
    let text = format!("{value:.places$}");
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text }
}
