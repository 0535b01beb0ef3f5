//! What the tables beside the entries should hold, worked out from the entries, and where they differ.

use std::collections::{BTreeMap, HashMap};
use std::hash::{BuildHasher, RandomState};

use rusqlite::{Connection, params};

use crate::entry::Entry;
use crate::error::Error;
use crate::family;
use crate::hash::Hash;
use crate::reader::{self, Row};
use crate::rollup::{self, HOUR_S, Tallies};
use crate::standing::value_standings;
use crate::verify::{Broken, How};
use crate::wire::WireEntry;
use crate::words::{Kind, Quality};
use crate::zone::DAY_S;

/// Sums over rows, whatever their order: two tables of the same rows have the same sums. The key is drawn anew at every
/// walk, so that no altered row can be made to fit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Sums {
    readings: u64,
    reading_rows: u64,
    tokens: u64,
    token_rows: u64,
}

/// What one entry, or all so far, should have put into the derived tables.
#[derive(Debug)]
pub(crate) struct Expected {
    pub(crate) prev: Hash,
    sums: Sums,
}

impl Default for Expected {
    fn default() -> Self {
        Self {
            prev: Hash::NONE,
            sums: Sums { readings: 0, reading_rows: 0, tokens: 0, token_rows: 0 },
        }
    }
}

impl Expected {
    pub(crate) fn add(&mut self, one: &Self) {
        let (sums, more) = (&mut self.sums, &one.sums);
        sums.readings = sums.readings.wrapping_add(more.readings);
        sums.reading_rows += more.reading_rows;
        sums.tokens = sums.tokens.wrapping_add(more.tokens);
        sums.token_rows += more.token_rows;
    }

    fn reading(&mut self, digest: u64) {
        self.sums.readings = self.sums.readings.wrapping_add(digest);
        self.sums.reading_rows += 1;
    }

    fn token(&mut self, digest: u64) {
        self.sums.tokens = self.sums.tokens.wrapping_add(digest);
        self.sums.token_rows += 1;
    }
}

/// One row of the index of readings, its name in words.
#[derive(Clone, Copy, Hash)]
struct ReadingRow<'a> {
    name: &'a str,
    at: i64,
    seq: i64,
    root: Option<i64>,
    /// The bits of the number in SI.
    si: Option<u64>,
    quality: i64,
    struck: i64,
}

/// Everything that corrects or withdraws a reading, and what that makes of the values concerned.
pub(crate) struct Corrections {
    key: RandomState,
    /// Of a family's members: the first entry and its time.
    roots: HashMap<u64, (u64, i64)>,
    struck: HashMap<u64, HashMap<String, i64>>,
}

impl Corrections {
    /// Reads all families. One that cannot be read is left out: the walk comes upon its entries and names them.
    pub(crate) fn read(conn: &Connection) -> Self {
        let key = RandomState::new();
        let mut corrections = Self { key, roots: HashMap::new(), struck: HashMap::new() };
        for family in families(conn).unwrap_or_default() {
            corrections.take(&family);
        }
        corrections
    }

    fn take(&mut self, family: &[Entry]) {
        let Some(first) = family.first().filter(|first| first.kind.holds_figures()) else {
            return;
        };
        for entry in family.iter().skip(1) {
            self.roots.insert(entry.seq, (first.seq, first.at.as_second()));
        }
        for (seq, name, standing) in value_standings(&family::relatives(family)) {
            if standing.code() != 0 {
                self.struck.entry(seq).or_default().insert(name.to_owned(), standing.code());
            }
        }
    }

    /// What an entry should have put into the derived tables.
    pub(crate) fn expected(
        &self,
        wire: &WireEntry<'_>,
        kind: Kind,
        at: i64,
        prev: Hash,
    ) -> Result<Expected, String> {
        let mut expected = Expected { prev, ..Expected::default() };
        if let Some(token) = &wire.token {
            expected.token(self.key.hash_one((&**token, wire.seq as i64)));
        }
        let root = self.roots.get(&wire.seq);
        if kind.holds_figures() || root.is_some() {
            self.rows(wire, at, |row| expected.reading(self.key.hash_one(row)))?;
        }
        Ok(expected)
    }

    fn rows<'w>(
        &self,
        wire: &'w WireEntry<'_>,
        at: i64,
        mut take: impl FnMut(ReadingRow<'w>),
    ) -> Result<(), String> {
        let root = self.roots.get(&wire.seq);
        let struck = self.struck.get(&wire.seq);
        for value in &wire.values {
            let quality = Quality::from_word(&value.q)
                .ok_or_else(|| format!("quality {} of {}", value.q, value.name))?;
            // The hash has proved the spelling: only the number matters here.
            let si: Option<f64> = match &value.si {
                Some(text) => {
                    Some(text.parse().map_err(|_| format!("si {text} of {}", value.name))?)
                }
                None => None,
            };
            take(ReadingRow {
                name: &value.name,
                at: root.map_or(at, |&(_, at)| at),
                seq: wire.seq as i64,
                root: root.map(|&(seq, _)| seq as i64),
                si: si.map(f64::to_bits),
                quality: quality.code(),
                struck: struck.and_then(|names| names.get(&*value.name)).copied().unwrap_or(0),
            });
        }
        Ok(())
    }
}

