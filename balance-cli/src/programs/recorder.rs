//! A recorder: a program that writes a recording to its standard output.

use std::io::{Error, ErrorKind, Read, Seek as _, SeekFrom};
use std::process::{Child, Command, Stdio};
use std::sync::mpsc::{Receiver, RecvTimeoutError, sync_channel};
use std::time::Duration;

use crate::files::Problem;
use crate::files::shown;

/// How long a recorder may give nothing.
const PATIENCE: Duration = Duration::from_secs(20);
/// Bytes passed on at once, and how many such blocks wait at most.
const BYTES: usize = 1 << 16;
const WAITING: usize = 64;

/// A recorder's command line, in words.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Recorder {
    words: Vec<String>,
}

/// A recorder at work. When this goes, the recorder is ended.
pub struct Recording {
    child: Child,
    blocks: Receiver<std::io::Result<Vec<u8>>>,
    block: Vec<u8>,
    used: usize,
    talk: std::fs::File,
    name: String,
    given: u64,
}

impl Recorder {
    /// From a command line, split at blanks; quotes of either kind keep words together. There is no shell: `|`, `>`, `$`
    /// and `*` have no meaning.
    ///
    /// # Errors
    ///
    /// A problem of code `no-recorder`: no word, or a quote without its end.
    pub fn from_words(text: &str) -> Result<Self, Problem> {
        let wrong = |found: &str| {
            let hint = "for example --capture-with 'rec-tool -q -'; a command with a pipe goes into a script of its own";
            Problem::of_file("no-recorder", "--capture-with", found.to_owned()).hinting(hint.to_owned())
        };
        let words = split(text).ok_or_else(|| wrong("a quote has no end"))?;
        if words.is_empty() {
            return Err(wrong("names no program"));
        }
        Ok(Self { words })
    }

    /// Its name in messages.
    #[must_use]
    pub fn name(&self) -> String {
        shown(&self.words[0])
    }

    /// Starts it; its words may hold a path with blanks, for no shell reads them.
    ///
    /// # Errors
    ///
    /// A problem of code `no-recorder`: it cannot be started.
    pub fn start(&self) -> Result<Recording, Problem> {
        let name = self.name();
        let cannot = |error: Error| {
            let found = match error.kind() {
                ErrorKind::NotFound => "there is no such program".to_owned(),
                _ => format!("cannot be started: {error}"),
            };
            let hint = "is it installed, and is its name right? Try the command by itself first";
            Problem::of_file("no-recorder", name.clone(), found).hinting(hint.to_owned())
        };
        let mut talk = tempfile::tempfile().map_err(cannot)?;
        let own_talk = talk.try_clone().map_err(cannot)?;
        let _ = talk.seek(SeekFrom::Start(0));
        let mut child = Command::new(&self.words[0])
            .args(&self.words[1..])
            .stdin(Stdio::null())
            .stdout(Stdio::piped())
            .stderr(own_talk)
            .spawn()
            .map_err(cannot)?;
        let (sender, blocks) = sync_channel(WAITING);
        if let Some(mut out) = child.stdout.take() {
            std::thread::spawn(move || {
                loop {
                    let mut block = vec![0; BYTES];
                    let read = match out.read(&mut block) {
                        Err(error) if error.kind() == ErrorKind::Interrupted => continue,
                        other => other,
                    };
                    let last = !matches!(read, Ok(1..));
                    let block = read.map(|read| {
                        block.truncate(read);
                        block
                    });
                    // No one listens any more: the recorder was ended.
                    if sender.send(block).is_err() || last {
                        return;
                    }
                }
            });
        }
        Ok(Recording { child, blocks, block: Vec::new(), used: 0, talk, name, given: 0 })
    }
}

