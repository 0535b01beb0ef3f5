//! The desk: one ship's folder open for work. Every question goes through here.

mod error;
mod proof;

use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError, RwLock};

use jiff::Timestamp;
use logbook::{Author, Book, Broken, Draft, Reader, ShipClock};

use crate::due;
use crate::entry::{self, CheckedRound, TypedRound};
use crate::field;
use crate::findings::ToldOfPlant;
use crate::history::{self, Span};
use crate::now::{self, NowView, Recent};
use crate::passage::Plans;
use crate::practice::Rooms;
use crate::procedures;
use crate::remembered::Remembered;
use crate::round::Round;
use crate::series;
use crate::setup::Setup;
use crate::ship::Ship;
use crate::switched::{self, Switch};
use crate::view::Series;
use crate::written::initials;

pub use self::error::{DeskError, SignError};

/// Name of the ship file in the folder.
pub const SHIP_FILE: &str = "ship.toml";
/// Name of the record in the folder.
pub const RECORD_FILE: &str = "record.sqlite";

/// A signed round.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Signed {
    /// Its entry.
    pub seq: u64,
    /// Written more than two hours after it was so.
    pub late: bool,
    /// The same submission had been written before.
    pub repeated: bool,
}

/// One ship's folder, open.
#[derive(Debug)]
pub struct Desk {
    folder: PathBuf,
    setup: RwLock<Arc<Setup>>,
    /// None where the folder is open for reading alone.
    book: Option<Mutex<Book>>,
    /// What the book says of its newest entry, beside it: a long write must not keep pages from saying so.
    broken: RwLock<Option<Broken>>,
    /// The first thing out of order anywhere, as the last walk found it; nobody has gone on after it by name.
    altered: RwLock<Option<Broken>>,
    reader: Mutex<Reader>,
    plans: Plans,
    findings: Arc<crate::findings::Kept>,
    remembered: Mutex<Remembered>,
    rooms: Rooms,
    foretellings: crate::foretold::Last,
}

/// A day of rounds and one more, for the first counter difference.
fn a_day_of_rounds(setup: &Setup) -> usize {
    (24.0 / setup.ship.round_hours).ceil() as usize + 2
}

fn unpoisoned<T>(lock: &Mutex<T>) -> MutexGuard<'_, T> {
    // A panic while the lock was held leaves SQLite's own transaction rolled back: what is behind the lock is whole.
    lock.lock().unwrap_or_else(PoisonError::into_inner)
}

impl Desk {
    /// Opens a ship's folder; makes it, with a ship file that is still to be filled in and an empty record, when there is none.
    ///
    /// # Errors
    /// The ship file's problems with their lines, or why the record cannot be opened.
    pub fn open(folder: &Path, now: Timestamp) -> Result<Self, DeskError> {
        Self::open_or_make(folder, &Ship::unfilled(), now)
    }

    /// Opens a ship's folder for reading alone: it takes no lock, so that another program may have it open for writing.
    ///
    /// # Errors
    /// As [`Setup::of_folder`], or why the record cannot be opened; there must be one.
    pub fn open_to_read(folder: &Path) -> Result<Self, DeskError> {
        let reader = Reader::open(&folder.join(RECORD_FILE))?;
        let setup = Setup::of_folder(folder)?;
        Ok(Self {
            folder: folder.to_owned(),
            setup: RwLock::new(Arc::new(setup)),
            broken: RwLock::default(),
            altered: RwLock::default(),
            book: None,
            reader: Mutex::new(reader),
            plans: Plans::default(),
            findings: Arc::default(),
            remembered: Mutex::default(),
            rooms: Rooms::default(),
            foretellings: crate::foretold::Last::default(),
        })
    }

    pub(crate) fn open_or_make(
        folder: &Path,
        first: &Ship,
        now: Timestamp,
    ) -> Result<Self, DeskError> {
        let file = |path: &Path, source| DeskError::File { path: path.to_owned(), source };
        if folder.is_file() {
            let name = folder.display();
            return Err(DeskError::Asked(format!("{name} is a file: name the ship's folder")));
        }
        std::fs::create_dir_all(folder).map_err(|e| file(folder, e))?;
        let path = folder.join(SHIP_FILE);
        let setup = match std::fs::read_to_string(&path) {
            Ok(text) => Setup::from_text(&text).map_err(DeskError::Ship)?,
            Err(e) if e.kind() == std::io::ErrorKind::NotFound => {
                let setup = Setup::from_ship(first.clone()).map_err(DeskError::Ship)?;
                write_whole(&path, &setup.text).map_err(|e| file(&path, e))?;
                setup
            }
            Err(e) => return Err(file(&path, e)),
        };
        let book = Book::open(&folder.join(RECORD_FILE), &setup.ship.node, now)?;
        let reader = book.reader()?;
        Ok(Self {
            folder: folder.to_owned(),
            setup: RwLock::new(Arc::new(setup)),
            broken: RwLock::new(book.broken().cloned()),
            altered: RwLock::default(),
            book: Some(Mutex::new(book)),
            reader: Mutex::new(reader),
            plans: Plans::default(),
            findings: Arc::default(),
            remembered: Mutex::default(),
            rooms: Rooms::default(),
            foretellings: crate::foretold::Last::default(),
        })
    }

