//! The job file under the shop file: from TOML to the nouns of the trade.

mod came_back;
mod convention;
mod heading;
mod load;
mod measures;
mod people;
mod photo;
mod places;
mod shaft;
mod stand;
mod weights;
mod whole;

#[cfg(test)]
mod tests;

pub use came_back::CameBack;
pub use heading::{Heading, Shop};
pub use load::{JOB_FILE, RUNS_FILE, SHOP_FILE, shop_file_above};
pub use measures::{Limit, Measures};
pub use people::People;
pub use photo::PhotoFile;
pub use shaft::{
    DrivelineJoint, ReachedSpeed, Relength, RunoutFile, ShaftDetails, TubeMaterial, YokeSwap, is_plain_name,
};
pub use stand::Stand;
pub use weights::WeldPlan;
pub use whole::Job;