impl Read for Recording {
    fn read(&mut self, into: &mut [u8]) -> std::io::Result<usize> {
        if self.used == self.block.len() {
            self.block = match self.blocks.recv_timeout(PATIENCE) {
                Ok(block) => block?,
                Err(RecvTimeoutError::Disconnected) => Vec::new(),
                Err(RecvTimeoutError::Timeout) => {
                    let words = format!("{} gave nothing for {} s", self.name, PATIENCE.as_secs());
                    return Err(Error::new(ErrorKind::TimedOut, words));
                }
            };
            self.used = 0;
            self.given += self.block.len() as u64;
        }
        let count = into.len().min(self.block.len() - self.used);
        into[..count].copy_from_slice(&self.block[self.used..self.used + count]);
        self.used += count;
        Ok(count)
    }
}

impl Recording {
    /// Ends the recorder; what it said if it gave nothing or ended with an error by itself.
    #[must_use]
    pub fn stop(mut self) -> Option<Problem> {
        let ended = self.child.try_wait().ok().flatten();
        let failed = ended.is_some_and(|end| !end.success());
        (failed || (self.given == 0)).then(|| {
            let end = ended.map_or_else(String::new, |end| format!(" ({end})"));
            let words = self.last_words();
            let found = format!("gave {} bytes and ended{end}{words}", self.given);
            let hint = "try the command by itself: it has to write a WAV or a table to its standard output";
            Problem::of_file("recorder-failed", self.name.clone(), found).hinting(hint.to_owned())
        })
    }

    /// The last line that it wrote about itself.
    fn last_words(&mut self) -> String {
        let mut bytes = Vec::new();
        let talk = &mut self.talk;
        let read = talk.seek(SeekFrom::Start(0)).and_then(|_| talk.take(1 << 16).read_to_end(&mut bytes));
        let text = String::from_utf8_lossy(&bytes);
        match text.lines().rfind(|line| !line.trim().is_empty()) {
            Some(line) if read.is_ok() => format!("; its last words: {}", line.trim()),
            _ => String::new(),
        }
    }
}

impl Drop for Recording {
    fn drop(&mut self) {
        // It may have ended by itself; then there is nothing to end.
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// The words of a command line; `None`: a quote has no end.
fn split(text: &str) -> Option<Vec<String>> {
    let (mut words, mut word, mut quote) = (Vec::new(), None::<String>, None);
    for letter in text.chars() {
        match quote {
            Some(end) if letter == end => quote = None,
            None if letter == '"' || letter == '\'' => {
                quote = Some(letter);
                word.get_or_insert_default();
            }
            None if letter.is_whitespace() => words.extend(word.take()),
            _ => word.get_or_insert_default().push(letter),
        }
    }
    words.extend(word);
    quote.is_none().then_some(words)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_are_split_as_people_quote_them() {
        let words = |text: &str| split(text).map(|words| words.join("|"));
        assert_eq!(
            words("rec -q  'two words' \"and $HOME\" a'b c'd ''").as_deref(),
            Some("rec|-q|two words|and $HOME|ab cd|")
        );
        assert_eq!((words("  ").as_deref(), words("rec 'open")), (Some(""), None));
        assert_eq!(Recorder::from_words(" ").unwrap_err().code, "no-recorder");
    }

    #[cfg(unix)]
    #[test]
    fn a_recorder_is_heard_and_ended_and_its_faults_are_told() {
        let start = |text: &str| Recorder::from_words(text).unwrap().start();
        let mut heard = String::new();
        let mut recording = start("printf 1,2;3").unwrap();
        recording.read_to_string(&mut heard).unwrap();
        assert_eq!((heard.as_str(), recording.stop()), ("1,2;3", None));
        // One that never ends is ended.
        let mut recording = start("yes").unwrap();
        recording.read_exact(&mut [0; 1 << 20]).unwrap();
        assert_eq!(recording.stop(), None);
        let mut recording = start("sh -c 'echo no device >&2; exit 3'").unwrap();
        assert_eq!(recording.read(&mut [0; 8]).unwrap(), 0);
        std::thread::sleep(Duration::from_millis(200));
        let said = recording.stop().unwrap().render();
        assert!(said.contains("no device") && said.contains('3'), "{said}");
        assert_eq!(start("no-such-recorder-here").err().unwrap().code, "no-recorder");
    }
}
