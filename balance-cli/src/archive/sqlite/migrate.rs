//! Layouts of the file, in order: each version of the program brings older archives up to its own.

use rusqlite::{Connection, TransactionBehavior};

use super::content;

/// Written into the file to mark it as an archive: the letters "bala".
pub(super) const APPLICATION: i64 = 0x6261_6c61;

/// Hears how many of how many stored files were brought to the newest layout.
pub(super) type Progress<'a> = &'a mut dyn FnMut(u64, u64);

/// Layout n is reached from layout n − 1 by the n-th of these.
const LAYOUTS: [fn(&Connection, Progress<'_>) -> rusqlite::Result<()>; 2] = [
    |connection, _| connection.execute_batch(include_str!("layout_1.sql")),
    |connection, progress| {
        connection.execute_batch(include_str!("layout_2.sql"))?;
        content::pack_all(connection, progress)?;
        connection.execute_batch(include_str!("layout_2_guard.sql"))
    },
];

/// The newest layout this program knows.
pub(super) const NEWEST: i64 = LAYOUTS.len() as i64;

/// What a file says about itself.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Kind {
    /// It is still empty.
    Empty,
    /// An archive of this layout.
    Archive(i64),
    /// Some other database.
    Foreign,
}

pub(super) fn kind(connection: &Connection) -> rusqlite::Result<Kind> {
    let number = |pragma: &str| connection.query_row(pragma, [], |row| row.get::<_, i64>(0));
    let application = number("PRAGMA application_id")?;
    let layout = layout(connection)?;
    let tables = number("SELECT count(*) FROM sqlite_schema")?;
    Ok(match (application, layout, tables) {
        (APPLICATION, layout, _) if layout > 0 => Kind::Archive(layout),
        (0, 0, 0) => Kind::Empty,
        _ => Kind::Foreign,
    })
}

/// The layout an archive has at this moment: another stand may bring it to the newest one while it is read.
pub(super) fn layout(connection: &Connection) -> rusqlite::Result<i64> {
    connection.prepare_cached("PRAGMA user_version")?.query_row([], |row| row.get(0))
}

/// An empty archive of a layout, in memory.
pub(super) fn empty(layout: i64) -> rusqlite::Result<Connection> {
    let mut connection = Connection::open_in_memory()?;
    bring_to(layout, &mut connection, &mut |_, _| {})?;
    Ok(connection)
}

/// Brings the file up to the newest layout in one step: all or nothing. Whether it had an older one.
pub(super) fn migrate(connection: &mut Connection, progress: Progress<'_>) -> rusqlite::Result<bool> {
    bring_to(NEWEST, connection, progress)
}

fn bring_to(wanted: i64, connection: &mut Connection, progress: Progress<'_>) -> rusqlite::Result<bool> {
    let transaction = connection.transaction_with_behavior(TransactionBehavior::Immediate)?;
    // Another stand may have done it while we waited.
    let done = match kind(&transaction)? {
        Kind::Archive(layout) => layout,
        Kind::Empty => 0,
        Kind::Foreign => return Ok(false),
    };
    for (before, step) in (0..wanted).zip(LAYOUTS) {
        if before >= done {
            step(&transaction, progress)?;
        }
    }
    if done < wanted {
        transaction.pragma_update(None, "application_id", APPLICATION)?;
        transaction.pragma_update(None, "user_version", wanted)?;
    }
    transaction.commit()?;
    Ok((1..wanted).contains(&done))
}

/// Gives the room that packing freed back to the disk. It needs room for a second copy while it works and nobody else
/// writing; where it cannot be done, the freed room is used by the next records, and nothing is lost.
pub(super) fn give_room_back(connection: &Connection) {
    // Copies of a large archive belong on the disk, not in memory.
    let _ = connection.execute_batch("PRAGMA temp_store = FILE; VACUUM;");
    let _ = connection.execute_batch("PRAGMA temp_store = MEMORY;");
}
