//! Files into the record: what would be taken and why not the rest, then the taking.

use std::collections::HashSet;
use std::hash::{BuildHasher, RandomState};

use jiff::Timestamp;
use jiff::civil::DateTime;
use logbook::import::{
    Catalogue, DATE, DayOrder, Decimal, FileRefused, Plan, PlannedRow, Reading as How, Rows, TIME,
    Text, WHO, decode,
};
use logbook::{Author, Draft, Kind, Reader, Source, Value};
use quantity::{Style, Unit};

use crate::desk::{Desk, DeskError};
use crate::field;
use crate::round::SOUNDING;
use crate::ship::Ship;
use crate::written::{initials, written};

/// The ship's names, units and ranges, as the importer asks for them.
struct Names<'a> {
    ship: &'a Ship,
}

fn folded(text: &str) -> String {
    text.to_lowercase().chars().filter(|c| c.is_alphanumeric()).collect()
}

impl Catalogue for Names<'_> {
    fn named(&self, heading: &str) -> Option<String> {
        let wanted = folded(heading);
        if wanted.is_empty() {
            return None;
        }
        if let Some(r) =
            field::READINGS.iter().find(|r| folded(r.key) == wanted || folded(r.label) == wanted)
        {
            return Some(r.key.to_owned());
        }
        // A name without its unit: jacket_in for jacket_in_c.
        let mut bare = field::READINGS.iter().filter(|r| folded(field::bare(r.key)) == wanted);
        if let (Some(r), None) = (bare.next(), bare.next()) {
            return Some(r.key.to_owned());
        }
        self.ship
            .tanks
            .iter()
            .find(|t| {
                let key = format!("{SOUNDING}{}", t.key);
                folded(&key) == wanted || folded(&format!("sounding {}", t.name)) == wanted
            })
            .map(|t| format!("{SOUNDING}{}", t.key))
    }

    fn unit(&self, name: &str, spelled: &str) -> Option<String> {
        let own = self.own_unit(name);
        let unit = own.parse::<Unit>().ok()?;
        // The quantity crate knows the spellings: let it read a figure with this unit behind it.
        let read = quantity::read(&format!("1 {spelled}"), unit).ok();
        let named = Unit::ALL.iter().find(|u| u.code() == spelled).map(|u| u.code());
        named.or(read.map(|r| r.unit.code())).map(str::to_owned)
    }

    fn own_unit(&self, name: &str) -> String {
        match field::reading(name) {
            Some(r) => r.unit.to_owned(),
            None => "cm".to_owned(),
        }
    }

    fn take(&self, name: &str, text: &str, unit: &str, decimal: Decimal) -> Result<Value, String> {
        let style = if decimal == Decimal::Comma { Style::Comma } else { Style::Point };
        written(self.ship, name, text, unit, style).map(|w| w.value).map_err(|e| e.message)
    }

    fn nearest(&self, heading: &str) -> Option<String> {
        field::nearest(&heading.to_lowercase().replace(' ', "_")).map(str::to_owned)
    }
}

impl Names<'_> {
    /// The unit code of a declared column: a known reading in a unit it can be read in.
    fn declared_unit(&self, heading: &str, name: &str, unit: &str) -> Result<String, DeskError> {
        if matches!(name, "" | TIME | DATE | WHO) {
            return Ok(String::new());
        }
        let tank = name.strip_prefix(SOUNDING).and_then(|key| self.ship.tank(key));
        if field::reading(name).is_none() && tank.is_none() {
            let near =
                field::nearest(name).map_or(String::new(), |n| format!("; did you mean {n}?"));
            return Err(DeskError::Asked(format!(
                "\"{heading}\" as {name}: no such reading{near}"
            )));
        }
        if unit.is_empty() {
            return Ok(self.own_unit(name));
        }
        self.unit(name, unit).ok_or_else(|| {
            let own = self.own_unit(name);
            let also = field::reading(name).map_or(&[][..], |r| r.also);
            let allowed = [&[own.as_str()], also].concat().join(", ");
            DeskError::Asked(format!(
                "\"{heading}\" as {name} in {unit}: no unit of it; it is read in {allowed}"
            ))
        })
    }
}

/// What the person says of a file.
#[derive(Debug, Clone, Default)]
pub struct Asked {
    /// The file's name, for the record.
    pub name: String,
    /// Initials.
    pub actor: String,
    /// Times without an offset are ship's time; else UTC.
    pub ships_time: bool,
    /// Which of 3/4 is the day, where the file leaves it open.
    pub day_order: Option<DayOrder>,
    /// Headings declared by hand: heading, reading, unit code. [`TIME`], [`DATE`], [`WHO`] stand for what is
    /// no reading, an empty name for a column that is left out.
    pub mapping: Vec<(String, String, String)>,
}

/// What a file would bring, or has brought.
#[derive(Debug)]
pub struct Import {
    /// Row by row.
    pub plan: Plan,
    /// Values that are in the record already, to the letter.
    pub known: usize,
    /// Values new to the record.
    pub new: usize,
    /// The entry that speaks of the file, once it is taken; none for a dry run or where nothing was new.
    pub entry: Option<u64>,
}

/// Key under which the ship's headings are remembered.
const MAPPING: &str = "import mapping";

