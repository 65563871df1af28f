//! The units in the header of a runs file that has no run yet.

use std::path::Path;

use balance_core::quantity::Units;
use balance_core::run::Phase;
use balance_core::shaft::Shows;

use super::header::{Heading, PlaneCell, SensorCell, read_heading};
use super::lines::{Layout, header_of, is_skipped};
use crate::files::job::JobFile;
use crate::files::limits;
use crate::files::problem::Problem;
use crate::files::write::change_file;

/// Units to put into a header line; `None` keeps the present ones.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct HeaderUnits<'a> {
    /// Of masses and beads.
    pub weight: Option<&'a str>,
    /// Of radii.
    pub length: Option<&'a str>,
    /// Of amplitudes.
    pub dial: Option<&'a str>,
    /// Whether the columns of phases go, with the example row, which has them.
    pub without_phase: bool,
}

/// The header of a runs file for this job: its places and sensors, in the shop's units.
#[must_use]
pub fn header_of_job(file: &JobFile) -> String {
    let (setup, us) = (&file.job.setup, file.job.units == Units::Us);
    let usual = || ["front", "rear"].map(str::to_owned).to_vec();
    let names = |names: Vec<String>| if names.is_empty() { usual() } else { names };
    let planes = names(setup.planes.iter().map(|plane| plane.name.clone()).collect());
    let sensors = names(setup.sensors.iter().map(|sensor| sensor.name.clone()).collect());
    let weight = if us { "oz" } else { "g" };
    let dial = file.paperwork.dial_unit().unwrap_or(if us { "mils" } else { "mm/s" });
    // An amount at a plane without a radius is a mass there.
    let radii = setup.planes.iter().all(|plane| plane.radius.is_some());
    let unbalance = match (radii, us) {
        (true, true) => "oz.in",
        (true, false) => "g.mm",
        (false, _) => weight,
    };
    let shown = |at: usize| match setup.sensors.get(at).map(|sensor| sensor.shows) {
        Some(Shows::Unbalance { .. } | Shows::Correction { .. }) => unbalance,
        Some(Shows::Vibration) | None => dial,
    };
    let mut cells: Vec<String> = ["run", "kind", "speed [rpm]"].map(str::to_owned).to_vec();
    cells.extend(
        planes.iter().flat_map(|name| [format!("{name} mass [{weight}]"), format!("{name} angle [deg]")]),
    );
    cells.extend(sensors.iter().enumerate().flat_map(|(at, name)| {
        let phase = (setup.convention.phase != Phase::NotShown).then(|| format!("{name} phase [deg]"));
        std::iter::once(format!("{name} amplitude [{}]", shown(at))).chain(phase)
    }));
    cells.push("note".into());
    let quoted = |cell: &String| {
        if cell.contains([',', ';', '"']) {
            format!("\"{}\"", cell.replace('"', "\"\""))
        } else {
            cell.clone()
        }
    };
    cells.iter().map(quoted).collect::<Vec<String>>().join(",")
}

/// Whether a dial's unit can stand in a header cell.
#[must_use]
pub fn can_be_a_dial_unit(unit: &str) -> bool {
    const LONGEST: usize = 20;
    unit.chars().count() <= LONGEST
        && unit.chars().any(char::is_alphabetic)
        && unit.chars().all(|letter| letter.is_alphanumeric() || " /%·.-µ\"".contains(letter))
        && !unit.contains('"')
}

/// Puts units into the header of a runs file without a run; a file with runs stays as it is.
///
/// # Errors
///
/// The file cannot be read or written.
pub fn set_header_units(path: &Path, units: HeaderUnits<'_>) -> Result<(), Vec<Problem>> {
    change_file(path, limits::RUNS, |bytes| {
        let text = String::from_utf8_lossy(bytes);
        Ok(with_header_units(&text, units).map_or_else(|| bytes.to_vec(), String::into_bytes))
    })
}