fn families(conn: &Connection) -> Result<Vec<Vec<Entry>>, Error> {
    let doing = Error::store("reading corrections");
    // An index that leaves one out makes the readings differ, or is found when the file itself is checked.
    let sql = "SELECT seq FROM entry WHERE corrects IS NOT NULL ORDER BY seq";
    let mut statement = conn.prepare(sql).map_err(&doing)?;
    let mut of_root: BTreeMap<u64, Vec<u64>> = BTreeMap::new();
    let mut rows = statement.query([]).map_err(&doing)?;
    while let Some(row) = rows.next().map_err(&doing)? {
        let seq = row.get::<_, i64>(0).map_err(&doing)?.unsigned_abs();
        of_root.entry(family::root(conn, seq)?).or_default().push(seq);
    }
    let mut by_seq =
        conn.prepare("SELECT seq, canonical, hash FROM entry WHERE seq = ?1").map_err(&doing)?;
    let mut one = |seq: u64| -> Result<Entry, Error> {
        let row: Row = by_seq.query_row([seq as i64], reader::read_row).map_err(&doing)?;
        row.entry()
    };
    let mut families = Vec::with_capacity(of_root.len());
    for (root, members) in of_root {
        // One that cannot be read is named by the walk.
        let family: Result<Vec<Entry>, Error> =
            std::iter::once(root).chain(members).map(&mut one).collect();
        families.extend(family.ok());
    }
    Ok(families)
}

/// What the derived tables hold.
pub(crate) struct Derived {
    names: BTreeMap<i64, (String, i64)>,
}

impl Derived {
    pub(crate) fn read(conn: &Connection) -> Result<Self, Error> {
        let doing = Error::store("reading the names");
        let mut statement = conn.prepare("SELECT id, name, count FROM name").map_err(&doing)?;
        let read =
            |row: &rusqlite::Row<'_>| Ok((row.get(0)?, (row.get(1)?, row.get::<_, i64>(2)?)));
        let names = statement
            .query_map([], read)
            .map_err(&doing)?
            .collect::<Result<_, _>>()
            .map_err(&doing)?;
        Ok(Self { names })
    }

    /// The first difference from what the entries say.
    pub(crate) fn differs(
        &self,
        conn: &Connection,
        corrections: &Corrections,
        expected: &Expected,
    ) -> Result<Option<Broken>, Error> {
        let mut found = Expected::default();
        let mut wrong_sums = None;
        let mut known: u64 = 0;
        for (&id, (name, count)) in &self.names {
            let rows = self.scan(conn, corrections, &mut found, id, name, &mut wrong_sums)?;
            known += rows;
            if rows as i64 != *count && wrong_sums.is_none() {
                wrong_sums = Some(format!("the number of values of {name} is kept wrongly"));
            }
        }
        token_sums(conn, corrections, &mut found)?;
        let count = |table: &str| -> Result<u64, Error> {
            let sql = format!("SELECT count(*) FROM {table}");
            conn.query_row(&sql, [], |row| row.get(0))
                .map(i64::unsigned_abs)
                .map_err(Error::store("counting rows"))
        };
        let derived = |what: &str| {
            Ok(Some(Broken { seq: None, how: How::Derived { what: what.to_owned() } }))
        };
        let (sums, wanted) = (&found.sums, &expected.sums);
        if (sums.readings, sums.reading_rows) != (wanted.readings, wanted.reading_rows) {
            if let Some(broken) = self.first_difference(conn, corrections)? {
                return Ok(Some(broken));
            }
            return derived("the index of readings holds values that no entry has");
        }
        if count("reading")? != known {
            return derived("the index of readings holds values without a name");
        }
        if (sums.tokens, sums.token_rows) != (wanted.tokens, wanted.token_rows) {
            return derived("the table of submission marks differs from the entries");
        }
        if let Some(what) = wrong_sums {
            return derived(&what);
        }
        let strangers: i64 = conn
            .query_row(
                "SELECT count(*) FROM rollup WHERE width NOT IN (?1, ?2) OR name NOT IN (SELECT id FROM name)",
                [HOUR_S, DAY_S],
                |row| row.get(0),
            )
            .map_err(Error::store("reading the sums"))?;
        if strangers > 0 {
            derived("there are sums by the hour or day of nothing")
        } else {
            Ok(None)
        }
    }

