//! The end of the chain: the newest entry proved, and how writing goes on where it is out of order.

use jiff::Timestamp;
use rusqlite::{Connection, OptionalExtension};

use crate::book::Book;
use crate::entry::{Author, Draft, Entry, Receipt};
use crate::error::Error;
use crate::hash::Hash;
use crate::verify::{self, Broken, How, Stored};
use crate::words::Kind;

/// The particular of an emergency entry that was written while the newest entry was out of order: that one's number.
const AFTER: &str = "after broken entry";
/// The particular of the entry by which somebody went on: the number of the entry out of order.
pub(crate) const PASSED: &str = "broken entry";

/// The end of the chain.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Head {
    pub(crate) seq: u64,
    pub(crate) hash: Hash,
    /// When the newest entry was written that can be believed.
    pub(crate) logged: Option<Timestamp>,
}

impl Head {
    const NONE: Self = Self { seq: 0, hash: Hash::NONE, logged: None };

    /// The end of the chain and, where nobody has gone on from it yet, the entry there that is out of order.
    pub(crate) fn read(conn: &Connection) -> Result<(Self, Option<Broken>), Error> {
        let Some(newest) = stored(conn, i64::MAX)? else { return Ok((Self::NONE, None)) };
        let seq = newest.seq.unsigned_abs();
        // The next entry follows what is written there, right or wrong: it cannot be changed any more.
        let written = Hash::from_slice(&newest.hash);
        let hash = written.unwrap_or_else(|| Hash::of_entry(&newest.canonical));
        let mut head = Self { seq, hash, logged: None };
        let broken = match prove(conn, &newest)? {
            Err(how) => Some(Broken { seq: Some(seq), how }),
            Ok(entry) => match entry.details.get(AFTER).and_then(|seq| seq.parse().ok()) {
                Some(before) => still_broken(conn, before)?,
                None => None,
            },
        };
        let mut next = Some(newest);
        while let Some(row) = next {
            if let Ok(entry) = prove(conn, &row)? {
                head.logged = Some(entry.logged);
                break;
            }
            next = stored(conn, row.seq - 1)?;
        }
        Ok((head, broken))
    }
}

/// The entry of this number or the last before it.
fn stored(conn: &Connection, last: i64) -> Result<Option<Stored>, Error> {
    let sql = "SELECT seq, kind, at, corrects, canonical, hash FROM entry WHERE seq <= ?1
               ORDER BY seq DESC LIMIT 1";
    conn.query_row(sql, [last], verify::read_stored)
        .optional()
        .map_err(Error::store("reading the newest entry"))
}

/// The entry, if it agrees with itself and follows the one before.
fn prove(conn: &Connection, row: &Stored) -> Result<Result<Entry, How>, Error> {
    let expected = match stored(conn, row.seq - 1)? {
        Some(before) => Hash::from_slice(&before.hash),
        None => Some(Hash::NONE),
    };
    let entry = match verify::prove_entry(row) {
        Ok(entry) => entry,
        Err(how) => return Ok(Err(how)),
    };
    // Where the hash before is none at all, that entry is the broken one.
    Ok(match expected {
        Some(expected) if expected != entry.prev => Err(How::Link { expected }),
        _ => Ok(entry),
    })
}

fn still_broken(conn: &Connection, seq: i64) -> Result<Option<Broken>, Error> {
    let Some(row) = stored(conn, seq)?.filter(|row| row.seq == seq) else { return Ok(None) };
    let how = prove(conn, &row)?.err();
    Ok(how.map(|how| Broken { seq: Some(seq.unsigned_abs()), how }))
}

/// Lets nothing but emergencies follow an entry out of order; these say what they follow.
pub(crate) fn guard(broken: Option<&Broken>, draft: &mut Draft) -> Result<(), Error> {
    let Some(Broken { seq: Some(seq), how }) = broken else { return Ok(()) };
    if !draft.emergency {
        return Err(Error::AfterBreak { seq: *seq, how: how.to_string() });
    }
    draft.details.insert(AFTER.to_owned(), seq.to_string());
    Ok(())
}

impl Book {
    /// What is out of order at the end of the chain: until somebody goes on from it by name
    /// ([`Book::go_on`]) nothing but emergency entries is taken. What is out of order further back is for
    /// [`verify`](crate::verify()).
    pub fn broken(&self) -> Option<&Broken> {
        self.broken.as_ref()
    }

    /// Goes on after an entry out of order: by whom and why is an entry of its own that names it, and the chain follows
    /// the hash that is written there. A walk names that entry as broken ever after.
    ///
    /// # Errors
    /// Nothing is out of order at the end of the chain; no reason; else as [`Book::append`].
    pub fn go_on(
        &mut self,
        author: Author,
        reason: impl Into<String>,
        now: Timestamp,
    ) -> Result<Receipt, Error> {
        let refused = |field, read: &str, allowed: &str| Error::Field {
            field,
            read: read.to_owned(),
            allowed: allowed.to_owned(),
        };
        let Some(broken) = self.broken.take() else {
            return Err(refused("go on", "", "the newest entry is in order; just write"));
        };
        let reason = reason.into();
        let outcome = if reason.trim().is_empty() {
            let allowed = "say what was found when the record was compared with the backup";
            Err(refused("reason", &reason, allowed))
        } else {
            let seq = broken.seq.unwrap_or(self.head.seq);
            let draft = Draft::new(Kind::Override, author)
                .detail(PASSED, seq.to_string())
                .detail("how", broken.how.to_string())
                .reason(reason);
            self.write_now(draft, None, now)
        };
        if outcome.is_err() {
            self.broken = Some(broken);
        }
        outcome
    }
}
