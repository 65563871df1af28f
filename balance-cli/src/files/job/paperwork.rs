//! What is only kept for the record: no number, verdict or advice depends on it.

use balance_core::shaft::{JointSize, MatchMark, ShaftState};

use super::came_back::CameBack;
use super::capture::Wiring;
use super::heading::{Heading, Shop};
use super::people::People;
use super::photo::PhotoFile;
use crate::paper::Paper;

/// Whose shaft it is, who worked on it, how it came in and left, and the files that belong to it.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Paperwork {
    /// `[job]`: whose shaft it is.
    pub heading: Heading,
    /// `[show] paper`: what records and pictures are printed on.
    pub paper: Option<Paper>,
    /// `[proved] good_for`: how many months a proved figure of the stand counts as fresh.
    pub proved_months: Option<f64>,
    /// `[shop]`: who balances it.
    pub shop: Shop,
    /// `[came_back]`: the record of its last visit.
    pub came_back: Option<CameBack>,
    /// `[people]`: who is responsible for the work.
    pub people: People,
    /// `[[photo]]`: pictures for the report.
    pub photos: Vec<PhotoFile>,
    /// `[received]`: how it came in.
    pub received: Option<ShaftState>,
    /// `[built]`: how it was built.
    pub built: Option<ShaftState>,
    /// `[[match_mark]]`.
    pub match_marks: Vec<MatchMark>,
    /// `[[joint_size]]`: what the yokes of the joints take.
    pub joint_sizes: Vec<JointSize>,
    /// `[capture]` and the sensors' channels: how recordings of the stand are wired.
    pub wiring: Wiring,
    /// `[runout]`: the file of the dial indicator's readings.
    pub runout_file: Option<String>,
    /// `[stand] amplitude_swing`: the unit in which it was given, if it named one.
    pub swing_unit: Option<String>,
    /// `[stand] reading_unit`: the unit in which the dials show their amplitude, if it is stated.
    pub reading_unit: Option<String>,
    /// `[stand] amplitude_step`: the unit in which it was given, if it named one.
    pub step_unit: Option<String>,
}

impl Paperwork {
    /// The unit of the dials, if any stated value gives it.
    #[must_use]
    pub fn dial_unit(&self) -> Option<&str> {
        self.reading_unit.as_deref().or(self.swing_unit.as_deref()).or(self.step_unit.as_deref())
    }
}
