//! `balance new`: a folder for a shaft.

use std::path::Path;

use super::come_back::{CameBackWith, new_job_of_record};
use super::each::refuse;
use crate::args::NewArguments;
use crate::exit::Exit;
use crate::files::new_job::{new_job, new_job_from};
use crate::files::shown_path;
use crate::print::text::before_first_spin;
use crate::streams::Streams;

pub fn run(arguments: &NewArguments, streams: &mut Streams<'_>) -> std::io::Result<Exit> {
    let folder = Path::new(&arguments.number);
    // A path names the folder; its last part is the number.
    let number =
        folder.file_name().map_or_else(|| arguments.number.clone(), |name| name.to_string_lossy().into());
    let record =
        arguments.from.as_ref().filter(|from| !from.exists()).and_then(|from| from.to_str()?.parse().ok());
    let written = match (&arguments.from, record) {
        (Some(_), Some(record)) => new_job_of_record(folder, &number, record, arguments.archive.clone()),
        (Some(earlier), None) => new_job_from(folder, &number, earlier).map(plain),
        (None, _) => new_job(folder, &number).map(plain),
    };
    match written {
        Ok(written) => {
            for file in written.files {
                writeln!(streams.answer, "{}", shown_path(&file))?;
            }
            for line in written.left_with {
                writeln!(streams.answer, "{line}")?;
            }
            writeln!(streams.answer, "\n{}", before_first_spin().trim_end())?;
            Ok(Exit::Done)
        }
        Err(problems) => refuse(&problems, streams),
    }
}

fn plain(files: Vec<std::path::PathBuf>) -> CameBackWith {
    CameBackWith { files, left_with: Vec::new() }
}
