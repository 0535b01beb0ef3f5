//! Writing: entries, corrections, withdrawals and whole histories, each in one transaction that is on the disk when
//! the receipt is given.

use jiff::Timestamp;
use rusqlite::{Connection, OptionalExtension, TransactionBehavior, params};

use crate::batch::Batch;
use crate::book::Book;
use crate::check;
use crate::clock::check_clock;
use crate::entry::{Author, Draft, Entry, Receipt, Value};
use crate::error::Error;
use crate::family;
use crate::hash::Hash;
use crate::head;
use crate::reader::as_i64;
use crate::standing;
use crate::words::Kind;
use crate::zone::whole_second;

/// A draft on its way into the record.
pub(crate) struct Item {
    pub(crate) draft: Draft,
    pub(crate) corrects: Option<u64>,
    pub(crate) logged: Timestamp,
    /// What was wrong with the computer's clock.
    pub(crate) clock: Option<String>,
}

impl Book {
    /// Writes one entry. With a token that was already used nothing is written and the first receipt comes back.
    ///
    /// # Errors
    /// A field out of its limits, a time that has not come, a doubtful computer clock, a newest entry out of order
    /// ([`Book::broken`]), a full disk. A correction or withdrawal is written with [`Book::correct`], [`Book::withdraw`] or [`Book::amend`], a seal with
    /// [`Book::seal_day`](crate::Book::seal_day).
    pub fn append(&mut self, draft: Draft, now: Timestamp) -> Result<Receipt, Error> {
        match draft.kind {
            Kind::Correction | Kind::Withdrawal => Err(Error::Field {
                field: "kind",
                read: draft.kind.word().to_owned(),
                allowed: "name the entry it is for: use correct, withdraw or amend".to_owned(),
            }),
            Kind::Seal => Err(Error::Field {
                field: "kind",
                read: draft.kind.word().to_owned(),
                allowed: "the book works seals out itself: use seal_day".to_owned(),
            }),
            _ => self.write_now(draft, None, now),
        }
    }

    /// Writes a history: each draft with the time it was written then, in one transaction, all or nothing. Steps of
    /// the clock ahead are not questioned (nobody was there to confirm them), steps back are noted as always.
    ///
    /// # Errors
    /// As [`Book::append`]; nothing is written then.
    pub fn append_many(
        &mut self,
        drafts: impl IntoIterator<Item = (Draft, Timestamp)>,
    ) -> Result<Vec<Receipt>, Error> {
        let items = drafts.into_iter().map(|(draft, logged)| Item {
            draft,
            corrects: None,
            logged: whole_second(logged),
            clock: None,
        });
        self.write_items(items.map(Ok), true)
    }

    /// Writes what belongs together, now: in one transaction, all or nothing, each draft taken from the iterator when
    /// it is written. The first that is none ends it with its error.
    ///
    /// # Errors
    /// As [`Book::append`], or what the iterator gives; nothing is written then.
    pub fn append_together<E: From<Error>>(
        &mut self,
        drafts: impl IntoIterator<Item = Result<Draft, E>>,
        now: Timestamp,
    ) -> Result<Vec<Receipt>, E> {
        let (clock, logged) = (self.clock_note(now)?, whole_second(now));
        let items = drafts
            .into_iter()
            .map(|draft| Ok(Item { draft: draft?, corrects: None, logged, clock: clock.clone() }));
        self.write_items(items, false)
    }

    /// Gives the values of an entry (or of a correction) anew; the old ones stay readable.
    ///
    /// # Errors
    /// No such entry, one that is not corrected or is withdrawn, no reason; else as [`Book::append`].
    pub fn correct(
        &mut self,
        seq: u64,
        values: Vec<Value>,
        reason: impl Into<String>,
        author: Author,
        now: Timestamp,
    ) -> Result<Receipt, Error> {
        let draft = Draft { values, ..Draft::new(Kind::Correction, author) };
        self.amend(seq, draft.reason(reason), now)
    }

    /// Says that an entry no longer counts (wrong ship, wrong test); it stays readable. Withdrawing a withdrawal brings
    /// back what that took out.
    ///
    /// # Errors
    /// As [`Book::correct`].
    pub fn withdraw(
        &mut self,
        seq: u64,
        reason: impl Into<String>,
        author: Author,
        now: Timestamp,
    ) -> Result<Receipt, Error> {
        self.amend(seq, Draft::new(Kind::Withdrawal, author).reason(reason), now)
    }

    /// Writes a correction or withdrawal given as a draft: with new words, particulars or a token.
    ///
    /// # Errors
    /// As [`Book::correct`]; a draft of another kind.
    pub fn amend(&mut self, seq: u64, draft: Draft, now: Timestamp) -> Result<Receipt, Error> {
        if !matches!(draft.kind, Kind::Correction | Kind::Withdrawal) {
            return Err(Error::Field {
                field: "kind",
                read: draft.kind.word().to_owned(),
                allowed: "an entry is amended by a correction or a withdrawal".to_owned(),
            });
        }
        self.write_now(draft, Some(seq), now)
    }

