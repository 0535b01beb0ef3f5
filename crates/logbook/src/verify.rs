//! The walk along the chain: every entry's hash, link and columns, and everything derived from the entries.

use jiff::Timestamp;
use rayon::prelude::*;
use rusqlite::Connection;

use crate::derived::{Corrections, Derived, Expected};
use crate::entry::Entry;
use crate::error::Error;
use crate::hash::Hash;
use crate::reader::{self, Reader};
use crate::schema;
use crate::wire::{self, WireEntry, read_time};
use crate::words::Kind;

/// Entries read at a time and checked side by side.
const STRIDE: usize = 8192;

/// What the walk found.
#[derive(Clone, Debug, PartialEq)]
pub struct Verdict {
    /// Entries found in order, up to the first broken one.
    pub entries: u64,
    /// Hash of the last of them.
    pub head: Hash,
    /// The first thing out of order, if there is one.
    pub broken: Option<Broken>,
}

impl Verdict {
    /// Nothing is out of order.
    pub fn is_whole(&self) -> bool {
        self.broken.is_none()
    }
}

/// The first thing out of order.
#[derive(Clone, Debug, PartialEq)]
pub struct Broken {
    /// The entry; none where a table derived from them or the file itself is at fault.
    pub seq: Option<u64>,
    /// In what way.
    pub how: How,
}

/// In what way something is out of order.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub enum How {
    /// The text and the hash of the entry do not fit: one of them was altered.
    Hash {
        /// What the text comes to.
        computed: Hash,
    },
    /// It does not name the hash of the entry before: one of the two was put in or altered.
    Link {
        /// The hash of the entry before.
        expected: Hash,
    },
    /// The entry of this number is missing.
    Missing,
    /// Its text is no entry.
    Unreadable {
        /// Why.
        why: String,
    },
    /// A column beside the text says something else than the text.
    Column {
        /// The column.
        column: &'static str,
    },
    /// A value in the index of readings is missing, added or other than the entry's.
    Reading {
        /// The quantity.
        name: String,
        /// What differs.
        why: String,
    },
    /// Something else derived from the entries differs from what they say.
    Derived {
        /// What.
        what: String,
    },
    /// The database finds its own file out of order.
    File {
        /// What it said.
        said: String,
    },
}

impl std::fmt::Display for Broken {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self.seq {
            Some(seq) => write!(f, "entry {seq}: ")?,
            None => f.write_str("the record: ")?,
        }
        self.how.fmt(f)
    }
}

impl std::fmt::Display for How {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            How::Hash { computed } => {
                write!(f, "text and hash do not fit (the text comes to {computed})")
            }
            How::Link { expected } => {
                write!(f, "it does not follow the entry before, whose hash is {expected}")
            }
            How::Missing => f.write_str("missing"),
            How::Unreadable { why } => write!(f, "cannot be read: {why}"),
            How::Column { column } => write!(f, "its column {column} differs from its text"),
            How::Reading { name, why } => write!(f, "value {name} in the index of readings {why}"),
            How::Derived { what } => f.write_str(what),
            How::File { said } => write!(f, "the file is damaged: {said}"),
        }
    }
}

/// Walks the whole record as it stands now; `progress` is told entries done and entries in all now and then. Writers may
/// go on meanwhile.
///
/// # Errors
/// The file cannot be read at all. What is readable but wrong is the verdict.
pub fn verify(reader: &Reader, progress: impl FnMut(u64, u64)) -> Result<Verdict, Error> {
    std::thread::scope(|scope| {
        // The file's own order takes as long to check as the entries do; another connection does it meanwhile.
        let aside = reader.again().ok().map(|other| scope.spawn(move || check_file(&other.conn)));
        walk(&reader.conn, progress, || match aside.map(std::thread::ScopedJoinHandle::join) {
            Some(Ok(outcome)) => outcome,
            Some(Err(_)) | None => check_file(&reader.conn),
        })
    })
}

/// The same for a copy whose entries are those of the record to the letter: anything else out of order is an error. An
/// entry that was broken before the copy was made does not stand in the way; a walk names it as ever.
pub(crate) fn prove(conn: &Connection) -> Result<(), Error> {
    let of_entry =
        |broken: &Broken| broken.seq.is_some() && !matches!(broken.how, How::Reading { .. });
    match walk(conn, |_, _| {}, || check_file(conn))?.broken {
        None => Ok(()),
        Some(broken) if of_entry(&broken) => check_file(conn),
        Some(broken) => {
            Err(Error::Broken { seq: broken.seq.unwrap_or(0), how: broken.to_string() })
        }
    }
}

fn walk(
    conn: &Connection,
    progress: impl FnMut(u64, u64),
    file: impl FnOnce() -> Result<(), Error>,
) -> Result<Verdict, Error> {
    // One transaction: everything is looked at as of the same moment.
    let snapshot = conn.unchecked_transaction().map_err(Error::store("beginning the walk"))?;
    let mut verdict = Verdict { entries: 0, head: Hash::NONE, broken: None };
    let outcome =
        walk_snapshot(&snapshot, &mut verdict, progress).and_then(|broken| match broken {
            Some(broken) => Ok(Some(broken)),
            None => file().map(|()| None),
        });
    verdict.broken = match outcome {
        Err(Error::Damaged { found }) => Some(Broken { seq: None, how: How::File { said: found } }),
        other => other?,
    };
    Ok(verdict)
}

fn walk_snapshot(
    conn: &Connection,
    verdict: &mut Verdict,
    progress: impl FnMut(u64, u64),
) -> Result<Option<Broken>, Error> {
    let corrections = Corrections::read(conn);
    let mut expected = Expected::default();
    match walk_entries(conn, &corrections, &mut expected, verdict, progress)? {
        Some(broken) => Ok(Some(broken)),
        None => Derived::read(conn)?.differs(conn, &corrections, &expected),
    }
}