    /// The folder.
    #[must_use]
    pub fn folder(&self) -> &Path {
        &self.folder
    }

    /// Ship, plant and doubts as they are now.
    #[must_use]
    pub fn setup(&self) -> Arc<Setup> {
        Arc::clone(&self.setup.read().unwrap_or_else(PoisonError::into_inner))
    }

    /// Brings what was written lately into the record's own file, so that it may be copied by itself. Best effort.
    pub fn settle(&self) {
        if let Ok(book) = self.book() {
            book.settle();
        }
    }

    pub(crate) fn book(&self) -> Result<MutexGuard<'_, Book>, DeskError> {
        let only_read = || DeskError::Asked("the folder was opened for reading alone".into());
        self.book.as_ref().map(unpoisoned).ok_or_else(only_read)
    }

    pub(crate) fn found(&self) -> &Arc<crate::findings::Kept> {
        &self.findings
    }

    pub(crate) fn foretellings(&self) -> &crate::foretold::Last {
        &self.foretellings
    }

    pub(crate) fn rooms(&self) -> &Rooms {
        &self.rooms
    }

    pub(crate) fn plans(&self) -> &Plans {
        &self.plans
    }

    pub(crate) fn reader(&self) -> MutexGuard<'_, Reader> {
        unpoisoned(&self.reader)
    }

    /// The record opened once more, for reading that lasts and must not hold up the pages.
    ///
    /// # Errors
    /// The record cannot be opened.
    pub fn record(&self) -> Result<Reader, DeskError> {
        Ok(Reader::open(&self.folder.join(RECORD_FILE))?)
    }

    /// The ship's clock.
    ///
    /// # Errors
    /// The record cannot be read.
    pub fn clock(&self) -> Result<ShipClock, DeskError> {
        Ok(self.reader().ship_clock()?)
    }

    /// Rounds up to an instant, oldest first.
    ///
    /// # Errors
    /// The record cannot be read.
    pub fn rounds(&self, until: Timestamp, count: usize) -> Result<Vec<Round>, DeskError> {
        history::rounds(&self.reader(), until, count)
    }

    /// The last so many whole rounds up to an instant with all that was read in between, oldest first.
    ///
    /// # Errors
    /// The record cannot be read.
    pub fn whole_rounds(&self, until: Timestamp, count: usize) -> Result<Vec<Round>, DeskError> {
        history::whole_rounds(&self.reader(), until, count)
    }

    /// Starts and stops of the plant up to an instant, newest first, by who wrote them and by the lists.
    ///
    /// # Errors
    /// The record cannot be read.
    pub fn switches(&self, until: Timestamp) -> Result<Vec<Switch>, DeskError> {
        switched::of(&self.reader(), until)
    }

    /// When the next round is due; none before the first.
    ///
    /// # Errors
    /// The record cannot be read.
    pub fn due(&self, now: Timestamp) -> Result<Option<Timestamp>, DeskError> {
        let setup = self.setup();
        let rounds = self.whole_rounds(now, a_day_of_rounds(&setup))?;
        let switches = self.switches(now)?;
        let at_steps = procedures::typed_at_steps(&self.reader(), now)?;
        let watch = due::of_the_watch(&rounds, &procedures::of_no_round(&at_steps));
        Ok(due::next(&self.clock()?, &watch, &switches, setup.ship.round_hours))
    }

    /// "Are we making what we should?"
    ///
    /// # Errors
    /// The record cannot be read.
    pub fn now(&self, now: Timestamp) -> Result<NowView, DeskError> {
        let setup = self.setup();
        let recent = self.recent(&setup, now)?;
        let banding = self.banding(&setup)?;
        Ok(now::now(&setup, &banding, &recent, now))
    }

    fn recent(&self, setup: &Setup, now: Timestamp) -> Result<Recent, DeskError> {
        let reader = self.reader();
        let rounds = history::whole_rounds(&reader, now, a_day_of_rounds(setup))?;
        let clock = reader.ship_clock()?;
        let plant = history::plant_state(&reader, now)?;
        let switches = switched::of(&reader, now)?;
        let at_steps = procedures::typed_at_steps(&reader, now)?;
        let watch = due::of_the_watch(&rounds, &procedures::of_no_round(&at_steps));
        Ok(Recent {
            due: due::next(&clock, &watch, &switches, setup.ship.round_hours),
            by_list: procedures::by_lists(self.folder(), &reader, &rounds, plant, now)?,
            runs: procedures::runs_told(self.folder(), &reader, &rounds, plant, now)?,
            switches,
            at_steps,
            rounds,
            plant,
            soundings: history::soundings(&reader, &setup.ship, now)?,
            duties: history::duties(&reader, now)?,
            settings: ToldOfPlant::settings(&reader, now)?,
        })
    }

    pub(crate) fn banding<'s>(&self, setup: &'s Setup) -> Result<plant::Banding<'s>, DeskError> {
        setup.plant.banding(&setup.uncertainty).map_err(|e| DeskError::Asked(e.to_string()))
    }

    /// Checks a round as typed.
    ///
    /// # Errors
    /// The record cannot be read.
    pub fn check_round(
        &self,
        typed: &TypedRound,
        at: Timestamp,
    ) -> Result<CheckedRound, DeskError> {
        let setup = self.setup();
        let banding = self.banding(&setup)?;
        let (rounds, switches) = {
            let reader = self.reader();
            (history::around(&reader, at)?, switched::of(&reader, at)?)
        };
        Ok(entry::check(&setup, &banding, (&rounds, &switches), typed, at))
    }

    /// Writes a round down.
    ///
    /// # Errors
    /// The checked round when a line is refused or waits for a word; else why the record cannot be written.
    pub fn sign_round(
        &self,
        typed: &TypedRound,
        at: Timestamp,
        now: Timestamp,
    ) -> Result<Signed, SignError> {
        // Held from the look to the writing: of two who sign the same minute at once the second is refused.
        let mut book = self.book()?;
        let mut checked = self.check_round(typed, at)?;
        self.refuse_twice(&mut checked, typed, at)?;
        if at > now {
            checked.overall.push(
                "The round's time lies ahead of the clock: nobody has read it yet. Mend the time."
                    .into(),
            );
            return Err(SignError::Refused(Box::new(checked)));
        }
        if !checked.is_sound() {
            return Err(SignError::Refused(Box::new(checked)));
        }
        let draft =
            entry::draft(&self.setup().ship, &checked, typed, at).map_err(DeskError::Asked)?;
        let receipt = book.append(draft, now)?;
        let late = now.as_second() - at.as_second() > logbook::LATE_AFTER_S;
        Ok(Signed { seq: receipt.seq, late, repeated: receipt.repeated })
    }

    /// Refuses what was read at the same minute already: a second figure beside a first is a correction.
    ///
    /// The same form sent again is let through: the record answers it with what it wrote the first time.
    fn refuse_twice(
        &self,
        checked: &mut CheckedRound,
        typed: &TypedRound,
        at: Timestamp,
    ) -> Result<(), DeskError> {
        let Some(same) = self.rounds(at, 1)?.pop().filter(|round| round.at == at) else {
            return Ok(());
        };
        let typed_here =
            |key: &String| checked.lines.iter().any(|l| l.key == *key && !l.text.trim().is_empty());
        let twice: Vec<_> = same.cells.iter().filter(|(key, _)| typed_here(key)).collect();
        let Some((_, first)) = twice.first() else { return Ok(()) };
        let repeated = self.reader().entry(first.seq)?.and_then(|entry| entry.token);
        if repeated.is_some_and(|token| token == typed.token) {
            return Ok(());
        }
        let by = same.actors.join(", ");
        let mut others = 0;
        for (key, cell) in &twice {
            let Some(line) = checked.lines.iter_mut().find(|line| line.key == **key) else {
                continue;
            };
            let same_figure = line.value.is_some() && line.value == cell.value;
            if !same_figure && line.text.trim() != cell.text {
                others += 1;
                let as_what = if cell.not_taken { "not taken" } else { &cell.text };
                line.refused = Some(format!(
                    "written for this minute already, as {as_what} by {by}: correct that under Earlier rounds, or mend the time"
                ));
            }
        }
        let others = match others {
            0 => "with the same figures".to_owned(),
            1 => "and one figure was read otherwise: it is marked".to_owned(),
            n => format!("and {n} figures were read otherwise: they are marked"),
        };
        checked.overall.push(format!(
            "This round was signed by {by} for this minute already, {others}. Correct it under Earlier rounds, or mend the time."
        ));
        Ok(())
    }

    /// One quantity over a span, expected over actual where rounds are few enough to work each out.
    ///
    /// # Errors
    /// Unknown name, or the record cannot be read.
    pub fn trend(&self, key: &str, from: Timestamp, to: Timestamp) -> Result<Series, DeskError> {
        let setup = self.setup();
        let banding = self.banding(&setup)?;
        let Some(reading) = field::reading(key).filter(|r| !r.unit.is_empty()) else {
            let near =
                field::nearest(key).map_or(String::new(), |n| format!("; did you mean {n}?"));
            return Err(DeskError::Asked(format!("{key}: no such reading{near}")));
        };
        let mut series = series::empty(&setup, reading);
        // The record is let go before the plant is solved: other pages go on meanwhile.
        let most_t_day = setup.ship.sheet.product_max_t_day;
        let (span, switches) = {
            let reader = self.reader();
            let switches = switched::of(&reader, to)?;
            (history::span(&reader, key, (from, to), (most_t_day, &switches))?, switches)
        };
        match span {
            Span::Pieces(pieces) => {
                (series.spots, series.stopped) = (pieces.spots, pieces.stopped);
                series.thinned = true;
            }
            Span::Rounds(rounds) => {
                let read = series::read(&rounds);
                let bands = unpoisoned(&self.remembered)
                    .bands(&setup, &read, |read| series::bands(&setup, &banding, read));
                let spot =
                    |i: usize| series::spot(key, &rounds, i, &bands[i], (most_t_day, &switches));
                series.spots = (0..rounds.len()).map(spot).collect();
                series.stopped = switched::stopped(&rounds, &switches, to);
            }
        }
        Ok(series)
    }

    /// Writes one entry: an event, a note, an order.
    ///
    /// # Errors
    /// Why the record cannot be written.
    pub fn write(&self, draft: Draft, now: Timestamp) -> Result<u64, DeskError> {
        Ok(self.book()?.append(draft, now)?.seq)
    }

    /// A ship file's text made ready for this record; nothing is kept.
    ///
    /// # Errors
    /// The file's problems with their lines, or what this record does not let change.
    pub fn ship_from(&self, text: &str) -> Result<Setup, DeskError> {
        let setup = Setup::from_text(text).map_err(DeskError::Ship)?;
        let old = self.setup();
        if setup.ship.node != old.ship.node && self.head()?.0 > 0 {
            return Err(DeskError::Asked(format!(
                "Mark of the record: {} cannot become {}, it stands in every entry of this record",
                old.ship.node, setup.ship.node
            )));
        }
        Ok(setup)
    }

    /// Keeps a new ship file: checked whole, the change written into the record, the file put in place at once.
    ///
    /// # Errors
    /// The file's problems; nothing is changed then.
    pub fn save_ship(&self, text: &str, actor: &str, now: Timestamp) -> Result<(), DeskError> {
        let setup = self.ship_from(text)?;
        let old = self.setup();
        if old.text == setup.text {
            return Ok(());
        }
        let draft =
            Draft::setting(hand(actor)?, "ship.toml", Some(old.text.clone()), setup.text.clone());
        // What can fail for want of room comes first, the renaming last: file and record change together or not at all.
        let path = self.folder.join(SHIP_FILE);
        let file = |source| DeskError::File { path: path.clone(), source };
        let staged = staged(&path, &setup.text).map_err(file)?;
        let written = self.book().and_then(|mut book| Ok(book.append(draft, now)?));
        if let Err(e) = written {
            let _ = std::fs::remove_file(&staged);
            return Err(e);
        }
        std::fs::rename(&staged, &path).map_err(file)?;
        *self.setup.write().unwrap_or_else(PoisonError::into_inner) = Arc::new(setup);
        Ok(())
    }
}

/// Somebody writing by hand, by initials the record takes.
pub(crate) fn hand(by: &str) -> Result<Author, DeskError> {
    initials(by).map(Author::hand).map_err(|e| DeskError::Asked(e.to_string()))
}

/// Writes a file beside its place, safe on the disk; the caller renames it.
pub(crate) fn staged(path: &Path, text: &str) -> std::io::Result<PathBuf> {
    let part = path.with_extension("part");
    let mut file = std::fs::File::create(&part)?;
    file.write_all(text.as_bytes())?;
    file.sync_all()?;
    Ok(part)
}

/// Writes a file whole or not at all.
pub(crate) fn write_whole(path: &Path, text: &str) -> std::io::Result<()> {
    std::fs::rename(staged(path, text)?, path)
}
