//! What somebody aboard tells beside readings that a finding needs: cleaned, recalibrated, a finding closed; as events of the record.

use ::findings::{Anew, Cause};
use jiff::Timestamp;
use logbook::{Draft, Entry, Kind, Reader};

use crate::desk::{Desk, DeskError, hand};
use crate::field;
use crate::round::METER;
use crate::switched::{self, Switch};
use crate::view::SetRight;

use super::looked::HOLDS;

/// What can be cleaned, as the record writes it.
pub const CLEANED: &[&str] = &["condenser", "evaporator", "condenser and evaporator"];
/// What was seen of a cause when it was looked at, as the record writes it.
pub const SEEN: &[&str] = &["found", "not found", "something else"];

/// Whether what was found was mended, as the record writes it.
pub const MENDED: &[&str] = &["mended", "not yet"];

/// Entries of a kind looked at, newest first.
const MOST: usize = 60;
/// Longest words of what was seen, characters.
const LONGEST: usize = 400;

/// The plant was cleaned.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Cleaned {
    /// When.
    pub at: Timestamp,
    /// What: one of [`CLEANED`].
    pub what: String,
    /// In the log's words.
    pub words: String,
    /// Its entry.
    pub seq: u64,
}

impl Cleaned {
    /// Whether this deposit came off.
    #[must_use]
    pub fn of(&self, cause: Cause) -> bool {
        match cause {
            Cause::Scale => self.what.contains("evaporator"),
            Cause::CondenserFouling => self.what.contains("condenser"),
            _ => false,
        }
    }
}

impl Closed {
    /// Whether it was found.
    #[must_use]
    pub fn is_found(&self) -> bool {
        self.seen == SEEN[0]
    }

    /// Whether it was found and was not mended then.
    #[must_use]
    pub fn is_open(&self) -> bool {
        self.is_found() && self.mended == Some(false)
    }

    /// What was seen and what became of it: "found, not mended yet".
    #[must_use]
    pub fn seen_words(&self) -> String {
        match self.mended {
            Some(true) if self.is_found() => format!("{}, mended", self.seen),
            Some(false) if self.is_found() => format!("{}, not mended yet", self.seen),
            _ => self.seen.clone(),
        }
    }
}

/// An instrument was set right.
#[derive(Debug, Clone, PartialEq)]
pub struct Recalibrated {
    /// When.
    pub at: Timestamp,
    /// The reading it gives.
    pub reading: String,
    /// By how much it read high before, in the reading's own unit; none where nobody wrote it down.
    pub high_by: Option<f64>,
    /// Since when it read so; none where nobody wrote it down: as far back as rounds go.
    pub since: Option<Timestamp>,
    /// Its entry.
    pub seq: u64,
}

impl Recalibrated {
    /// Whether a reading of this moment was taken while the instrument was wrong.
    #[must_use]
    pub fn mends(&self, reading: &str, at: Timestamp) -> bool {
        let before = minute(at) <= minute(self.at);
        self.reading == reading && before && self.since.is_none_or(|from| at >= from)
    }
}

/// A finding closed with what was seen.
#[derive(Debug, Clone, PartialEq)]
pub struct Closed {
    /// When.
    pub at: Timestamp,
    /// The cause.
    pub cause: Cause,
    /// What was seen: one of [`SEEN`].
    pub seen: String,
    /// How sure the finding was then, 0 to 1, where it was told.
    pub chance: Option<f64>,
    /// In words.
    pub words: String,
    /// Who.
    pub by: String,
    /// What was cleaned with it.
    pub cleaned: Option<String>,
    /// Whether what was found was mended; none where nobody said.
    pub mended: Option<bool>,
    /// Its entry.
    pub seq: u64,
}

/// Everything told, newest first.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct ToldOfPlant {
    /// Cleanings.
    pub cleaned: Vec<Cleaned>,
    /// Instruments set right.
    pub recalibrated: Vec<Recalibrated>,
    /// Findings closed.
    pub closed: Vec<Closed>,
    /// When the plant was put on or shut down, by who wrote it and by the lists.
    pub switched: Vec<Switch>,
}

