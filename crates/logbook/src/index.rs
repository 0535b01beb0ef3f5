//! What is derived from the entries for quick answers: each value by quantity and time, whether it stands, its sums.

use std::collections::{BTreeMap, BTreeSet, HashMap};

use rusqlite::{Connection, params};

use crate::entry::Entry;
use crate::error::Error;
use crate::family;
use crate::reader;
use crate::rollup::{self, HOUR_S};
use crate::standing::{self, Standing};
use crate::words::{Kind, Quality};

/// Rows of readings gathered before they are sorted and stored: in the order of their table they go in fastest.
const GATHERED: usize = 1 << 18;
/// Hours of one quantity closer together than this are summed up in one run.
const RUN_HOURS: i64 = 24;

/// A row of the readings table, in the order of its key.
#[derive(Clone, Copy, Debug)]
struct ReadingRow {
    name: i64,
    at: i64,
    seq: i64,
    root: Option<i64>,
    si: Option<f64>,
    quality: Quality,
}

/// The derived tables being brought up to date in an open transaction.
pub(crate) struct Index<'a> {
    conn: &'a Connection,
    names: HashMap<String, i64>,
    readings: Vec<ReadingRow>,
    /// Hours to be summed up again, by quantity.
    hours: BTreeMap<i64, BTreeSet<i64>>,
    /// New rows by quantity.
    counts: BTreeMap<i64, i64>,
    /// Bytes of text written in this transaction: what it may need where the disk is full.
    bytes: u64,
}

impl<'a> Index<'a> {
    pub(crate) fn new(conn: &'a Connection, names: HashMap<String, i64>) -> Self {
        Self {
            conn,
            names,
            readings: Vec::new(),
            hours: BTreeMap::new(),
            counts: BTreeMap::new(),
            bytes: 0,
        }
    }

    fn full(&self, doing: &'static str) -> impl Fn(rusqlite::Error) -> Error + use<> {
        let bytes = self.bytes;
        move |source| Error::from_store(doing, source, bytes)
    }

    /// Takes in an entry that is stored already; `bytes` of text are written with it so far. The answer is the kind of
    /// what it amends.
    pub(crate) fn take(&mut self, entry: &Entry, bytes: u64) -> Result<Option<Kind>, Error> {
        self.bytes = bytes;
        if let Some(token) = &entry.token {
            self.conn
                .prepare_cached("INSERT INTO token VALUES (?1, ?2)")
                .and_then(|mut insert| insert.execute(params![token, entry.seq as i64]))
                .map_err(self.full("writing an entry"))?;
        }
        match entry.corrects {
            Some(target) => self.amend(entry, target),
            None if entry.kind.holds_figures() => {
                self.gather(entry, entry.at.as_second(), None).map(|()| None)
            }
            None => Ok(None),
        }
    }

    fn gather(&mut self, entry: &Entry, at: i64, root: Option<u64>) -> Result<(), Error> {
        for value in &entry.values {
            let name = self.name_id(&value.name)?;
            self.readings.push(ReadingRow {
                name,
                at,
                seq: entry.seq as i64,
                root: root.map(|seq| seq as i64),
                si: value.si,
                quality: value.quality,
            });
        }
        if self.readings.len() >= GATHERED { self.store_readings() } else { Ok(()) }
    }

    /// Stores a correction's values at the time of what it corrects and marks anew which values of the family stand.
    fn amend(&mut self, entry: &Entry, target: u64) -> Result<Option<Kind>, Error> {
        let root = family::root(self.conn, target)?;
        // The entry itself is stored by now, so the family includes it.
        let family = family::of_root(self.conn, root)?;
        let Some(first) = family.first() else { return Ok(None) };
        if !first.kind.holds_figures() {
            return Ok(Some(first.kind));
        }
        let at = first.at.as_second();
        self.gather(entry, at, Some(root))?;
        self.store_readings()?;
        let relatives = family::relatives(&family);
        let full = self.full("marking a corrected value");
        for (seq, name, standing) in standing::value_standings(&relatives) {
            let name = self.name_id(name)?;
            self.conn
                .prepare_cached(
                    "UPDATE reading SET struck = ?4 WHERE name = ?1 AND at = ?2 AND seq = ?3",
                )
                .and_then(|mut update| {
                    update.execute(params![name, at, seq as i64, standing.code()])
                })
                .map_err(&full)?;
            self.touch(name, at);
        }
        Ok(Some(first.kind))
    }

