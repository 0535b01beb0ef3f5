//! Files into the record: what would be taken and why not the rest, then the taking.

mod ahead;
mod names;
mod odd;
mod sieve;
mod sifted;
mod told;

use std::collections::BTreeMap;

use jiff::Timestamp;
use logbook::import::{DayOrder, FileRefused, Plan, Reading as How, Rows, Text, Times, decode};
use logbook::{Author, Draft, Kind, Reader, Source};

use crate::desk::{Desk, DeskError};
use crate::setup::Setup;
use crate::told::clocks_set;
use crate::written::initials;

use self::ahead::ahead;
use self::names::Names;
pub use self::odd::Odd;
use self::sifted::{Found, Sifted};

/// What the person says of a file.
#[derive(Debug, Clone, Default)]
pub struct Asked {
    /// The file's name, for the record.
    pub name: String,
    /// Initials.
    pub actor: String,
    /// What times without an offset are; none: what the heading says, else ship's time.
    pub times: Option<Times>,
    /// Which of 3/4 is the day, where the file leaves it open.
    pub day_order: Option<DayOrder>,
    /// Headings declared by hand: heading, reading, unit code. [`logbook::import::TIME`] and its like stand for what is
    /// no reading, an empty name for a column that is left out.
    pub mapping: Vec<(String, String, String)>,
}

/// What a file would bring, or has brought.
#[derive(Debug)]
pub struct Import {
    /// Row by row.
    pub plan: Plan,
    /// Values that are in the record already.
    pub known: usize,
    /// Values new to the record.
    pub new: usize,
    /// The first figures that would be taken and are worth a second look, in the order of the file.
    pub odd: Vec<Odd>,
    /// All of them.
    pub all_odd: u64,
    /// Whether the ship's clocks were ever set to anything but UTC.
    pub clock_set: bool,
    /// The entry that speaks of the file, once it is taken; none for a dry run or where nothing was new.
    pub entry: Option<u64>,
}

/// Key under which the ship's headings are remembered.
const MAPPING: &str = "import mapping";

/// Key under which it is remembered by which clock the times of files with these headings were said to be.
const TIMES: &str = "import times";
/// [`Times::Ship`] as it is kept; any other is kept as its offset.
const SHIPS: &str = "ship";

/// The row of headings, by which a kind of file is known again.
fn headings(text: &Text) -> &str {
    text.text.lines().next().unwrap_or_default()
}

fn times_kept(record: &Reader) -> Result<BTreeMap<String, String>, DeskError> {
    let kept = record.remembered(TIMES)?;
    Ok(kept.and_then(|json| serde_json::from_str(&json).ok()).unwrap_or_default())
}

fn times_word(times: Times) -> String {
    match times {
        Times::Ship => SHIPS.to_owned(),
        Times::At(zone) => zone.to_string(),
    }
}

fn times_of(kept: &str) -> Option<Times> {
    if kept == SHIPS { Some(Times::Ship) } else { kept.parse().ok().map(Times::At) }
}

/// Reads a file against a record and the ship's names: a dry run, nothing is written.
///
/// # Errors
/// Why the file as a whole is not taken, or why the record cannot be read.
pub fn plan(
    setup: &Setup,
    record: &Reader,
    bytes: &[u8],
    asked: &Asked,
    now: Timestamp,
) -> Result<Import, DeskError> {
    with_rows(setup, record, bytes, asked, now, |sifted| {
        let (looked, sifted) = ahead(sifted, |rows| {
            for row in rows {
                row?;
            }
            Ok::<_, DeskError>(())
        });
        looked?;
        Import::of(sifted.found()?, record, now)
    })
}

impl Import {
    fn of(found: Found, record: &Reader, now: Timestamp) -> Result<Self, DeskError> {
        let Found { plan, known, new, odd, all_odd } = found;
        let clock_set = clocks_set(&record.ship_clock()?, now);
        Ok(Self { plan, known, new, odd, all_odd, clock_set, entry: None })
    }
}

