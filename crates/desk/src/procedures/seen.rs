//! What guards see: readings of the record and of the form, the ship's limits and settings, what the model expects now.

use std::cell::OnceCell;
use std::collections::{BTreeMap, BTreeSet};

use jiff::{SignedDuration, Timestamp};
use logbook::Reader;
use procedure::{Procedure, Reading, Relation, Seen};

use crate::conditions::Figures;
use crate::desk::DeskError;
use crate::expected::{self, DIAL_HPA};
use crate::field;
use crate::figure::sea_density_kg_m3;
use crate::history;
use crate::now::with_last;
use crate::round::{Cell, Round};
use crate::setup::Setup;
use crate::typed::{digits, shown};

use super::begin;
use super::runs::{self, Gathered, RUN};
use super::taken::names_of;
use super::texts::VACUUM;

/// The day's atmosphere, and conditions that are read seldom, hold so long.
const LASTING: SignedDuration = SignedDuration::from_hours(26);
/// Readings of the time before count as the newest for so long.
const NEWEST: SignedDuration = SignedDuration::from_hours(2);
/// Before a run began its first step looks back no further.
const LOOKED_BACK: SignedDuration = SignedDuration::from_hours(12);
/// Moments looked at, at most.
const MOST: usize = 800;
/// Decimals of a corrected vacuum.
pub(super) const VACUUM_DIGITS: u8 = 1;

/// What guards are asked of and told from.
pub(crate) trait Panel: Seen {
    /// The newest reading of a name, whenever it was.
    fn newest(&self, name: &str) -> Option<Reading> {
        self.since(name, Timestamp::MIN).pop()
    }

    /// When a reading was given as not taken last, and why; none where it was read since.
    fn not_taken(&self, _: &str) -> Option<(Timestamp, String)> {
        None
    }

    /// Whether the newest vacuum could be corrected for the day's atmosphere.
    fn vacuum_is_corrected(&self) -> bool {
        true
    }
}

/// No gauge at all.
#[derive(Debug)]
pub(super) struct Nothing;

impl Seen for Nothing {
    fn since(&self, _: &str, _: Timestamp) -> Vec<Reading> {
        Vec::new()
    }

    fn figure(&self, _: &str) -> Option<f64> {
        None
    }
}

impl Panel for Nothing {}

/// A reading on the form that is not in the record yet.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Pending {
    pub(super) key: String,
    pub(super) at: Timestamp,
    pub(super) value: Option<f64>,
    pub(super) text: String,
}

/// What is known at a moment.
#[derive(Debug)]
pub(super) struct Board<'a> {
    setup: &'a Setup,
    rounds: Vec<Round>,
    pending: Vec<Pending>,
    /// What the form gives as not taken: its name and why.
    not_taken: Vec<(String, String)>,
    now: Timestamp,
    /// The newest of what was set aside, read for runs that exclude the one that asks: shown, no evidence.
    aside: BTreeMap<String, Reading>,
    /// Entries of readings typed at steps of such runs.
    others: BTreeSet<u64>,
    expected: OnceCell<BTreeMap<String, f64>>,
}

fn before(at: Timestamp, by: SignedDuration) -> Timestamp {
    at.checked_sub(by).unwrap_or(Timestamp::MIN)
}

/// From when on readings are looked at for a run that began then.
pub(super) fn reaches_back(first: Timestamp) -> Timestamp {
    before(first, LASTING)
}

impl<'a> Board<'a> {
    /// Everything read from `from` (and what still holds of the day before it) to `now`.
    ///
    /// # Errors
    /// The record cannot be read.
    pub(super) fn of(
        setup: &'a Setup,
        reader: &Reader,
        from: Timestamp,
        now: Timestamp,
    ) -> Result<Self, DeskError> {
        let from = before(from.min(now), LASTING);
        let rounds = history::between(reader, Some(from), now, MOST)?;
        let (aside, others, expected) = (BTreeMap::new(), BTreeSet::new(), OnceCell::new());
        let (pending, not_taken) = (Vec::new(), Vec::new());
        Ok(Self { setup, rounds, pending, not_taken, now, aside, others, expected })
    }

