//! How much is read: one stated limit for every size and every count. The limits are far above any real
//! shaft, and low enough that a wrong file ends in a message, not in a full memory or a long wait.

/// The largest job or shop file, in bytes.
pub const JOB: u64 = 1 << 20;

/// The largest runs or runout file, in bytes.
pub const RUNS: u64 = 256 << 20;

/// The largest runs file that is only passed through, shaft by shaft, in bytes.
pub const SEASON: u64 = 64 << 30;

/// The largest picture that is put into a report, in bytes.
pub const PICTURE: u64 = 8 << 20;

/// The largest total size of the pictures in one report, in bytes.
pub const PICTURES: u64 = 64 << 20;

/// The files inside one report together, in bytes.
pub const CARRIED: u64 = 64 << 20;

/// The largest report that is read, in bytes: its files take a third more than they have, and there is the page itself.
pub const REPORT: u64 = 128 << 20;

/// What comes out of one packed file of an archive, in bytes: as much as the largest file that goes into a record.
pub const PACKED: u64 = RUNS;

/// Rows of one shaft.
pub const ROWS: usize = 60;

/// Columns of a runs file.
pub const COLUMNS: usize = 1000;

/// Places along one shaft that can carry a weight.
pub const PLANES: usize = 16;

/// Sensors of one stand.
pub const SENSORS: usize = 32;

/// Sections of one name in a job or shop file: pieces of the box, parts, joints, photographs.
pub const SECTIONS: usize = 200;

/// Readings of a dial indicator.
pub const RUNOUT: usize = 20_000;

/// Faults reported for one file, or for one shaft in it.
pub const FAULTS: usize = 200;

/// The largest number in any unit, and one over the smallest that is not zero. Products of such numbers stay
/// finite.
pub const NUMBER: f64 = 1e15;

/// Whether a number is possible for a measured value.
#[must_use]
pub fn is_measurable(number: f64) -> bool {
    number == 0.0 || (1.0 / NUMBER..=NUMBER).contains(&number.abs())
}