impl ToldOfPlant {
    /// Reads what was told up to an instant.
    pub(crate) fn of(reader: &Reader, until: Timestamp) -> Result<Self, DeskError> {
        let cleaned = reader.events_with("cleaned", until, MOST)?;
        let set_right = reader.events_with("recalibrated", until, MOST)?;
        let closed = reader.events_with("finding", until, MOST)?;
        Ok(Self {
            cleaned: cleaned.iter().map(one_cleaned).collect(),
            recalibrated: set_right.iter().map(one_recalibrated).collect(),
            closed: closed.iter().filter_map(one_closed).collect(),
            switched: switched::of(reader, until)?,
        })
    }

    /// Reads only which instruments were set right up to an instant.
    pub(crate) fn settings(reader: &Reader, until: Timestamp) -> Result<Self, DeskError> {
        let set_right = reader.events_with("recalibrated", until, MOST)?;
        let recalibrated = set_right.iter().map(one_recalibrated).collect();
        Ok(Self { recalibrated, ..Self::default() })
    }

    /// The setting that a reading was taken before, the first one since; none where its instrument reads as it did.
    pub(crate) fn setting(&self, reading: &str, at: Timestamp) -> Option<SetRight> {
        let wrong = |event: &&Recalibrated| event.mends(reading, at);
        let event = self.recalibrated.iter().rfind(wrong)?;
        Some(SetRight { at_s: event.at.as_second(), high_by: event.high_by })
    }

    /// The last cleaning of a deposit.
    #[must_use]
    pub fn last_cleaned(&self, cause: Cause) -> Option<Timestamp> {
        self.cleaned.iter().find(|c| c.of(cause)).map(|c| c.at)
    }

    /// Deposits that were cleaned off: key, words, and the last cleaning of each.
    #[must_use]
    pub fn deposits_cleaned(&self) -> Vec<(String, String, Timestamp)> {
        let parts = [Cause::Scale, Cause::CondenserFouling].into_iter();
        parts
            .filter_map(|cause| Some((cause.key(), cause.words(), self.last_cleaned(cause)?)))
            .collect()
    }

