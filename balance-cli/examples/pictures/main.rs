//! Writes every picture of an invented demo and of some hard cases into a folder, to look at them:
//! `cargo run -p balance-cli --example pictures -- FOLDER`

mod demo;

use balance_cli::draw::{Scene, pdf, png, svg};
use balance_cli::paper::Paper;
use std::error::Error;
use std::path::Path;

fn main() -> Result<(), Box<dyn Error>> {
    let folder = std::env::args().nth(1).unwrap_or_else(|| "pictures".to_owned());
    std::fs::create_dir_all(&folder)?;
    for (name, scene) in demo::good().into_iter().chain(demo::hard()) {
        write(Path::new(&folder), &name, &scene)?;
    }
    Ok(())
}

fn write(folder: &Path, name: &str, scene: &Scene) -> Result<(), Box<dyn Error>> {
    std::fs::write(folder.join(format!("{name}.svg")), svg(scene)?)?;
    // Strips fill a sheet and are looked at coarser.
    let dots_per_inch = if scene.width > 700.0 { 150.0 } else { 300.0 };
    std::fs::write(folder.join(format!("{name}.png")), png(scene, dots_per_inch)?)?;
    let paper = if name.contains("letter") { Paper::Letter } else { Paper::A4 };
    std::fs::write(folder.join(format!("{name}.pdf")), pdf(std::slice::from_ref(scene), paper)?)?;
    Ok(())
}
