//! Low, high, sum and count of each quantity by the hour and by the day where there are many, so that ten years are
//! drawn in milliseconds.

use rusqlite::{Connection, params};

use crate::error::Error;
use crate::zone::DAY_S;

/// Seconds in an hour.
pub(crate) const HOUR_S: i64 = 3600;

/// Fewer numbers than this in an hour are summed up when somebody asks: keeping the sum would cost a row for hardly
/// more than a row.
const LEAST_AN_HOUR: u64 = 4;
/// The same for a day.
const LEAST_A_DAY: u64 = 8;

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
    let (hour_from, hour_to) = (floor(from, HOUR_S), floor(to, HOUR_S) + HOUR_S);
    let (day_from, day_to) = (floor(hour_from, DAY_S), floor(hour_to - 1, DAY_S) + DAY_S);
    let mut hours = Tallies::default();
    add_readings(conn, name, hour_from, hour_to, &mut hours)?;
    replace(conn, name, HOUR_S, hour_from, hour_to, &hours)?;
    let mut days = Tallies::default();
    days.merge(&tallies(conn, name, HOUR_S, day_from, hour_from)?, DAY_S);
    days.merge(&hours, DAY_S);
    days.merge(&tallies(conn, name, HOUR_S, hour_to, day_to)?, DAY_S);
    replace(conn, name, DAY_S, day_from, day_to, &days)
}

/// The sums of one quantity by the hour or day from `from` up to `to` (whole hours or days, seconds): those that are
/// kept, the others worked out now.
pub(crate) fn tallies(
    conn: &Connection,
    name: i64,
    width: i64,
    from: i64,
    to: i64,
) -> Result<Tallies, Error> {
    let mut all = Tallies::default();
    if from >= to {
        return Ok(all);
    }
    let fill = |all: &mut Tallies, from: i64, to: i64| {
        if from >= to {
            Ok(())
        } else if width == DAY_S {
            all.merge(&tallies(conn, name, HOUR_S, from, to)?, DAY_S);
            Ok(())
        } else {
            add_readings(conn, name, from, to, all)
        }
    };
    let mut next = from;
    for (start, tally) in kept(conn, name, width, from, to)?.0 {
        fill(&mut all, next, start)?;
        all.0.push((start, tally));
        next = start + width;
    }
    fill(&mut all, next, to)?;
    Ok(all)
}

/// The sums that are kept of one quantity by the hour or day from `from` up to `to`.
pub(crate) fn kept(
    conn: &Connection,
    name: i64,
    width: i64,
    from: i64,
    to: i64,
) -> Result<Tallies, Error> {
    let store = Error::store("reading the sums");
    let mut statement = conn
        .prepare_cached(
            "SELECT start, count, struck, low, high, total, last FROM rollup
             WHERE name = ?1 AND width = ?2 AND start >= ?3 AND start < ?4 ORDER BY start",
        )
        .map_err(&store)?;
    let rows = statement.query_map(params![name, width, from, to], read_tally).map_err(&store)?;
    Ok(Tallies(rows.collect::<Result<_, _>>().map_err(&store)?))
}

/// Adds readings from `from` up to `to`, later than all that is there, by the hour.
fn add_readings(
    conn: &Connection,
    name: i64,
    from: i64,
    to: i64,
    hours: &mut Tallies,
) -> Result<(), Error> {
    let store = Error::store("summing readings up");
    let mut readings = conn
        .prepare_cached(
            "SELECT at, si, struck = 0 FROM reading
             WHERE name = ?1 AND at >= ?2 AND at < ?3 AND si IS NOT NULL ORDER BY at, seq",
        )
        .map_err(&store)?;
    let mut rows = readings.query(params![name, from, to]).map_err(&store)?;
    while let Some(row) = rows.next().map_err(&store)? {
        let at: i64 = row.get(0).map_err(&store)?;
        let (si, stands) = (row.get(1).map_err(&store)?, row.get(2).map_err(&store)?);
        hours.slot(floor(at, HOUR_S)).add(si, stands);
    }
    Ok(())
}

/// The start of the hour or day in which a second lies.
pub(crate) fn floor(second: i64, width: i64) -> i64 {
    second.div_euclid(width) * width
}

/// Start and tally of a row `start, count, struck, low, high, total, last`.
fn read_tally(row: &rusqlite::Row<'_>) -> rusqlite::Result<(i64, Tally)> {
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

    /// Takes in later sums, into hours or days.
    pub(crate) fn merge(&mut self, later: &Self, width: i64) {
        for (start, tally) in &later.0 {
            self.slot(floor(*start, width)).merge(tally);
        }
    }

    /// Those that are worth keeping; how many numbers went in decides.
    pub(crate) fn worth_keeping(&self, width: i64) -> impl Iterator<Item = &(i64, Tally)> {
        let least = if width == DAY_S { LEAST_A_DAY } else { LEAST_AN_HOUR };
        self.0.iter().filter(move |(_, tally)| tally.count + tally.struck >= least)
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
    for (start, tally) in tallies.worth_keeping(width) {
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
