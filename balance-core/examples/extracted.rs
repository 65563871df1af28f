//! Reads a recording for `tests/reference/check_capture.py`: frames of little-endian f64 from standard input (pulse,
//! then two sensors), the sample rate and the pulse's level as arguments. Writes to standard output, line by line, speed
//! and turns, then for each sensor once to five times per turn as lag vectors, the tones' frequencies, and the variances.

use std::io::{self, Read, Write};

use balance_core::quantity::Angle;
use balance_core::run::{Convention, MassAngle, Phase};
use balance_core::stand::capture::{
    CaptureSetup, Edge, Extractor, PulseSetup, ReadingUnit, SensorSetup, Stretch,
};

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let numbers: Result<Vec<f64>, _> = std::env::args().skip(1).map(|text| text.parse()).collect();
    let [rate, level] =
        numbers?.try_into().map_err(|_| "the sample rate and the pulse's level are needed")?;
    let unit = ReadingUnit::parse("mm/s")?;
    let setup = CaptureSetup {
        rate: Some(rate),
        pulse: PulseSetup { edge: Edge::Rising, level: Some(level), at: Angle::ZERO },
        sensors: vec![SensorSetup::plain("front", unit.clone()), SensorSetup::plain("rear", unit)],
        stretch: Stretch::Automatic,
        convention: Convention {
            mass_angle: MassAngle::AgainstRotation,
            phase: Phase::Lag,
            ..Convention::unstated()
        },
    };
    let mut bytes = Vec::new();
    io::stdin().lock().read_to_end(&mut bytes)?;
    let number = |bytes: &[u8]| bytes.try_into().map_or(f64::NAN, f64::from_le_bytes);
    let mut columns = [Vec::new(), Vec::new(), Vec::new()];
    for (place, value) in bytes.chunks_exact(8).map(number).enumerate() {
        columns[place % 3].push(value);
    }
    let mut extractor = Extractor::new(setup).map_err(|faults| format!("{faults:?}"))?;
    extractor.push(None, &columns[0], &[&columns[1], &columns[2]])?;
    let found = extractor.finish()?;
    let mut out = io::stdout().lock();
    writeln!(out, "{:e} {}", found.speed_rpm, found.turns)?;
    for sensor in &found.sensors {
        for harmonic in &sensor.harmonics {
            let vector = harmonic.reading.vector();
            write!(out, "{:e} {:e} ", vector.re, vector.im)?;
        }
        write!(out, "{:e} {:e} ", sensor.covariance[0][0], sensor.covariance[1][1])?;
        let tones: Vec<String> = sensor
            .tones
            .iter()
            .map(|tone| format!("{:?} {:e} {:e}", tone.kind, tone.per_turn, tone.frequency_hz))
            .collect();
        writeln!(out, "{}", tones.join(" "))?;
    }
    Ok(())
}
