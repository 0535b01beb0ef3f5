//! The entry: one thing that was so, who wrote it and when; and the draft from which it is made.

use std::collections::BTreeMap;

use jiff::Timestamp;

use crate::hash::Hash;
use crate::words::{Kind, Quality, Role, Source};
use crate::zone::Zone;

/// An entry typed more than this after it was so is marked late, seconds.
pub const LATE_AFTER_S: i64 = 2 * 3600;

/// One value of an entry, as typed and in SI.
#[derive(Clone, Debug, PartialEq)]
pub struct Value {
    /// The quantity's name, such as `jacket_in_c`.
    pub name: String,
    /// What was typed, in the unit below; none when nothing was taken.
    pub text: Option<String>,
    /// The unit it was typed in, such as `degC`; none for words and for values not taken.
    pub unit: Option<String>,
    /// The same in the coherent SI unit; none for words and for values not taken.
    pub si: Option<f64>,
    /// How far it may be trusted.
    pub quality: Quality,
    /// Why it is doubtful, not taken or out of range.
    pub why: Option<String>,
}

impl Value {
    /// A measured number: as typed, its unit, and the same in SI.
    pub fn number(
        name: impl Into<String>,
        text: impl Into<String>,
        unit: impl Into<String>,
        si: f64,
    ) -> Self {
        Self {
            name: name.into(),
            text: Some(text.into()),
            unit: Some(unit.into()),
            si: Some(si),
            quality: Quality::Ok,
            why: None,
        }
    }

    /// A word in place of a number: "steady", "surging".
    pub fn word(name: impl Into<String>, text: impl Into<String>) -> Self {
        Self { text: Some(text.into()), ..Self::empty(name.into(), Quality::Ok) }
    }

    /// Nothing was taken, and why: "weather".
    pub fn not_taken(name: impl Into<String>, why: impl Into<String>) -> Self {
        Self { why: Some(why.into()), ..Self::empty(name.into(), Quality::NotTaken) }
    }

    /// The same value kept in spite of a warning, with the reason given.
    pub fn with_quality(self, quality: Quality, why: impl Into<String>) -> Self {
        Self { quality, why: Some(why.into()), ..self }
    }

    pub(crate) fn empty(name: String, quality: Quality) -> Self {
        Self { name, text: None, unit: None, si: None, quality, why: None }
    }
}

/// Who writes, by which right, from what.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Author {
    /// Initials or account: `2e`.
    pub actor: String,
    /// The right used, where there are accounts.
    pub role: Option<Role>,
    /// Where the words and figures come from.
    pub source: Source,
}

impl Author {
    /// Somebody writing by hand.
    pub fn hand(actor: impl Into<String>) -> Self {
        Self { actor: actor.into(), role: None, source: Source::Hand }
    }

    /// This program writing of itself.
    pub fn program() -> Self {
        Self { actor: "stillwatch".to_owned(), role: None, source: Source::Program }
    }

    /// The same author with a role.
    pub fn with_role(self, role: Role) -> Self {
        Self { role: Some(role), ..self }
    }
}

/// What is to be written. The book adds number, node, links and hash.
#[derive(Clone, Debug, PartialEq)]
pub struct Draft {
    /// What it is about.
    pub kind: Kind,
    /// When it was so; the time of writing if left out. Cut to the whole second.
    pub at: Option<Timestamp>,
    /// Ship's time then; from the record's clock changes if left out.
    pub zone: Option<Zone>,
    /// Who writes.
    pub author: Author,
    /// The figures, each name once.
    pub values: Vec<Value>,
    /// Free words.
    pub text: Option<String>,
    /// Named particulars of the kind: a tank, a dose, a setting's old and new value.
    pub details: BTreeMap<String, String>,
    /// The entry this one speaks of without changing it (a remark, a sign-off).
    pub regards: Option<u64>,
    /// Why.
    pub reason: Option<String>,
    /// A form's own mark: the same mark again is the same submission, kept once.
    pub token: Option<String>,
    /// Stopping and emergency entries: taken even when the clock is doubtful or the disk is full.
    pub emergency: bool,
}

impl Draft {
    /// A draft of this kind with nothing in it yet.
    pub fn new(kind: Kind, author: Author) -> Self {
        Self {
            kind,
            at: None,
            zone: None,
            author,
            values: Vec::new(),
            text: None,
            details: BTreeMap::new(),
            regards: None,
            reason: None,
            token: None,
            emergency: false,
        }
    }

