//! A page printed as PDF by a browser that the machine already has.

use std::io::{Read as _, Seek as _, SeekFrom};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, ExitStatus, Stdio};
use std::time::{Duration, Instant};

use crate::files::write::unfinished_inside;
use crate::files::{Problem, read_bytes, shown_path};

/// How long a browser may take.
const DEADLINE: Duration = Duration::from_secs(60);
/// The largest PDF that is taken from it, in bytes.
const MOST: u64 = 256 << 20;
/// The names on PATH of browsers that can print without a window.
const NAMES: [&str; 8] = [
    "chromium",
    "chromium-browser",
    "google-chrome",
    "google-chrome-stable",
    "microsoft-edge",
    "microsoft-edge-stable",
    "chrome",
    "msedge",
];
/// Where they are on macOS and, below a folder for programs, on Windows.
const MAC: [&str; 3] = [
    "/Applications/Chromium.app/Contents/MacOS/Chromium",
    "/Applications/Google Chrome.app/Contents/MacOS/Google Chrome",
    "/Applications/Microsoft Edge.app/Contents/MacOS/Microsoft Edge",
];
const WINDOWS: [&str; 3] = [
    "Google/Chrome/Application/chrome.exe",
    "Microsoft/Edge/Application/msedge.exe",
    "Chromium/Application/chrome.exe",
];
/// Without a window, without the network (no name is ever resolved), and without the user's own browser
/// profile.
const OPTIONS: [&str; 12] = [
    "--headless",
    "--disable-gpu",
    "--no-first-run",
    "--no-default-browser-check",
    "--disable-extensions",
    "--disable-sync",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-default-apps",
    "--disable-dev-shm-usage",
    "--no-pdf-header-footer",
    "--host-resolver-rules=MAP * ~NOTFOUND",
];

/// Whether the browser keeps pages in its sandbox.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Sandbox {
    /// It does.
    On,
    /// It refuses to start with one as root, so it runs without.
    OffForRoot,
}

/// A browser that can print.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Browser {
    program: PathBuf,
    /// Whether it keeps pages in its sandbox.
    pub sandbox: Sandbox,
}

impl Browser {
    /// The browser that was named, or one in the usual places.
    ///
    /// # Errors
    ///
    /// A problem of code `no-browser`.
    pub fn find(named: Option<&Path>) -> Result<Self, Problem> {
        let program = match named {
            Some(named) => named_browser(named).ok_or_else(|| {
                let found = "there is no such program";
                Problem::of_file("no-browser", shown_path(named), found)
                    .hinting("name the browser's program file: --browser PATH".to_owned())
            })?,
            None => usual_places().find(|path| path.is_file()).ok_or_else(none_there)?,
        };
        Ok(Self { program, sandbox: if is_root() { Sandbox::OffForRoot } else { Sandbox::On } })
    }

    /// A page on the disk, as a PDF. The browser gets its own profile, which is deleted afterwards.
    ///
    /// # Errors
    ///
    /// A problem of code `no-pdf`: it cannot be started, does not end in time, or leaves no complete PDF.
    pub fn print(&self, page: &Path) -> Result<Vec<u8>, Problem> {
        let failed = |found: String| {
            let hint = "open the page in a browser and print it from there, or name another: --browser PATH";
            Problem::of_file("no-pdf", shown_path(page), found).hinting(hint.to_owned())
        };
        let broken = |error: std::io::Error| failed(format!("cannot be printed: {error}"));
        let page = std::path::absolute(page).map_err(broken)?;
        // The PDF is written beside the page, because some systems let a browser see no other folder.
        let beside = unfinished_inside(page.parent().unwrap_or(Path::new("/"))).map_err(broken)?;
        let profile = tempfile::Builder::new().prefix("balance-").tempdir().map_err(broken)?;
        let mut talk = tempfile::tempfile().map_err(broken)?;
        let pdf = beside.path().join("page.pdf");
        let mut command = Command::new(&self.program);
        command
            .args(OPTIONS)
            .arg(option("--user-data-dir=", profile.path()))
            .arg(option("--print-to-pdf=", &pdf))
            .args((self.sandbox == Sandbox::OffForRoot).then_some("--no-sandbox"))
            .arg(address(&page))
            .stdin(Stdio::null())
            .stdout(Stdio::null())
            .stderr(talk.try_clone().map_err(broken)?);
        let name = shown_path(&self.program);
        let started =
            command.spawn().map_err(|error| failed(format!("{name} cannot be started: {error}")))?;
        let Some(end) = wait(started).map_err(broken)? else {
            return Err(failed(format!(
                "{name} did not print it within {} s and was stopped",
                DEADLINE.as_secs()
            )));
        };
        match read_bytes(&pdf, MOST) {
            Ok(bytes) if is_whole(&bytes) => Ok(bytes),
            _ => Err(failed(format!("{name} left no PDF ({end}{})", last_words(&mut talk)))),
        }
    }
}

