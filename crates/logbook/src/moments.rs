//! Questions that need no entry to be read: how many moments of readings, which is the newest, whether anything was said.

use std::ops::Deref;

use jiff::Timestamp;
use rusqlite::params;

use crate::error::Error;
use crate::reader::{Reader, span};
use crate::words::Kind;

impl Reader {
    /// Whether readings were taken at more than `limit` moments from `from` to `to`, both ends in; moments whose entries
    /// were all withdrawn are counted too.
    ///
    /// # Errors
    /// The file cannot be read.
    pub fn more_moments_than(
        &self,
        limit: usize,
        from: Timestamp,
        to: Timestamp,
    ) -> Result<bool, Error> {
        let sql = "SELECT count(*) FROM (SELECT DISTINCT at FROM entry WHERE kind = ?1 AND at BETWEEN ?2 AND ?3 LIMIT ?4)";
        let (from, to) = span(Some(from), Some(to));
        let most = i64::try_from(limit).unwrap_or(i64::MAX).saturating_add(1);
        let found: i64 = self
            .conn
            .prepare_cached(sql)
            .and_then(|mut statement| {
                statement.query_row(params![Kind::Reading.code(), from, to, most], |row| row.get(0))
            })
            .map_err(Error::store("counting rounds"))?;
        Ok(found == most)
    }

    /// Whether something of this name stands from `from` to `to`, both ends in, be it a value or that none was taken.
    ///
    /// # Errors
    /// The file cannot be read.
    pub fn stands_within(&self, name: &str, from: Timestamp, to: Timestamp) -> Result<bool, Error> {
        let sql = "SELECT EXISTS (SELECT 1 FROM reading WHERE name = (SELECT id FROM name WHERE name = ?1)
                   AND at BETWEEN ?2 AND ?3 AND struck = 0)";
        let (from, to) = span(Some(from), Some(to));
        self.conn
            .prepare_cached(sql)
            .and_then(|mut statement| {
                statement.query_row(params![name, from, to], |row| row.get(0))
            })
            .map_err(Error::store("looking for a value"))
    }

    /// The newest moment for which readings were ever written; none in a record without.
    ///
    /// # Errors
    /// The file cannot be read.
    pub fn newest_reading(&self) -> Result<Option<Timestamp>, Error> {
        let newest: Option<i64> = self
            .conn
            .prepare_cached("SELECT max(at) FROM entry WHERE kind = ?1")
            .and_then(|mut statement| statement.query_row([Kind::Reading.code()], |row| row.get(0)))
            .map_err(Error::store("looking for the newest reading"))?;
        Ok(newest.map(crate::zone::from_second))
    }

    /// The record as it stands now, whatever is written meanwhile.
    ///
    /// # Errors
    /// The file cannot be read.
    pub fn held(self) -> Result<Held, Error> {
        self.conn
            .execute_batch("BEGIN; SELECT 1 FROM entry LIMIT 1;")
            .map_err(Error::store("beginning to read"))?;
        Ok(Held(self))
    }
}

/// A reader that sees the record as it stood when it was held. The log on disk cannot be brought into the file while it
/// is: for no longer than one piece of work.
pub struct Held(Reader);

impl Deref for Held {
    type Target = Reader;

    fn deref(&self) -> &Reader {
        &self.0
    }
}
