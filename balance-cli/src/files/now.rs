//! The current time: the one place where the program reads the computer's clock and its time zone.

use std::time::SystemTime;

use jiff::Timestamp;
use jiff::civil::Date;
use jiff::tz::TimeZone;

use super::problem::Problem;

/// The day of a moment, as a date: 2026-11-20.
#[must_use]
pub fn day_of(moment: SystemTime) -> Option<String> {
    Some(Timestamp::try_from(moment).ok()?.strftime("%Y-%m-%d").to_string())
}

/// Today, as 2026-11-27, by the computer's clock and time zone.
///
/// # Errors
///
/// As [`now`].
pub fn today() -> Result<String, Problem> {
    Ok(now()?.to_zoned_datetime(TimeZone::system()).strftime("%Y-%m-%d").to_string())
}

/// How many months lie between a day, as 2026-11-27, and a moment; `None`: it is no day.
#[must_use]
pub fn months_since(day: &str, moment: Timestamp) -> Option<f64> {
    let day: Date = day.parse().ok()?;
    let today = moment.to_zoned_datetime(TimeZone::UTC).date();
    Some(f64::from(today.since(day).ok()?.get_days()) / DAYS_IN_A_MONTH)
}

const DAYS_IN_A_MONTH: f64 = 365.25 / 12.0;

/// Whether a text is a day, as 2026-11-27.
#[must_use]
pub fn is_day(text: &str) -> bool {
    text.parse::<Date>().is_ok()
}

/// The moment, by the computer's clock.
///
/// # Errors
///
/// A problem of code `clock` if the clock shows an impossible time: before the year 1 or after 9999.
pub fn now() -> Result<Timestamp, Problem> {
    Timestamp::try_from(SystemTime::now()).map_err(|_| {
        Problem::of_file("clock", "the computer's clock", "shows an impossible date")
            .hinting("set it, then try again: a record needs its date".to_owned())
    })
}

/// A moment by the clock on the wall, with its distance from Greenwich: "2026-11-27 14:05 +01:00".
#[must_use]
pub fn local(moment: Timestamp) -> String {
    moment.to_zoned_datetime(TimeZone::system()).strftime("%Y-%m-%d %H:%M %:z").to_string()
}
