//! One figure put right: looked at as closely as when it was first typed, the old one kept readable.

use std::collections::BTreeSet;

use jiff::Timestamp;
use logbook::Author;
use plant::Banding;

use crate::conditions::Figures;
use crate::desk::{Desk, DeskError, hand};
use crate::entry::{around, remarks};
use crate::expected;
use crate::history;
use crate::now::with_last;
use crate::plausible::{Remark, Weight};
use crate::round::{Round, made_t_day};
use crate::setup::Setup;
use crate::switched::{self, Switch};
use crate::typed::Refusal;
use crate::written::{initials, written};

/// A correction as typed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Correction<'a> {
    /// The entry that holds the figure.
    pub seq: u64,
    /// Name of the reading.
    pub key: &'a str,
    /// The figure that is to stand.
    pub text: &'a str,
    /// Code of its unit; empty for the reading's own.
    pub unit: &'a str,
    /// Why the old one is wrong.
    pub reason: &'a str,
    /// Initials of who corrects.
    pub actor: &'a str,
    /// It stands although it does not fit.
    pub stands: bool,
}

impl Desk {
    /// Corrects one figure of an entry: the old one stays readable. Its entry's number.
    ///
    /// # Errors
    /// [`DeskError::Doubtful`] when the new figure does not fit its round and is not said to stand; else why figure,
    /// reason or initials are not right, or the entry has no such figure.
    pub fn correct(&self, to: Correction<'_>, now: Timestamp) -> Result<u64, DeskError> {
        if to.reason.trim().is_empty() {
            let words = "Say why it is corrected: a correction without a reason is not taken.";
            return Err(DeskError::Asked(words.into()));
        }
        let refused = |e: Refusal| DeskError::Asked(e.to_string());
        let actor = initials(to.actor).map_err(refused)?;
        let setup = self.setup();
        let style = quantity::Style::Either;
        let new = written(&setup.ship, to.key, to.text, to.unit, style).map_err(refused)?;
        if let Some(figure) = new.figure {
            self.look_twice(&setup, to, figure)?;
        }
        let author = Author::hand(actor);
        let receipt =
            self.book()?.correct(to.seq, vec![new.value], to.reason.trim(), author, now)?;
        Ok(receipt.seq)
    }

    /// Takes a whole round out of what counts: written for the wrong hour, or by mistake. Every entry of it stays readable.
    ///
    /// # Errors
    /// No round of that moment, no reason or initials, or why the record cannot be written.
    pub fn withdraw_round(
        &self,
        at: Timestamp,
        reason: &str,
        by: &str,
        now: Timestamp,
    ) -> Result<(), DeskError> {
        let asked = |words: &str| DeskError::Asked(words.to_owned());
        let reason = reason.trim();
        if reason.is_empty() {
            return Err(asked("Say why the round is withdrawn: without a reason it is not."));
        }
        let author = hand(by)?;
        // Held from the look to the writing: of two who withdraw it at once the second finds nothing.
        let mut book = self.book()?;
        let round = self.rounds(at, 1)?.pop().filter(|round| round.at == at);
        let round = round.ok_or_else(|| asked("no round of that moment stands"))?;
        let mut roots = BTreeSet::new();
        for seq in round.cells.values().map(|cell| cell.seq) {
            // A corrected figure carries its correction's number: the round goes with the entry it was signed by.
            roots.extend(self.reader().history(seq)?.first().map(|entry| entry.seq));
        }
        for root in roots {
            book.withdraw(root, reason, author.clone(), now)?;
        }
        Ok(())
    }

    /// Holds the new figure against its round, as the form of the round would.
    fn look_twice(&self, setup: &Setup, to: Correction<'_>, figure: f64) -> Result<(), DeskError> {
        // What is wrong with the entry itself is the record's to say.
        let Some(entry) = self.reader().entry(to.seq)? else { return Ok(()) };
        let (rounds, switches) = {
            let reader = self.reader();
            (history::around(&reader, entry.at)?, switched::of(&reader, entry.at)?)
        };
        let Some(i) = rounds.iter().position(|round| round.at == entry.at) else { return Ok(()) };
        let rounds = (rounds.as_slice(), switches.as_slice());
        let banding = self.banding(setup)?;
        let old = rounds.0[i].figures();
        let mut new = old.clone();
        new.insert(to.key.to_owned(), figure);
        let before: BTreeSet<String> =
            doubts(setup, &banding, rounds, i, &old).into_iter().map(|doubt| doubt.says).collect();
        let mut found = doubts(setup, &banding, rounds, i, &new);
        // What was odd of the other figures was asked when they were written; the new one is asked about anew.
        found.retain(|doubt| doubt.key == to.key || !before.contains(&doubt.says));
        // The hardest first; among equals the plainest, which is looked for first.
        found.sort_by_key(|doubt| std::cmp::Reverse(doubt.weight));
        let Some(doubt) = found.into_iter().next() else { return Ok(()) };
        match doubt.weight {
            Weight::Impossible => Err(DeskError::Asked(doubt.says)),
            Weight::Doubtful if to.stands => Ok(()),
            Weight::Doubtful => Err(DeskError::Doubtful(doubt.says)),
        }
    }
}

/// What does not fit in round `i` with these figures: as the form of a round tells it.
fn doubts(
    setup: &Setup,
    banding: &Banding<'_>,
    (rounds, switches): (&[Round], &[Switch]),
    i: usize,
    read: &Figures,
) -> Vec<Remark> {
    let at = rounds[i].at;
    let mut known = with_last(&rounds[..=i], &rounds[i]);
    known.extend(read.clone());
    let expectation = expected::expect(setup, banding, &known).ok();
    let made = made_t_day(&rounds[..i], read, at, setup.ship.sheet.product_max_t_day, switches);
    remarks(setup, read, &known, &around(setup, rounds, at), made, expectation.as_ref())
}
