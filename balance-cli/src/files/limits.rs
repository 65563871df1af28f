//! How much is read: one stated limit for every size. Far more than anyone writes, and little enough that a wrong file name
//! ends in a message and not in a full memory.

/// The largest job or shop file, in bytes.
pub const JOB: u64 = 16 << 20;

/// The largest runs or runout file, in bytes.
pub const RUNS: u64 = 256 << 20;

/// The largest picture that is put into a report, in bytes.
pub const PICTURE: u64 = 8 << 20;

/// The pictures of one report together, in bytes.
pub const PICTURES: u64 = 64 << 20;