    fn name_id(&mut self, name: &str) -> Result<i64, Error> {
        if let Some(&id) = self.names.get(name) {
            return Ok(id);
        }
        self.conn
            .prepare_cached("INSERT INTO name (name, count) VALUES (?1, 0)")
            .and_then(|mut insert| insert.execute([name]))
            .map_err(self.full("writing a new name"))?;
        let id = self.conn.last_insert_rowid();
        self.names.insert(name.to_owned(), id);
        Ok(id)
    }

    fn touch(&mut self, name: i64, at: i64) {
        self.hours.entry(name).or_default().insert(at.div_euclid(HOUR_S));
    }

    fn store_readings(&mut self) -> Result<(), Error> {
        let mut rows = std::mem::take(&mut self.readings);
        rows.sort_unstable_by_key(|row| (row.name, row.at, row.seq));
        let full = self.full("writing readings");
        let sql = "INSERT INTO reading VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)";
        let mut insert = self.conn.prepare_cached(sql).map_err(&full)?;
        let stands = Standing::Stands.code();
        for row in &rows {
            insert
                .execute(params![
                    row.name,
                    row.at,
                    row.seq,
                    row.root,
                    row.si,
                    row.quality.code(),
                    stands
                ])
                .map_err(&full)?;
        }
        let hour = |row: &ReadingRow| (row.name, row.at.div_euclid(HOUR_S));
        for of_hour in rows.chunk_by(|a, b| hour(a) == hour(b)) {
            *self.counts.entry(of_hour[0].name).or_default() += of_hour.len() as i64;
            self.touch(of_hour[0].name, of_hour[0].at);
        }
        rows.clear();
        self.readings = rows;
        Ok(())
    }

    /// Stores what is still gathered and brings counts and sums up to date. The answer is the names.
    pub(crate) fn finish(mut self) -> Result<HashMap<String, i64>, Error> {
        self.store_readings()?;
        let full = self.full("counting readings");
        let mut count = self
            .conn
            .prepare_cached("UPDATE name SET count = count + ?2 WHERE id = ?1")
            .map_err(&full)?;
        for (name, added) in &self.counts {
            count.execute(params![name, added]).map_err(&full)?;
        }
        for (&name, hours) in &self.hours {
            let mut run: Option<(i64, i64)> = None;
            for &hour in hours {
                run = match run {
                    Some((from, to)) if hour - to <= RUN_HOURS => Some((from, hour)),
                    Some((from, to)) => {
                        rollup::refresh(self.conn, name, from * HOUR_S, to * HOUR_S)?;
                        Some((hour, hour))
                    }
                    None => Some((hour, hour)),
                };
            }
            if let Some((from, to)) = run {
                rollup::refresh(self.conn, name, from * HOUR_S, to * HOUR_S)?;
            }
        }
        Ok(self.names)
    }
}

/// Works everything derived out again from the entries. One that cannot be read is passed over: a walk names it.
pub(crate) fn rebuild(conn: &Connection) -> Result<(), Error> {
    let doing = Error::store("working the index out again");
    let inner = conn.unchecked_transaction().map_err(&doing)?;
    inner
        .execute_batch(
            "DELETE FROM reading; DELETE FROM rollup; DELETE FROM name; DELETE FROM token;",
        )
        .map_err(&doing)?;
    let mut index = Index::new(&inner, HashMap::new());
    {
        let sql = "SELECT seq, canonical, hash FROM entry NOT INDEXED ORDER BY seq";
        let mut statement = inner.prepare(sql).map_err(&doing)?;
        let mut rows = statement.query([]).map_err(&doing)?;
        while let Some(row) = rows.next().map_err(&doing)? {
            let Ok(row) = reader::read_row(row) else { continue };
            let bytes = row.canonical.len() as u64;
            let taken = row.entry().and_then(|entry| index.take(&entry, bytes));
            match taken {
                Ok(_) | Err(Error::Broken { .. }) => {}
                Err(error) => return Err(error),
            }
        }
    }
    index.finish()?;
    inner.commit().map_err(doing)
}
