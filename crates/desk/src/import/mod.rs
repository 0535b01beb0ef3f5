//! Files into the record: what would be taken and why not the rest, then the taking.

mod ahead;
mod names;
mod odd;
mod sieve;
mod told;

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
use self::odd::Odds;
use self::sieve::Sieve;

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
    with_rows(setup, record, bytes, asked, now, |text, rows| {
        let mut plan = rows.plan(bytes, text);
        let (mut sieve, mut odds) = (Sieve::of(record.again()?), Odds::of(setup));
        let (looked, rows) = ahead(rows, |rows| {
            for row in rows {
                if let Some(row) = sieve.sift(row)? {
                    odds.look(&row);
                    plan.add(row);
                }
            }
            Ok::<_, DeskError>(())
        });
        looked?;
        rows.finish(&mut plan);
        let (odd, all_odd) = odds.told(record)?;
        let clock_set = clocks_set(&record.ship_clock()?, now);
        Ok(Import {
            plan,
            known: sieve.known,
            new: sieve.new,
            odd,
            all_odd,
            clock_set,
            entry: None,
        })
    })
}

/// Reads the file's rows for `then`, by the ship's names and what is said of it.
fn with_rows<T>(
    setup: &Setup,
    record: &Reader,
    bytes: &[u8],
    asked: &Asked,
    now: Timestamp,
    then: impl FnOnce(&Text, Rows<'_>) -> Result<T, DeskError>,
) -> Result<T, DeskError> {
    let names = Names { ship: &setup.ship };
    let how = How {
        catalogue: &names,
        mapping: mapping(record, &names, &asked.mapping)?,
        times: asked.times,
        day_order: asked.day_order,
        clock: &record.ship_clock()?,
        now,
    };
    let refused = |why: FileRefused| DeskError::Import { name: asked.name.clone(), why };
    let text = decode(bytes).map_err(refused)?;
    let rows = Rows::of(&text, &how).map_err(refused)?;
    then(&text, rows)
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
        let mut done = plan(&setup, &record, bytes, asked, now)?;
        if done.new == 0 {
            return Ok(done);
        }
        let author =
            |actor: &str| Author { actor: actor.to_owned(), role: None, source: Source::File };
        let own = initials(&asked.actor).map_err(|e| DeskError::Asked(e.to_string()))?;
        let told = Draft::new(Kind::Import, author(own))
            .at(now)
            .detail("file", asked.name.clone())
            .detail("sha256", done.plan.file.to_string())
            .detail("values", done.new.to_string())
            .detail("refused", done.plan.refused.to_string());
        // The file is read a second time, some rows at a time: its entries are never held all at once. Nobody else writes
        // meanwhile, so that what is new to the record stays new.
        let mut book = self.book()?;
        done.entry = with_rows(&setup, &record, bytes, asked, now, |_, rows| {
            let mut sieve = Sieve::of(record.again()?);
            let drafts = rows.filter_map(|row| match sieve.sift(row) {
                Ok(row) => row.map(|row| {
                    let actor = row.actor.as_deref().unwrap_or(own);
                    Ok(Draft::reading(row.at, author(actor), row.values))
                }),
                Err(e) => Some(Err(e)),
            });
            let all = std::iter::once(Ok(told)).chain(drafts);
            let (receipts, _) = ahead(all, |all| book.append_together(all, now));
            Ok(receipts?.first().map(|receipt| receipt.seq))
        })?;
        drop(book);
        if !asked.mapping.is_empty() {
            let names = Names { ship: &setup.ship };
            let json = serde_json::json!(mapping(&record, &names, &asked.mapping)?).to_string();
            self.book()?.remember(MAPPING, &json)?;
        }
        Ok(done)
    }
}
