//! What a finding is made from: rounds of the plant, what was told of her, the ship's figures that weigh. Nothing else that is written changes it.

use std::fmt::Write as _;
use std::hash::{DefaultHasher, Hasher};
use std::path::Path;
use std::sync::{Arc, Mutex, PoisonError};

use jiff::tz::Offset;
use jiff::{SignedDuration, Timestamp};
use logbook::{Hash, Reader};

use crate::desk::DeskError;
use crate::history;
use crate::round::{Round, SOUNDING};
use crate::ship::{self, Demand, Orders, Ship};
use crate::switched;

use super::words::ToldOfPlant;

/// Rounds looked at at most: three months of one every four hours.
const MOST_ROUNDS: usize = 540;

/// Of the record, what a finding is made from.
#[derive(Debug)]
pub(crate) struct Source {
    /// Rounds, oldest first; tanks that were sounded by themselves are not among them.
    pub(crate) rounds: Vec<Round>,
    /// What was told of the plant.
    pub(crate) told: ToldOfPlant,
    /// The ship's zone.
    pub(crate) zone: Offset,
    /// Whether the plant is on, and since when.
    pub(crate) plant: Option<(bool, Timestamp)>,
    /// Whether nothing of it lies ahead of the moment up to which it was read.
    whole: bool,
    /// A mark of all this: the same where all of it is the same.
    pub(crate) mark: u64,
}

impl Source {
    fn read(record: &Path, now: Timestamp) -> Result<Self, DeskError> {
        // A reader of its own: pages go on meanwhile.
        let reader = Reader::open(record)?;
        let mut rounds = history::rounds(&reader, now, MOST_ROUNDS)?;
        rounds.retain(|round| !round.cells.keys().all(|key| key.starts_with(SOUNDING)));
        let told = ToldOfPlant::of(&reader, now)?;
        let zone = reader.ship_clock()?.zone(now).offset();
        let plant = switched::of(&reader, now)?.first().map(|(at, on)| (*on, *at));
        let ahead = now.checked_add(SignedDuration::from_secs(1)).unwrap_or(now);
        let whole = reader.rounds(Some(ahead), None, 1)?.is_empty()
            && ToldOfPlant::of(&reader, Timestamp::MAX)? == told;
        let mut mark = Marked(DefaultHasher::new());
        // A hasher takes all that is written to it.
        let _ = write!(mark, "{rounds:?}{told:?}{zone:?}{plant:?}");
        Ok(Source { rounds, told, zone, plant, whole, mark: mark.0.finish() })
    }
}

/// Marks what is written to it.
struct Marked(DefaultHasher);

impl std::fmt::Write for Marked {
    fn write_str(&mut self, text: &str) -> std::fmt::Result {
        self.0.write(text.as_bytes());
        Ok(())
    }
}

/// The source as last read, until the record goes on.
#[derive(Debug, Default)]
pub(crate) struct LastRead(Mutex<Option<(Hash, Timestamp, Arc<Source>)>>);

impl LastRead {
    /// The source as the record stands; `head` is the record's.
    pub(crate) fn of(
        &self,
        record: &Path,
        head: Hash,
        now: Timestamp,
    ) -> Result<Arc<Source>, DeskError> {
        // One assignment changes it: a panic elsewhere leaves it whole.
        let mut last = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some((of, read, source)) = last.as_ref()
            && *of == head
            && (*read == now || source.whole && *read < now)
        {
            return Ok(Arc::clone(source));
        }
        let source = Arc::new(Source::read(record, now)?);
        *last = Some((head, now, Arc::clone(&source)));
        Ok(source)
    }
}

/// The ship's figures that a finding weighs: without tanks, demand, orders and what she and her voyage are called.
pub(crate) fn weighed(ship: &Ship) -> String {
    ship::write(&Ship {
        name: String::new(),
        kind: String::new(),
        voyage: String::new(),
        crew: 0.0,
        orders: Orders::default(),
        demand: Demand::default(),
        tanks: Vec::new(),
        ..ship.clone()
    })
}
