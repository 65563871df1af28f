//! Times of runs.

use jiff::Timestamp;

use crate::files::problem::{Fault, shown};

/// When a run was made.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Moment {
    /// Minutes since an agreed instant.
    Instant(f64),
    /// Minutes since midnight of an unknown day.
    OfDay(f64),
}

/// Minutes since the first run of a shaft.
#[derive(Debug, Clone, Default)]
pub struct Clock {
    first: Option<Moment>,
    /// For times of day: the last one, and how many midnights have passed.
    last: f64,
    midnights: f64,
}

const DAY: f64 = 24.0 * 60.0;

impl Clock {
    /// Minutes from the first run to this one. A time of day more than half a day earlier than the one before
    /// it counts as the next day.
    ///
    /// # Errors
    ///
    /// The text is not a time, or has a different form from the first.
    pub fn minutes(&mut self, text: &str) -> Result<f64, Fault> {
        let moment = read(text).ok_or_else(|| {
            fault(text, "not-a-time", "use hours and minutes with a colon, or a full time with date and zone")
        })?;
        match (*self.first.get_or_insert(moment), moment) {
            (Moment::Instant(first), Moment::Instant(now)) => Ok(now - first),
            (Moment::OfDay(first), Moment::OfDay(now)) => {
                if self.last - now > DAY / 2.0 {
                    self.midnights += 1.0;
                }
                self.last = now;
                Ok(now + self.midnights * DAY - first)
            }
            _ => Err(fault(text, "mixed-times", "use the same form as in the first run of the shaft")),
        }
    }
}

fn fault(text: &str, code: &'static str, hint: &str) -> Fault {
    let found = format!("found `{}`", shown(text));
    Fault::new(code, found, "2026-03-14T09:30:00+01:00 (RFC 3339) or 09:30", hint)
}

fn read(text: &str) -> Option<Moment> {
    if let Ok(time) = text.parse::<Timestamp>() {
        return Some(Moment::Instant(time.as_millisecond() as f64 / 60_000.0));
    }
    let parts: Vec<&str> = text.split(':').collect();
    let number = |at: usize, below: u32| -> Option<f64> {
        let part = parts.get(at)?;
        let digits = (1..=2).contains(&part.len()) && part.bytes().all(|byte| byte.is_ascii_digit());
        let value: u32 = part.parse().ok().filter(|value| digits && *value < below)?;
        Some(f64::from(value))
    };
    let seconds = match parts.len() {
        2 => 0.0,
        3 => number(2, 60)?,
        _ => return None,
    };
    Some(Moment::OfDay(number(0, 24)? * 60.0 + number(1, 60)? + seconds / 60.0))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn minutes_count_from_the_first_run_over_midnight_and_zones() {
        let mut clock = Clock::default();
        assert_eq!(clock.minutes("23:50"), Ok(0.0));
        assert_eq!(clock.minutes("00:10:30"), Ok(20.5));
        assert_eq!(clock.minutes("0:05"), Ok(15.0));
        let mut clock = Clock::default();
        assert_eq!(clock.minutes("2026-03-14T09:30:00+01:00"), Ok(0.0));
        assert_eq!(clock.minutes("2026-03-14T08:45:00Z"), Ok(15.0));
        assert_eq!(clock.minutes("09:45").unwrap_err().code, "mixed-times");
    }

    #[test]
    fn what_is_no_time_is_refused() {
        for text in ["24:00", "9:60", "9.30", "yesterday", "9:3:4:5", "+9:30", "2026-03-14", "-1:00", "::"] {
            assert_eq!(Clock::default().minutes(text).unwrap_err().code, "not-a-time", "{text}");
        }
    }
}
