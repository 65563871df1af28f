//! Records as JSON and CSV, for other programs.

use balance_core::quantity::{Length, Speed};
use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use serde_json::{Value, json};

use super::operations::{CheckFault, CheckReport};
use super::{Record, RecordFile, RecordLine, Role};
use crate::clean::no_formula;
use balance_core::Complex64;
use balance_core::influence::{MonthlyResponse, TypeReport, TypeSensor};

/// One record as one JSON object on one line: its fields, its input files verbatim, its result and its
/// response. Report and attachments are named with their digests; bytes that are not text are written in
/// hexadecimal.
#[must_use]
pub fn json_of(record: &Record) -> String {
    object(record, |_| None)
}

/// The same with the bytes of report and attachments too (in base64, RFC 4648): everything a record holds.
#[must_use]
pub fn json_whole(record: &Record) -> String {
    object(record, |bytes| Some(STANDARD.encode(bytes)))
}

fn object(record: &Record, encoded: fn(&[u8]) -> Option<String>) -> String {
    let line = &record.line;
    let files = |role| -> Vec<Value> {
        record.files_of(role).map(|file| content(&file.name, &file.digest.to_string(), &file.bytes)).collect()
    };
    let named = |role| -> Vec<Value> {
        let one = |file: &RecordFile| {
            let mut all =
                json!({"name": file.name, "bytes": file.bytes.len(), "sha256": file.digest.to_string()});
            if let Some(encoded) = encoded(&file.bytes) {
                all["base64"] = encoded.into();
            }
            all
        };
        record.files_of(role).map(one).collect()
    };
    let parsed =
        |role| record.text_of(role).map(|text| serde_json::from_str(text).unwrap_or_else(|_| json!(text)));
    let mut all = fields(line);
    let more = json!({
        "sha256_before": record.previous.to_string(),
        "inputs": files(Role::Input),
        "result": parsed(Role::Result),
        "answers": parsed(Role::Answers),
        "report": named(Role::Report),
        "attachments": named(Role::Attachment),
    });
    if let (Value::Object(all), Value::Object(more)) = (&mut all, more) {
        all.extend(more);
    }
    all.to_string()
}

/// One record's line as one JSON object: its fields without its files.
#[must_use]
pub fn json_of_line(line: &RecordLine) -> String {
    fields(line).to_string()
}

fn fields(line: &RecordLine) -> Value {
    json!({
        "format": "balance-record/1",
        "record": line.id,
        "made_at": line.made_at,
        "number": line.number,
        "customer": line.customer,
        "unit": line.unit,
        "tag": line.tag,
        "technician": line.technician,
        "shaft_type": line.shaft_type,
        "outer_diameter_mm": line.tube.outer_diameter.map(Length::millimetres),
        "wall_mm": line.tube.wall.map(Length::millimetres),
        "length_mm": line.tube.length.map(Length::millimetres),
        "verdict": line.verdict,
        "grade": line.grade,
        "service_speed_rpm": line.service_speed.map(Speed::rpm),
        "marks": line.marks,
        "weights": line.weights,
        "program": line.program,
        "supersedes": line.supersedes,
        "superseded_by": line.superseded_by,
        "sha256": line.digest.to_string(),
    })
}

/// A type as one JSON object: mean response, scatter, plain means month by month and change over time, sensor by sensor.
#[must_use]
pub fn json_of_type(report: &TypeReport) -> String {
    let pairs = |values: &[Complex64]| values.iter().map(|value| [value.re, value.im]).collect::<Vec<_>>();
    let month = |own: &MonthlyResponse| json!({"month": own.month, "shafts": own.shafts, "mean_re_im": pairs(&own.mean)});
    let sensor = |(speed, sensor): (Option<f64>, &TypeSensor)| {
        let pool = sensor.pool.as_ref();
        let mean = pool.map(|pool| pairs(pool.mean()));
        let walk = sensor.walk.as_ref();
        json!({
            "sensor": sensor.name,
            "unit": sensor.unit,
            "speed_rpm": speed,
            "shafts": sensor.shafts,
            "mean_re_im": mean,
            "scatter_shares": pool.map(balance_core::influence::Pool::scatter_shares),
            "by_month": sensor.by_month().iter().map(month).collect::<Vec<Value>>(),
            "walks": walk.map(|walk| json!({"since_record": walk.record, "since": walk.made_at, "share": walk.share})),
        })
    };
    let left_out = |(record, reason): &(i64, &str)| json!({"record": record, "reason": reason});
    json!({
        "format": "balance-type/1",
        "type": report.key,
        "shafts": report.shafts,
        "planes": report.planes,
        "per": report.per,
        "sensors": report.sensors().map(sensor).collect::<Vec<Value>>(),
        "left_out": report.left_out.iter().map(left_out).collect::<Vec<Value>>(),
    })
    .to_string()
}

/// What a check found, as one JSON object.
#[must_use]
pub fn json_of_check(report: &CheckReport) -> String {
    let fault = |fault: &CheckFault| json!({"record": fault.record, "text": fault.text});
    json!({
        "format": "balance-archive-check/1",
        "records": report.records,
        "files": report.files,
        "newest_sha256": report.last.to_string(),
        "faults": report.faults.iter().map(fault).collect::<Vec<Value>>(),
        "notes": report.notes,
    })
    .to_string()
}

fn content(name: &str, digest: &str, bytes: &[u8]) -> Value {
    match std::str::from_utf8(bytes) {
        Ok(text) => json!({"name": name, "sha256": digest, "text": text}),
        Err(_) => {
            let hex: String = bytes.iter().map(|byte| format!("{byte:02x}")).collect();
            json!({"name": name, "sha256": digest, "hex": hex})
        }
    }
}

const HEADER: [&str; 19] = [
    "record",
    "made_at",
    "number",
    "customer",
    "unit",
    "tag",
    "technician",
    "shaft_type",
    "outer_diameter_mm",
    "wall_mm",
    "length_mm",
    "verdict",
    "grade",
    "service_speed_rpm",
    "marks",
    "weights",
    "supersedes",
    "superseded_by",
    "sha256",
];

/// Records as a CSV table with a header, one row each.
#[must_use]
pub fn csv_of(lines: &[RecordLine]) -> String {
    let number = |value: Option<f64>| value.map(|value| value.to_string()).unwrap_or_default();
    let id = |value: Option<i64>| value.map(|value| value.to_string()).unwrap_or_default();
    let mut table = csv::Writer::from_writer(Vec::new());
    let mut write =
        |row: &[String]| table.write_record(row).expect("memory takes every row of the header's length");
    write(&HEADER.map(String::from));
    let words = |text: &str| no_formula(text).into_owned();
    for line in lines {
        write(&[
            line.id.to_string(),
            line.made_at.clone(),
            words(&line.number),
            words(&line.customer),
            words(&line.unit),
            words(&line.tag),
            words(&line.technician),
            line.shaft_type.as_deref().map(words).unwrap_or_default(),
            number(line.tube.outer_diameter.map(Length::millimetres)),
            number(line.tube.wall.map(Length::millimetres)),
            number(line.tube.length.map(Length::millimetres)),
            line.verdict.clone().unwrap_or_default(),
            line.grade.as_deref().map(words).unwrap_or_default(),
            number(line.service_speed.map(Speed::rpm)),
            words(&line.marks),
            words(&line.weights),
            id(line.supersedes),
            id(line.superseded_by),
            line.digest.to_string(),
        ]);
    }
    let bytes = table.into_inner().expect("memory takes every row");
    String::from_utf8(bytes).expect("rows of text are text")
}
