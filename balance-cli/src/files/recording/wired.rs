//! Which channel of a recording is what: the job's wiring laid over the recording's own heading.

use balance_core::quantity::Angle;
use balance_core::run::Convention;
use balance_core::stand::capture::{
    CaptureSetup, PulseSetup, ReadingUnit, SensorSetup, Stretch, VibrationUnit,
};

use super::heading::{ChannelHeading, Heading, Picks, Written};
use crate::files::job::{ChannelName, SensorWiring, Wiring, volts};
use crate::files::nearest::{did_you_mean, listed};
use crate::files::problem::{Fault, Place, Problem, shown};

/// A recording with known channels.
#[derive(Debug, Clone, PartialEq)]
pub struct Wired {
    /// What the extraction has to know.
    pub setup: CaptureSetup,
    /// The channels to read: the pulse, then each sensor.
    pub picks: Picks,
}

/// What is known beside the recording.
#[derive(Debug, Clone, Copy)]
pub struct Known<'a> {
    /// The recording's name in messages.
    pub name: &'a str,
    /// The job's wiring.
    pub wiring: &'a Wiring,
    /// How the job counts.
    pub convention: &'a Convention,
    /// Names of the sensors to read, with the unit in which the runs file has their readings.
    pub sensors: &'a [(String, Option<String>)],
    /// Which part of the recording is used.
    pub stretch: Stretch,
}

/// The setup of a recording, and which channels to read.
///
/// # Errors
///
/// Every channel that is not there, and every unit that is missing or does not fit.
pub fn wired(heading: &Heading, known: Known<'_>) -> Result<Wired, Vec<Problem>> {
    let mut laid = Laid { heading, known, faults: Vec::new() };
    let pulse = laid.pulse();
    let usual = SensorWiring::default();
    let mut channels = Vec::new();
    let mut sensors = Vec::new();
    for (at, (name, unit)) in known.sensors.iter().enumerate() {
        let own = known.wiring.sensors.iter().find(|own| own.name == *name).unwrap_or(&usual);
        let Some(channel) = laid.channel_of(at, name, own, pulse) else { continue };
        channels.push(channel);
        sensors.extend(laid.sensor(name, own, unit.as_deref(), channel));
    }
    laid.refuse_twice(pulse, &channels);
    let times = matches!(heading.written, Written::Table { time: Some(_) });
    let rate = if times { None } else { laid.rate() };
    let (Some(pulse), true) = (pulse, laid.faults.is_empty()) else { return Err(laid.faults) };
    let wiring = known.wiring;
    Ok(Wired {
        setup: CaptureSetup {
            rate,
            pulse: PulseSetup { edge: wiring.edge, level: wiring.level, at: wiring.pulse_at },
            sensors,
            stretch: known.stretch,
            convention: known.convention.clone(),
        },
        picks: Picks { channels: std::iter::once(pulse).chain(channels).collect(), times },
    })
}

struct Laid<'a> {
    heading: &'a Heading,
    known: Known<'a>,
    faults: Vec<Problem>,
}