    /// Without what was typed at steps of runs that this one excludes, before it began: that was read for them.
    ///
    /// # Errors
    /// The record cannot be read.
    pub(super) fn of_its_own(
        mut self,
        reader: &Reader,
        procedure: &Procedure,
        gathered: &Gathered,
    ) -> Result<Self, DeskError> {
        let began = gathered.began();
        let terms = || procedure.steps.iter().flat_map(|step| &step.see).flat_map(|see| &see.terms);
        let listed: Vec<&str> = terms().flat_map(|term| names_of(&term.name)).collect();
        let asked = terms().filter(|term| term.relation != Relation::NotUnderLast);
        let asked: Vec<&str> = asked.flat_map(|term| names_of(&term.name)).collect();
        let from = before(began, LOOKED_BACK);
        for round in self.rounds.iter_mut().filter(|round| round.at >= from) {
            let mut set_aside = Vec::new();
            for (name, cell) in
                round.cells.iter().filter(|(name, _)| listed.contains(&name.as_str()))
            {
                // A figure put right belongs where the figure was typed.
                let first = reader.history(cell.seq)?.into_iter().next();
                let run = first.and_then(|entry| entry.details.get(RUN)?.parse::<u64>().ok());
                let other = match run.filter(|run| *run != gathered.id) {
                    Some(run) => runs::key_of(reader, run)?,
                    None => None,
                };
                if !other.is_some_and(|other| begin::clash(procedure, &other)) {
                    continue;
                }
                self.others.insert(cell.seq);
                let evidence = asked.contains(&name.as_str()) && name != "barometer_hpa";
                if evidence && round.at < began {
                    set_aside.push(name.clone());
                }
            }
            for name in set_aside {
                let Some(cell) = round.cells.remove(&name) else { continue };
                let newer = self.aside.get(&name).is_none_or(|old| old.at <= round.at);
                if let Some(reading) = read_of(&name, round.at, &cell).filter(|_| newer) {
                    self.aside.insert(name, reading);
                }
            }
        }
        Ok(self)
    }

    /// The same with what stands on the form.
    pub(super) fn with(mut self, pending: Vec<Pending>) -> Self {
        // What is put right stands no longer.
        for typed in &pending {
            for round in self.rounds.iter_mut().filter(|round| round.at == typed.at) {
                round.cells.remove(&typed.key);
            }
        }
        self.pending = pending;
        self.expected = OnceCell::new();
        self
    }

    /// The same with the newest of these readings however long ago, where none of its own time is known.
    ///
    /// # Errors
    /// The record cannot be read.
    pub(super) fn reaching<'n>(
        mut self,
        reader: &Reader,
        names: impl Iterator<Item = &'n str>,
    ) -> Result<Self, DeskError> {
        for name in names {
            if !self.since(name, Timestamp::MIN).is_empty() {
                continue;
            }
            let Some(newest) = reader.latest(name, Some(self.now))? else { continue };
            for mut round in history::between(reader, Some(newest.at), newest.at, 1)? {
                round.cells.retain(|key, _| key == name);
                self.rounds.insert(0, round);
            }
        }
        Ok(self)
    }

    /// The same with what the form gives as not taken now.
    pub(super) fn without(mut self, not_taken: Vec<(String, String)>) -> Self {
        self.not_taken = not_taken;
        self
    }

    /// What was known at a moment.
    pub(super) fn until(&self, now: Timestamp) -> Self {
        let rounds = self.rounds.iter().filter(|round| round.at <= now).cloned().collect();
        let pending = self.pending.iter().filter(|pending| pending.at <= now).cloned().collect();
        let mut aside = self.aside.clone();
        aside.retain(|_, reading| reading.at <= now);
        let (others, expected) = (self.others.clone(), OnceCell::new());
        let not_taken = self.not_taken.clone();
        Self { setup: self.setup, rounds, pending, not_taken, now, aside, others, expected }
    }

    /// Whether an entry was typed at a step of a run that excludes the one that asks.
    pub(super) fn is_of_another(&self, entry: u64) -> bool {
        self.others.contains(&entry)
    }

    /// Every cell of the record it knows, with its moment and its reading's name.
    pub(super) fn cells(&self) -> impl Iterator<Item = (Timestamp, &str, &Cell)> {
        self.rounds.iter().flat_map(|round| {
            round.cells.iter().map(move |(name, cell)| (round.at, name.as_str(), cell))
        })
    }

    /// The barometer that holds for a moment, hPa; none where it was not read within a day.
    fn barometer(&self, at: Timestamp) -> Option<f64> {
        self.values("barometer_hpa")
            .into_iter()
            .filter(|(read, _)| *read <= at && before(at, LASTING) <= *read)
            .max_by_key(|(read, _)| *read)
            .map(|(_, hpa)| hpa)
    }

    /// Every number of a reading, oldest first.
    fn values(&self, key: &str) -> Vec<(Timestamp, f64)> {
        let read = self.rounds.iter().filter_map(|round| Some((round.at, round.value(key)?)));
        let typed = self.pending.iter().filter(|pending| pending.key == key);
        let typed = typed.filter_map(|pending| Some((pending.at, pending.value?)));
        let mut all: Vec<(Timestamp, f64)> = read.chain(typed).collect();
        all.sort_by_key(|(at, _)| *at);
        all
    }

    fn vacuum(&self) -> Vec<Reading> {
        let corrected = |(at, dial): (Timestamp, f64)| {
            let percent = dial * DIAL_HPA / self.barometer(at).unwrap_or(DIAL_HPA);
            Reading { at, value: Some(percent), text: digits(percent, VACUUM_DIGITS) }
        };
        self.values("shell_gauge_bar_g").into_iter().map(corrected).collect()
    }

    /// What the plant should show under the newest readings, by name; empty where that cannot be told.
    fn expected(&self) -> &BTreeMap<String, f64> {
        self.expected.get_or_init(|| {
            let mut found = BTreeMap::new();
            let sheet = &self.setup.ship.sheet;
            let feed_kg_s = sheet.rated_product_t_day / 86.4 * sheet.rated_feed_ratio;
            let density = sea_density_kg_m3(sheet.rated_sea_temp_c, 35.0);
            found.insert("feed_flow_m3_h".to_owned(), feed_kg_s / density * 3600.0);
            let Ok(banding) = self.setup.plant.banding(&self.setup.uncertainty) else {
                return found;
            };
            let figures = self.newest_figures();
            if let Ok(expectation) = expected::expect(self.setup, &banding, &figures) {
                for (key, band) in &expectation.readings {
                    found.insert((*key).to_owned(), band.middle);
                }
                if let Some(dial) = expectation.readings.get("shell_gauge_bar_g") {
                    let hpa = expectation.conditions.point.barometer_hpa;
                    found.insert(VACUUM.to_owned(), dial.middle * DIAL_HPA / hpa);
                }
            }
            found
        })
    }

    /// The newest of every reading of the last two hours, and the conditions of the day before that still hold.
    fn newest_figures(&self) -> Figures {
        let round = Round { at: self.now, actors: Vec::new(), cells: BTreeMap::new() };
        let mut figures = with_last(&self.rounds, &round);
        let from = before(self.now, NEWEST);
        for round in self.rounds.iter().filter(|round| round.at >= from) {
            figures.extend(round.figures());
        }
        for pending in &self.pending {
            figures.extend(pending.value.map(|value| (pending.key.clone(), value)));
        }
        figures
    }
}

