//! A reading while it is being typed: all at once or number by number.

use balance_core::quantity::{Angle, Speed};
use balance_core::run::SensorReading;

use super::line::Value;

/// What is known of the speed before it is typed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum SpeedAsked {
    /// The file has no column for it.
    Never,
    /// It must be typed.
    Unknown,
    /// Enter means this.
    Proposed(f64),
}

/// Whether the dials show an angle.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Phases {
    /// Amplitude and angle.
    Shown,
    /// Amplitudes alone.
    NotShown,
}

/// The next number that is wanted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Field {
    /// The stand's speed.
    Speed,
    /// The amplitude of a sensor.
    Amplitude(usize),
    /// The phase of a sensor.
    Phase(usize),
}

/// A reading in the making.
#[derive(Debug, Clone, PartialEq)]
pub struct Draft {
    asked: SpeedAsked,
    speed: Option<f64>,
    sensors: usize,
    phases: Phases,
    cells: Vec<SensorReading>,
    amplitude: Option<f64>,
}

/// The fastest speed that is taken, rpm, and the largest reading: beyond is a slip of the finger.
const MOST: [f64; 2] = [50_000.0, 100_000.0];
/// Slower than this nobody balances, rpm.
const SLOWEST: f64 = 50.0;

impl Draft {
    /// Nothing typed yet.
    #[must_use]
    pub fn new(asked: SpeedAsked, sensors: usize, phases: Phases) -> Self {
        Self { asked, speed: None, sensors, phases, cells: Vec::new(), amplitude: None }
    }

    /// Whether nothing was typed yet.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.speed.is_none() && self.cells.is_empty() && self.amplitude.is_none()
    }

    /// What is wanted next; `None`: the reading is complete.
    #[must_use]
    pub fn next(&self) -> Option<Field> {
        if self.speed.is_none() && self.asked != SpeedAsked::Never {
            return Some(Field::Speed);
        }
        let at = self.cells.len();
        match self.amplitude {
            Some(_) => Some(Field::Phase(at)),
            None if at < self.sensors => Some(Field::Amplitude(at)),
            None => None,
        }
    }

    /// Takes the speed as proposed; `false` if there is none to propose.
    pub fn take_proposed(&mut self) -> bool {
        match self.asked {
            SpeedAsked::Proposed(speed) if self.speed.is_none() => {
                self.speed = Some(speed);
                true
            }
            _ => false,
        }
    }

    /// Takes a line of values; all of them or none.
    ///
    /// # Errors
    ///
    /// Words for people.
    pub fn take(&mut self, values: &[Value]) -> Result<(), String> {
        let mut longer = self.clone();
        longer.guess_speed(values);
        for value in values {
            longer.take_one(*value)?;
        }
        *self = longer;
        Ok(())
    }

    /// Whether a first number is the speed or, where one is proposed, the first reading already.
    fn guess_speed(&mut self, values: &[Value]) {
        let (SpeedAsked::Proposed(speed), None) = (self.asked, self.speed) else { return };
        let first_is_speed = match values.first() {
            Some(Value::Number(first)) => *first >= speed / 2.0,
            Some(Value::Below(_) | Value::NotRead) => false,
            None => true,
        };
        let numbers = match self.phases {
            Phases::Shown => 2 * self.sensors,
            Phases::NotShown => self.sensors,
        };
        if values.len() == numbers || !first_is_speed {
            self.speed = Some(speed);
        }
    }

    fn take_one(&mut self, value: Value) -> Result<(), String> {
        match (self.next(), value) {
            (None, _) => Err(format!("more numbers than asked for: {}", self.wanted())),
            (Some(Field::Speed), Value::Number(speed)) => self.take_speed(speed),
            (Some(Field::Speed), _) => Err("the speed comes first".into()),
            (Some(Field::Amplitude(_)), Value::NotRead) => self.keep(SensorReading::NotRead),
            (Some(Field::Amplitude(_)), Value::Below(limit)) => {
                self.keep(SensorReading::Below(amplitude(limit).and_then(above_zero)?))
            }
            (Some(Field::Amplitude(_)), Value::Number(size)) if self.phases == Phases::NotShown => {
                self.keep(SensorReading::Amplitude(amplitude(size)?))
            }
            (Some(Field::Amplitude(_)), Value::Number(size)) => {
                self.amplitude = Some(amplitude(size)?);
                Ok(())
            }
            (Some(Field::Phase(_)), Value::Number(degrees)) => self.take_phase(degrees),
            (Some(Field::Phase(_)), _) => Err("an angle is wanted there, in degrees".into()),
        }
    }

    fn wanted(&self) -> String {
        let speed = if self.asked == SpeedAsked::Never { "" } else { "speed, then " };
        let each = match self.phases {
            Phases::Shown => "amplitude and phase",
            Phases::NotShown => "the amplitude alone",
        };
        format!("{speed}{} times {each}", self.sensors)
    }

    fn take_speed(&mut self, speed: f64) -> Result<(), String> {
        self.speed = Some(self::speed(speed)?);
        Ok(())
    }

    fn take_phase(&mut self, degrees: f64) -> Result<(), String> {
        let phase = angle(degrees)?;
        let amplitude = self.amplitude.take().unwrap_or(0.0);
        self.keep(SensorReading::Shown { amplitude, phase })
    }

    #[expect(clippy::unnecessary_wraps, reason = "every arm of `take_one` may fail")]
    fn keep(&mut self, reading: SensorReading) -> Result<(), String> {
        self.cells.push(reading);
        Ok(())
    }

    /// The complete reading.
    #[must_use]
    pub fn reading(&self) -> Option<(Option<Speed>, Vec<SensorReading>)> {
        if self.next().is_some() {
            return None;
        }
        let speed = self.speed.and_then(|rpm| Speed::from_rpm(rpm).ok());
        Some((speed, self.cells.clone()))
    }
}

