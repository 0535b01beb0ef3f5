//! Low, high, sum and count of each quantity by the hour and by the day, so that ten years are drawn in milliseconds.

use rusqlite::{Connection, params};

use crate::error::Error;
use crate::zone::DAY_S;

/// Seconds in an hour.
pub(crate) const HOUR_S: i64 = 3600;

/// What is kept of the numbers in one stretch of time.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Tally {
    pub(crate) count: u64,
    pub(crate) struck: u64,
    pub(crate) low: f64,
    pub(crate) high: f64,
    pub(crate) total: f64,
    pub(crate) last: f64,
}

impl Tally {
    /// The sums of nothing; `last` is only looked at when something was counted.
    pub(crate) const NONE: Self = Self {
        count: 0,
        struck: 0,
        low: f64::INFINITY,
        high: f64::NEG_INFINITY,
        total: 0.0,
        last: 0.0,
    };

    /// Takes in a number that stands, or counts one that does not.
    pub(crate) fn add(&mut self, si: f64, stands: bool) {
        if stands {
            let one = Self { count: 1, struck: 0, low: si, high: si, total: si, last: si };
            self.merge(&one);
        } else {
            self.struck += 1;
        }
    }

    /// Takes in the sums of a later stretch.
    pub(crate) fn merge(&mut self, later: &Self) {
        self.struck += later.struck;
        if later.count == 0 {
            return;
        }
        self.count += later.count;
        self.low = self.low.min(later.low);
        self.high = self.high.max(later.high);
        self.total += later.total;
        self.last = later.last;
    }
}

/// Works the hours and days that touch [`from`, `to`] (seconds, both ends in) out again for one quantity.
pub(crate) fn refresh(conn: &Connection, name: i64, from: i64, to: i64) -> Result<(), Error> {
    let store = Error::store("summing readings up");
    let hour_from = from.div_euclid(HOUR_S) * HOUR_S;
    let hour_to = (to.div_euclid(HOUR_S) + 1) * HOUR_S;
    let mut readings = conn
        .prepare_cached(
            "SELECT at, si, struck = 0 FROM reading
             WHERE name = ?1 AND at >= ?2 AND at < ?3 AND si IS NOT NULL ORDER BY at, seq",
        )
        .map_err(&store)?;
    let mut hours = Tallies::default();
    let mut rows = readings.query(params![name, hour_from, hour_to]).map_err(&store)?;
    while let Some(row) = rows.next().map_err(&store)? {
        let at: i64 = row.get(0).map_err(&store)?;
        let (si, stands) = (row.get(1).map_err(&store)?, row.get(2).map_err(&store)?);
        hours.slot(at.div_euclid(HOUR_S) * HOUR_S).add(si, stands);
    }
    replace(conn, name, HOUR_S, hour_from, hour_to, &hours)?;

    let day_from = hour_from.div_euclid(DAY_S) * DAY_S;
    let day_to = ((hour_to - 1).div_euclid(DAY_S) + 1) * DAY_S;
    let mut of_hours = conn
        .prepare_cached(
            "SELECT start, count, struck, low, high, total, last FROM rollup
             WHERE name = ?1 AND width = 3600 AND start >= ?2 AND start < ?3 ORDER BY start",
        )
        .map_err(&store)?;
    let mut days = Tallies::default();
    let mut rows = of_hours.query(params![name, day_from, day_to]).map_err(&store)?;
    while let Some(row) = rows.next().map_err(&store)? {
        let (start, hour) = read_tally(row).map_err(&store)?;
        days.slot(start.div_euclid(DAY_S) * DAY_S).merge(&hour);
    }
    replace(conn, name, DAY_S, day_from, day_to, &days)
}

/// Start and tally of a row `start, count, struck, low, high, total, last`.
pub(crate) fn read_tally(row: &rusqlite::Row<'_>) -> rusqlite::Result<(i64, Tally)> {
    let count = |column: usize| row.get(column).map(i64::unsigned_abs);
    let tally = Tally {
        count: count(1)?,
        struck: count(2)?,
        low: row.get(3)?,
        high: row.get(4)?,
        total: row.get(5)?,
        last: row.get(6)?,
    };
    Ok((row.get(0)?, tally))
}

/// Tallies in order of their start.
#[derive(Debug, Default, PartialEq)]
pub(crate) struct Tallies(pub(crate) Vec<(i64, Tally)>);

impl Tallies {
    /// The tally that starts at `start`, which is never before the last one's.
    pub(crate) fn slot(&mut self, start: i64) -> &mut Tally {
        if self.0.last().is_none_or(|&(last, _)| last != start) {
            self.0.push((start, Tally::NONE));
        }
        let last = self.0.len() - 1;
        &mut self.0[last].1
    }
}

fn replace(
    conn: &Connection,
    name: i64,
    width: i64,
    from: i64,
    to: i64,
    tallies: &Tallies,
) -> Result<(), Error> {
    let store = Error::store("summing readings up");
    conn.prepare_cached(
        "DELETE FROM rollup WHERE name = ?1 AND width = ?2 AND start >= ?3 AND start < ?4",
    )
    .and_then(|mut statement| statement.execute(params![name, width, from, to]))
    .map_err(&store)?;
    let mut insert = conn
        .prepare_cached("INSERT INTO rollup VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9)")
        .map_err(&store)?;
    for (start, tally) in &tallies.0 {
        insert
            .execute(params![
                name,
                width,
                start,
                tally.count as i64,
                tally.struck as i64,
                tally.low,
                tally.high,
                tally.total,
                tally.last
            ])
            .map_err(&store)?;
    }
    Ok(())
}
