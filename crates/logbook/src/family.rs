//! An entry with everything that corrects or withdraws it.

use rusqlite::{Connection, OptionalExtension};

use crate::entry::Entry;
use crate::error::Error;
use crate::reader::{self, Row};
use crate::standing::{Relative, withdrawn};
use crate::words::Kind;

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

/// The first entry of a family as it stands: with the values, words and particulars its corrections give anew, in
/// order; none if it was withdrawn. Number, time, author and hash stay those of the entry itself.
pub(crate) fn as_it_stands(family: &[Entry]) -> Option<Entry> {
    let withdrawn = withdrawn(&relatives(family));
    let (first, later) = family.split_first()?;
    if withdrawn.contains_key(&first.seq) {
        return None;
    }
    let mut entry = first.clone();
    let stands =
        |later: &&Entry| later.kind == Kind::Correction && !withdrawn.contains_key(&later.seq);
    for correction in later.iter().filter(stands) {
        for value in &correction.values {
            match entry.values.iter_mut().find(|old| old.name == value.name) {
                Some(old) => *old = value.clone(),
                None => entry.values.push(value.clone()),
            }
        }
        let details = correction.details.iter().map(|(key, value)| (key.clone(), value.clone()));
        entry.details.extend(details);
        if correction.text.is_some() {
            entry.text.clone_from(&correction.text);
        }
    }
    Some(entry)
}
