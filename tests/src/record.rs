//! The figures found by the checks, saved beside the build for `tests/VERIFICATION.md`.

use std::path::PathBuf;

/// Where the figures are saved: `verification/` in the build folder.
#[must_use]
pub fn folder() -> PathBuf {
    let built = std::env::var_os("CARGO_TARGET_DIR")
        .map_or_else(|| PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../target"), PathBuf::from);
    built.join("verification")
}

/// Saves a figure under a name. Only a report uses it, so a full disk fails no check.
#[expect(clippy::print_stderr, reason = "a test runner tells what went wrong")]
pub fn record(name: &str, figure: &str) {
    let kept = std::fs::create_dir_all(folder()).and_then(|()| std::fs::write(file(name), figure));
    if let Err(fault) = kept {
        eprintln!("the figure of `{name}` was not kept: {fault}");
    }
}

/// The figure last saved under a name.
#[must_use]
pub fn recorded(name: &str) -> Option<String> {
    std::fs::read_to_string(file(name)).ok()
}

fn file(name: &str) -> PathBuf {
    let plain: String = name.chars().map(|c| if c.is_ascii_alphanumeric() { c } else { '-' }).collect();
    folder().join(plain + ".txt")
}
