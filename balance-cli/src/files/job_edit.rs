//! Putting a value into a job file without changing the rest of it.

use std::path::Path;

use super::disk;
use super::job::JobFile;
use super::limits;
use super::problem::{Problem, Source};
use super::write::change_file;

/// Where a value goes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Spot {
    /// The section's name.
    pub section: &'static str,
    /// Which of several `[[section]]`, from 0; `None`: a plain `[section]`.
    pub number: Option<usize>,
    /// The key.
    pub key: &'static str,
}

/// A value to put in: where, and how TOML writes it.
#[derive(Debug, Clone, PartialEq)]
pub struct NewValue {
    /// Where it goes.
    pub spot: Spot,
    /// Its value.
    pub text: String,
}

impl NewValue {
    /// A text.
    #[must_use]
    pub fn text(spot: Spot, text: &str) -> Self {
        Self { spot, text: text.into() }
    }
}

/// A job file's text before and after a change.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Edit {
    before: String,
    after: String,
}

/// Puts values into a job file. They are accepted only if the whole job then reads without a fault; the file
/// is written in one step.
///
/// # Errors
///
/// The faults the job would have; the file is then unchanged.
pub fn put_into_job(job_file: &Path, values: &[NewValue]) -> Result<Edit, Vec<Problem>> {
    let mut edit = Edit { before: String::new(), after: String::new() };
    change_file(job_file, limits::JOB, |bytes| {
        let source = disk::text_of(disk::shown_path(job_file), bytes)?;
        edit.before = source.text.to_string();
        edit.after = values.iter().fold(edit.before.clone(), |text, value| with_value(&text, value));
        let folder = job_file.parent().unwrap_or(Path::new(""));
        let shop = super::job::shop_file_of(folder).map(|file| disk::read_text(&file)).transpose()?;
        JobFile::read(&Source::new(source.file, &*edit.after), shop.as_ref())?;
        Ok(edit.after.clone().into_bytes())
    })?;
    Ok(edit)
}

/// Undoes a change, if the file was not changed since; returns whether it was undone.
///
/// # Errors
///
/// The file cannot be read or written.
pub fn take_back(job_file: &Path, edit: &Edit) -> Result<bool, Vec<Problem>> {
    let mut as_left = false;
    change_file(job_file, limits::JOB, |bytes| {
        as_left = bytes == edit.after.as_bytes();
        Ok(if as_left { edit.before.clone().into_bytes() } else { bytes.to_vec() })
    })?;
    Ok(as_left)
}

/// The text with the value: in place of the existing one, otherwise under its section's head, otherwise in a
/// new section at the end.
fn with_value(text: &str, new: &NewValue) -> String {
    let Spot { section, number, key } = new.spot;
    let head = if number.is_some() { format!("[[{section}]]") } else { format!("[{section}]") };
    let line = format!("{key} = {}\n", toml::Value::String(new.text.clone()));
    let Some(body) = body_of(text, &head, number.unwrap_or(0)) else {
        let gap = if text.is_empty() || text.ends_with('\n') { "" } else { "\n" };
        return format!("{text}{gap}\n{head}\n{line}");
    };
    let mut at = body;
    for own in text[body..].split_inclusive('\n').take_while(|own| !own.trim_start().starts_with('[')) {
        let after = at + own.len();
        if own.split_once('=').is_some_and(|(name, _)| name.trim() == key) {
            return format!("{}{line}{}", &text[..at], &text[after..]);
        }
        at = after;
    }
    let gap = if text[..body].ends_with('\n') { "" } else { "\n" };
    format!("{}{gap}{line}{}", &text[..body], &text[body..])
}

/// Where the lines under a section's head begin.
fn body_of(text: &str, head: &str, number: usize) -> Option<usize> {
    let mut at = 0;
    let ends = text.split_inclusive('\n').filter_map(|own| {
        at += own.len();
        (own.split('#').next().unwrap_or_default().trim() == head).then_some(at)
    });
    ends.skip(number).take(1).last()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn values_go_under_their_section_or_into_a_new_one() {
        let text = "[job] # mine\nnumber = \"A\"\n[[correction_plane]]\nname = \"f\"\n[[correction_plane]]\nname = \"r\"";
        let spot = |section, number, key| Spot { section, number, key };
        let put = |spot, value| NewValue::text(spot, value);
        let one = with_value(text, &put(spot("correction_plane", Some(1), "position"), "1290 mm"));
        assert!(one.ends_with("[[correction_plane]]\nposition = \"1290 mm\"\nname = \"r\""), "{one}");
        let two = with_value(&one, &put(spot("shaft", None, "mass"), "14.2 kg"));
        assert!(two.ends_with("name = \"r\"\n\n[shaft]\nmass = \"14.2 kg\"\n"), "{two}");
        let three = with_value(&two, &put(spot("job", None, "unit"), "a \"b\""));
        assert!(three.starts_with("[job] # mine\nunit = "), "{three}");
        assert!(toml::from_str::<toml::Table>(&three).is_ok(), "{three}");
        let four = with_value(&three, &put(spot("shaft", None, "mass"), "15 kg"));
        assert_eq!(four, three.replace("14.2 kg", "15 kg"));
    }

    #[test]
    fn a_value_that_would_be_a_fault_changes_nothing() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("job.toml");
        std::fs::write(&path, "[job]\nnumber = \"A\"\n").unwrap();
        let mass = |value| [NewValue::text(Spot { section: "shaft", number: None, key: "mass" }, value)];
        assert!(put_into_job(&path, &mass("14.2 rpm")).is_err());
        assert_eq!(std::fs::read_to_string(&path).unwrap(), "[job]\nnumber = \"A\"\n");
        let edit = put_into_job(&path, &mass("14.2 kg")).unwrap();
        assert_eq!(JobFile::load(&path).unwrap().job.measures.mass.unwrap().kilograms(), 14.2);
        assert_eq!(take_back(&path, &edit), Ok(true));
        assert_eq!(std::fs::read_to_string(&path).unwrap(), "[job]\nnumber = \"A\"\n");
        assert_eq!(take_back(&path, &edit), Ok(false), "the file has changed");
    }
}
