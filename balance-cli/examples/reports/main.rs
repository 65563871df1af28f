//! Writes the demo reports into a folder, to look at them: `cargo run -p balance-cli --example reports -- FOLDER`. With
//! `--pdf` behind it each is printed as well, by a browser of this machine.

mod demo;

use std::error::Error;
use std::path::PathBuf;

use balance_cli::programs::Browser;

fn main() -> Result<(), Box<dyn Error>> {
    let folder = std::env::args_os().nth(1).map_or_else(|| PathBuf::from("reports"), PathBuf::from);
    let pdf = std::env::args().nth(2).is_some_and(|word| word == "--pdf");
    std::fs::create_dir_all(&folder)?;
    let browser = if pdf { Some(Browser::find(None).map_err(|problem| problem.render())?) } else { None };
    for (name, page) in demo::all() {
        let file = folder.join(format!("{name}.html"));
        std::fs::write(&file, page)?;
        if let Some(browser) = &browser {
            let printed = browser.print(&file).map_err(|problem| problem.render())?;
            std::fs::write(file.with_extension("pdf"), printed)?;
        }
    }
    Ok(())
}