/// The text of a runs file with other units in its header; `None` if it has runs, or no header to change.
#[must_use]
pub fn with_header_units(text: &str, units: HeaderUnits<'_>) -> Option<String> {
    let header = header_of(text.as_bytes())?;
    let line = header.trim_end();
    let layout = Layout::of_header(line.as_bytes());
    let at = text.find(line)?;
    let rows = text[at + line.len()..].lines().filter(|row| !is_skipped(row.as_bytes(), layout)).count();
    if rows > 0 || line.contains('"') {
        return None;
    }
    let separator = char::from(layout.separator);
    let stays = |cell: &&str| !(units.without_phase && is_phase(cell));
    let cells: Vec<String> = line.split(separator).filter(stays).map(|cell| with_unit(cell, units)).collect();
    let before: String = if units.without_phase {
        text[..at].split_inclusive('\n').filter(|line| explains_columns(line)).collect()
    } else {
        text[..at].into()
    };
    Some(format!("{before}{}{}", cells.join(&separator.to_string()), &text[at + line.len()..]))
}

/// Whether a comment says what columns mean; an example has columns that the file may not have.
#[must_use]
pub fn explains_columns(line: &str) -> bool {
    let words = line.strip_prefix("# ").unwrap_or_default();
    words.starts_with(char::is_alphabetic) && !words.contains("xample")
}

fn is_phase(cell: &str) -> bool {
    let heading = read_heading(cell.trim());
    matches!(heading, Ok(Heading::Sensor { cell: SensorCell::Phase | SensorCell::PhaseUncertainty, .. }))
}

fn with_unit(cell: &str, units: HeaderUnits<'_>) -> String {
    let unit = match read_heading(cell.trim()) {
        Ok(Heading::Plane { cell: PlaneCell::Mass | PlaneCell::Bead, .. }) => units.weight,
        Ok(Heading::Plane { cell: PlaneCell::Radius, .. }) => units.length,
        Ok(Heading::Sensor { cell: SensorCell::Amplitude, .. }) => units.dial,
        _ => None,
    };
    match (unit, cell.rsplit_once('[')) {
        (Some(unit), Some((words, _))) => format!("{words}[{unit}]"),
        _ => cell.to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const US: HeaderUnits<'_> =
        HeaderUnits { weight: Some("oz"), length: Some("in"), dial: Some("mils"), without_phase: false };

    #[test]
    fn units_of_an_empty_file_are_changed_and_its_comments_stay() {
        let text = "# 20 g\nrun,front mass [g],front angle [deg],front radius 2 [mm],front amplitude [mm/s],front phase [deg]\n";
        let wanted = "# 20 g\nrun,front mass [oz],front angle [deg],front radius 2 [in],front amplitude [mils],front phase [deg]\n";
        assert_eq!(with_header_units(text, US).as_deref(), Some(wanted));
        assert_eq!(with_header_units(&format!("{text}1,20,90,,5,3\n"), US), None);
        assert_eq!(with_header_units("", US), None);
    }

    #[test]
    fn a_dial_without_an_angle_has_no_column_for_it() {
        let text = "# Lines that begin with # are not read. Example:\n# 1,20,5,3\nrun,a mass [g],a amplitude [mm/s],a phase [deg],note\n";
        let none = HeaderUnits { without_phase: true, ..HeaderUnits::default() };
        let wanted = "run,a mass [g],a amplitude [mm/s],note\n";
        assert_eq!(with_header_units(text, none).as_deref(), Some(wanted));
        assert_eq!(with_header_units(&format!("{text}1,20,5,3,\n"), none), None, "a file with runs stays");
    }

    #[test]
    fn a_dials_unit_is_a_short_word() {
        for unit in ["mm/s", "mils", "um pp", "µm", "g.mm", "in/s"] {
            assert!(can_be_a_dial_unit(unit), "{unit}");
        }
        for unit in ["", "5", "a]b", "a,b", "a;b", "a\"b", "a\nb", "twenty-one letters long"] {
            assert!(!can_be_a_dial_unit(unit), "{unit}");
        }
    }
}
