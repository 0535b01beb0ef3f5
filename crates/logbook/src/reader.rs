//! The record open for reading: entries as they stand, the newest of a quantity, rounds, events, the ship's clock.

use std::collections::{BTreeMap, HashMap};
use std::path::{Path, PathBuf};

use jiff::Timestamp;
use rusqlite::{Connection, OptionalExtension, params};

use crate::clock::{ShipClock, ZoneChange};
use crate::connect;
use crate::entry::{Entry, Value};
use crate::error::Error;
use crate::family;
use crate::file::{self, Found, beside};
use crate::hash::Hash;
use crate::head::PASSED;
use crate::round::{self, Reading, Round};
use crate::standing;
use crate::wire;
use crate::words::{Kind, Quality};
use crate::zone::{Zone, from_second};

/// A connection for reading only. Any number may be open while the book is written; each sees what was written
/// before its question.
#[derive(Debug)]
pub struct Reader {
    pub(crate) conn: Connection,
    path: PathBuf,
}

/// An entry as it lies in the table.
pub(crate) struct Row {
    pub(crate) seq: i64,
    pub(crate) canonical: String,
    pub(crate) hash: Vec<u8>,
}

/// Reads `seq, canonical, hash`.
pub(crate) fn read_row(row: &rusqlite::Row<'_>) -> rusqlite::Result<Row> {
    Ok(Row { seq: row.get(0)?, canonical: text(row, 1)?, hash: row.get(2)? })
}

/// A text, altered bytes in it as the sign for what is no letter: its hash tells then.
pub(crate) fn text(row: &rusqlite::Row<'_>, column: usize) -> rusqlite::Result<String> {
    let bytes = row.get_ref(column)?.as_bytes()?;
    Ok(String::from_utf8_lossy(bytes).into_owned())
}

impl Row {
    /// The entry its text says, if that is the text that was hashed and the entry of that number.
    pub(crate) fn entry(&self) -> Result<Entry, Error> {
        let seq = self.seq.unsigned_abs();
        let broken = |how: String| Error::Broken { seq, how };
        let hash = Hash::from_slice(&self.hash)
            .ok_or_else(|| broken(format!("its hash has {} bytes, not 32", self.hash.len())))?;
        if Hash::of_entry(&self.canonical) != hash {
            return Err(broken("text and hash do not fit: one of them was altered".to_owned()));
        }
        let entry = wire::read_entry(&self.canonical, hash).map_err(broken)?;
        if entry.seq == seq {
            Ok(entry)
        } else {
            Err(broken(format!("its text is that of entry {}", entry.seq)))
        }
    }
}

impl Reader {
    /// Opens a record without writing anything to it.
    ///
    /// # Errors
    /// No such file, a folder, an empty, foreign, truncated, damaged or newer file.
    pub fn open(path: &Path) -> Result<Self, Error> {
        match file::look(path)? {
            Found::Nothing => return Err(Error::NotFound { path: path.to_owned() }),
            Found::Record { version } if version < crate::schema::current() => {
                return Err(Error::Foreign {
                    path: path.to_owned(),
                    found: format!("an older record, schema {version}: open it once for writing"),
                });
            }
            Found::Record { .. } => {}
        }
        let conn = match connect::reading(path) {
            // Write-ahead logging wants companion files; where the folder takes none and no log waits, the file alone
            // is the whole record and nobody can be changing it.
            Err(_) if !beside(path, "-wal").exists() => connect::immutable(path)?,
            other => other?,
        };
        Ok(Self { conn, path: path.to_owned() })
    }

    /// Another connection to the same record.
    ///
    /// # Errors
    /// As [`Reader::open`].
    pub fn again(&self) -> Result<Self, Error> {
        Self::open(&self.path)
    }