    /// Confirms by name that the computer's clock is right although it jumped; writing goes on from there.
    ///
    /// # Errors
    /// As [`Book::append`], except that the clock is believed.
    pub fn confirm_clock(&mut self, author: Author, now: Timestamp) -> Result<Receipt, Error> {
        let doubt = self.clock_note(now).unwrap_or_else(|error| Some(error.to_string()));
        let draft = Draft::new(Kind::Clock, author).detail("confirmed", now.to_string());
        let item = Item { draft, corrects: None, logged: whole_second(now), clock: doubt };
        let receipt = self.write_one(item)?;
        // Whoever confirmed a date before the program's own vouches for it.
        self.built = self.built.filter(|&built| built <= now);
        Ok(receipt)
    }

    /// Keeps a text under a key, outside the chain: how a file's columns were mapped last time. An older one under the
    /// same key is replaced.
    ///
    /// # Errors
    /// The file cannot be written.
    pub fn remember(&mut self, key: &str, json: &str) -> Result<(), Error> {
        self.conn
            .execute("INSERT OR REPLACE INTO kept VALUES (?1, ?2)", [key, json])
            .map(|_| ())
            .map_err(|source| Error::from_store("keeping a setting", source, json.len() as u64))
    }

    fn clock_note(&self, now: Timestamp) -> Result<Option<String>, Error> {
        check_clock(whole_second(now), self.head.logged, self.built)
    }

    pub(crate) fn write_now(
        &mut self,
        draft: Draft,
        corrects: Option<u64>,
        now: Timestamp,
    ) -> Result<Receipt, Error> {
        let clock = match self.clock_note(now) {
            Ok(note) => note,
            Err(doubt) if draft.emergency => Some(match doubt {
                Error::ClockForward { hours, .. } => format!("forward {hours} h, not confirmed"),
                _ => "before any that can be, not confirmed".to_owned(),
            }),
            Err(doubt) => return Err(doubt),
        };
        self.write_one(Item { draft, corrects, logged: whole_second(now), clock })
    }

    fn write_one(&mut self, item: Item) -> Result<Receipt, Error> {
        let emergency = item.draft.emergency.then(|| item.copy());
        let logged = item.logged;
        let mut outcome = self.write_items([Ok(item)], false);
        if let (Err(Error::DiskFull { .. }), Some(again)) = (&outcome, emergency)
            && self.ballast.give_up()
        {
            outcome = self.write_items([Ok(again)], false);
        } else if outcome.is_ok() {
            self.ballast.refill_at(logged);
        }
        let receipt = outcome?.pop();
        receipt.ok_or_else(|| Error::NoEntry { seq: self.head.seq + 1, last: self.head.seq })
    }

    fn write_items<E: From<Error>>(
        &mut self,
        items: impl IntoIterator<Item = Result<Item, E>>,
        history: bool,
    ) -> Result<Vec<Receipt>, E> {
        let (broken, node) = (self.broken.clone(), self.node.clone());
        let receipts = self.in_transaction(|batch| -> Result<_, E> {
            let mut receipts = Vec::new();
            for item in items {
                let mut item = item?;
                head::guard(broken.as_ref(), &mut item.draft)?;
                if history {
                    item.clock = batch.step_back(item.logged);
                }
                receipts.push(write_item(batch, item, &node)?);
            }
            Ok(receipts)
        })?;
        if history {
            self.settle();
        }
        Ok(receipts)
    }

