//! Putting a value into a job file without changing the rest of it.

use std::path::Path;

use toml_edit::{ArrayOfTables, DocumentMut, InlineTable, Item, Table, TableLike};

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
    /// What it says; empty: nothing any more, the key is taken out.
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
        edit.after = values.iter().try_fold(edit.before.clone(), |text, value| with_value(&text, value))?;
        let folder = job_file.parent().unwrap_or(Path::new(""));
        let shop = super::job::shop_file_of(folder).map(|file| disk::read_text(&file)).transpose()?;
        JobFile::read(&Source::new(source.file, &*edit.after), shop.as_ref())?;
        Ok(edit.after.clone().into_bytes())
    })?;
    Ok(edit)
}

/// Puts values into the shop file above a job, for all its jobs. `false`: there is no shop file.
///
/// # Errors
///
/// A file cannot be read or written, or the job would have faults; nothing is then changed.
pub fn put_into_shop(job_file: &Path, values: &[NewValue]) -> Result<bool, Vec<Problem>> {
    let Some(shop) = super::job::shop_file_of(job_file.parent().unwrap_or(Path::new(""))) else {
        return Ok(false);
    };
    let job = disk::read_text(job_file)?;
    change_file(&shop, limits::JOB, |bytes| {
        let source = disk::text_of(disk::shown_path(&shop), bytes)?;
        let text = values.iter().try_fold(source.text.to_string(), |text, value| with_value(&text, value))?;
        JobFile::read(&job, Some(&Source::new(source.file, &*text)))?;
        Ok(text.into_bytes())
    })?;
    Ok(true)
}

/// Takes a change back, if the file was not changed since; whether it was taken back.
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

/// The text with the value: in the place of the one that is there, else behind the last line of its section, else in a
/// new section at the end. Everything else stays as it is, comments and all.
fn with_value(text: &str, new: &NewValue) -> Result<String, Vec<Problem>> {
    let mut document: DocumentMut = text.parse().map_err(|_| no_place(new.spot))?;
    let found = match new.spot.number {
        None => plain_section(&mut document, new.spot),
        Some(number) => one_of_many(&mut document, new.spot, number),
    };
    let section = found.ok_or_else(|| no_place(new.spot))?;
    let text = new.text.as_str();
    if text.is_empty() {
        section.remove(new.spot.key);
        return Ok(document.to_string());
    }
    match section.get_mut(new.spot.key).and_then(Item::as_value_mut) {
        Some(old) => {
            // A comment behind the old value stays there.
            let decor = old.decor().clone();
            *old = text.into();
            *old.decor_mut() = decor;
        }
        None => {
            section.insert(new.spot.key, toml_edit::value(text));
        }
    }
    Ok(document.to_string())
}

fn plain_section(document: &mut DocumentMut, spot: Spot) -> Option<&mut dyn TableLike> {
    if !document.contains_key(spot.section) {
        let section = new_section(document);
        document.insert(spot.section, Item::Table(section));
    }
    document.get_mut(spot.section)?.as_table_like_mut()
}

fn one_of_many(document: &mut DocumentMut, spot: Spot, number: usize) -> Option<&mut dyn TableLike> {
    if count_in(document, spot.section) == number {
        let section = new_section(document);
        let all = document.entry(spot.section).or_insert(Item::ArrayOfTables(ArrayOfTables::new()));
        match all {
            Item::ArrayOfTables(all) => all.push(section),
            other => other.as_array_mut()?.push(InlineTable::new()),
        }
    }
    match document.get_mut(spot.section)? {
        Item::ArrayOfTables(all) => Some(all.get_mut(number)?),
        other => Some(other.as_array_mut()?.get_mut(number)?.as_inline_table_mut()?),
    }
}

/// A section for the end of the file. The comments that stand there belong to the section before and stay above it.
fn new_section(document: &mut DocumentMut) -> Table {
    let trailing = document.trailing().as_str().unwrap_or_default().to_owned();
    document.set_trailing("");
    let mut section = Table::new();
    let last = document.iter().map(|(_, item)| last_position(item)).max().flatten();
    section.set_position(Some(last.map_or(0, |last| last + 1)));
    let gap = if trailing.is_empty() || trailing.ends_with('\n') { "" } else { "\n" };
    section.decor_mut().set_prefix(format!("{trailing}{gap}\n"));
    section
}