    /// The record's file.
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// Number and hash of the newest entry; 0 and zeros when there is none.
    ///
    /// # Errors
    /// The file cannot be read.
    pub fn head(&self) -> Result<(u64, Hash), Error> {
        let doing = Error::store("reading the newest entry");
        let sql = "SELECT seq, hash FROM entry ORDER BY seq DESC LIMIT 1";
        let mut statement = self.conn.prepare_cached(sql).map_err(&doing)?;
        let read = |row: &rusqlite::Row<'_>| Ok((row.get::<_, i64>(0)?, row.get::<_, Vec<u8>>(1)?));
        let Some((seq, hash)) = statement.query_row([], read).optional().map_err(&doing)? else {
            return Ok((0, Hash::NONE));
        };
        let seq = seq.unsigned_abs();
        let how = || Error::Broken { seq, how: "its hash is not 32 bytes".to_owned() };
        Ok((seq, Hash::from_slice(&hash).ok_or_else(how)?))
    }

    /// How many entries there are.
    ///
    /// # Errors
    /// The file cannot be read.
    pub fn count(&self) -> Result<u64, Error> {
        // Numbers run without a gap from 1: the last is the count.
        self.head().map(|(seq, _)| seq)
    }

    /// The entry of this number.
    ///
    /// # Errors
    /// The file or the entry cannot be read.
    pub fn entry(&self, seq: u64) -> Result<Option<Entry>, Error> {
        self.row(seq)?.map(|row| row.entry()).transpose()
    }

    /// The canonical text of an entry: what its hash is taken over.
    ///
    /// # Errors
    /// The file cannot be read.
    pub fn canonical(&self, seq: u64) -> Result<Option<String>, Error> {
        Ok(self.row(seq)?.map(|row| row.canonical))
    }

    pub(crate) fn row(&self, seq: u64) -> Result<Option<Row>, Error> {
        row(&self.conn, seq)
    }

