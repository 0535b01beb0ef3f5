//! One transaction's worth of entries: linked, hashed and stored, with everything derived from them brought up to date
//! at its end.

use std::collections::{BTreeMap, BTreeSet, HashMap};

use jiff::Timestamp;
use rusqlite::{CachedStatement, Connection, params};

use crate::clock::ShipClock;
use crate::entry::{Entry, Receipt};
use crate::error::Error;
use crate::family;
use crate::hash::Hash;
use crate::head::Head;
use crate::reader::{self, zone_change};
use crate::rollup::{self, HOUR_S};
use crate::standing::{self, Standing};
use crate::wire;
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

/// Entries being written in an open transaction.
pub(crate) struct Batch<'a> {
    conn: &'a Connection,
    insert_entry: Option<CachedStatement<'a>>,
    head: Head,
    clock: ShipClock,
    names: HashMap<String, i64>,
    readings: Vec<ReadingRow>,
    /// Hours to be summed up again, by quantity.
    hours: BTreeMap<i64, BTreeSet<i64>>,
    /// New rows by quantity.
    counts: BTreeMap<i64, i64>,
    canonical: String,
    bytes: u64,
}

/// What stands when the transaction is committed.
pub(crate) struct End {
    pub(crate) head: Head,
    pub(crate) clock: ShipClock,
    pub(crate) names: HashMap<String, i64>,
    /// Bytes of text written.
    pub(crate) bytes: u64,
}

impl<'a> Batch<'a> {
    pub(crate) fn new(
        conn: &'a Connection,
        head: Head,
        clock: ShipClock,
        names: HashMap<String, i64>,
    ) -> Self {
        Self {
            conn,
            insert_entry: None,
            head,
            clock,
            names,
            readings: Vec::new(),
            hours: BTreeMap::new(),
            counts: BTreeMap::new(),
            canonical: String::new(),
            bytes: 0,
        }
    }

