//! An entry with everything that corrects or withdraws it.

use rusqlite::{Connection, OptionalExtension};

use crate::entry::Entry;
use crate::error::Error;
use crate::reader::{self, Row};
use crate::standing::Relative;

/// The first entry of the family `seq` belongs to.
pub(crate) fn root(conn: &Connection, seq: u64) -> Result<u64, Error> {
    let doing = Error::store("looking up what an entry corrects");
    let mut statement =
        conn.prepare_cached("SELECT corrects FROM entry WHERE seq = ?1").map_err(&doing)?;
    let mut at = seq;
    loop {
        let target: Option<Option<i64>> =
            statement.query_row([at as i64], |row| row.get(0)).optional().map_err(&doing)?;
        match target.flatten().map(i64::unsigned_abs) {
            // An entry corrects an earlier one; anything else is an altered file and would never end.
            Some(target) if target < at => at = target,
            _ => return Ok(at),
        }
    }
}

/// The family of `root`, in order: itself and all that corrects or withdraws it or one of its corrections.
pub(crate) fn of_root(conn: &Connection, root: u64) -> Result<Vec<Entry>, Error> {
    let doing = Error::store("looking up what corrects an entry");
    let mut statement = conn
        .prepare_cached(
            "WITH RECURSIVE family(seq) AS (
                 VALUES (?1)
                 UNION SELECT entry.seq FROM family CROSS JOIN entry ON entry.corrects = family.seq)
             SELECT seq, canonical, hash FROM entry WHERE seq IN family ORDER BY seq",
        )
        .map_err(&doing)?;
    let rows = statement.query_map([root as i64], reader::read_row).map_err(&doing)?;
    let rows: Vec<Row> = rows.collect::<Result<_, _>>().map_err(&doing)?;
    rows.iter().map(Row::entry).collect()
}

/// What the rules of standing need to know of a family.
pub(crate) fn relatives(family: &[Entry]) -> Vec<Relative> {
    let relative = |entry: &Entry| Relative {
        seq: entry.seq,
        kind: entry.kind,
        corrects: entry.corrects,
        names: entry.values.iter().map(|value| value.name.clone()).collect(),
    };
    family.iter().map(relative).collect()
}
