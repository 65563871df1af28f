//! `balance stand`: guided entry.

use std::io::IsTerminal;

use super::each::refuse;
use crate::args::StandArguments;
use crate::exit::Exit;
use crate::programs::Recorder;
use crate::stand::{Beginning, Listener, Manner, Pictures, guide};
use crate::streams::Streams;

pub fn run(arguments: &StandArguments, streams: &mut Streams<'_>) -> std::io::Result<Exit> {
    let terminal = std::io::stdin().is_terminal() && std::io::stdout().is_terminal();
    let manner = Manner {
        listener: if terminal { Listener::Terminal } else { Listener::Pipe },
        pictures: if arguments.plain || !shows_raised_dots() { Pictures::InWords } else { Pictures::Drawn },
    };
    let recorder = match arguments.capture_with.as_deref().map(Recorder::from_words).transpose() {
        Ok(recorder) => recorder,
        Err(problem) => return refuse(&[problem], streams),
    };
    let beginning = Beginning {
        folder: arguments.job.clone(),
        from: arguments.from.clone(),
        archive: arguments.archive.clone(),
        manner,
        recorder,
    };
    guide(&beginning, streams)
}

/// Whether the screen can show braille letters: a UTF-8 locale (or Windows), and not the plain Linux console,
/// whose font has none.
fn shows_raised_dots() -> bool {
    let set = |name: &&str| std::env::var(name).is_ok_and(|value| !value.is_empty());
    let locale = ["LC_ALL", "LC_CTYPE", "LANG"]
        .iter()
        .find(|name| set(name))
        .and_then(|name| std::env::var(name).ok());
    let utf8 = locale.is_some_and(|locale| locale.to_lowercase().replace('-', "").contains("utf8"));
    (utf8 || cfg!(windows)) && std::env::var("TERM").map_or(true, |term| term != "linux")
}