    pub(crate) fn conn(&self) -> &'a Connection {
        self.conn
    }

    pub(crate) fn head(&self) -> &Head {
        &self.head
    }

    pub(crate) fn clock(&self) -> &ShipClock {
        &self.clock
    }

    /// The note for an entry whose clock stands before the newest entry's.
    pub(crate) fn step_back(&self, logged: Timestamp) -> Option<String> {
        crate::clock::step_back(logged, self.head.logged?)
    }

    /// Stores an entry whose number and link are right; its hash is worked out here.
    pub(crate) fn write(&mut self, mut entry: Entry) -> Result<Receipt, Error> {
        wire::write_entry(&mut self.canonical, &entry);
        entry.hash = Hash::of_entry(&self.canonical);
        self.bytes += self.canonical.len() as u64;
        let bytes = self.bytes;
        let full = |source| Error::from_store("writing an entry", source, bytes);
        if self.insert_entry.is_none() {
            let sql = "INSERT INTO entry VALUES (?1, ?2, ?3, ?4, ?5, ?6)";
            self.insert_entry = Some(self.conn.prepare_cached(sql).map_err(full)?);
        }
        if let Some(insert) = &mut self.insert_entry {
            insert
                .execute(params![
                    entry.seq as i64,
                    entry.kind.code(),
                    entry.at.as_second(),
                    entry.corrects.map(|seq| seq as i64),
                    self.canonical,
                    entry.hash.bytes().as_slice(),
                ])
                .map_err(full)?;
        }
        if let Some(token) = &entry.token {
            self.conn
                .prepare_cached("INSERT INTO token VALUES (?1, ?2)")
                .and_then(|mut insert| insert.execute(params![token, entry.seq as i64]))
                .map_err(full)?;
        }
        match entry.corrects {
            Some(target) => self.amend(&entry, target)?,
            None if entry.kind == Kind::Reading => self.gather(&entry, entry.at, None)?,
            None => {}
        }
        if entry.kind == Kind::Clock {
            self.move_clock(&entry);
        } else if entry.seq == 1 {
            self.clock = ShipClock::new(entry.zone, Vec::new(), entry.at);
        }
        self.head = Head { seq: entry.seq, hash: entry.hash, logged: Some(entry.logged) };
        Ok(Receipt { seq: entry.seq, hash: entry.hash, repeated: false })
    }

    fn gather(&mut self, entry: &Entry, at: Timestamp, root: Option<u64>) -> Result<(), Error> {
        for value in &entry.values {
            let name = self.name_id(&value.name)?;
            self.readings.push(ReadingRow {
                name,
                at: at.as_second(),
                seq: entry.seq as i64,
                root: root.map(|seq| seq as i64),
                si: value.si,
                quality: value.quality,
            });
        }
        if self.readings.len() >= GATHERED { self.store_readings() } else { Ok(()) }
    }

    /// Stores a correction's values at the time of what it corrects and marks anew which values of the family stand.
    fn amend(&mut self, entry: &Entry, target: u64) -> Result<(), Error> {
        let root = family::root(self.conn, target)?;
        // The entry itself is stored by now, so the family includes it.
        let family = family::of_root(self.conn, root)?;
        let Some(first) = family.first() else { return Ok(()) };
        if first.kind == Kind::Clock {
            self.clock = reader::read_clock(self.conn)?;
        }
        if first.kind != Kind::Reading {
            return Ok(());
        }
        let at = first.at;
        self.gather(entry, at, Some(root))?;
        self.store_readings()?;
        let relatives = family::relatives(&family);
        let bytes = self.bytes;
        let full = |source| Error::from_store("marking a corrected value", source, bytes);
        for (seq, name, standing) in standing::value_standings(&relatives) {
            let name = self.name_id(name)?;
            self.conn
                .prepare_cached(
                    "UPDATE reading SET struck = ?4 WHERE name = ?1 AND at = ?2 AND seq = ?3",
                )
                .and_then(|mut update| {
                    update.execute(params![name, at.as_second(), seq as i64, standing.code()])
                })
                .map_err(full)?;
            self.touch(name, at.as_second());
        }
        Ok(())
    }

    fn name_id(&mut self, name: &str) -> Result<i64, Error> {
        if let Some(&id) = self.names.get(name) {
            return Ok(id);
        }
        let full = |source| Error::from_store("writing a new name", source, 0);
        self.conn
            .prepare_cached("INSERT INTO name (name, count) VALUES (?1, 0)")
            .and_then(|mut insert| insert.execute([name]))
            .map_err(full)?;
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
        let bytes = self.bytes;
        let full = |source| Error::from_store("writing readings", source, bytes);
        let sql = "INSERT INTO reading VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)";
        let mut insert = self.conn.prepare_cached(sql).map_err(full)?;
        for row in &rows {
            let standing = Standing::Stands.code();
            insert
                .execute(params![
                    row.name,
                    row.at,
                    row.seq,
                    row.root,
                    row.si,
                    row.quality.code(),
                    standing
                ])
                .map_err(full)?;
        }
        for of_hour in rows.chunk_by(|a, b| (a.name, a.at / HOUR_S) == (b.name, b.at / HOUR_S)) {
            *self.counts.entry(of_hour[0].name).or_default() += of_hour.len() as i64;
            self.touch(of_hour[0].name, of_hour[0].at);
            if let Some(last) = of_hour.last() {
                self.touch(last.name, last.at);
            }
        }
        rows.clear();
        self.readings = rows;
        Ok(())
    }

    fn move_clock(&mut self, entry: &Entry) {
        let mut changes = self.clock.changes().to_vec();
        changes.extend(zone_change(entry));
        let (first, day_one) = if entry.seq == 1 {
            (entry.zone, entry.at)
        } else {
            (self.clock.first_zone(), self.clock.day_one())
        };
        self.clock = ShipClock::new(first, changes, day_one);
    }

    /// Brings names and sums up to date; what is left to do is to commit.
    pub(crate) fn finish(mut self) -> Result<End, Error> {
        self.store_readings()?;
        let full = |source| Error::from_store("counting readings", source, 0);
        let mut count = self
            .conn
            .prepare_cached("UPDATE name SET count = count + ?2 WHERE id = ?1")
            .map_err(full)?;
        for (name, added) in &self.counts {
            count.execute(params![name, added]).map_err(full)?;
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
        Ok(End { head: self.head, clock: self.clock, names: self.names, bytes: self.bytes })
    }
}

#[cfg(test)]
mod tests {
    use crate::{Author, Book, Draft, Error, Value, verify};
    use jiff::Timestamp;

    fn at(second: i64) -> Timestamp {
        Timestamp::from_second(1_760_000_000 + second).unwrap()
    }

    fn reading(second: i64) -> (Draft, Timestamp) {
        let value = Value::number("jacket_in_c", "85.0", "degC", 358.15);
        (Draft::reading(at(second), Author::hand("3e"), vec![value]), at(second + 5))
    }

    /// The database says the same of its own limit as of a full disk, on every system.
    #[test]
    fn ident_what_does_not_fit_is_told_with_its_size_and_leaves_nothing_behind() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("record.sqlite");
        let mut book = Book::open_with_ballast(&path, "A1", at(0), 0).unwrap();
        let (draft, logged) = reading(0);
        book.append(draft, logged).unwrap();
        let limit = |book: &Book, pages: i64| {
            let sql = format!("PRAGMA max_page_count = {pages}");
            book.conn.query_row(&sql, [], |_| Ok(())).unwrap();
        };
        limit(&book, 60);
        let refused = book.append_many((1..5000).map(|i| reading(i * 60))).unwrap_err();
        assert!(
            matches!(refused, Error::DiskFull { needed_bytes } if needed_bytes > 65_536),
            "{refused:?}"
        );
        assert_eq!(book.head().0, 1);
        limit(&book, 1 << 30);
        assert_eq!(book.append_many((1..5000).map(|i| reading(i * 60))).unwrap().len(), 4999);
        assert!(verify(&book.reader().unwrap(), |_, _| ()).unwrap().is_whole());
    }
}
