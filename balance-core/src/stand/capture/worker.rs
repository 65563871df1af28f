//! Works chapters out on a thread of its own while the next one is read.

use std::sync::mpsc::{Receiver, Sender, channel};
use std::thread::{Builder, JoinHandle};

use super::chapter::{Chapter, Part, PulseCount};
use super::setup::Stretch;

/// What a chapter says, and its room to be filled again.
type WorkedOut = (Option<Part>, PulseCount, Chapter);

/// The thread, and at most one chapter on it.
#[derive(Debug)]
pub(super) struct Worker {
    stretch: Stretch,
    thread: Option<Thread>,
    is_busy: bool,
    /// A chapter for which there was no thread.
    done: Option<WorkedOut>,
}

#[derive(Debug)]
struct Thread {
    chapters: Sender<Chapter>,
    results: Receiver<WorkedOut>,
    handle: JoinHandle<()>,
}

impl Worker {
    pub fn new(stretch: Stretch) -> Self {
        Self { stretch, thread: None, is_busy: false, done: None }
    }

    /// Takes a chapter; the one before must have been taken back. Where no thread can be had it is worked out here.
    pub fn give(&mut self, chapter: Chapter) {
        if self.thread.is_none() {
            self.thread = Thread::start(self.stretch);
        }
        let refused = match &self.thread {
            Some(thread) => thread.chapters.send(chapter).err().map(|refused| refused.0),
            None => Some(chapter),
        };
        self.is_busy = refused.is_none();
        self.done = refused.map(|chapter| work_out(chapter, self.stretch));
    }

    /// Waits for the chapter that was given, if there is one.
    pub fn take_back(&mut self) -> Option<WorkedOut> {
        if !std::mem::take(&mut self.is_busy) {
            return self.done.take();
        }
        let result = self.thread.as_ref()?.results.recv().ok();
        if result.is_none()
            && let Some(panicked) = self.thread.take().and_then(|thread| thread.handle.join().err())
        {
            std::panic::resume_unwind(panicked);
        }
        result
    }
}

impl Thread {
    fn start(stretch: Stretch) -> Option<Self> {
        let (chapters, to_work) = channel();
        let (done, results) = channel();
        let work = move || {
            for chapter in to_work {
                if done.send(work_out(chapter, stretch)).is_err() {
                    break;
                }
            }
        };
        let handle = Builder::new().name("chapters".into()).spawn(work).ok()?;
        Some(Self { chapters, results, handle })
    }
}

fn work_out(chapter: Chapter, stretch: Stretch) -> WorkedOut {
    let (part, counts) = chapter.work_out(stretch);
    (part, counts, chapter)
}
