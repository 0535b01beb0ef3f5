//! Sealing a day and holding a seal copied on paper against the record.

use jiff::Timestamp;
use jiff::civil::Date;

use crate::book::Book;
use crate::entry::{Author, Draft, Entry, Receipt};
use crate::error::Error;
use crate::hash::Hash;
use crate::reader::Reader;
use crate::seal::{Mistyped, Seal, SealCode};
use crate::verify::{Broken, verify};
use crate::words::Kind;

/// A seal in the record.
#[derive(Clone, Debug, PartialEq)]
pub struct Sealed {
    /// The entry that holds it.
    pub seq: u64,
    /// When it was made.
    pub at: Timestamp,
    /// Who made it.
    pub by: String,
    /// What it covers.
    pub seal: Seal,
    /// What is copied into the bound book.
    pub code: SealCode,
}

/// How a code from paper compares with the record.
#[derive(Clone, Debug, PartialEq)]
pub enum SealCheck {
    /// The record up to the seal is the one that was sealed.
    Matches {
        /// The seal.
        sealed: Sealed,
        /// Entries after those it covers.
        since: u64,
    },
    /// The code on paper is no code: copied or typed wrongly.
    Mistyped(Mistyped),
    /// A well-formed code that is not this day's: the record was altered after it was written down, or the code
    /// belongs to another day.
    Altered {
        /// The code the record has for that day.
        record: SealCode,
        /// The first thing out of order up to there, if the walk finds one; none where the chain was made anew.
        broken: Option<Broken>,
    },
    /// The record has no seal for that day.
    NoSeal,
}

impl Book {
    /// Seals everything since the last seal for the sea day in which `within` lies: where the date line shows a date
    /// twice, the number of the sea day in the seal tells the two apart.
    ///
    /// # Errors
    /// Nothing was written since the last seal; else as [`Book::append`].
    pub fn seal_day(
        &mut self,
        within: Timestamp,
        author: Author,
        now: Timestamp,
    ) -> Result<(Receipt, Seal), Error> {
        let before = self.reader()?.seals(1)?.pop();
        let (last, head) = self.head();
        let (first, prev_seal, newest_seal) = match &before {
            Some(sealed) => (sealed.seal.last + 1, sealed.seal.hash(), sealed.seq),
            None => (1, Hash::NONE, 0),
        };
        // The last seal's own entry alone is nothing new.
        if first > last || newest_seal == last {
            return Err(Error::NothingToSeal { last });
        }
        let day = self.clock.day(within);
        let seal = Seal {
            node: self.node.clone(),
            day: day.date,
            sea_day: u64::try_from(day.sea_day).ok(),
            first,
            last,
            count: last - first + 1,
            head,
            prev_seal,
        };
        let mut draft = Draft::new(Kind::Seal, author)
            .detail("code", seal.code().to_string())
            .detail("count", seal.count.to_string())
            .detail("day", day.date.to_string())
            .detail("first", first.to_string())
            .detail("head", head.to_string())
            .detail("last", last.to_string())
            .detail("prev_seal", prev_seal.to_string());
        if let Some(sea_day) = seal.sea_day {
            draft = draft.detail("sea_day", sea_day.to_string());
        }
        let receipt = self.write_now(draft, None, now)?;
        Ok((receipt, seal))
    }
}

impl Reader {
    /// The seals, newest first.
    ///
    /// # Errors
    /// The file or a seal cannot be read.
    pub fn seals(&self, limit: usize) -> Result<Vec<Sealed>, Error> {
        let sql =
            "SELECT seq, canonical, hash FROM entry WHERE kind = ?1 ORDER BY seq DESC LIMIT ?2";
        let limit = i64::try_from(limit).unwrap_or(i64::MAX);
        self.select(sql, [Kind::Seal.code(), limit])?.iter().map(sealed).collect()
    }

    /// Holds a code from the bound book or the noon line against the record: the chain is walked up to the newest entry.
    ///
    /// # Errors
    /// The file cannot be read.
    pub fn compare_seal(&self, day: Date, code: &str) -> Result<SealCheck, Error> {
        let code: SealCode = match code.parse() {
            Ok(code) => code,
            Err(mistyped) => return Ok(SealCheck::Mistyped(mistyped)),
        };
        let of_day: Vec<Sealed> =
            self.seals(usize::MAX)?.into_iter().filter(|sealed| sealed.seal.day == day).collect();
        let Some(newest) = of_day.first() else { return Ok(SealCheck::NoSeal) };
        let record = newest.code;
        let verdict = verify(self, |_, _| {})?;
        let broken = |last: u64| {
            verdict.broken.clone().filter(|broken| broken.seq.is_none_or(|seq| seq <= last))
        };
        let Some(sealed) = of_day.iter().find(|sealed| sealed.code == code) else {
            return Ok(SealCheck::Altered { record, broken: broken(newest.seal.last) });
        };
        // The code is of what the seal says; the chain must say the same.
        let head = self.entry(sealed.seal.last)?.map(|entry| entry.hash);
        if head != Some(sealed.seal.head) || verdict.entries < sealed.seal.last {
            return Ok(SealCheck::Altered { record, broken: broken(sealed.seal.last) });
        }
        let since = verdict.entries - sealed.seal.last;
        Ok(SealCheck::Matches { sealed: sealed.clone(), since })
    }
}

/// The seal an entry tells of.
fn sealed(entry: &Entry) -> Result<Sealed, Error> {
    let broken = |field: &str| Error::Broken {
        seq: entry.seq,
        how: format!("the seal's {field} cannot be read"),
    };
    let field =
        |name: &str| entry.details.get(name).map(String::as_str).ok_or_else(|| broken(name));
    let number = |name: &str| field(name)?.parse::<u64>().map_err(|_| broken(name));
    let hash = |name: &str| field(name)?.parse::<Hash>().map_err(|_| broken(name));
    let seal = Seal {
        node: entry.node.clone(),
        day: field("day")?.parse().map_err(|_| broken("day"))?,
        sea_day: if entry.details.contains_key("sea_day") {
            Some(number("sea_day")?)
        } else {
            None
        },
        first: number("first")?,
        last: number("last")?,
        count: number("count")?,
        head: hash("head")?,
        prev_seal: hash("prev_seal")?,
    };
    let code = seal.code();
    Ok(Sealed { seq: entry.seq, at: entry.at, by: entry.author.actor.clone(), seal, code })
}
