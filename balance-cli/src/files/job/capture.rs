//! `[capture]` and the channels of the sensors: how a recording of the stand is wired.

use balance_core::quantity::Angle;
use balance_core::shaft::{Sensor, Shows};
use balance_core::stand::capture::{Edge, Motion, ReadingUnit, VibrationUnit};

use super::weights::around;
use crate::files::limits;
use crate::files::nearest::listed;
use crate::files::problem::{Fault, shown};
use crate::files::toml_reader::{Document, Section};

/// How recordings are wired.
#[derive(Debug, Clone, PartialEq)]
pub struct Wiring {
    /// The channel with a pulse for each turn; `None`: the column `pulse`, else the first.
    pub pulse: Option<ChannelName>,
    /// The edge that counts.
    pub edge: Edge,
    /// The level it crosses, in the recording's values; `None`: it is found.
    pub level: Option<f64>,
    /// Where on the shaft the edge comes, counted as masses are.
    pub pulse_at: Angle,
    /// Samples a second, in Hz, for a table without a time column.
    pub rate: Option<f64>,
    /// For each sensor of the job its channel.
    pub sensors: Vec<SensorWiring>,
}

impl Default for Wiring {
    fn default() -> Self {
        Self {
            pulse: None,
            edge: Edge::Rising,
            level: None,
            pulse_at: Angle::ZERO,
            rate: None,
            sensors: Vec::new(),
        }
    }
}

/// A channel of a recording.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum ChannelName {
    /// The first is 1.
    Number(usize),
    /// The name of a column.
    Named(String),
}

impl std::fmt::Display for ChannelName {
    fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Number(number) => write!(out, "channel {number}"),
            Self::Named(name) => write!(out, "column `{}`", shown(name)),
        }
    }
}

/// The channel of a sensor.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct SensorWiring {
    /// The sensor's name.
    pub name: String,
    /// Its channel; `None`: the column with its name, else the next one after the pulse.
    pub channel: Option<ChannelName>,
    /// What it feels, if it is stated.
    pub picks_up: Option<Motion>,
    /// What a recorded value of 1 is.
    pub full_scale: Option<Amount>,
    /// The volts it gives for what it feels.
    pub scale: Option<Calibration>,
    /// Added to the phase of the reading.
    pub phase_correction: Option<Angle>,
    /// The unit of the reading; `None`: that of the runs file.
    pub reads: Option<ReadingUnit>,
}

/// A number and its unit as written.
#[derive(Debug, Clone, PartialEq)]
pub struct Amount {
    /// How many.
    pub value: f64,
    /// Of what: a unit of vibration, or volts.
    pub unit: String,
}

/// `100 mV/(mm/s)`: so many volts for one unit of vibration.
#[derive(Debug, Clone, PartialEq)]
pub struct Calibration {
    /// Volts for one unit.
    pub volts: f64,
    /// Of this unit.
    pub per: VibrationUnit,
}

/// One of these units in volts; `None`: no unit of voltage.
#[must_use]
pub fn volts(unit: &str) -> Option<f64> {
    match unit {
        "V" => Some(1.0),
        "mV" => Some(1e-3),
        "uV" | "µV" | "μV" => Some(1e-6),
        _ => None,
    }
}

const CALIBRATION: (&str, &str) = ("so many volts for a unit of vibration", "\"100 mV/(mm/s)\"");
const FULL_SCALE: (&str, &str) = ("a number and its unit", "\"20 mm/s\"");