/// A speed as typed, rpm.
///
/// # Errors
///
/// Words for people.
pub fn speed(rpm: f64) -> Result<f64, String> {
    if (SLOWEST..=MOST[0]).contains(&rpm) {
        return Ok(rpm);
    }
    let allowed = format!("{SLOWEST} to {} rpm", MOST[0]);
    Err(format!("a speed of {rpm} rpm is out of range: type it like 1800 (not 1,800), {allowed}"))
}

/// An amplitude as typed.
///
/// # Errors
///
/// Words for people.
pub fn amplitude(size: f64) -> Result<f64, String> {
    if (0.0..=MOST[1]).contains(&size) {
        Ok(size)
    } else {
        Err(format!("a reading of {size} is out of range: 0 to {}", MOST[1]))
    }
}

fn above_zero(size: f64) -> Result<f64, String> {
    if size > 0.0 { Ok(size) } else { Err("below what? type it like <0.1".into()) }
}

/// An angle as typed.
///
/// # Errors
///
/// Words for people.
pub fn angle(degrees: f64) -> Result<Angle, String> {
    let wrong = || format!("an angle of {degrees} deg is out of range: 0 to 360");
    if (-360.0..=360.0).contains(&degrees) {
        Angle::from_degrees(degrees).map_err(|_| wrong())
    } else {
        Err(wrong())
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::stand::line::values;

    /// The speed, and each sensor's amplitude and phase.
    type Typed = (Option<f64>, Vec<(f64, f64)>);

    fn typed(asked: SpeedAsked, lines: &[&str]) -> Option<Typed> {
        let mut draft = Draft::new(asked, 2, Phases::Shown);
        for line in lines {
            if line.is_empty() {
                draft.take_proposed();
            } else {
                draft.take(&values(line, &[]).unwrap()).unwrap();
            }
        }
        let (speed, readings) = draft.reading()?;
        let pair = |reading: SensorReading| match reading {
            SensorReading::Shown { amplitude, phase } => (amplitude, phase.degrees()),
            SensorReading::Amplitude(amplitude) => (amplitude, 0.0),
            SensorReading::Below(limit) => (-limit, 0.0),
            SensorReading::NotRead => (-1e9, 0.0),
        };
        Some((speed.map(Speed::rpm), readings.into_iter().map(pair).collect()))
    }

    #[test]
    fn a_reading_comes_in_one_line_or_in_many() {
        let whole = Some((Some(1800.0), vec![(5.29, 230.0), (3.24, 69.0)]));
        let known = SpeedAsked::Proposed(1800.0);
        assert_eq!(typed(SpeedAsked::Unknown, &["1800 5.29 230 3.24 69"]), whole);
        assert_eq!(typed(SpeedAsked::Unknown, &["1800", "5.29", "230", "3.24", "69"]), whole);
        assert_eq!(typed(known, &["5.29 @ 230", "3.24 @ 69"]), whole);
        assert_eq!(typed(known, &["5,29 230 3,24 69"]), whole);
        assert_eq!(typed(known, &["1800 5.29 230", "3.24 69"]), whole);
        assert_eq!(typed(known, &["", "5.29 230 3.24 69"]), whole);
        assert_eq!(typed(SpeedAsked::Never, &["5.29 230", "3.24", "69"]).unwrap().0, None);
        assert_eq!(typed(known, &["<0.1 - "]).unwrap().1, [(-0.1, 0.0), (-1e9, 0.0)]);
        assert_eq!(typed(known, &["5.29 230"]), None, "not complete");
    }

    #[test]
    fn a_wrong_line_leaves_the_draft_as_it_was() {
        let mut draft = Draft::new(SpeedAsked::Unknown, 2, Phases::Shown);
        draft.take(&values("1800 5.29 230", &[]).unwrap()).unwrap();
        let before = draft.clone();
        for wrong in ["3.24 400", "-3 20", "99999999999 4", "3.24 69 7", "3.24 <4"] {
            assert!(draft.take(&values(wrong, &[]).unwrap()).is_err(), "{wrong}");
            assert_eq!(draft, before, "{wrong}");
        }
        let mut first = Draft::new(SpeedAsked::Unknown, 2, Phases::Shown);
        assert!(first.take(&values("1,800", &[]).unwrap()).unwrap_err().contains("1800"));
    }

    proptest! {
        #[test]
        fn any_values_are_taken_or_refused(numbers in proptest::collection::vec(any::<f64>(), 0..9)) {
            let mut draft = Draft::new(SpeedAsked::Proposed(1800.0), 2, Phases::Shown);
            let values: Vec<Value> = numbers.into_iter().map(Value::Number).collect();
            if draft.take(&values).is_ok() && draft.next().is_none() {
                prop_assert!(draft.reading().is_some_and(|(speed, cells)| speed.is_some() && cells.len() == 2));
            }
        }
    }
}
