//! What the job's files say, as far as the questions need it.

use std::path::{Path, PathBuf};

use crate::command::from_archive::known_types;
use crate::files::job::JOB_FILE;
use crate::files::job_edit::sections_in;
use crate::files::{JobFile, Problem};

/// The job as it reads now, and what is stated rather than assumed.
pub struct Known {
    /// The job over its shop.
    pub file: JobFile,
    /// Job and shop as one table.
    stated: toml::Table,
    /// How many `[[weight]]` stand in the job's own file.
    pub own_weights: usize,
    /// The shaft types of the archive.
    pub types: Vec<String>,
}

impl Known {
    /// Reads a job's files.
    ///
    /// # Errors
    ///
    /// Every fault of them.
    pub fn load(folder: &Path, archive: Option<PathBuf>) -> Result<Self, Vec<Problem>> {
        let file = JobFile::load_folder(folder)?;
        let own_weights = sections_in(&folder.join(JOB_FILE), "weight")?;
        let stated = toml::from_str(&file.merged_text).unwrap_or_default();
        // The archive is asked only while the question is open.
        let types =
            if file.paperwork.heading.shaft_type.is_none() { known_types(archive) } else { Vec::new() };
        Ok(Self { stated, own_weights, types: types.into_iter().map(|(name, _)| name).collect(), file })
    }

    /// Whether job or shop state this key.
    pub fn states(&self, section: &str, key: &str) -> bool {
        self.stated.get(section).and_then(|own| own.get(key)).is_some()
    }
}