/// A cell as a reading; none where nothing was taken.
fn read_of(name: &str, at: Timestamp, cell: &Cell) -> Option<Reading> {
    let known = field::reading(name).filter(|_| !cell.not_taken)?;
    let text = cell.value.map_or_else(|| cell.text.clone(), |x| shown(known, x));
    Some(Reading { at, value: cell.value, text })
}

impl Panel for Board<'_> {
    fn newest(&self, name: &str) -> Option<Reading> {
        // Whoever read it, and for which list: what is shown beside a box is what was read last.
        let aside = self.aside.get(name).cloned();
        self.since(name, Timestamp::MIN).pop().into_iter().chain(aside).max_by_key(|r| r.at)
    }

    fn not_taken(&self, name: &str) -> Option<(Timestamp, String)> {
        let form = self.not_taken.iter().find(|(key, _)| names_of(name).contains(&key.as_str()));
        if let Some((_, why)) = form {
            return Some((self.now, why.clone()));
        }
        let cell = |round: &Round| {
            let mut cells = names_of(name).into_iter().filter_map(|key| round.cells.get(key));
            cells.find(|cell| cell.not_taken).map(|cell| (round.at, cell.why.clone()))
        };
        let (at, why) = self.rounds.iter().rev().find_map(cell)?;
        let read = self.since(name, at);
        read.is_empty().then(|| (at, why.unwrap_or_default()))
    }

    fn vacuum_is_corrected(&self) -> bool {
        let newest = self.values("shell_gauge_bar_g").pop();
        newest.is_none_or(|(at, _)| self.barometer(at).is_some())
    }
}

impl Seen for Board<'_> {
    fn since(&self, name: &str, from: Timestamp) -> Vec<Reading> {
        if name == VACUUM {
            return self.vacuum().into_iter().filter(|reading| reading.at >= from).collect();
        }
        let of = |round: &Round| read_of(name, round.at, round.cells.get(name)?);
        let mut all: Vec<Reading> = self.rounds.iter().filter_map(of).collect();
        all.extend(self.pending.iter().filter(|pending| pending.key == name).map(|pending| {
            Reading { at: pending.at, value: pending.value, text: pending.text.clone() }
        }));
        all.retain(|reading| reading.at >= from);
        all.sort_by_key(|reading| reading.at);
        all
    }

    fn figure(&self, name: &str) -> Option<f64> {
        let (section, key) = name.split_once('.')?;
        match section {
            "limit" => self.setup.ship.limits.get(key),
            "order" => self.setup.ship.orders.get(key),
            // Nothing is set to nothing: it was not told yet.
            "set" => self.setup.ship.settings.get(key).filter(|value| *value > 0.0),
            "expected" => self.expected().get(key).copied(),
            _ => None,
        }
    }
}
