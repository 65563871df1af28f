//! The words by which a record can be found.

use balance_core::quantity::Length;
use rusqlite::{Connection, Row};

use super::super::{RecordLine, Role};
use super::{content, row};

/// All the words by which a stored record can be found: what is on its line, its sizes, the names of its
/// files and the text of its job file.
pub(super) fn words(connection: &Connection, line: &RecordLine) -> rusqlite::Result<String> {
    let size = |length: Option<Length>| length.map(|length| format!("{} mm", length.millimetres()));
    let given = [&line.shaft_type, &line.verdict, &line.grade].map(Clone::clone);
    let sizes = [line.tube.outer_diameter, line.tube.wall, line.tube.length].map(size);
    let always = [
        &line.number,
        &line.customer,
        &line.unit,
        &line.tag,
        &line.technician,
        &line.marks,
        &line.weights,
        &line.made_at,
    ];
    let mut words: Vec<String> = always.map(Clone::clone).into();
    words.extend(given.into_iter().chain(sizes).flatten());
    for (name, text) in files(connection, line.id)? {
        words.push(name);
        words.extend(text);
    }
    Ok(words.join("\n"))
}

/// The names of what people typed or attached, and the job file's text.
fn files(connection: &Connection, record: i64) -> rusqlite::Result<Vec<(String, Option<String>)>> {
    let mut statement = connection.prepare_cached(&format!(
        "SELECT role, name, {} FROM file
             LEFT JOIN content ON content.id = file.content AND role = 'input' AND name = 'job.toml'
         WHERE file.record = ?1 ORDER BY place",
        content::columns(connection)?
    ))?;
    let one = |row: &Row<'_>| {
        let text = content::maybe_bytes(row, 2)?;
        let text = text.map(|bytes| String::from_utf8_lossy(&bytes).into_owned());
        Ok((row::role(row, 0)?, (row.get(1)?, text)))
    };
    let all: Vec<(Role, (String, Option<String>))> =
        statement.query_map([record], one)?.collect::<Result<_, _>>()?;
    let searched = |role: &Role| matches!(role, Role::Input | Role::Attachment);
    Ok(all.into_iter().filter(|(role, _)| searched(role)).map(|(_, file)| file).collect())
}