/// Reads the file's rows for `then`, by the ship's names and what is said of it.
fn with_rows<T>(
    setup: &Setup,
    record: &Reader,
    bytes: &[u8],
    asked: &Asked,
    now: Timestamp,
    then: impl FnOnce(Sifted<'_>) -> Result<T, DeskError>,
) -> Result<T, DeskError> {
    let refused = |why: FileRefused| DeskError::Import { name: asked.name.clone(), why };
    let text = decode(bytes).map_err(refused)?;
    let names = Names { ship: &setup.ship };
    let how = How {
        catalogue: &names,
        mapping: mapping(record, &names, &asked.mapping)?,
        times: match asked.times {
            None => times_kept(record)?.get(headings(&text)).and_then(|kept| times_of(kept)),
            said => said,
        },
        day_order: asked.day_order,
        clock: &record.ship_clock()?,
        now,
    };
    let rows = Rows::of(&text, &how).map_err(refused)?;
    let plan = rows.plan(bytes, &text);
    then(Sifted::of(rows, plan, setup, record.again()?)?)
}

/// What the ship remembers of headings, with what is declared now in its place.
fn mapping(
    record: &Reader,
    names: &Names<'_>,
    declared: &[(String, String, String)],
) -> Result<Vec<(String, String, String)>, DeskError> {
    let mut all = Vec::with_capacity(declared.len());
    for (heading, name, unit) in declared {
        all.push((heading.clone(), name.clone(), names.declared_unit(heading, name, unit)?));
    }
    let kept = record.remembered(MAPPING)?;
    let kept: Vec<(String, String, String)> =
        kept.and_then(|json| serde_json::from_str(&json).ok()).unwrap_or_default();
    all.extend(kept.into_iter().filter(|(h, _, _)| declared.iter().all(|(d, _, _)| d != h)));
    Ok(all)
}

impl Desk {
    /// As [`plan`], against this desk's record and ship.
    ///
    /// # Errors
    /// As [`plan`].
    pub fn import_plan(
        &self,
        bytes: &[u8],
        asked: &Asked,
        now: Timestamp,
    ) -> Result<Import, DeskError> {
        // A reader of its own: a long file must not hold up the pages.
        plan(&self.setup(), &self.record()?, bytes, asked, now)
    }

    /// Takes a file into the record, whole or not at all. The same file twice changes nothing; a bad row never stops the
    /// good ones.
    ///
    /// # Errors
    /// As [`plan`]; or why the record cannot be written.
    pub fn import(&self, bytes: &[u8], asked: &Asked, now: Timestamp) -> Result<Import, DeskError> {
        let (setup, record) = (self.setup(), self.record()?);
        let own = initials(&asked.actor).map_err(|e| DeskError::Asked(e.to_string()))?;
        // Nobody else writes from here on, so that what is new to the record stays new.
        let mut book = self.book()?;
        let done = with_rows(&setup, &record, bytes, asked, now, |sifted| {
            let drafts = Drafts { rows: sifted, name: &asked.name, own, told: false };
            let (receipts, drafts) = ahead(drafts, |drafts| book.append_together(drafts, now));
            // The last of them speaks of the file.
            let entry = receipts?.last().map(|receipt| receipt.seq);
            Ok(Import { entry, ..Import::of(drafts.rows.found()?, &record, now)? })
        })?;
        book.settle();
        drop(book);
        if done.new == 0 {
            return Ok(done);
        }
        if let Some(times) = asked.times {
            let text =
                decode(bytes).map_err(|why| DeskError::Import { name: asked.name.clone(), why })?;
            let mut kept = times_kept(&record)?;
            kept.insert(headings(&text).to_owned(), times_word(times));
            self.book()?.remember(TIMES, &serde_json::json!(kept).to_string())?;
        }
        if !asked.mapping.is_empty() {
            let names = Names { ship: &setup.ship };
            let json = serde_json::json!(mapping(&record, &names, &asked.mapping)?).to_string();
            self.book()?.remember(MAPPING, &json)?;
        }
        Ok(done)
    }
}

/// The entries of a file: its readings, and behind the last of them one that speaks of the file.
struct Drafts<'a> {
    rows: Sifted<'a>,
    name: &'a str,
    own: &'a str,
    told: bool,
}

impl Iterator for Drafts<'_> {
    type Item = Result<Draft, DeskError>;

    fn next(&mut self) -> Option<Self::Item> {
        let author =
            |actor: &str| Author { actor: actor.to_owned(), role: None, source: Source::File };
        if self.told {
            return None;
        }
        Some(match self.rows.next() {
            Some(Err(error)) => Err(error),
            Some(Ok(row)) => {
                let actor = row.actor.as_deref().unwrap_or(self.own);
                Ok(Draft::reading(row.at, author(actor), row.values))
            }
            None if self.rows.new_so_far() == 0 => return None,
            None => {
                self.told = true;
                let told = Draft::new(Kind::Import, author(self.own))
                    .detail("file", self.name)
                    .detail("sha256", self.rows.plan().file.to_string())
                    .detail("values", self.rows.new_so_far().to_string())
                    .detail("refused", self.rows.refused_so_far().to_string());
                Ok(told)
            }
        })
    }
}