    /// Whether somebody went on by name after this entry, which was out of order then as it is now.
    ///
    /// # Errors
    /// The file cannot be read.
    pub fn went_on_after(&self, seq: u64) -> Result<bool, Error> {
        let sql = "SELECT EXISTS (SELECT 1 FROM entry WHERE kind = ?1 AND EXISTS (
                       SELECT 1 FROM json_each(canonical, '$.details') AS d
                       WHERE d.key = ?2 AND d.value = ?3))";
        let doing = Error::store("reading what was gone on after");
        let mut statement = self.conn.prepare_cached(sql).map_err(&doing)?;
        let params = params![Kind::Override.code(), PASSED, seq.to_string()];
        statement.query_row(params, |row| row.get(0)).map_err(doing)
    }

    /// Entries with smaller numbers than `before` (or the newest), newest first; those out of order are left out.
    ///
    /// # Errors
    /// The file cannot be read.
    pub fn entries(&self, before: Option<u64>, limit: usize) -> Result<Vec<Entry>, Error> {
        let sql =
            "SELECT seq, canonical, hash FROM entry WHERE seq < ?1 ORDER BY seq DESC LIMIT ?2";
        self.select(sql, params![before.map_or(i64::MAX, as_i64), as_i64(limit as u64)])
    }

    /// Entries from number `first` on, oldest first: for writing the record out piece by piece; those out of order are
    /// left out.
    ///
    /// # Errors
    /// The file cannot be read.
    pub fn entries_from(&self, first: u64, limit: usize) -> Result<Vec<Entry>, Error> {
        let sql = "SELECT seq, canonical, hash FROM entry WHERE seq >= ?1 ORDER BY seq LIMIT ?2";
        self.select(sql, params![as_i64(first), as_i64(limit as u64)])
    }

    /// An entry and everything that corrects or withdraws it, in order.
    ///
    /// # Errors
    /// The file or an entry cannot be read.
    pub fn history(&self, seq: u64) -> Result<Vec<Entry>, Error> {
        family::of_root(&self.conn, family::root(&self.conn, seq)?)
    }

    /// Everything that is not a reading (corrections of readings included), by its own time from `from` to `to`, both
    /// ends in, newest first; what is out of order is left out.
    ///
    /// # Errors
    /// The file cannot be read.
    pub fn events(
        &self,
        from: Option<Timestamp>,
        to: Option<Timestamp>,
        limit: usize,
    ) -> Result<Vec<Entry>, Error> {
        let others: Vec<String> = Kind::ALL
            .iter()
            .filter(|&&kind| kind != Kind::Reading)
            .map(|kind| kind.code().to_string())
            .collect();
        let sql = format!(
            "SELECT seq, canonical, hash FROM entry WHERE seq IN (
                 SELECT seq FROM entry WHERE kind IN ({}) AND at BETWEEN ?1 AND ?2
                 ORDER BY at DESC, seq DESC LIMIT ?3)
             ORDER BY at DESC, seq DESC",
            others.join(",")
        );
        let (from, to) = span(from, to);
        self.select(&sql, params![from, to, as_i64(limit as u64)])
    }

    /// Events that carry the particular `key` and were not withdrawn, up to and at `until`, newest first, as they
    /// stand: what a correction gives anew is in them. Both versions, by whom and why, are in [`Reader::history`]. One
    /// that is out of order, or has such a correction, is left out.
    ///
    /// # Errors
    /// The file cannot be read.
    pub fn events_with(
        &self,
        key: &str,
        until: Timestamp,
        limit: usize,
    ) -> Result<Vec<Entry>, Error> {
        // A corrected one may have the particular from its correction.
        let sql = "SELECT seq FROM entry WHERE kind = ?1 AND at <= ?2 AND (
                       EXISTS (SELECT 1 FROM json_each(canonical, '$.details') AS d WHERE d.key = ?3)
                       OR EXISTS (SELECT 1 FROM entry AS later WHERE later.corrects = entry.seq))
                   ORDER BY at DESC, seq DESC";
        let doing = Error::store("reading events");
        let mut statement = self.conn.prepare_cached(sql).map_err(&doing)?;
        let mut rows =
            statement.query(params![Kind::Event.code(), until.as_second(), key]).map_err(&doing)?;
        let mut found = Vec::new();
        while found.len() < limit
            && let Some(row) = rows.next().map_err(&doing)?
        {
            let seq: i64 = row.get(0).map_err(&doing)?;
            let family = passable(family::of_root(&self.conn, seq.unsigned_abs()))?;
            let stands = family.and_then(|family| family::as_it_stands(&family));
            found.extend(stands.filter(|entry| entry.details.contains_key(key)));
        }
        Ok(found)
    }

    /// The newest event that carries the particular `key` and was not withdrawn, up to and at `until`.
    ///
    /// # Errors
    /// The file or an entry cannot be read.
    pub fn latest_event(&self, key: &str, until: Timestamp) -> Result<Option<Entry>, Error> {
        Ok(self.events_with(key, until, 1)?.pop())
    }

    /// Every figure and word ever written as read at this moment, whether it still stands or not.
    ///
    /// # Errors
    /// The file cannot be read.
    pub fn written_at(&self, at: Timestamp) -> Result<Vec<Value>, Error> {
        let doing = Error::store("reading what was written for a moment");
        let mut statement = self
            .conn
            .prepare_cached("SELECT seq FROM entry WHERE kind = ?1 AND at = ?2 ORDER BY seq")
            .map_err(&doing)?;
        let second = crate::zone::whole_second(at).as_second();
        let mut rows = statement.query(params![Kind::Reading.code(), second]).map_err(&doing)?;
        let mut values = Vec::new();
        while let Some(row) = rows.next().map_err(&doing)? {
            let seq: i64 = row.get(0).map_err(&doing)?;
            let family = passable(family::of_root(&self.conn, seq.unsigned_abs()))?;
            values.extend(family.into_iter().flatten().flat_map(|entry| entry.values));
        }
        Ok(values)
    }

    /// Whether an entry was withdrawn (and not brought back).
    ///
    /// # Errors
    /// The file or an entry cannot be read.
    pub fn is_withdrawn(&self, seq: u64) -> Result<bool, Error> {
        is_withdrawn(&self.conn, seq)
    }

    /// The newest value of a quantity that stands, up to and at `until` (or of all); a value not taken is passed over,
    /// one of an entry out of order as well.
    ///
    /// # Errors
    /// The file cannot be read.
    pub fn latest(&self, name: &str, until: Option<Timestamp>) -> Result<Option<Reading>, Error> {
        let doing = Error::store("reading the newest value");
        let mut statement = self
            .conn
            .prepare_cached(
                "SELECT seq FROM reading WHERE name = (SELECT id FROM name WHERE name = ?1) AND at <= ?2
                 AND struck = 0 AND quality <> ?3 ORDER BY at DESC, seq DESC",
            )
            .map_err(&doing)?;
        let until = until.map_or(i64::MAX, Timestamp::as_second);
        let not_taken = Quality::NotTaken.code();
        let mut rows = statement.query(params![name, until, not_taken]).map_err(&doing)?;
        while let Some(row) = rows.next().map_err(&doing)? {
            let seq: i64 = row.get(0).map_err(&doing)?;
            if let Some(family) = passable(self.history(seq.unsigned_abs()))? {
                let mut readings = round::readings(&family).into_iter();
                return Ok(readings.find(|reading| reading.name == name));
            }
        }
        Ok(None)
    }

    /// Readings grouped by the moment they were taken, from `from` to `to`, both ends in, newest first; corrections
    /// are applied, values not taken are there, moments of which nothing stands are left out, and so are entries out of
    /// order.
    ///
    /// # Errors
    /// The file cannot be read.
    pub fn rounds(
        &self,
        from: Option<Timestamp>,
        to: Option<Timestamp>,
        limit: usize,
    ) -> Result<Vec<Round>, Error> {
        let doing = Error::store("reading rounds");
        let mut moments = self
            .conn
            .prepare_cached(
                "SELECT at, seq FROM entry WHERE kind = ?1 AND at BETWEEN ?2 AND ?3
                 ORDER BY at DESC, seq DESC",
            )
            .map_err(&doing)?;
        let (from, to) = span(from, to);
        let mut rows = moments.query(params![Kind::Reading.code(), from, to]).map_err(&doing)?;
        let mut rounds: Vec<Round> = Vec::new();
        let mut families: Vec<Vec<Entry>> = Vec::new();
        let mut moment = None;
        while rounds.len() < limit {
            let next: Option<(i64, i64)> = match rows.next().map_err(&doing)? {
                Some(row) => Some((row.get(0).map_err(&doing)?, row.get(1).map_err(&doing)?)),
                None => None,
            };
            if next.map(|(at, _)| at) != moment {
                families.reverse();
                rounds.extend(round::of_families(std::mem::take(&mut families)));
                moment = next.map(|(at, _)| at);
            }
            let Some((_, seq)) = next else { break };
            if rounds.len() < limit {
                families.extend(passable(family::of_root(&self.conn, seq.unsigned_abs()))?);
            }
        }
        Ok(rounds)
    }

    /// The ship's clock from all clock changes that stand. Before the first of them it is the zone of the first entry.
    /// Entries out of order are passed over.
    ///
    /// # Errors
    /// The file cannot be read.
    pub fn ship_clock(&self) -> Result<ShipClock, Error> {
        read_clock(&self.conn)
    }

    /// Names of all quantities ever read, each with the number of its values.
    ///
    /// # Errors
    /// The file cannot be read.
    pub fn names(&self) -> Result<BTreeMap<String, u64>, Error> {
        let doing = Error::store("reading the names");
        let mut statement =
            self.conn.prepare_cached("SELECT name, count FROM name").map_err(&doing)?;
        let read =
            |row: &rusqlite::Row<'_>| Ok((row.get(0)?, row.get::<_, i64>(1)?.unsigned_abs()));
        statement.query_map([], read).map_err(&doing)?.collect::<Result<_, _>>().map_err(&doing)
    }

    pub(crate) fn name_ids(&self) -> Result<HashMap<String, i64>, Error> {
        let doing = Error::store("reading the names");
        let mut statement =
            self.conn.prepare_cached("SELECT name, id FROM name").map_err(&doing)?;
        let read = |row: &rusqlite::Row<'_>| Ok((row.get(0)?, row.get(1)?));
        statement.query_map([], read).map_err(&doing)?.collect::<Result<_, _>>().map_err(&doing)
    }

    /// What was kept under this key outside the chain ([`Book::remember`](crate::Book::remember)).
    ///
    /// # Errors
    /// The file cannot be read.
    pub fn remembered(&self, key: &str) -> Result<Option<String>, Error> {
        let doing = Error::store("reading what was kept");
        let mut statement =
            self.conn.prepare_cached("SELECT json FROM kept WHERE key = ?1").map_err(&doing)?;
        statement.query_row([key], |row| row.get(0)).optional().map_err(&doing)
    }

    pub(crate) fn select(
        &self,
        sql: &str,
        params: impl rusqlite::Params,
    ) -> Result<Vec<Entry>, Error> {
        select(&self.conn, sql, params)
    }
}