impl Desk {
    /// Reads a file against the record and the ship's names: a dry run, nothing is written.
    ///
    /// # Errors
    /// Why the file as a whole is not taken, or why the record cannot be read.
    pub fn import_plan(&self, bytes: &[u8], asked: &Asked) -> Result<Import, DeskError> {
        self.with_rows(bytes, asked, |text, mut rows| {
            let mut plan = rows.plan(bytes, text);
            let mut sieve = Sieve::of(self.record()?);
            for row in rows.by_ref() {
                if let Some(row) = sieve.sift(row)? {
                    plan.add(row);
                }
            }
            rows.finish(&mut plan);
            Ok(Import { plan, known: sieve.known, new: sieve.new, entry: None })
        })
    }

    /// Takes a file into the record, whole or not at all. The same file twice changes nothing; a bad row never stops the
    /// good ones.
    ///
    /// # Errors
    /// As [`Desk::import_plan`]; or why the record cannot be written.
    pub fn import(&self, bytes: &[u8], asked: &Asked, now: Timestamp) -> Result<Import, DeskError> {
        let mut done = self.import_plan(bytes, asked)?;
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
        // The file is read a second time, a row at a time: its entries are never held all at once.
        done.entry = self.with_rows(bytes, asked, |_, rows| {
            let mut sieve = Sieve::of(self.record()?);
            let drafts = rows.filter_map(|row| match sieve.sift(row) {
                Ok(row) => row.map(|row| {
                    let actor = row.actor.as_deref().unwrap_or(own);
                    Ok(Draft::reading(row.at, author(actor), row.values))
                }),
                Err(e) => Some(Err(e)),
            });
            let all = std::iter::once(Ok(told)).chain(drafts);
            let receipts = self.book().append_together(all, now)?;
            Ok(receipts.first().map(|receipt| receipt.seq))
        })?;
        if !asked.mapping.is_empty() {
            let names = Names { ship: &self.setup().ship };
            let json = serde_json::json!(self.mapping(&names, &asked.mapping)?).to_string();
            self.book().remember(MAPPING, &json)?;
        }
        Ok(done)
    }

    /// Reads the file's rows for `then`, by the ship's names and what is said of it.
    fn with_rows<T>(
        &self,
        bytes: &[u8],
        asked: &Asked,
        then: impl FnOnce(&Text, Rows<'_>) -> Result<T, DeskError>,
    ) -> Result<T, DeskError> {
        let setup = self.setup();
        let clock = self.clock()?;
        let zone_of = |local: DateTime| {
            // The zone that held when the clocks showed this: tried at the offset of the same instant read as UTC.
            let near = logbook::Zone::UTC.instant(local).ok()?;
            let first = clock.zone(near).instant(local).ok()?;
            clock.zone(first).instant(local).ok()
        };
        let names = Names { ship: &setup.ship };
        let how = How {
            catalogue: &names,
            mapping: self.mapping(&names, &asked.mapping)?,
            ships_time: if asked.ships_time { Some(&zone_of) } else { None },
            day_order: asked.day_order,
        };
        let refused = |why: FileRefused| DeskError::Import { name: asked.name.clone(), why };
        let text = decode(bytes).map_err(refused)?;
        let rows = Rows::of(&text, &how).map_err(refused)?;
        then(&text, rows)
    }

    /// What the ship remembers of headings, with what is declared now in its place.
    fn mapping(
        &self,
        names: &Names<'_>,
        declared: &[(String, String, String)],
    ) -> Result<Vec<(String, String, String)>, DeskError> {
        let mut all = Vec::with_capacity(declared.len());
        for (heading, name, unit) in declared {
            all.push((heading.clone(), name.clone(), names.declared_unit(heading, name, unit)?));
        }
        let kept = self.reader().remembered(MAPPING)?;
        let kept: Vec<(String, String, String)> =
            kept.and_then(|json| serde_json::from_str(&json).ok()).unwrap_or_default();
        all.extend(kept.into_iter().filter(|(h, _, _)| declared.iter().all(|(d, _, _)| d != h)));
        Ok(all)
    }
}

/// Takes out of rows what the record holds to the letter, or an earlier row gave: same name, same time, same text, same
/// unit.
struct Sieve {
    record: Reader,
    /// What the record holds for the moment of the last row.
    written: Vec<Value>,
    at: Option<Timestamp>,
    /// One number for each value let through: of all the file this alone is kept. Two values have the same one as
    /// seldom as two files the same hash.
    seen: HashSet<u128>,
    keys: [RandomState; 2],
    known: usize,
    new: usize,
}

impl Sieve {
    fn of(record: Reader) -> Self {
        Self {
            record,
            written: Vec::new(),
            at: None,
            seen: HashSet::new(),
            keys: [RandomState::new(), RandomState::new()],
            known: 0,
            new: 0,
        }
    }

    /// The row with its new values alone, if it has any.
    fn sift(&mut self, mut row: PlannedRow) -> Result<Option<PlannedRow>, DeskError> {
        if self.at != Some(row.at) {
            self.written = self.record.written_at(row.at)?;
            self.at = Some(row.at);
        }
        let given = row.values.len();
        let (written, seen, keys) = (&self.written, &mut self.seen, &self.keys);
        row.values.retain(|v| {
            let same = |w: &Value| (&w.name, &w.text, &w.unit) == (&v.name, &v.text, &v.unit);
            let what = (row.at.as_second(), &v.name, &v.text, &v.unit);
            let [high, low] = keys.each_ref().map(|key| u128::from(key.hash_one(what)));
            !written.iter().any(same) && seen.insert(high << 64 | low)
        });
        self.new += row.values.len();
        self.known += given - row.values.len();
        Ok((!row.values.is_empty()).then_some(row))
    }
}
