//! `balance new`: a folder for a shaft.

use std::path::Path;

use super::come_back::new_job_like;
use super::each::refuse;
use crate::args::NewArguments;
use crate::exit::Exit;
use crate::files::shown_path;
use crate::print::text::before_first_spin;
use crate::streams::Streams;

pub fn run(arguments: &NewArguments, streams: &mut Streams<'_>) -> std::io::Result<Exit> {
    let folder = Path::new(&arguments.number);
    // A path names the folder; its last part is the number.
    let number =
        folder.file_name().map_or_else(|| arguments.number.clone(), |name| name.to_string_lossy().into());
    match new_job_like(folder, &number, arguments.from.as_deref(), arguments.archive.clone()) {
        Ok(written) => {
            for file in written.files {
                writeln!(streams.answer, "{}", shown_path(&file))?;
            }
            for line in written.left_with {
                writeln!(streams.answer, "{line}")?;
            }
            writeln!(streams.answer, "\n{}", before_first_spin(streams.page).trim_end())?;
            Ok(Exit::Done)
        }
        Err(problems) => refuse(&problems, streams),
    }
}
