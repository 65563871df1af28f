//! Writing a record's files out again.

use std::io::Write;
use std::path::Path;

use super::Record;

/// Writes a record's files; never over a file that is there, never outside the folder.
///
/// # Errors
///
/// A folder that cannot be made, a file that is there already or cannot be written.
pub fn write_files(record: &Record, folder: &Path) -> std::io::Result<()> {
    std::fs::create_dir_all(folder)?;
    for file in &record.files {
        let Some(name) = Path::new(&file.name).file_name() else { continue };
        let mut new = std::fs::File::create_new(folder.join(name))?;
        new.write_all(&file.bytes)?;
    }
    Ok(())
}
