//! Entries of one kind, in the order in which they were written.

use rusqlite::params;

use crate::entry::Entry;
use crate::error::Error;
use crate::reader::{Reader, as_i64};
use crate::words::Kind;

impl Reader {
    /// The newest `limit` entries of a kind from number `first` on, oldest first; those out of order and those withdrawn
    /// are left out.
    ///
    /// # Errors
    /// The file cannot be read.
    pub fn of_kind(&self, kind: Kind, first: u64, limit: usize) -> Result<Vec<Entry>, Error> {
        let sql = "SELECT seq, canonical, hash FROM entry WHERE seq IN (
                       SELECT seq FROM entry WHERE kind = ?1 AND seq >= ?2 ORDER BY seq DESC LIMIT ?3)
                   ORDER BY seq";
        let first = as_i64(first);
        let found = self.select(sql, params![kind.code(), first, as_i64(limit as u64)])?;
        // Few are ever withdrawn: only what a later entry names is looked at closer.
        let sql = "SELECT corrects FROM entry WHERE kind = ?1 AND corrects >= ?2";
        let doing = Error::store("reading what was withdrawn");
        let mut statement = self.conn.prepare_cached(sql).map_err(&doing)?;
        let named = statement
            .query_map(params![Kind::Withdrawal.code(), first], |row| row.get::<_, i64>(0))
            .map_err(&doing)?
            .collect::<Result<Vec<i64>, _>>()
            .map_err(&doing)?;
        let mut standing = Vec::with_capacity(found.len());
        for entry in found {
            if !named.contains(&as_i64(entry.seq)) || !self.is_withdrawn(entry.seq)? {
                standing.push(entry);
            }
        }
        Ok(standing)
    }
}
