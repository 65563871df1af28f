//! Lines for people.

use balance_core::quantity::{Length, Speed, Units, shown};

use super::operations::CheckReport;
use super::{Record, RecordLine};
use crate::clean::one_line;
use balance_core::influence::TypeReport;

/// From this scatter between shafts on, a type deserves a warning: a correction from the first run alone will
/// often miss [common practice, no source].
const WIDE_SCATTER: f64 = 0.25;

/// One record on one line.
#[must_use]
pub fn line_of(line: &RecordLine, units: Units) -> String {
    let date = line.made_at.get(..10).unwrap_or(&line.made_at);
    let tag = if line.tag.is_empty() { String::new() } else { format!("tag {}", line.tag) };
    let verdict =
        [line.verdict.as_deref(), line.grade.as_deref()].into_iter().flatten().collect::<Vec<_>>().join(" ");
    let later = line.superseded_by.map(|by| format!("superseded by {by}")).unwrap_or_default();
    let parts = [date, &line.number, &line.customer, &line.unit, &tag, &size(line, units), &verdict, &later];
    let given: Vec<&str> = parts.into_iter().filter(|part| !part.is_empty()).collect();
    one_line(&format!("{:>6}  {}", line.id, given.join(" · "))).into_owned()
}

/// A whole record: who, vehicle, marks, weights, verdict, speed first.
#[must_use]
pub fn lines_of_record(record: &Record, units: Units) -> Vec<String> {
    let line = &record.line;
    let verdict = match (&line.verdict, &line.grade) {
        (Some(verdict), Some(grade)) => format!("{verdict} {grade}"),
        (Some(verdict), None) => verdict.clone(),
        (None, _) => "no verdict: no check run".into(),
    };
    let speed = line.service_speed.map(|speed| format!("up to {:.0} rpm", Speed::rpm(speed)));
    let mut lines = Vec::new();
    let mut say = |name: &str, text: &str| {
        if !text.is_empty() {
            lines.push(format!("{name:<14}{}", one_line(text)));
        }
    };
    say("customer", &line.customer);
    say("vehicle", &line.unit);
    say("marks", &line.marks);
    say("weights", &line.weights);
    say("verdict", &verdict);
    say("speed", &speed.unwrap_or_default());
    say("job", &line.number);
    say("tag", &line.tag);
    say("tube", &size(line, units));
    say("type", line.shaft_type.as_deref().unwrap_or_default());
    say("balanced by", &line.technician);
    say("record", &format!("{} of {}, program {}", line.id, line.made_at, line.program));
    say("replaces", &line.supersedes.map(|id| format!("record {id}")).unwrap_or_default());
    say("replaced by", &line.superseded_by.map(|id| format!("record {id}: see there")).unwrap_or_default());
    say("digest", &line.digest.to_string());
    for file in &record.files {
        say(file.role.word(), &format!("{} ({} bytes)", file.name, file.bytes.len()));
    }
    lines
}

/// A type's scatter, and a plain warning when its response changes over time.
#[must_use]
pub fn lines_of_type(report: &TypeReport) -> Vec<String> {
    let known = match report.largest_scatter() {
        Some(scatter) => format!("shafts differ by up to {:.0} % of the response", 100.0 * scatter),
        None => "too few shafts with a known response to predict the next one".into(),
    };
    let mut lines = vec![format!("{}: {} shafts, {known}", report.key, report.shafts)];
    for (speed, sensor) in report.sensors() {
        let at = speed.map(|speed| format!(" at {speed:.0} rpm")).unwrap_or_default();
        if let Some(walk) = &sensor.walk {
            lines.push(format!(
                "  Take care: since record {} ({}) the response at sensor {}{at} differs by {:.0} % from \
                 before, more than shafts differ by chance. Check the stand before you trust this type.",
                walk.record,
                walk.made_at.get(..10).unwrap_or(&walk.made_at),
                sensor.name,
                100.0 * walk.share
            ));
        }
    }
    if report.largest_scatter().is_some_and(|scatter| scatter > WIDE_SCATTER) {
        lines.push(
            "  These shafts respond too differently for one type: split it by tube, length or stand.".into(),
        );
    }
    for (record, reason) in &report.left_out {
        lines.push(format!("  record {record} left out: {reason}"));
    }
    cleaned(&lines)
}

/// What a check found.
#[must_use]
pub fn lines_of_check(report: &CheckReport) -> Vec<String> {
    let counted = format!("{} records, {} files", report.records, report.files);
    if report.faults.is_empty() {
        let mut lines = vec![format!("{counted}: all complete and consistent")];
        lines.push(format!("newest digest {}", report.last));
        lines.extend(report.notes.iter().map(|note| format!("  {note}")));
        return cleaned(&lines);
    }
    let mut lines = vec![format!("{counted}: {} faults found", report.faults.len())];
    for fault in &report.faults {
        lines.push(match fault.record {
            Some(record) => format!("  record {record}: {}", fault.text),
            None => format!("  {}", fault.text),
        });
    }
    lines.extend(report.notes.iter().map(|note| format!("  {note}")));
    cleaned(&lines)
}

/// Text that people wrote never begins a new line.
fn cleaned(lines: &[String]) -> Vec<String> {
    lines.iter().map(|line| one_line(line).into_owned()).collect()
}

/// The tube in the reader's units: "88.9 × 2.4 × 1385 mm".
fn size(line: &RecordLine, units: Units) -> String {
    let sizes = [line.tube.outer_diameter, line.tube.wall, line.tube.length];
    let given: Vec<Length> = sizes.into_iter().flatten().collect();
    if given.is_empty() {
        return String::new();
    }
    let written = |own: Units, unit: &str| {
        let number = |length: &Length| {
            let text = shown::entered_length(own, length.millimetres());
            text.strip_suffix(unit).unwrap_or(&text).trim_end().to_owned()
        };
        format!("{} {unit}", given.iter().map(number).collect::<Vec<String>>().join(" × "))
    };
    units.show(written(Units::Metric, "mm"), written(Units::Us, "in"))
}
