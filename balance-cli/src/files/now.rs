//! The current time: the one place where the program reads the computer's clock.

use std::time::SystemTime;

use jiff::Timestamp;

use super::problem::Problem;

/// The current moment by the computer's clock.
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