    /// Adds up one quantity's rows and compares its hours and days; the number of rows.
    fn scan(
        &self,
        conn: &Connection,
        corrections: &Corrections,
        found: &mut Expected,
        id: i64,
        name: &str,
        wrong_sums: &mut Option<String>,
    ) -> Result<u64, Error> {
        let doing = Error::store("reading the index of readings");
        let mut statement = conn
            .prepare_cached(
                "SELECT at, seq, root, si, quality, struck FROM reading WHERE name = ?1 ORDER BY at, seq",
            )
            .map_err(&doing)?;
        let mut rows = statement.query([id]).map_err(&doing)?;
        let (mut hours, mut days, mut count) = (Tallies::default(), Tallies::default(), 0);
        while let Some(row) = rows.next().map_err(&doing)? {
            type Columns = (i64, i64, Option<i64>, Option<f64>, i64, i64);
            let read = || -> rusqlite::Result<Columns> {
                Ok((row.get(0)?, row.get(1)?, row.get(2)?, row.get(3)?, row.get(4)?, row.get(5)?))
            };
            let (at, seq, root, si, quality, struck) = read().map_err(&doing)?;
            let bits = si.map(f64::to_bits);
            let row = ReadingRow { name, at, seq, root, si: bits, quality, struck };
            found.reading(corrections.key.hash_one(row));
            count += 1;
            if let Some(si) = si {
                hours.slot(rollup::floor(at, HOUR_S)).add(si, struck == 0);
            }
        }
        days.merge(&hours, DAY_S);
        for (width, wanted) in [(HOUR_S, hours), (DAY_S, days)] {
            let kept = rollup::kept(conn, id, width, i64::MIN, i64::MAX)?;
            if !kept.0.iter().eq(wanted.worth_keeping(width)) && wrong_sums.is_none() {
                *wrong_sums =
                    Some(format!("the sums of {name} by the hour or day are kept wrongly"));
            }
        }
        Ok(count)
    }

    /// The first entry whose values are not in the index as they should be.
    fn first_difference(
        &self,
        conn: &Connection,
        corrections: &Corrections,
    ) -> Result<Option<Broken>, Error> {
        let doing = Error::store("comparing the index of readings");
        let ids: HashMap<&str, i64> =
            self.names.iter().map(|(&id, (name, _))| (name.as_str(), id)).collect();
        let mut entries =
            conn.prepare("SELECT canonical FROM entry NOT INDEXED ORDER BY seq").map_err(&doing)?;
        let mut lookup = conn
            .prepare(
                "SELECT root, si, quality, struck FROM reading WHERE name = ?1 AND at = ?2 AND seq = ?3",
            )
            .map_err(&doing)?;
        let mut rows = entries.query([]).map_err(&doing)?;
        while let Some(row) = rows.next().map_err(&doing)? {
            let canonical: String = row.get(0).map_err(&doing)?;
            let Ok(wire) = serde_json::from_str::<WireEntry<'_>>(&canonical) else { continue };
            let kind = Kind::from_word(&wire.kind);
            let figures = kind.is_some_and(Kind::holds_figures);
            if !figures && !corrections.roots.contains_key(&wire.seq) {
                continue;
            }
            let at = crate::wire::read_time(&wire.at).map_or(0, jiff::Timestamp::as_second);
            let mut wanted = Vec::new();
            let _ = corrections.rows(&wire, at, |row| wanted.push(row));
            for want in wanted {
                let broken = |why: &str| {
                    let how = How::Reading { name: want.name.to_owned(), why: why.to_owned() };
                    Ok(Some(Broken { seq: Some(wire.seq), how }))
                };
                let Some(&id) = ids.get(want.name) else {
                    return broken("is missing, its name too");
                };
                let mut found = lookup.query(params![id, want.at, want.seq]).map_err(&doing)?;
                let Some(row) = found.next().map_err(&doing)? else {
                    return broken("is missing");
                };
                let has = || -> rusqlite::Result<(Option<i64>, Option<f64>, i64, i64)> {
                    Ok((row.get(0)?, row.get(1)?, row.get(2)?, row.get(3)?))
                };
                let (root, si, quality, struck) = has().map_err(&doing)?;
                if si.map(f64::to_bits) != want.si {
                    let said = si.map_or("none".to_owned(), crate::canonical::decimal);
                    return broken(&format!("is {said}"));
                }
                if (root, quality, struck) != (want.root, want.quality, want.struck) {
                    return broken("has another quality or standing");
                }
            }
        }
        Ok(None)
    }
}

fn token_sums(
    conn: &Connection,
    corrections: &Corrections,
    found: &mut Expected,
) -> Result<(), Error> {
    let doing = Error::store("reading the submission marks");
    let mut statement = conn.prepare("SELECT token, seq FROM token").map_err(&doing)?;
    let mut rows = statement.query([]).map_err(&doing)?;
    while let Some(row) = rows.next().map_err(&doing)? {
        let (token, seq): (String, i64) =
            (row.get(0).map_err(&doing)?, row.get(1).map_err(&doing)?);
        found.token(corrections.key.hash_one((token.as_str(), seq)));
    }
    Ok(())
}
