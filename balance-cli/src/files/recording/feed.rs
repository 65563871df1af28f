//! A recording read in one thread and worked on in another, with a few blocks between them.

use std::io::Read;
use std::sync::mpsc::{Receiver, SyncSender, sync_channel};

use super::Recording;
use super::fault::RecordingFault;
use super::heading::{Block, Picks};

/// Whether more is wanted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Flow {
    /// Go on.
    More,
    /// What there is is enough.
    Enough,
}

/// How reading ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Fed {
    /// Whether the recording ended in the middle: before the length it states, or in the middle of a row.
    pub truncated: bool,
}

/// Blocks between the two threads.
const BETWEEN: usize = 6;

/// Reads a recording to its end, or until `work` has enough; blocks are read while the one before is worked on. `watch` is
/// called after each block with the number of frames read so far.
///
/// # Errors
///
/// [`RecordingFault`] where it cannot be read any further.
pub fn feed<R: Read>(
    recording: &mut Recording<R>,
    picks: &Picks,
    mut work: impl FnMut(&Block) -> Flow + Send,
    mut watch: impl FnMut(u64),
) -> Result<Fed, RecordingFault> {
    let (full, to_work) = sync_channel::<Block>(BETWEEN);
    let (empty, to_fill) = sync_channel::<Block>(BETWEEN + 2);
    std::thread::scope(|scope| {
        scope.spawn(move || {
            for block in to_work {
                if work(&block) == Flow::Enough || empty.send(block).is_err() {
                    break;
                }
            }
        });
        let read = read_all(recording, picks, &full, &to_fill, &mut watch);
        // Only then does the other thread know that nothing more comes.
        drop(full);
        read?;
        Ok(Fed { truncated: recording.truncated() })
    })
}

fn read_all<R: Read>(
    recording: &mut Recording<R>,
    picks: &Picks,
    full: &SyncSender<Block>,
    to_fill: &Receiver<Block>,
    watch: &mut impl FnMut(u64),
) -> Result<(), RecordingFault> {
    let (mut made, mut frames) = (0, 0);
    loop {
        // A block that was worked on is filled again; at first there are none.
        let mut block = if made < BETWEEN + 2 {
            made += 1;
            Block::default()
        } else {
            match to_fill.recv() {
                Ok(block) => block,
                Err(_) => return Ok(()),
            }
        };
        if !recording.next(picks, &mut block)? {
            return Ok(());
        }
        frames += block.frames() as u64;
        if full.send(block).is_err() {
            return Ok(());
        }
        watch(frames);
    }
}
