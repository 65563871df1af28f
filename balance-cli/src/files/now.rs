//! What time it is: the one place where the program asks the computer's clock.

use std::time::SystemTime;

use jiff::Timestamp;

use super::problem::Problem;

/// The moment, by the computer's clock.
///
/// # Errors
///
/// A problem of code `clock` if the clock stands at no possible time: before the year 1 or after 9999.
pub fn now() -> Result<Timestamp, Problem> {
    Timestamp::try_from(SystemTime::now()).map_err(|_| {
        Problem::of_file("clock", "the computer's clock", "stands at a time that no calendar has")
            .hinting("set it, then do it again: a record needs its date".to_owned())
    })
}
