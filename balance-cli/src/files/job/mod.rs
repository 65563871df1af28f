//! The job file under the shop file: from TOML to the nouns of the trade.

mod came_back;
mod capture;
mod convention;
mod heading;
mod load;
mod measures;
mod paperwork;
mod people;
mod photo;
mod places;
mod proved;
mod shaft;
mod stand;
mod weights;
mod whole;

#[cfg(test)]
mod tests;

pub use came_back::CameBack;
pub use capture::{Amount, Calibration, ChannelName, SensorWiring, Wiring, volts};
pub use heading::{Heading, Shop};
pub use load::{JOB_FILE, RUNS_FILE, SHOP_FILE, shop_file_here_or_above, shop_file_of, units_here};
pub use paperwork::Paperwork;
pub use people::People;
pub use photo::PhotoFile;
pub use proved::{FIXTURE, fixture_text};
pub use shaft::is_plain_name;
pub use whole::JobFile;
