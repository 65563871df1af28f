//! The program under a clock and a disk of the test's own making: a small library is loaded before it, so that the
//! database's calls count too. The program has no switch for it.

use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::OnceLock;

use super::workshop::process;

/// Builds the library, once.
fn library() -> &'static Path {
    static BUILT: OnceLock<PathBuf> = OnceLock::new();
    BUILT.get_or_init(|| {
        let source = Path::new(env!("CARGO_MANIFEST_DIR")).join("quick/hardened/shim.c");
        let library = Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("shim-{}.so", std::process::id()));
        let built = Command::new("cc")
            .args(["-shared", "-fPIC", "-O1", "-o"])
            .args([&library, &source])
            .arg("-ldl")
            .output()
            .expect("a C compiler is there: SQLite was built with it");
        assert!(built.status.success(), "{}", String::from_utf8_lossy(&built.stderr));
        library
    })
}

/// The program with the library before it.
pub fn shimmed() -> Command {
    let mut command = process();
    command.env("LD_PRELOAD", library());
    command
}
