//! Connections to the record's file: one that writes, any number that read.

use std::path::Path;
use std::time::Duration;

use rusqlite::{Connection, OpenFlags};

use crate::error::Error;

/// How long a statement waits for another connection of this process.
const BUSY: Duration = Duration::from_secs(5);
/// Prepared statements kept ready on a connection.
const STATEMENTS: usize = 64;

/// A connection that writes: every commit is on the disk when it returns.
pub(crate) fn writing(path: &Path) -> Result<Connection, Error> {
    let doing = Error::store("opening the record");
    let flags = OpenFlags::SQLITE_OPEN_READ_WRITE | OpenFlags::SQLITE_OPEN_NO_MUTEX;
    let conn = Connection::open_with_flags(path, flags).map_err(&doing)?;
    conn.busy_timeout(BUSY).map_err(&doing)?;
    conn.set_prepared_statement_cache_capacity(STATEMENTS);
    conn.query_row("PRAGMA journal_mode = WAL", [], |_| Ok(())).map_err(&doing)?;
    conn.execute_batch(
        "PRAGMA synchronous = FULL; PRAGMA foreign_keys = ON; PRAGMA trusted_schema = OFF;
         PRAGMA cell_size_check = ON; PRAGMA cache_size = -16384;",
    )
    .map_err(&doing)?;
    conn.query_row("PRAGMA journal_size_limit = 67108864", [], |_| Ok(())).map_err(&doing)?;
    Ok(conn)
}

/// A connection that reads, beside a writer if there is one.
pub(crate) fn reading(path: &Path) -> Result<Connection, Error> {
    let flags = OpenFlags::SQLITE_OPEN_READ_ONLY | OpenFlags::SQLITE_OPEN_NO_MUTEX;
    prepare(Connection::open_with_flags(path, flags))
}

/// A connection that reads a file nobody can be changing.
pub(crate) fn immutable(path: &Path) -> Result<Connection, Error> {
    let mut uri = "file:".to_owned();
    for sign in path.to_string_lossy().chars() {
        match sign {
            '%' => uri.push_str("%25"),
            '?' => uri.push_str("%3f"),
            '#' => uri.push_str("%23"),
            '\\' => uri.push('/'),
            other => uri.push(other),
        }
    }
    uri.push_str("?immutable=1");
    let flags = OpenFlags::SQLITE_OPEN_READ_ONLY
        | OpenFlags::SQLITE_OPEN_NO_MUTEX
        | OpenFlags::SQLITE_OPEN_URI;
    prepare(Connection::open_with_flags(uri, flags))
}

fn prepare(conn: rusqlite::Result<Connection>) -> Result<Connection, Error> {
    let doing = Error::store("opening the record for reading");
    let conn = conn.map_err(&doing)?;
    conn.busy_timeout(BUSY).map_err(&doing)?;
    conn.set_prepared_statement_cache_capacity(STATEMENTS);
    conn.execute_batch(
        "PRAGMA query_only = ON; PRAGMA trusted_schema = OFF; PRAGMA cell_size_check = ON;
         PRAGMA cache_size = -8192;",
    )
    .map_err(&doing)?;
    // Touches the file, so that one that cannot be read is told now.
    crate::schema::check(&conn)?;
    Ok(conn)
}
