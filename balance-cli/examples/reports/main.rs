//! Writes the demo reports into a folder, to look at them: `cargo run -p balance-cli --example reports -- FOLDER`.

mod demo;

use std::path::PathBuf;

fn main() -> std::io::Result<()> {
    let folder = std::env::args_os().nth(1).map_or_else(|| PathBuf::from("reports"), PathBuf::from);
    std::fs::create_dir_all(&folder)?;
    for (name, page) in demo::all() {
        std::fs::write(folder.join(format!("{name}.html")), page)?;
    }
    Ok(())
}