/// Whether tables, indexes and pages of the file are in order.
fn check_file(conn: &Connection) -> Result<(), Error> {
    schema::check(conn)?;
    let said: String = conn
        .pragma_query_value(None, "integrity_check", |row| row.get(0))
        .map_err(Error::store("checking the file"))?;
    if said == "ok" { Ok(()) } else { Err(Error::Damaged { found: said }) }
}

/// A row of the table of entries.
pub(crate) struct Stored {
    pub(crate) seq: i64,
    kind: i64,
    at: i64,
    corrects: Option<i64>,
    pub(crate) canonical: String,
    pub(crate) hash: Vec<u8>,
}

fn walk_entries(
    conn: &Connection,
    corrections: &Corrections,
    expected: &mut Expected,
    verdict: &mut Verdict,
    mut progress: impl FnMut(u64, u64),
) -> Result<Option<Broken>, Error> {
    let doing = Error::store("reading entries");
    let total: i64 = conn
        .query_row("SELECT coalesce(max(seq), 0) FROM entry", [], |row| row.get(0))
        .map_err(&doing)?;
    let total = total.unsigned_abs();
    let sql = "SELECT seq, kind, at, corrects, canonical, hash FROM entry NOT INDEXED ORDER BY seq";
    let mut statement = conn.prepare(sql).map_err(&doing)?;
    let mut rows = statement.query([]).map_err(&doing)?;
    let mut stride: Vec<Stored> = Vec::with_capacity(STRIDE);
    loop {
        stride.clear();
        let mut unread = None;
        while stride.len() < STRIDE
            && let Some(row) = rows.next().map_err(&doing)?
        {
            match read_stored(row) {
                Ok(stored) => stride.push(stored),
                // A column of another type than the table allows: name the entry and stop there.
                Err(error) => {
                    unread = Some(error.to_string());
                    break;
                }
            }
        }
        let checked: Vec<Result<Expected, How>> =
            stride.par_iter().map(|stored| check_entry(stored, corrections)).collect();
        for (stored, checked) in stride.iter().zip(checked) {
            let next = verdict.entries + 1;
            if stored.seq != next as i64 {
                return Ok(Some(Broken { seq: Some(next), how: How::Missing }));
            }
            let broken = |how| Ok(Some(Broken { seq: Some(next), how }));
            match checked {
                Err(how) => return broken(how),
                Ok(found) if found.prev != verdict.head => {
                    return broken(How::Link { expected: verdict.head });
                }
                Ok(found) => expected.add(&found),
            }
            verdict.entries = next;
            verdict.head = Hash::from_slice(&stored.hash).unwrap_or(Hash::NONE);
        }
        progress(verdict.entries, total);
        if let Some(why) = unread {
            let seq = Some(verdict.entries + 1);
            return Ok(Some(Broken { seq, how: How::Unreadable { why } }));
        }
        if stride.len() < STRIDE {
            return Ok(None);
        }
    }
}

/// Reads `seq, kind, at, corrects, canonical, hash`.
pub(crate) fn read_stored(row: &rusqlite::Row<'_>) -> rusqlite::Result<Stored> {
    Ok(Stored {
        seq: row.get(0)?,
        kind: row.get(1)?,
        at: row.get(2)?,
        corrects: row.get(3)?,
        canonical: reader::text(row, 4)?,
        hash: row.get(5)?,
    })
}

/// Whether the entry agrees with itself; what the derived tables should hold of it.
fn check_entry(stored: &Stored, corrections: &Corrections) -> Result<Expected, How> {
    let unreadable = |why: String| How::Unreadable { why };
    let (wire, kind, at) = agrees(stored)?;
    let prev = wire.prev.parse().map_err(|_| unreadable(format!("prev {}", wire.prev)))?;
    corrections.expected(&wire, kind, at, prev).map_err(unreadable)
}

/// The entry, if it agrees with itself.
pub(crate) fn prove_entry(stored: &Stored) -> Result<Entry, How> {
    agrees(stored)?;
    let hash = Hash::from_slice(&stored.hash).unwrap_or(Hash::NONE);
    wire::read_entry(&stored.canonical, hash).map_err(|why| How::Unreadable { why })
}

/// Kind and second of an entry whose hash is that of its text and whose columns say the same as it.
fn agrees(stored: &Stored) -> Result<(WireEntry<'_>, Kind, i64), How> {
    let computed = Hash::of_entry(&stored.canonical);
    if Hash::from_slice(&stored.hash) != Some(computed) {
        return Err(How::Hash { computed });
    }
    let unreadable = |why: String| How::Unreadable { why };
    let wire: WireEntry<'_> =
        serde_json::from_str(&stored.canonical).map_err(|error| unreadable(error.to_string()))?;
    let at = read_time(&wire.at)
        .map(Timestamp::as_second)
        .ok_or_else(|| unreadable(format!("time {}", wire.at)))?;
    let kind =
        Kind::from_word(&wire.kind).ok_or_else(|| unreadable(format!("kind {}", wire.kind)))?;
    let columns = [
        ("seq", i64::try_from(wire.seq) == Ok(stored.seq)),
        ("kind", kind.code() == stored.kind),
        ("at", at == stored.at),
        ("corrects", wire.corrects.map(|seq| seq as i64) == stored.corrects),
    ];
    if let Some(&(column, _)) = columns.iter().find(|(_, agrees)| !agrees) {
        return Err(How::Column { column });
    }
    Ok((wire, kind, at))
}