    /// Readings taken together at one moment.
    pub fn reading(at: Timestamp, author: Author, values: Vec<Value>) -> Self {
        Self { at: Some(at), values, ..Self::new(Kind::Reading, author) }
    }

    /// Free words, now.
    pub fn note(author: Author, text: impl Into<String>) -> Self {
        Self { text: Some(text.into()), ..Self::new(Kind::Note, author) }
    }

    /// An emergency or stopping note: nothing stands before it.
    pub fn emergency_note(author: Author, text: impl Into<String>) -> Self {
        Self { emergency: true, ..Self::note(author, text) }
    }

    /// A setting's change from old (none if it was never set) to new.
    pub fn setting(
        author: Author,
        key: impl Into<String>,
        old: Option<String>,
        new: impl Into<String>,
    ) -> Self {
        let mut draft = Self::new(Kind::Setting, author).detail("key", key).detail("new", new);
        if let Some(old) = old {
            draft = draft.detail("old", old);
        }
        draft
    }

    /// The ship's clocks are on `minutes` from UTC (east positive) as from `from`, by whose order.
    pub fn zone_change(
        from: Timestamp,
        minutes: i32,
        author: Author,
        by_order_of: impl Into<String>,
    ) -> Self {
        let minutes = minutes.clamp(-i32::from(i16::MAX), i32::from(i16::MAX));
        // An offset that cannot be is written as asked, so that the book refuses it with its limits.
        let zone = Zone::from_minutes(minutes)
            .map_or_else(|_| format!("{minutes} min"), |zone| zone.to_string());
        Self::new(Kind::Clock, author).at(from).detail("zone", zone).detail("by", by_order_of)
    }

    /// The same draft with a particular added.
    pub fn detail(mut self, key: impl Into<String>, value: impl Into<String>) -> Self {
        self.details.insert(key.into(), value.into());
        self
    }

    /// The same draft for this moment.
    pub fn at(self, at: Timestamp) -> Self {
        Self { at: Some(at), ..self }
    }

    /// The same draft with a submission mark.
    pub fn token(self, token: impl Into<String>) -> Self {
        Self { token: Some(token.into()), ..self }
    }

    /// The same draft with a reason.
    pub fn reason(self, reason: impl Into<String>) -> Self {
        Self { reason: Some(reason.into()), ..self }
    }

    /// The same draft speaking of an earlier entry.
    pub fn regards(self, seq: u64) -> Self {
        Self { regards: Some(seq), ..self }
    }
}

/// One entry of the record, as it stands there for good.
#[derive(Clone, Debug, PartialEq)]
pub struct Entry {
    /// Its number; the only order there is.
    pub seq: u64,
    /// What it is about.
    pub kind: Kind,
    /// When it was so, UTC.
    pub at: Timestamp,
    /// When it was written, UTC.
    pub logged: Timestamp,
    /// Ship's time at `at`.
    pub zone: Zone,
    /// The computer that wrote it.
    pub node: String,
    /// Who wrote it.
    pub author: Author,
    /// The figures.
    pub values: Vec<Value>,
    /// Free words.
    pub text: Option<String>,
    /// Named particulars.
    pub details: BTreeMap<String, String>,
    /// The entry it corrects or withdraws.
    pub corrects: Option<u64>,
    /// The entry it speaks of.
    pub regards: Option<u64>,
    /// Why.
    pub reason: Option<String>,
    /// The form's mark.
    pub token: Option<String>,
    /// What was wrong with the computer's clock when it was written: "back 3600 s".
    pub clock: Option<String>,
    /// Hash of the entry before.
    pub prev: Hash,
    /// Hash of this one.
    pub hash: Hash,
}

impl Entry {
    /// Written more than two hours after it was so.
    pub fn is_late(&self) -> bool {
        self.logged.as_second() - self.at.as_second() > LATE_AFTER_S
    }

    /// What the ship's clocks showed.
    pub fn local(&self) -> jiff::civil::DateTime {
        self.zone.local(self.at)
    }

    /// The value of this name, if the entry has one.
    pub fn value(&self, name: &str) -> Option<&Value> {
        self.values.iter().find(|value| value.name == name)
    }
}

/// What the book gives back for a written entry: it is on the disk.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Receipt {
    /// The entry's number.
    pub seq: u64,
    /// Its hash, the head of the chain at that moment.
    pub hash: Hash,
    /// The same submission was already there: this is the entry it made then.
    pub repeated: bool,
}
