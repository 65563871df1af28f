//! `balance stand`: guided entry.

use std::io::IsTerminal;

use crate::args::StandArguments;
use crate::exit::Exit;
use crate::stand::{Beginning, Listener, Manner, Pictures, guide};
use crate::streams::Streams;

pub fn run(arguments: &StandArguments, streams: &mut Streams<'_>) -> std::io::Result<Exit> {
    let terminal = std::io::stdin().is_terminal() && std::io::stdout().is_terminal();
    let manner = Manner {
        listener: if terminal { Listener::Terminal } else { Listener::Pipe },
        pictures: if arguments.plain { Pictures::InWords } else { Pictures::Drawn },
    };
    let beginning = Beginning { folder: arguments.job.clone(), from: arguments.from.clone(), manner };
    guide(&beginning, streams)
}