impl Laid<'_> {
    /// The pulse's channel: as stated, else the column `pulse`, else the first.
    fn pulse(&mut self) -> Option<usize> {
        match &self.known.wiring.pulse {
            Some(stated) => self.stated("the pulse", stated),
            None => self.named("pulse").or_else(|| self.signals().next()),
        }
    }

    /// A sensor's channel: as stated, else the column with its name, else the next one after the pulse.
    fn channel_of(
        &mut self,
        at: usize,
        name: &str,
        own: &SensorWiring,
        pulse: Option<usize>,
    ) -> Option<usize> {
        if let Some(stated) = &own.channel {
            return self.stated(&format!("sensor `{}`", shown(name)), stated);
        }
        let found = self.named(name);
        let has_names = self.heading.channels.iter().any(|channel| !channel.name.is_empty());
        let next = || self.signals().filter(|channel| Some(*channel) != pulse).nth(at);
        let channel = found.or_else(|| if has_names { None } else { next() });
        if channel.is_none() {
            let found = format!("no channel for sensor `{}`", shown(name));
            let hint = "add `channel = …` to its [[sensor]] section in the job or shop file";
            self.fault(Fault::new("no-channel", found, self.allowed(), hint));
        }
        channel
    }

    /// The channels that are no times.
    fn signals(&self) -> impl Iterator<Item = usize> + use<> {
        let time = match self.heading.written {
            Written::Table { time } => time.map(|(at, _)| at),
            Written::Wav { .. } => None,
        };
        (0..self.heading.channels.len()).filter(move |at| Some(*at) != time)
    }

    fn named(&self, name: &str) -> Option<usize> {
        self.heading.channels.iter().position(|own| own.name.eq_ignore_ascii_case(name))
    }

    fn stated(&mut self, of: &str, channel: &ChannelName) -> Option<usize> {
        let at = match channel {
            // A time column does not count: a WAV and a table of the same stand have the same numbers.
            ChannelName::Number(number) => self.signals().nth(number - 1),
            ChannelName::Named(name) => self.named(name),
        };
        if at.is_none() {
            let found = format!("{channel}, which {of} is said to be, is not there");
            let hint = match channel {
                ChannelName::Named(name) => {
                    did_you_mean(name, self.heading.channels.iter().map(|own| own.name.as_str()))
                }
                ChannelName::Number(_) => None,
            };
            let hint =
                hint.unwrap_or_else(|| "correct [capture] or [[sensor]] in the job or shop file".into());
            self.fault(Fault::new("channel-missing", found, self.allowed(), hint));
        }
        at
    }

    fn refuse_twice(&mut self, pulse: Option<usize>, channels: &[usize]) {
        let mut taken: Vec<usize> = pulse.into_iter().collect();
        for &channel in channels {
            if taken.contains(&channel) {
                let found = format!("channel {} for two things", self.heading.names()[channel]);
                let hint = "state `channel` for each sensor, and `pulse` in [capture]";
                self.fault(Fault::new(
                    "channel-twice",
                    found,
                    "a channel for each sensor and one for the pulse",
                    hint,
                ));
            }
            taken.push(channel);
        }
    }

    fn rate(&mut self) -> Option<f64> {
        let rate = self.heading.rate.or(self.known.wiring.rate);
        if rate.is_none() {
            let hint = "add a column `time [s]`, or rate = \"8192 Hz\" to [capture] in the job or shop file";
            let found = "neither a time column nor a sample rate";
            self.fault(Fault::new("no-rate", found, "one of the two", hint));
        }
        rate
    }

    /// What its samples mean, and in what unit its reading is wanted.
    fn sensor(
        &mut self,
        name: &str,
        own: &SensorWiring,
        in_runs: Option<&str>,
        channel: usize,
    ) -> Option<SensorSetup> {
        let heading = &self.heading.channels[channel];
        let meaning = match meaning(own, heading, matches!(self.heading.written, Written::Wav { .. })) {
            Ok(meaning) => meaning,
            Err(fault) => {
                self.fault(fault.of(name));
                return None;
            }
        };
        let wanted = in_runs.and_then(|unit| ReadingUnit::parse(unit).ok());
        let label = if heading.unit.is_empty() { "of full scale" } else { &heading.unit };
        let label = VibrationUnit::named(label);
        let reads = own.reads.clone().or(wanted).unwrap_or_else(|| ReadingUnit {
            unit: meaning.as_ref().map_or(label, |(unit, _)| unit.clone()),
            measure: balance_core::stand::capture::Measure::Peak,
        });
        let (picks_up, scale) = match meaning {
            Some(known) => known,
            // Balancing needs no calibration, but a unit of vibration has to be true.
            None if reads.unit.motion().is_none() => (reads.unit.clone(), 1.0),
            None => {
                self.fault(uncalibrated(name, &reads, heading));
                return None;
            }
        };
        if let (Some(motion), Some(stated)) = (picks_up.motion(), own.picks_up)
            && motion != stated
        {
            let found = format!(
                "`{}` of sensor `{}`, which is said to pick up {}",
                picks_up.label(),
                shown(name),
                stated.word()
            );
            let hint = "correct `picks_up` in the job or shop file, or the unit of the column";
            self.fault(Fault::new("motion-differs", found, format!("a unit of {}", stated.word()), hint));
        }
        let limit = match self.heading.written {
            Written::Wav { limit } => limit,
            Written::Table { .. } => None,
        };
        let phase_correction = own.phase_correction.unwrap_or(Angle::ZERO);
        Some(SensorSetup { name: name.to_owned(), picks_up, scale, phase_correction, reads, limit })
    }

    fn allowed(&self) -> String {
        let names = self.heading.names();
        let signals: Vec<&str> = self.signals().map(|at| names[at].as_str()).collect();
        format!("one of its {} channels: {}", signals.len(), listed(signals.iter().copied()))
    }

    fn fault(&mut self, fault: Fault) {
        self.faults.push(fault.at(Place::WholeFile { file: self.known.name.to_owned() }));
    }
}

fn uncalibrated(name: &str, reads: &ReadingUnit, heading: &ChannelHeading) -> Fault {
    let found = match heading.unit.as_str() {
        "" => format!("sensor `{}` without a calibration, to be read in {reads}", shown(name)),
        unit => format!("sensor `{}` in `{}`, to be read in {reads}", shown(name), shown(unit)),
    };
    let hint = "add full_scale = \"20 mm/s\" or scale = \"100 mV/(mm/s)\" to its [[sensor]] section; not calibrated at all: a \
                runs file and `reads` in a unit of your own, such as \"parts\", will do";
    Fault::new("not-calibrated", found, "a calibration, or a reading in the sensor's own unit", hint)
}

/// Why the samples of a sensor have no meaning.
enum NoMeaning {
    /// A calibration in volts, and samples that are none.
    Volts { unit: String },
}

impl NoMeaning {
    fn of(&self, name: &str) -> Fault {
        let Self::Volts { unit } = self;
        let found = match unit.as_str() {
            "" => format!("sensor `{}` has `scale`, but its samples are not in volts", shown(name)),
            unit => format!("sensor `{}` has `scale`, but its samples are in `{}`", shown(name), shown(unit)),
        };
        let hint = "add the volts that a recorded 1.0 is, for example full_scale = \"1.2 V\"; in a table the column's unit: `front [mV]`";
        Fault::new("volts-unknown", found, "samples in V, mV or uV", hint)
    }
}

/// The unit of what it feels and what a sample is multiplied by to be in it; `None`: it is not calibrated.
fn meaning(
    own: &SensorWiring,
    heading: &ChannelHeading,
    is_wav: bool,
) -> Result<Option<(VibrationUnit, f64)>, NoMeaning> {
    let column = VibrationUnit::named(&heading.unit);
    if !is_wav && column.motion().is_some() {
        return Ok(Some((column, 1.0)));
    }
    let full = own.full_scale.as_ref().filter(|_| is_wav || heading.unit.is_empty());
    let in_volts = full.and_then(|full| Some(full.value * volts(&full.unit)?));
    match (&own.scale, full) {
        (Some(scale), _) => match in_volts.or_else(|| volts(&heading.unit)) {
            Some(volts) => Ok(Some((scale.per.clone(), volts / scale.volts))),
            None => Err(NoMeaning::Volts { unit: heading.unit.clone() }),
        },
        (None, Some(full)) => Ok(Some((VibrationUnit::named(&full.unit), full.value))),
        (None, None) => Ok(None),
    }
}
