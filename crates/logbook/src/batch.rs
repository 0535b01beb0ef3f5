//! One transaction's worth of entries: linked, hashed and stored, with everything derived from them brought up to date
//! at its end.

use std::collections::HashMap;

use jiff::Timestamp;
use rusqlite::{CachedStatement, Connection, params};

use crate::clock::ShipClock;
use crate::entry::{Entry, Receipt};
use crate::error::Error;
use crate::hash::Hash;
use crate::head::Head;
use crate::index::Index;
use crate::reader::{self, zone_change};
use crate::wire;
use crate::words::Kind;

/// Entries being written in an open transaction.
pub(crate) struct Batch<'a> {
    conn: &'a Connection,
    insert_entry: Option<CachedStatement<'a>>,
    head: Head,
    clock: ShipClock,
    index: Index<'a>,
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
        let index = Index::new(conn, names);
        Self { conn, insert_entry: None, head, clock, index, canonical: String::new(), bytes: 0 }
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
        if self.index.take(&entry, bytes)? == Some(Kind::Clock) {
            self.clock = reader::read_clock(self.conn)?;
        }
        if entry.kind == Kind::Clock {
            self.move_clock(&entry);
        } else if entry.seq == 1 {
            self.clock = ShipClock::new(entry.zone, Vec::new(), entry.at);
        }
        self.head = Head { seq: entry.seq, hash: entry.hash, logged: Some(entry.logged) };
        Ok(Receipt { seq: entry.seq, hash: entry.hash, repeated: false })
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

    /// Brings everything derived up to date; what is left to do is to commit.
    pub(crate) fn finish(self) -> Result<End, Error> {
        let names = self.index.finish()?;
        Ok(End { head: self.head, clock: self.clock, names, bytes: self.bytes })
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