fn row(conn: &Connection, seq: u64) -> Result<Option<Row>, Error> {
    let doing = Error::store("reading an entry");
    let sql = "SELECT seq, canonical, hash FROM entry WHERE seq = ?1";
    let mut statement = conn.prepare_cached(sql).map_err(&doing)?;
    statement.query_row([as_i64(seq)], read_row).optional().map_err(&doing)
}

fn select(
    conn: &Connection,
    sql: &str,
    params: impl rusqlite::Params,
) -> Result<Vec<Entry>, Error> {
    let doing = Error::store("reading entries");
    let mut statement = conn.prepare_cached(sql).map_err(&doing)?;
    let rows = statement.query_map(params, read_row).map_err(&doing)?;
    let mut entries = Vec::new();
    for row in rows {
        entries.extend(passable(row.map_err(&doing)?.entry())?);
    }
    Ok(entries)
}

/// Nothing in place of what is out of order: answers go on without it, the walk along the chain names it.
fn passable<T>(read: Result<T, Error>) -> Result<Option<T>, Error> {
    match read {
        Ok(read) => Ok(Some(read)),
        Err(Error::Broken { .. }) => Ok(None),
        Err(other) => Err(other),
    }
}

fn is_withdrawn(conn: &Connection, seq: u64) -> Result<bool, Error> {
    let family = family::of_root(conn, family::root(conn, seq)?)?;
    Ok(standing::withdrawn(&family::relatives(&family)).contains_key(&seq))
}