/// `[capture]` and the keys about channels of each `[[sensor]]`.
pub(super) fn read(document: &Document<'_>, sensors: &[Sensor], once_round: Option<f64>) -> Wiring {
    let section = document.section("capture");
    let usual = Wiring::default();
    let level = section.text_read_as("level", ("a number", "0.4"), finite);
    let wiring = Wiring {
        pulse: read_channel(&section, "pulse"),
        edge: section
            .choice("edge", &[("rising", Edge::Rising), ("falling", Edge::Falling)])
            .unwrap_or(usual.edge),
        level,
        pulse_at: around(&section, "pulse_at", once_round).unwrap_or(usual.pulse_at),
        rate: section.text_read_as("rate", ("a number of Hz or kHz", "\"8192 Hz\""), rate),
        sensors: Vec::new(),
    };
    let mut taken: Vec<ChannelName> = wiring.pulse.iter().cloned().collect();
    let sections = document.sections_by_name("sensor", limits::SENSORS);
    let wired = sections.iter().filter_map(|section| read_sensor(section, sensors, &mut taken));
    Wiring { sensors: wired.collect(), ..wiring }
}

fn read_sensor(
    section: &Section<'_, '_>,
    sensors: &[Sensor],
    taken: &mut Vec<ChannelName>,
) -> Option<SensorWiring> {
    let motions = [Motion::Displacement, Motion::Velocity, Motion::Acceleration];
    let picks_up = section.choice("picks_up", &motions.map(|motion| (motion.word(), motion)));
    let full_scale = section.text_read_as("full_scale", FULL_SCALE, amount);
    let scale = section.text_read_as("scale", CALIBRATION, calibration);
    let reads = section.text_read_as("reads", ("a unit", "\"mm/s\", \"mm/s rms\" or \"um pp\""), |text| {
        ReadingUnit::parse(text).ok()
    });
    let sensor = SensorWiring {
        name: section.text("name")?,
        channel: read_channel(section, "channel"),
        picks_up,
        full_scale,
        scale,
        phase_correction: section.quantity::<Angle>("phase_correction"),
        reads,
    };
    if let Some(channel) = &sensor.channel {
        if taken.contains(channel) {
            let found = format!("{channel} is already taken");
            let hint = "every sensor, and the pulse, has a channel of its own";
            section.fault("channel", Fault::new("channel-twice", found, "another channel", hint));
        }
        taken.push(channel.clone());
        let shows = sensors.iter().find(|own| own.name == sensor.name).map(|own| own.shows);
        if shows.is_some_and(|shows| shows != Shows::Vibration) {
            let hint = "remove `shows` and `plane`, or `channel`";
            let found = "a channel of a sensor that shows unbalance";
            let allowed = "channels of sensors that show vibration";
            section.fault("channel", Fault::new("channel-with-shows", found, allowed, hint));
        }
    }
    check_units(section, &sensor);
    Some(sensor)
}

/// A sensor's units belong together: volts with a calibration, and what it feels with the motion it picks up.
fn check_units(section: &Section<'_, '_>, sensor: &SensorWiring) {
    let in_volts = sensor.full_scale.as_ref().is_some_and(|own| volts(&own.unit).is_some());
    match (&sensor.full_scale, &sensor.scale) {
        (Some(own), None) if in_volts && section.layer_of("scale").is_none() => {
            let found = format!("`full_scale` in {} without `scale`", own.unit);
            let hint = "add what the sensor gives, for example scale = \"100 mV/(mm/s)\"";
            let allowed = "volts only together with `scale`";
            section.fault("full_scale", Fault::new("scale-missing", found, allowed, hint));
        }
        (Some(own), Some(_)) if !in_volts => {
            let found = format!("`full_scale` in {} beside `scale`", shown(&own.unit));
            let hint = "with `scale` give `full_scale` in volts, or remove one of the two";
            section.fault("full_scale", Fault::new("both-given", found, "one of the two", hint));
        }
        _ => {}
    }
    let felt = sensor.felt();
    let motion = felt.as_ref().and_then(VibrationUnit::motion);
    if let (Some(unit), Some(motion), Some(stated)) = (&felt, motion, sensor.picks_up)
        && motion != stated
    {
        let found = format!("{} with `{}`, a unit of {}", stated.word(), unit.label(), motion.word());
        let hint = "correct `picks_up`, or the unit of `full_scale` or `scale`";
        section.fault("picks_up", Fault::new("motion-differs", found, "units of what it picks up", hint));
    }
    if let (Some(unit), Some(reads)) = (&felt, &sensor.reads)
        && (motion.is_none() || reads.unit.motion().is_none())
        && reads.unit.label() != unit.label()
    {
        let found = format!("`{}` out of `{}`", shown(reads.unit.label()), shown(unit.label()));
        let allowed = format!("units of vibration ({})", listed(VibrationUnit::known()));
        let hint = "both have to be units of vibration, or the same word";
        section.fault("reads", Fault::new("units-unrelated", found, allowed, hint));
    }
}