fn last_position(item: &Item) -> Option<isize> {
    match item {
        Item::Table(table) => {
            table.iter().map(|(_, own)| last_position(own)).max().flatten().max(table.position())
        }
        Item::ArrayOfTables(all) => all.iter().filter_map(Table::position).max(),
        _ => None,
    }
}

fn count_in(document: &DocumentMut, section: &str) -> usize {
    match document.get(section) {
        Some(Item::ArrayOfTables(all)) => all.len(),
        Some(other) => other.as_array().map_or(0, toml_edit::Array::len),
        None => 0,
    }
}

/// How many `[[section]]` of this name a job file has.
///
/// # Errors
///
/// It cannot be read.
pub fn sections_in(job_file: &Path, section: &str) -> Result<usize, Vec<Problem>> {
    let source = disk::read_text(job_file)?;
    Ok(source.text.parse::<DocumentMut>().map_or(0, |document| count_in(&document, section)))
}

fn no_place(spot: Spot) -> Vec<Problem> {
    let found = format!("`{}` of [{}] cannot be put in as this file is written", spot.key, spot.section);
    vec![Problem::of_file("not-a-section", "job.toml", found).hinting("write it in by hand".to_owned())]
}

#[cfg(test)]
mod tests {
    use super::*;

    fn put(
        text: &str,
        section: &'static str,
        number: Option<usize>,
        key: &'static str,
        value: &str,
    ) -> String {
        with_value(text, &NewValue::text(Spot { section, number, key }, value)).unwrap()
    }

    #[test]
    fn values_go_under_their_section_or_into_a_new_one_and_comments_stay() {
        let text = "# head\n[job] # mine\nnumber = \"A\" # on the card\n# tag = \"x\"\n\n[[correction_plane]]\nname = \"f\"\n# position = \"1 mm\"\n\n[[correction_plane]]\nname = \"r\"\n# the end";
        let one = put(text, "correction_plane", Some(1), "position", "1290 mm");
        assert_eq!(one, text.replace("name = \"r\"\n", "name = \"r\"\nposition = \"1290 mm\"\n"));
        let two = put(&one, "shaft", None, "mass", "14.2 kg");
        assert_eq!(two, format!("{one}\n\n[shaft]\nmass = \"14.2 kg\"\n"));
        let three = put(&two, "job", None, "unit", "a \"b\"");
        assert!(three.starts_with("# head\n[job] # mine\nnumber = \"A\" # on the card\nunit = "), "{three}");
        let four = put(&three, "job", None, "number", "B");
        assert_eq!(four, three.replace("\"A\" # on", "\"B\" # on"));
        let five = put(&four, "weight", Some(0), "mass", "5 g");
        let six = put(&put(&five, "weight", Some(1), "mass", "10 g"), "weight", Some(1), "width", "25 mm");
        let box_of = "\n[[weight]]\nmass = \"5 g\"\n\n[[weight]]\nmass = \"10 g\"\nwidth = \"25 mm\"\n";
        assert_eq!(six, format!("{four}{box_of}"));
        assert_eq!(
            put(&six, "shaft", None, "grade", "G16"),
            six.replace("14.2 kg\"\n", "14.2 kg\"\ngrade = \"G16\"\n")
        );
        assert!(toml::from_str::<toml::Table>(&six).is_ok(), "{six}");
    }

    #[test]
    fn a_section_on_one_line_is_filled_too() {
        assert_eq!(
            put("shaft = { grade = 16 } # mine\n", "shaft", None, "mass", "14 kg"),
            "shaft = { grade = 16 , mass = \"14 kg\" } # mine\n"
        );
        assert_eq!(
            put("weight = [{ mass = \"5 g\" }]\n", "weight", Some(0), "width", "15 mm"),
            "weight = [{ mass = \"5 g\" , width = \"15 mm\" }]\n"
        );
        let spot = Spot { section: "shaft", number: None, key: "mass" };
        assert!(with_value("shaft = 5\n", &NewValue::text(spot, "1 kg")).is_err());
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