    /// Parts cleaned after a moment, each with its last cleaning.
    pub(crate) fn cleaned_since(
        &self,
        at: Timestamp,
    ) -> impl Iterator<Item = (&'static str, Timestamp)> + '_ {
        let parts = [(Cause::Scale, "evaporator"), (Cause::CondenserFouling, "condenser")];
        let last = move |(cause, part)| Some((part, self.last_cleaned(cause)?));
        parts.into_iter().filter_map(last).filter(move |(_, cleaned)| counts_from(*cleaned) > at)
    }

    /// When parts began anew: each deposit taken off, seen where a closing says so, and `sound`, looked at and not found.
    pub(crate) fn anew(&self, sound: &[(Cause, Timestamp)]) -> Vec<Anew> {
        let parts = [Cause::Scale, Cause::CondenserFouling];
        let of = |one: &Cleaned| {
            let at = counts_from(one.at);
            let seen = |cause| {
                self.closed.iter().any(|c| c.seq == one.seq && c.cause == cause && c.is_found())
            };
            let off = parts.into_iter().filter(|c| one.of(*c));
            off.map(|cause| Anew { cause, at, seen: seen(cause) }).collect::<Vec<_>>()
        };
        // What was found and mended without a cleaning: sound from then on, at fault before.
        let mended = self.closed.iter().filter(|c| c.is_found() && c.mended == Some(true));
        let mended = mended.filter(|c| c.cleaned.is_none());
        let mended = mended.map(|c| Anew { cause: c.cause, at: counts_from(c.at), seen: true });
        let looked = sound.iter().map(|(cause, at)| Anew {
            cause: *cause,
            at: counts_from(*at),
            seen: false,
        });
        self.cleaned.iter().flat_map(of).chain(mended).chain(looked).collect()
    }

    /// A reading as it would have been read by its instrument set right: brought to where it stands now, or none where nobody wrote by how
    /// much it was off. Rounds from when it was wrong to when it was set right; one of the very minute of that was read before.
    pub(crate) fn set_right(&self, reading: &str, at: Timestamp, read: f64) -> Option<f64> {
        let wrong = |event: &&Recalibrated| event.mends(reading, at);
        self.recalibrated.iter().filter(wrong).try_fold(read, |read, event| {
            let by = event.high_by?;
            Some(if reading == METER { read * (1.0 - by / 100.0) } else { read - by })
        })
    }
}

/// From when on rounds were read after what was done at a moment: a round of that minute was read before.
pub(crate) fn counts_from(at: Timestamp) -> Timestamp {
    Timestamp::from_second(60 * (minute(at) + 1)).unwrap_or(at)
}

fn minute(at: Timestamp) -> i64 {
    at.as_second().div_euclid(60)
}

fn detail(entry: &Entry, key: &str) -> String {
    entry.details.get(key).cloned().unwrap_or_default()
}

fn one_cleaned(entry: &Entry) -> Cleaned {
    Cleaned {
        at: entry.at,
        what: detail(entry, "cleaned"),
        words: entry.text.clone().unwrap_or_default(),
        seq: entry.seq,
    }
}

fn one_recalibrated(entry: &Entry) -> Recalibrated {
    Recalibrated {
        at: entry.at,
        reading: detail(entry, "recalibrated"),
        high_by: entry.details.get("read_high_by").and_then(|text| text.parse().ok()),
        since: entry.details.get("wrong_since").and_then(|text| text.parse().ok()),
        seq: entry.seq,
    }
}

fn one_closed(entry: &Entry) -> Option<Closed> {
    Some(Closed {
        at: entry.at,
        cause: Cause::of_key(&detail(entry, "finding"))?,
        seen: detail(entry, "seen"),
        chance: entry.details.get("chance").and_then(|text| text.parse().ok()),
        words: entry.text.clone().unwrap_or_default(),
        by: entry.author.actor.clone(),
        cleaned: entry.details.get("cleaned").cloned(),
        mended: entry.details.get("mended").map(|word| word == MENDED[0]),
        seq: entry.seq,
    })
}

/// What an engineer says when he closes a finding.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Closing {
    /// Key of the cause.
    pub cause: String,
    /// One of [`SEEN`].
    pub seen: String,
    /// What was seen, in words.
    pub words: String,
    /// One of [`CLEANED`], or empty.
    pub cleaned: String,
    /// One of [`MENDED`] where it was found, or empty where nobody said.
    pub mended: String,
    /// How sure the finding is at that moment, 0 to 1.
    pub chance: Option<f64>,
    /// When it was looked at; none: now.
    pub at: Option<Timestamp>,
}

fn one_of(what: &str, word: &str, words: &[&str]) -> Result<(), DeskError> {
    if words.contains(&word) {
        return Ok(());
    }
    let read = if word.is_empty() { "nothing chosen".to_owned() } else { format!("\"{word}\"") };
    Err(DeskError::Asked(format!("{what}, {read}: one of {}", words.join(", "))))
}

fn moment_of(at: Timestamp, now: Timestamp) -> Result<Timestamp, DeskError> {
    if at > now {
        return Err(DeskError::Asked("the time lies ahead of the clock: mend it".into()));
    }
    Ok(at)
}

impl Desk {
    /// Writes that the plant was cleaned: findings then go by the rounds since.
    ///
    /// # Errors
    /// No such part, a time ahead, no initials, or why the record cannot be written.
    pub fn write_cleaned(
        &self,
        (what, words): (&str, &str),
        at: Timestamp,
        by: &str,
        now: Timestamp,
    ) -> Result<u64, DeskError> {
        one_of("cleaned", what, CLEANED)?;
        let mut draft = Draft::new(Kind::Event, hand(by)?).at(moment_of(at, now)?);
        draft.text = some_words(words)?;
        self.write(draft.detail("cleaned", what), now)
    }

