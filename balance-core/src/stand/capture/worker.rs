//! Threads: a chapter is worked out on its own while the next one is read, and each sensor of it on its own.
//!
//! Where no thread can be had, the work is done where it is asked for.

use std::panic::resume_unwind;
use std::sync::mpsc::{Receiver, Sender, channel};
use std::thread::{Builder, JoinHandle, scope};

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

    /// Takes a chapter; the one before must have been taken back.
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
            resume_unwind(panicked);
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

/// The work for each number below `count`, the last one here and the others on threads of their own.
pub(super) fn each<T: Send>(count: usize, work: impl Fn(usize) -> T + Sync) -> Vec<T> {
    let work = &work;
    scope(|scope| {
        let begun: Vec<_> = (0..count)
            .map(|number| {
                let is_last = number + 1 == count;
                (!is_last).then(|| Builder::new().spawn_scoped(scope, move || work(number)).ok()).flatten()
            })
            .collect();
        let last = count.checked_sub(1).map(work);
        let results =
            begun.into_iter().enumerate().take(count.saturating_sub(1)).map(
                |(number, thread)| match thread {
                    Some(thread) => thread.join().unwrap_or_else(|panicked| resume_unwind(panicked)),
                    None => work(number),
                },
            );
        results.chain(last).collect()
    })
}
