//! The current time: the one place where the program reads the computer's clock and its time zone.

use std::time::SystemTime;

use jiff::Timestamp;
use jiff::tz::TimeZone;

use super::problem::Problem;

/// The day of a moment, as a date: 2026-11-20.
#[must_use]
pub fn day_of(moment: SystemTime) -> Option<String> {
    Some(Timestamp::try_from(moment).ok()?.strftime("%Y-%m-%d").to_string())
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