/// The ship's clock from all clock changes that stand.
pub(crate) fn read_clock(conn: &Connection) -> Result<ShipClock, Error> {
    let Some(first) = first_entry(conn)? else {
        return Ok(ShipClock::new(Zone::UTC, Vec::new(), Timestamp::UNIX_EPOCH));
    };
    let sql = "SELECT seq, canonical, hash FROM entry WHERE kind = ?1 ORDER BY at, seq";
    let mut changes = Vec::new();
    for entry in select(conn, sql, [Kind::Clock.code()])? {
        if let Some(change) = zone_change(&entry)
            && passable(is_withdrawn(conn, entry.seq))? == Some(false)
        {
            changes.push(change);
        }
    }
    Ok(ShipClock::new(first.zone, changes, first.at))
}

/// The first entry that is in order.
fn first_entry(conn: &Connection) -> Result<Option<Entry>, Error> {
    let doing = Error::store("reading the first entry");
    let mut statement = conn
        .prepare_cached("SELECT seq, canonical, hash FROM entry ORDER BY seq")
        .map_err(&doing)?;
    let mut rows = statement.query([]).map_err(&doing)?;
    while let Some(row) = rows.next().map_err(&doing)? {
        if let Some(entry) = passable(read_row(row).map_err(&doing)?.entry())? {
            return Ok(Some(entry));
        }
    }
    Ok(None)
}

/// The move of the ship's clocks an entry tells of, if it is one.
pub(crate) fn zone_change(entry: &Entry) -> Option<ZoneChange> {
    let zone = entry.details.get("zone")?.parse().ok()?;
    let by = entry.details.get("by").cloned().unwrap_or_default();
    (entry.kind == Kind::Clock).then_some(ZoneChange { from: entry.at, zone, by, seq: entry.seq })
}

/// A span in whole seconds; an end left out is open.
pub(crate) fn span(from: Option<Timestamp>, to: Option<Timestamp>) -> (i64, i64) {
    let first = from.map_or(i64::MIN, |from| {
        // A reading lies on a whole second: the first one not before `from`.
        let whole = crate::zone::whole_second(from);
        whole.as_second() + i64::from(from_second(whole.as_second()) < from)
    });
    (first, to.map_or(i64::MAX, |to| crate::zone::whole_second(to).as_second()))
}

/// A number for SQLite; one too large for it names no entry.
pub(crate) fn as_i64(number: u64) -> i64 {
    i64::try_from(number).unwrap_or(i64::MAX)
}