impl SensorWiring {
    /// The unit of what it feels, if it is stated.
    #[must_use]
    pub fn felt(&self) -> Option<VibrationUnit> {
        let direct = self.full_scale.as_ref().filter(|own| volts(&own.unit).is_none());
        let by_scale = self.scale.as_ref().map(|scale| scale.per.clone());
        by_scale.or_else(|| direct.map(|own| VibrationUnit::named(&own.unit)))
    }
}

/// A number from 1, or the name of a column.
fn read_channel(section: &Section<'_, '_>, key: &'static str) -> Option<ChannelName> {
    let wanted = ("a number from 1, or the name of a column", "2");
    section.text_read_as(key, wanted, |text| match text.parse::<usize>() {
        Ok(0) => None,
        Ok(number) => Some(ChannelName::Number(number)),
        Err(_) => (!text.is_empty()).then(|| ChannelName::Named(text.to_owned())),
    })
}

fn finite(text: &str) -> Option<f64> {
    text.parse::<f64>().ok().filter(|number| number.is_finite())
}

/// A number and its unit.
fn amount(text: &str) -> Option<Amount> {
    let end = text.find(|letter: char| !(letter.is_ascii_digit() || ".-+".contains(letter)))?;
    let (number, unit) = text.split_at(end);
    let value = finite(number).filter(|value| *value != 0.0)?;
    let unit = unit.trim();
    (!unit.is_empty()).then(|| Amount { value, unit: unit.to_owned() })
}

/// `8192 Hz`, `48 kHz`, or a bare number of Hz.
fn rate(text: &str) -> Option<f64> {
    let found = match finite(text) {
        Some(hertz) => Some(hertz),
        None => amount(text).and_then(|own| match own.unit.as_str() {
            "Hz" => Some(own.value),
            "kHz" => Some(own.value * 1000.0),
            _ => None,
        }),
    };
    found.filter(|hertz| (1.0..=1e9).contains(hertz))
}

/// `100 mV/(mm/s)`, `10.2 mV/g`.
fn calibration(text: &str) -> Option<Calibration> {
    let Amount { value, unit } = amount(text)?;
    let (of, per) = unit.split_once('/')?;
    let per = per.trim();
    let per = per.strip_prefix('(').and_then(|per| per.strip_suffix(')')).unwrap_or(per).trim();
    let per = VibrationUnit::named(per);
    per.motion()?;
    Some(Calibration { volts: value * volts(of.trim())?, per })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn calibrations_are_read_as_they_stand_on_data_sheets() {
        let read = |text: &str| calibration(text).map(|own| (own.volts, own.per.label().to_owned()));
        assert_eq!(read("100 mV/(mm/s)"), Some((0.1, "mm/s".into())));
        assert_eq!(read("-4 V/(in/s)"), Some((-4.0, "in/s".into())));
        assert_eq!(read("100 mV/g"), Some((0.1, "g".into())));
        for bad in ["100", "mV/g", "100 mV", "100 mm/s", "0 mV/g", "100 mV/furlong"] {
            assert_eq!(read(bad), None, "{bad}");
        }
        assert_eq!(
            (rate("48 kHz"), rate("8192"), rate("8 mm"), rate("0 Hz")),
            (Some(48e3), Some(8192.0), None, None)
        );
    }
}
