//! Writes into an archive and reports what is stored, so that a test can kill it at any moment.
//!
//! `archive_writer add FILE FIRST COUNT` · `archive_writer import FILE FOLDER` · `archive_writer sample FILE`
//!
//! Every line `stored ID INDEX` is printed after the archive has confirmed it.

use std::io::Write;
use std::path::Path;
use std::process::ExitCode;

use balance_cli::archive::{
    Added, Archive, ArchiveFault, ImportStep, NewRecord, Opening, SqliteArchive, import,
};
use balance_tests::archive::{record, record_with_photo};

fn main() -> ExitCode {
    let arguments: Vec<String> = std::env::args().collect();
    let words: Vec<&str> = arguments.iter().skip(1).map(String::as_str).collect();
    let number = |text: &str| text.parse::<u64>().unwrap_or(0);
    let done = match words.as_slice() {
        ["add", file, first, count] => add(Path::new(file), number(first), number(count)),
        ["import", file, folder] => import_all(Path::new(file), Path::new(folder)),
        ["sample", file] => sample(Path::new(file)),
        _ => return ExitCode::from(2),
    };
    match done {
        Ok(()) => ExitCode::SUCCESS,
        Err(fault) => {
            say(&format!("fault {fault}"));
            ExitCode::FAILURE
        }
    }
}

fn say(line: &str) {
    let mut out = std::io::stdout().lock();
    // If no one reads the output any more, there is nothing to report.
    let _ = writeln!(out, "{line}").and_then(|()| out.flush());
}

fn open(file: &Path) -> Result<SqliteArchive, ArchiveFault> {
    SqliteArchive::open_or_create(file, Opening::default())
}

fn add(file: &Path, first: u64, count: u64) -> Result<(), ArchiveFault> {
    let mut archive = open(file)?;
    for index in first..first + count {
        let added = archive.add(&record_with_photo(index, 3000))?;
        say(&format!("stored {} {index}", added.id()));
    }
    Ok(())
}

fn import_all(file: &Path, folder: &Path) -> Result<(), ArchiveFault> {
    let mut archive = open(file)?;
    let mut make = |folder: &Path| -> Result<NewRecord, String> {
        let name = folder.file_name().and_then(|name| name.to_str()).unwrap_or_default();
        let index = name.parse::<u64>().map_err(|_| format!("{name} is no number"))?;
        Ok(record(index))
    };
    let mut progress = |_: usize, _: usize, folder: &Path, step: &ImportStep| {
        if let ImportStep::Added(Added::Stored(id) | Added::AlreadyThere(id)) = step {
            say(&format!("stored {id} {}", folder.file_name().unwrap_or_default().display()));
        }
    };
    import(&mut archive, folder, &mut make, &mut progress).map(|_| ())
}

/// The archive kept as a test file for later versions.
fn sample(file: &Path) -> Result<(), ArchiveFault> {
    let mut archive = open(file)?;
    for index in [417, 418, 458] {
        archive.add(&record(index))?;
    }
    archive.add(&record_with_photo(419, 500))?;
    archive.add(&NewRecord { supersedes: Some(1), technician: "Rowan".into(), ..record(417) })?;
    Ok(())
}
