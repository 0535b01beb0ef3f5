//! One quantity over a span, thinned to as many points as can be drawn.

use jiff::Timestamp;
use rusqlite::{OptionalExtension, params};

use crate::error::Error;
use crate::reader::{Reader, span};
use crate::rollup::{self, HOUR_S, Tally};
use crate::zone::{DAY_S, from_second};

/// What the values of one stretch come to, in the quantity's SI unit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bucket {
    /// The first instant of the stretch; where the bucket holds one reading, its own.
    pub at: Timestamp,
    /// The lowest value that stands.
    pub min: f64,
    /// The highest.
    pub max: f64,
    /// Their mean.
    pub mean: f64,
    /// The last of them.
    pub last: f64,
    /// How many stand.
    pub count: u64,
    /// How many were corrected or withdrawn.
    pub struck: u64,
}

/// Readings may outnumber the points asked for by this much and still be read one by one.
const RAW_PER_POINT: u64 = 64;

impl Reader {
    /// The numbers of `name` from `from` to `to`, both ends in, in order of time, as at most about `max_points` buckets;
    /// where there are fewer readings than that, each is a bucket of its own. Stretches without a standing number are
    /// left out.
    ///
    /// # Errors
    /// The file cannot be read.
    pub fn series(
        &self,
        name: &str,
        from: Timestamp,
        to: Timestamp,
        max_points: usize,
    ) -> Result<Vec<Bucket>, Error> {
        let doing = Error::store("reading a series");
        let id: Option<i64> = self
            .conn
            .prepare_cached("SELECT id FROM name WHERE name = ?1")
            .and_then(|mut statement| statement.query_row([name], |row| row.get(0)).optional())
            .map_err(&doing)?;
        let (first, last) = span(Some(from), Some(to));
        let Some(id) = id.filter(|_| first <= last) else { return Ok(Vec::new()) };
        let points = max_points.max(1) as i64;
        let width = (last - first) / points + 1;
        let count = self.about(id, first, last)?;
        if count <= points.unsigned_abs() * RAW_PER_POINT || width < HOUR_S {
            let rows = self.raw(id, first, last)?;
            if rows.len() <= max_points {
                // A struck value and its correction lie at the same second.
                return Ok(gathered(&rows, first, 1));
            }
            return Ok(gathered(&rows, first, width));
        }
        let step = if width < 2 * DAY_S { HOUR_S } else { DAY_S };
        // Whole hours or days in every bucket, or neighbours would hold one more or one less in turn.
        let width = (width + step - 1) / step * step;
        let start = rollup::floor(first, step);
        // The hours or days that lie in the span whole from their sums, what is left at its ends one by one.
        let whole = (rollup::floor(first + step - 1, step), rollup::floor(last + 1, step));
        let mut rows = self.raw(id, first, whole.0.min(last + 1) - 1)?;
        rows.extend(rollup::tallies(&self.conn, id, step, whole.0, whole.1)?.0);
        rows.extend(self.raw(id, whole.1.max(whole.0), last)?);
        let mut buckets = gathered(&rows, start, width);
        if let Some(bucket) = buckets.first_mut() {
            bucket.at = bucket.at.max(from_second(first));
        }
        Ok(buckets)
    }

    /// How many numbers lie in the span, to the day at its ends; days of few are not counted.
    fn about(&self, id: i64, first: i64, last: i64) -> Result<u64, Error> {
        let count: i64 = self
            .conn
            .prepare_cached(
                "SELECT coalesce(sum(count + struck), 0) FROM rollup
                 WHERE name = ?1 AND width = ?2 AND start BETWEEN ?3 AND ?4",
            )
            .and_then(|mut statement| {
                let from = rollup::floor(first, DAY_S);
                statement.query_row(params![id, DAY_S, from, last], |row| row.get(0))
            })
            .map_err(Error::store("counting readings"))?;
        Ok(count.unsigned_abs())
    }

    fn raw(&self, id: i64, first: i64, last: i64) -> Result<Vec<(i64, Tally)>, Error> {
        let doing = Error::store("reading a series");
        let mut statement = self
            .conn
            .prepare_cached(
                "SELECT at, si, struck = 0 FROM reading
                 WHERE name = ?1 AND at BETWEEN ?2 AND ?3 AND si IS NOT NULL ORDER BY at, seq",
            )
            .map_err(&doing)?;
        let read = |row: &rusqlite::Row<'_>| {
            let mut tally = Tally::NONE;
            tally.add(row.get(1)?, row.get(2)?);
            Ok((row.get(0)?, tally))
        };
        let rows = statement.query_map(params![id, first, last], read).map_err(&doing)?;
        rows.collect::<Result<_, _>>().map_err(&doing)
    }
}

/// Rows in order of time, gathered into stretches of `width` seconds from `start` on.
fn gathered(rows: &[(i64, Tally)], start: i64, width: i64) -> Vec<Bucket> {
    let mut buckets = Vec::new();
    for stretch in rows.chunk_by(|a, b| (a.0 - start) / width == (b.0 - start) / width) {
        let mut sum = Tally::NONE;
        for (_, tally) in stretch {
            sum.merge(tally);
        }
        if let Some((at, _)) = stretch.first() {
            buckets.extend(bucket(start + (at - start) / width * width, &sum));
        }
    }
    buckets
}

fn bucket(at: i64, tally: &Tally) -> Option<Bucket> {
    (tally.count > 0).then(|| Bucket {
        at: from_second(at),
        min: tally.low,
        max: tally.high,
        mean: tally.total / tally.count as f64,
        last: tally.last,
        count: tally.count,
        struck: tally.struck,
    })
}
