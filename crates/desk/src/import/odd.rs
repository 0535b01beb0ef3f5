//! Rows of a file held against each other and the record, by the rules that a typed round is held against.

use jiff::{Timestamp, ToSpan};
use logbook::Reader;
use logbook::import::{MOST_TOLD, PlannedRow};

use crate::conditions::Figures;
use crate::desk::DeskError;
use crate::field;
use crate::plausible::{Around, Remark};
use crate::round::{METER, own_unit};
use crate::setup::Setup;
use crate::typed::{shown, unit_of};

/// Counter readings of the record fetched one by one; beyond, the last of each stretch of it.
const MOST_IN_RECORD: usize = 100_000;

/// Days before and after the file in which the record may hold the counter reading next to it.
const DAYS_AROUND: i32 = 60;

/// A figure that would be taken and is worth a second look.
#[derive(Debug, Clone, PartialEq)]
pub struct Odd {
    /// Line in the file, counted from 1.
    pub line: u64,
    /// When it was so.
    pub at: Timestamp,
    /// What the reading is called.
    pub label: &'static str,
    /// The figure, in its own unit.
    pub read: String,
    /// What is odd about it.
    pub says: String,
}

/// One reading of the counter, in the file or beside it.
#[derive(Clone, Copy)]
struct Counted {
    at: Timestamp,
    m3: f64,
    /// Its line; none in the record.
    line: Option<u64>,
}

/// Collects what is odd, row by row; the counter is looked at last, in order of time.
pub(super) struct Odds<'a> {
    setup: &'a Setup,
    counter: Vec<Counted>,
    told: Vec<Odd>,
    all: u64,
}

impl<'a> Odds<'a> {
    pub(super) fn of(setup: &'a Setup) -> Self {
        Self { setup, counter: Vec::new(), told: Vec::new(), all: 0 }
    }

    /// Looks at a row by itself and keeps its counter.
    pub(super) fn look(&mut self, row: &PlannedRow) {
        let figure = |v: &logbook::Value| Some((v.name.clone(), own_unit(&v.name, v.si?)));
        let figures: Figures = row.values.iter().filter_map(figure).collect();
        if let Some(&m3) = figures.get(METER) {
            self.counter.push(Counted { at: row.at, m3, line: Some(row.line) });
        }
        self.tell(row.line, row.at, &figures, &Around::default(), MOST_TOLD);
    }

    /// The first [`MOST_TOLD`] in the order of the file, and how many there are in all.
    pub(super) fn told(mut self, record: &Reader) -> Result<(Vec<Odd>, u64), DeskError> {
        self.count(record)?;
        self.told.sort_by_key(|odd| odd.line);
        self.told.truncate(MOST_TOLD);
        Ok((self.told, self.all))
    }

    /// Each reading of the counter beside the one before it, in file or record, and beside the record's after it.
    fn count(&mut self, record: &Reader) -> Result<(), DeskError> {
        let mut counter = std::mem::take(&mut self.counter);
        let ends =
            |c: &[Counted]| Some((c.iter().map(|c| c.at).min()?, c.iter().map(|c| c.at).max()?));
        let Some((first, last)) = ends(&counter) else { return Ok(()) };
        let around = (DAYS_AROUND * 24).hours();
        let (from, to) =
            (first.checked_sub(around).unwrap_or(first), last.checked_add(around).unwrap_or(last));
        let written = record.series(METER, from, to, MOST_IN_RECORD)?;
        let of_record =
            |b: &logbook::Bucket| Counted { at: b.at, m3: own_unit(METER, b.last), line: None };
        counter.extend(written.iter().map(of_record));
        counter.sort_by_key(|c| c.at);
        for (i, this) in counter.iter().enumerate() {
            let Some(line) = this.line else { continue };
            let before = counter[..i].iter().rev().find(|c| c.at < this.at);
            let after =
                counter[i + 1..].iter().find(|c| c.at > this.at).filter(|c| c.line.is_none());
            let around = Around {
                meter: before.map(|c| (c.m3, logbook::elapsed_hours(c.at, this.at))),
                meter_after: after.map(|c| (c.m3, logbook::elapsed_hours(this.at, c.at))),
                product_max_t_day: self.setup.ship.sheet.product_max_t_day,
            };
            let figures = Figures::from([(METER.to_owned(), this.m3)]);
            // Found last, but told beside the first of the rest.
            self.tell(line, this.at, &figures, &around, 2 * MOST_TOLD);
        }
        Ok(())
    }

    fn tell(&mut self, line: u64, at: Timestamp, figures: &Figures, around: &Around, most: usize) {
        for Remark { key, says, .. } in
            crate::entry::remarks(self.setup, figures, figures, around, None, None)
        {
            self.all += 1;
            if self.told.len() < most {
                let reading = field::reading(key);
                let figure =
                    |(r, x): (&field::Reading, &f64)| format!("{} {}", shown(r, *x), unit_of(r));
                let read = reading.zip(figures.get(key)).map(figure);
                self.told.push(Odd {
                    line,
                    at,
                    label: reading.map_or(key, |r| r.label),
                    read: read.unwrap_or_default(),
                    says,
                });
            }
        }
    }
}