fn option(name: &str, value: &Path) -> std::ffi::OsString {
    let mut option = std::ffi::OsString::from(name);
    option.push(value);
    option
}

/// A path, or a name to be found on PATH.
fn named_browser(named: &Path) -> Option<PathBuf> {
    if named.components().count() > 1 || named.is_file() {
        return named.is_file().then(|| named.to_owned());
    }
    on_path(named.to_str()?).find(|path| path.is_file())
}

fn usual_places() -> impl Iterator<Item = PathBuf> {
    let mac = MAC.iter().filter(|_| cfg!(target_os = "macos")).map(PathBuf::from);
    let folders = ["ProgramFiles", "ProgramFiles(x86)", "LocalAppData"].into_iter().filter(|_| cfg!(windows));
    let windows = folders
        .filter_map(std::env::var_os)
        .flat_map(|folder| WINDOWS.iter().map(move |place| Path::new(&folder).join(place)));
    NAMES.iter().flat_map(|name| on_path(name)).chain(mac).chain(windows)
}

fn on_path(name: &str) -> impl Iterator<Item = PathBuf> + use<> {
    let file = format!("{name}{}", std::env::consts::EXE_SUFFIX);
    let folders: Vec<PathBuf> =
        std::env::var_os("PATH").map(|path| std::env::split_paths(&path).collect()).unwrap_or_default();
    folders.into_iter().filter(|folder| folder.is_absolute()).map(move |folder| folder.join(&file))
}

fn none_there() -> Problem {
    let hint = "install Chromium, Chrome or Edge, or name one: --browser PATH; the HTML is written, and \
               any browser can print it";
    Problem::of_file("no-browser", "--pdf", "there is no browser on this machine that can print the report")
        .hinting(hint.to_owned())
}

/// Waits for the end; a browser that takes too long is stopped.
fn wait(mut browser: Child) -> std::io::Result<Option<ExitStatus>> {
    let begin = Instant::now();
    while begin.elapsed() < DEADLINE {
        if let Some(end) = browser.try_wait()? {
            return Ok(Some(end));
        }
        std::thread::sleep(Duration::from_millis(30));
    }
    browser.kill()?;
    browser.wait()?;
    Ok(None)
}

/// ISO 32000-1, 7.5: a file begins with its version and ends with a mark.
fn is_whole(bytes: &[u8]) -> bool {
    let end = &bytes[bytes.len().saturating_sub(32)..];
    bytes.starts_with(b"%PDF-") && end.windows(5).any(|mark| mark == b"%%EOF")
}

/// The last line that the browser wrote.
fn last_words(talk: &mut std::fs::File) -> String {
    let mut bytes = Vec::new();
    let read = talk.seek(SeekFrom::Start(0)).and_then(|_| talk.take(1 << 16).read_to_end(&mut bytes));
    let text = String::from_utf8_lossy(&bytes);
    match text.lines().rfind(|line| !line.trim().is_empty()) {
        Some(line) if read.is_ok() => format!("; its last words: {}", line.trim()),
        _ => String::new(),
    }
}

/// A file's address (RFC 8089), with every special byte escaped.
fn address(path: &Path) -> String {
    let text = path.to_string_lossy().replace('\\', "/");
    let mut address = String::from(if text.starts_with('/') { "file://" } else { "file:///" });
    for byte in text.bytes() {
        match byte {
            b'/' | b'-' | b'_' | b'.' | b'~' | b':' => address.push(char::from(byte)),
            byte if byte.is_ascii_alphanumeric() => address.push(char::from(byte)),
            byte => address.push_str(&format!("%{byte:02X}")),
        }
    }
    address
}

/// Whether the program runs as root: its user owns its entry in `/proc`.
#[cfg(target_os = "linux")]
fn is_root() -> bool {
    use std::os::unix::fs::MetadataExt as _;
    std::fs::metadata("/proc/self").is_ok_and(|own| own.uid() == 0)
}

#[cfg(not(target_os = "linux"))]
fn is_root() -> bool {
    false
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_address_holds_no_letter_with_a_meaning_of_its_own() {
        let path = Path::new("/home/räumer/WP 1#2?%/report.html");
        assert_eq!(address(path), "file:///home/r%C3%A4umer/WP%201%232%3F%25/report.html");
    }

    #[test]
    fn a_pdf_without_its_end_is_not_whole() {
        assert!(is_whole(b"%PDF-1.4\n...\n%%EOF\n"));
        assert!(!is_whole(b"%PDF-1.4\n...") && !is_whole(b"") && !is_whole(b"%%EOF"));
    }
}