    /// Lets `work` write, all or nothing.
    pub(crate) fn in_transaction<T, E: From<Error>>(
        &mut self,
        work: impl FnOnce(&mut Batch<'_>) -> Result<T, E>,
    ) -> Result<T, E> {
        let transaction = self
            .conn
            .transaction_with_behavior(TransactionBehavior::Immediate)
            .map_err(|source| Error::from_store("beginning to write", source, 0))?;
        let mut batch = Batch::new(&transaction, self.head, self.clock.clone(), self.names.clone());
        let done = work(&mut batch)?;
        let end = batch.finish()?;
        transaction.commit().map_err(|source| Error::from_store("writing", source, end.bytes))?;
        self.head = end.head;
        self.clock = end.clock;
        self.names = end.names;
        Ok(done)
    }

    /// Brings the log into the file after much was written. Best effort: the next start or write does it otherwise.
    pub fn settle(&self) {
        let _ = self.conn.query_row("PRAGMA wal_checkpoint(TRUNCATE)", [], |_| Ok(()));
    }
}

impl Item {
    fn copy(&self) -> Self {
        Self {
            draft: self.draft.clone(),
            corrects: self.corrects,
            logged: self.logged,
            clock: self.clock.clone(),
        }
    }
}

pub(crate) fn write_item(batch: &mut Batch<'_>, item: Item, node: &str) -> Result<Receipt, Error> {
    let draft = check::check(item.draft, item.logged)?;
    if let Some(token) = &draft.token
        && let Some(receipt) = written_before(batch.conn(), token)?
    {
        return Ok(receipt);
    }
    if let Some(target) = item.corrects {
        check_target(batch.conn(), &draft, target, batch.head().seq)?;
    }
    let at = draft.at.unwrap_or(item.logged);
    let entry = Entry {
        seq: batch.head().seq + 1,
        kind: draft.kind,
        at,
        logged: item.logged,
        zone: draft.zone.unwrap_or_else(|| batch.clock().zone(at)),
        node: node.to_owned(),
        author: draft.author,
        values: draft.values,
        text: draft.text,
        details: draft.details,
        corrects: item.corrects,
        regards: draft.regards,
        reason: draft.reason,
        token: draft.token,
        clock: item.clock,
        prev: batch.head().hash,
        hash: Hash::NONE,
    };
    if let Some(regarded) = entry.regards
        && regarded >= entry.seq
    {
        return Err(Error::NoEntry { seq: regarded, last: entry.seq - 1 });
    }
    batch.write(entry)
}

/// The receipt of the entry that carries this token.
pub(crate) fn written_before(conn: &Connection, token: &str) -> Result<Option<Receipt>, Error> {
    let doing = Error::store("looking for the same submission");
    let mut statement = conn
        .prepare_cached(
            "SELECT entry.seq, entry.hash FROM token JOIN entry USING (seq) WHERE token.token = ?1",
        )
        .map_err(&doing)?;
    let found: Option<(i64, Vec<u8>)> = statement
        .query_row(params![token], |row| Ok((row.get(0)?, row.get(1)?)))
        .optional()
        .map_err(&doing)?;
    let Some((seq, hash)) = found else { return Ok(None) };
    let seq = seq.unsigned_abs();
    let how = || Error::Broken { seq, how: "its hash is not 32 bytes".to_owned() };
    Ok(Some(Receipt { seq, hash: Hash::from_slice(&hash).ok_or_else(how)?, repeated: true }))
}

/// Whether this entry may be corrected or withdrawn by this draft.
fn check_target(conn: &Connection, draft: &Draft, target: u64, last: u64) -> Result<(), Error> {
    if target == 0 || target > last {
        return Err(Error::NoEntry { seq: target, last });
    }
    if draft.reason.as_deref().is_none_or(|reason| reason.trim().is_empty()) {
        return Err(Error::NoReason { seq: target });
    }
    let doing = Error::store("reading the entry to be corrected");
    let kind: i64 = conn
        .prepare_cached("SELECT kind FROM entry WHERE seq = ?1")
        .and_then(|mut statement| statement.query_row([as_i64(target)], |row| row.get(0)))
        .map_err(&doing)?;
    let kind = Kind::from_code(kind).ok_or_else(|| Error::Broken {
        seq: target,
        how: format!("its kind has the unknown code {kind}"),
    })?;
    let family = family::of_root(conn, family::root(conn, target)?)?;
    // Whoever signed may mend it; for everybody else there is the remark.
    let of_another = family.first().is_some_and(|first| {
        matches!(first.kind, Kind::SignOff | Kind::Remark)
            && first.author.actor != draft.author.actor
    });
    let instead = if of_another {
        Some("only its signer corrects it; write a remark on it")
    } else {
        instead_of(draft.kind, kind)
    };
    if let Some(instead) = instead {
        return Err(Error::NotCorrectable { seq: target, kind: kind.word(), instead });
    }
    match standing::withdrawn(&family::relatives(&family)).get(&target) {
        Some(&by) => Err(Error::Withdrawn { seq: target, by }),
        None => Ok(()),
    }
}

/// What to do instead, where an entry of kind `target` takes no amendment of this kind.
fn instead_of(amendment: Kind, target: Kind) -> Option<&'static str> {
    use Kind::*;
    match (amendment, target) {
        (
            _,
            Reading | Correction | Event | Step | Sample | Laboratory | Order | Note | Remark
            | SignOff,
        ) => None,
        (Correction, Withdrawal) => Some("withdraw the withdrawal to bring the entry back"),
        (Withdrawal, Withdrawal | Clock) => None,
        (_, Clock) => Some("withdraw it, or write another clock change"),
        (_, Seal) => Some("a later seal covers what came after it"),
        (_, User | Setting | Override) => Some("make the change again as it should be"),
        _ => Some("it tells what this program did; write a note on it"),
    }
}
