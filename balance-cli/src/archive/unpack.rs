//! Writing out a record's files.

use std::collections::HashSet;
use std::path::{Path, PathBuf};

use super::Record;
use crate::files::Problem;
use crate::files::disk::is_below;
use crate::files::names::{file_name, is_device};
use crate::files::write::{Existing, file_exists, write_file};

/// Writes a record's files to the places given by their names: below the folder, in their original
/// subfolders. If one of the files already exists, none is written.
///
/// # Errors
///
/// Every file that already exists, or the first that cannot be written.
pub fn write_files(record: &Record, folder: &Path) -> Result<Vec<PathBuf>, Vec<Problem>> {
    let places = places(record, folder);
    let there = |path: &&PathBuf| std::fs::symlink_metadata(path).is_ok();
    let problems: Vec<Problem> = places.iter().filter(there).map(|path| file_exists(path)).collect();
    if !problems.is_empty() {
        return Err(problems);
    }
    for (file, path) in record.files.iter().zip(&places) {
        if let Some(above) = path.parent() {
            std::fs::create_dir_all(above)
                .map_err(|error| crate::files::write::cannot_write(path, &error))?;
        }
        write_file(path, &file.bytes, Existing::Keep)?;
    }
    Ok(places)
}

/// Where each file goes. Files with the same name get different names; a name that leads out of the folder is
/// turned into a plain name.
fn places(record: &Record, folder: &Path) -> Vec<PathBuf> {
    let mut taken = HashSet::new();
    let place = |name: &str| {
        let parts = Path::new(name).components().map(|part| part.as_os_str().to_string_lossy());
        let stays =
            is_below(name) && !name.contains(['\\', ':']) && !parts.clone().any(|part| is_device(&part));
        let name = if stays && !name.is_empty() { PathBuf::from(name) } else { file_name(name).into() };
        (1..)
            .map(|number| numbered(&name, number))
            .find(|name| taken.insert(name.to_string_lossy().to_lowercase()))
            .unwrap_or(name)
    };
    let names = record.files.iter().map(|file| file.name.as_str());
    names.map(place).map(|name| folder.join(name)).collect()
}

/// `photo.jpg`, then `photo (2).jpg`, `photo (3).jpg` and so on.
fn numbered(name: &Path, number: usize) -> PathBuf {
    if number == 1 {
        return name.to_owned();
    }
    let stem = name.file_stem().unwrap_or_default().to_string_lossy();
    let ending = name.extension().map(|ending| format!(".{}", ending.to_string_lossy())).unwrap_or_default();
    name.with_file_name(format!("{stem} ({number}){ending}"))
}
