//! Checks among the rounds: what each read beside what the watch read then, and how one is taken back.

use ::findings::Instrument;
use jiff::Timestamp;

use crate::desk::{Desk, DeskError, hand};

use super::checks::{self, CHECKS};
use super::sets::Sets;

/// A check that was made.
#[derive(Debug, Clone, PartialEq)]
pub struct CheckMade {
    /// When.
    pub at: Timestamp,
    /// Its entry.
    pub seq: u64,
    /// Name of its reading.
    pub reading: &'static str,
    /// As a heading.
    pub title: &'static str,
    /// As read, in the unit of the reading.
    pub read: f64,
    /// What the round it went with read in the same place; none where nothing of the round reads that.
    pub watch: Option<f64>,
    /// What the likeliest explanation makes of it, where the last round holds it.
    pub explained: Option<f64>,
    /// Whether it goes with a round that was explained.
    pub used: bool,
    /// Whether it can be taken back by itself; else it stands in a round of the watch.
    pub alone: bool,
}

/// The instrument of the watch that reads the same.
fn of_the_watch(instrument: Instrument) -> Option<Instrument> {
    use Instrument as I;
    Some(match instrument {
        I::SecondJacketIn => I::JacketIn,
        I::SecondJacketOut => I::JacketOut,
        I::SecondSeaTemp => I::SeaTemp,
        I::SecondSeaOut => I::SeaOut,
        I::SecondVapour => I::VapourTemp,
        I::ProductDip => I::Product,
        I::SecondSalt => I::ProductSalt,
        _ => return None,
    })
}

pub(super) fn made(sets: &Sets, finding: &::findings::Finding) -> Vec<CheckMade> {
    let last = sets.sets.last().map(|set| set.time);
    sets.checked
        .iter()
        .filter_map(|made| {
            let check = checks::of(made.instrument)?;
            let set = made.with.and_then(|at| sets.sets.iter().find(|set| set.time == at));
            let watch = set.zip(of_the_watch(made.instrument)).and_then(|(set, i)| set.get(i));
            let evidence = finding.evidence.iter().find(|e| e.instrument == made.instrument);
            Some(CheckMade {
                at: made.at,
                seq: made.seq,
                reading: check.reading,
                title: check.title,
                read: made.figure,
                watch,
                explained: evidence.filter(|_| made.with == last).map(|e| e.fitted),
                used: made.with.is_some(),
                alone: made.alone,
            })
        })
        .collect()
}

impl Desk {
    /// Takes a check back that was written down by itself: it stays readable and counts no more.
    ///
    /// # Errors
    /// No such entry, one that holds more than checks, no reason or initials, or why the record cannot be written.
    pub fn withdraw_check(
        &self,
        seq: u64,
        reason: &str,
        by: &str,
        now: Timestamp,
    ) -> Result<(), DeskError> {
        let asked = |words: &str| DeskError::Asked(words.to_owned());
        let reason = reason.trim();
        if reason.is_empty() {
            return Err(asked("Say why the check is taken back: without a reason it is not."));
        }
        let author = hand(by)?;
        // Held from the look to the writing.
        let mut book = self.book()?;
        let root = self.reader().history(seq)?.into_iter().next();
        let root = root.ok_or_else(|| DeskError::Asked(format!("there is no entry {seq}")))?;
        let of_a_check = |name: &str| CHECKS.iter().any(|check| check.reading == name);
        if root.values.is_empty() || !root.values.iter().all(|value| of_a_check(&value.name)) {
            return Err(DeskError::Asked(format!(
                "entry {} holds more than a check: correct the figure in its round, on the page Readings",
                root.seq
            )));
        }
        book.withdraw(root.seq, reason, author, now)?;
        Ok(())
    }
}
