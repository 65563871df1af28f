//! The job file of a row.

use std::fmt::Write;

use super::setting::{GRADE, RADIUS, RPM, Setting, Stated};

/// The text of the job file.
#[must_use]
pub fn job_text(setting: &Setting) -> String {
    let length = setting.supports.last().copied().unwrap_or_default();
    let mut text = format!(
        "format = 1\n[job]\nnumber = \"WP-0500\"\n[shaft]\nmass = \"{} kg\"\nservice_speed = \"{RPM} rpm\"\n\
         grade = \"G{GRADE}\"\n",
        setting.pieces.iter().sum::<f64>()
    );
    if setting.pieces.len() == 1 {
        put(&mut text, format_args!("mass_centre = \"{} mm\"", length / 2.0));
    }
    put(&mut text, format_args!("[tube]\nouter_diameter = \"88.9 mm\"\nwall = \"2.4 mm\""));
    put(&mut text, format_args!("length = \"{length} mm\"\nmaterial = \"steel\""));
    for (name, place) in setting.plane_names().iter().zip(&setting.planes) {
        put(&mut text, format_args!("[[correction_plane]]\nname = \"{name}\""));
        put(&mut text, format_args!("position = \"{place} mm\"\nradius = \"{RADIUS} mm\""));
    }
    for (name, place) in setting.sensor_names().iter().zip(&setting.sensors) {
        put(&mut text, format_args!("[[sensor]]\nname = \"{name}\"\nposition = \"{place} mm\""));
    }
    pieces(&mut text, setting);
    put(&mut text, format_args!("[convention]\nmass_angle = \"with rotation\"\nphase = \"lead\"\n[stand]"));
    if let Stated::Known(noise) | Stated::Said(noise) = setting.stated {
        put(&mut text, format_args!("reading_noise = \"{} %\"\nreading_floor = 0.02", noise * 100.0));
    }
    put(&mut text, format_args!("{}", setting.stand));
    text
}

/// Several pieces: where the limit holds, and which piece is where.
fn pieces(text: &mut String, setting: &Setting) {
    if setting.pieces.len() < 2 {
        return;
    }
    for (at, place) in setting.supports.iter().enumerate() {
        put(text, format_args!("[[tolerance_plane]]\nname = \"support{at}\"\nposition = \"{place} mm\""));
    }
    for (at, (mass, ends)) in setting.pieces.iter().zip(setting.supports.windows(2)).enumerate() {
        put(text, format_args!("[[part]]\nname = \"piece{at}\"\nmass = \"{mass} kg\""));
        put(text, format_args!("from = \"{} mm\"\nto = \"{} mm\"", ends[0], ends[1]));
    }
}

fn put(text: &mut String, line: std::fmt::Arguments<'_>) {
    // Writing into a string does not fail.
    let _ = writeln!(text, "{line}");
}
