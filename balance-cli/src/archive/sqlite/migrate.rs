//! Layouts of the file, in order: each version of the program brings older archives up to its own.

use rusqlite::{Connection, TransactionBehavior};

/// Written into the file to mark it as an archive: the letters "bala".
pub(super) const APPLICATION: i64 = 0x6261_6c61;

/// Layout n is reached from layout n − 1 by the n-th of these.
const LAYOUTS: &[&str] = &[include_str!("layout_1.sql")];

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
    let layout = number("PRAGMA user_version")?;
    let tables = number("SELECT count(*) FROM sqlite_schema")?;
    Ok(match (application, layout, tables) {
        (APPLICATION, layout, _) if layout > 0 => Kind::Archive(layout),
        (0, 0, 0) => Kind::Empty,
        _ => Kind::Foreign,
    })
}

/// An empty archive of the newest layout, in memory.
pub(super) fn newest_layout() -> rusqlite::Result<Connection> {
    let mut connection = Connection::open_in_memory()?;
    migrate(&mut connection)?;
    Ok(connection)
}

/// Brings the file up to the newest layout in one step: all or nothing.
pub(super) fn migrate(connection: &mut Connection) -> rusqlite::Result<()> {
    let transaction = connection.transaction_with_behavior(TransactionBehavior::Immediate)?;
    // Another stand may have done it while we waited.
    let done = match kind(&transaction)? {
        Kind::Archive(layout) => layout,
        Kind::Empty => 0,
        Kind::Foreign => return Ok(()),
    };
    for layout in LAYOUTS.iter().skip(usize::try_from(done).unwrap_or(usize::MAX)) {
        transaction.execute_batch(layout)?;
    }
    if done < NEWEST {
        transaction.pragma_update(None, "application_id", APPLICATION)?;
        transaction.pragma_update(None, "user_version", NEWEST)?;
    }
    transaction.commit()
}