    /// Writes that an instrument was set right; `high_by` in the reading's own unit and `since`, from when it read so, where they are known.
    ///
    /// # Errors
    /// No such reading, a time ahead, wrong only after it was set right, no initials, or why the record cannot be written.
    pub fn write_recalibrated(
        &self,
        (reading, high_by, since): (&str, Option<f64>, Option<Timestamp>),
        at: Timestamp,
        by: &str,
        now: Timestamp,
    ) -> Result<u64, DeskError> {
        if field::reading(reading).is_none_or(|r| r.unit.is_empty()) {
            return Err(DeskError::Asked(format!(
                "{reading}: no instrument of the rounds reads it"
            )));
        }
        if since.is_some_and(|since| since >= at) {
            return Err(DeskError::Asked(
                "wrong since: it lies after the instrument was set right; mend one of both times"
                    .into(),
            ));
        }
        let draft = Draft::new(Kind::Event, hand(by)?).at(moment_of(at, now)?);
        let draft = draft.detail("recalibrated", reading);
        let draft = match since {
            Some(since) => draft.detail("wrong_since", since.to_string()),
            None => draft,
        };
        self.write(
            match high_by.filter(|x| x.is_finite()) {
                Some(by) => draft.detail("read_high_by", by.to_string()),
                None => draft,
            },
            now,
        )
    }

    /// Closes a finding with what was seen on opening up.
    ///
    /// # Errors
    /// No such cause or word, no initials, or why the record cannot be written.
    pub fn close_finding(
        &self,
        closing: &Closing,
        by: &str,
        now: Timestamp,
    ) -> Result<u64, DeskError> {
        if Cause::of_key(&closing.cause).is_none() {
            return Err(DeskError::Asked(format!(
                "{}: no cause that is looked for",
                closing.cause
            )));
        }
        one_of("what was seen", &closing.seen, SEEN)?;
        if let Some(why) = closing.wants_words() {
            return Err(DeskError::Asked(why.to_owned()));
        }
        let at = moment_of(closing.at.unwrap_or(now), now)?;
        let mut draft = Draft::new(Kind::Event, hand(by)?).at(at);
        draft.text = some_words(&closing.words)?;
        draft = draft.detail("finding", &*closing.cause).detail("seen", &*closing.seen);
        let first = self.chance_of_first(closing, at)?;
        let chance = first.or(closing.chance);
        if let Some(chance) = chance.filter(|p| (0.0..=1.0).contains(p)) {
            draft = draft.detail("chance", format!("{chance:.2}"));
        }
        if !closing.cleaned.is_empty() {
            one_of("cleaned", &closing.cleaned, CLEANED)?;
            draft = draft.detail("cleaned", &*closing.cleaned);
        }
        if !closing.mended.is_empty() && closing.seen == SEEN[0] {
            one_of("mended", &closing.mended, MENDED)?;
            draft = draft.detail("mended", &*closing.mended);
        }
        self.write(draft, now)
    }
}

impl Desk {
    /// The chance that stands with the first closing of the same cause, where that was so lately that it is weighed without it since.
    fn chance_of_first(&self, closing: &Closing, at: Timestamp) -> Result<Option<f64>, DeskError> {
        let told = self.told_of_plant(at)?;
        let same = told.closed.iter().filter(|one| one.cause.key() == closing.cause);
        let mut chance = None;
        let mut before = at;
        for one in same {
            if before.duration_since(one.at) > HOLDS {
                break;
            }
            (chance, before) = (one.chance.or(chance), one.at);
        }
        Ok(chance)
    }
}

fn some_words(words: &str) -> Result<Option<String>, DeskError> {
    let words = words.trim();
    if words.chars().count() > LONGEST {
        return Err(DeskError::Asked(format!("over {LONGEST} signs: say it shorter")));
    }
    Ok((!words.is_empty()).then(|| words.to_owned()))
}
