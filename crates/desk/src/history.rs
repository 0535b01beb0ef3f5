//! From the record to rounds, trends and the state of plant and tanks.

use std::collections::BTreeMap;

use jiff::{Timestamp, ToSpan};
use logbook::{Bucket, Reader};

use crate::desk::DeskError;
use crate::now::Sounded;
use crate::round::{Cell, METER, Round, SOUNDING, WHOLE, counted_t_day, own_unit};
use crate::ship::Ship;
use crate::switched::{self, Switch};
use crate::view::Spot;

/// Rounds that are worked out one by one in a trend; beyond, pieces without expectation.
const MOST_ROUNDS: usize = 400;
/// Points a trend is drawn from at the most.
const MOST_POINTS: usize = 600;

/// Rounds before one that its conditions and its counter may be held against.
const LEADING: usize = 14;
/// Moments between whole rounds that are read with them, at the most.
const BETWEEN: usize = 120;
/// Rounds of the day after one, at the most.
const FOLLOWING: usize = 50;

/// Rounds up to an instant, oldest first, corrections applied.
pub(crate) fn rounds(
    reader: &Reader,
    until: Timestamp,
    count: usize,
) -> Result<Vec<Round>, DeskError> {
    between(reader, None, until, count)
}

/// The last so many whole rounds up to an instant with all that was read in between, oldest first, corrections applied.
/// A figure or two typed at a step of a procedure push no round out of it; where there are no whole rounds, what there is.
pub(crate) fn whole_rounds(
    reader: &Reader,
    until: Timestamp,
    count: usize,
) -> Result<Vec<Round>, DeskError> {
    let mut limit = count;
    loop {
        let mut found = rounds(reader, until, limit)?;
        let whole: Vec<usize> = (0..found.len()).filter(|place| found[*place].is_whole()).collect();
        if let Some(first) = whole.len().checked_sub(count).and_then(|first| whole.get(first)) {
            found.drain(..*first);
            return Ok(found);
        }
        if found.len() < limit || limit >= count + BETWEEN {
            return Ok(found);
        }
        limit = (limit * 2).min(count + BETWEEN);
    }
}

/// Rounds from one instant up to another, the last so many of them, oldest first, corrections applied.
pub(crate) fn between(
    reader: &Reader,
    from: Option<Timestamp>,
    until: Timestamp,
    count: usize,
) -> Result<Vec<Round>, DeskError> {
    let found = reader.rounds(from, Some(until), count)?;
    Ok(found.into_iter().rev().map(round).collect())
}

/// Rounds around an instant, oldest first: those that led up to it, and those of the day after.
pub(crate) fn around(reader: &Reader, at: Timestamp) -> Result<Vec<Round>, DeskError> {
    let mut all = whole_rounds(reader, at, LEADING)?;
    let after = |s: i64| at.checked_add(s.seconds()).unwrap_or(at);
    let day = reader.rounds(Some(after(1)), Some(after(26 * 3600)), FOLLOWING)?;
    all.extend(day.into_iter().rev().map(round));
    Ok(all)
}

fn round(from: logbook::Round) -> Round {
    let mut cells = BTreeMap::new();
    for value in from.values {
        let own = |si: Option<f64>| si.map(|x| own_unit(&value.name, x));
        let struck =
            value.corrected.as_ref().map(|old| (own(old.si), old.text.clone().unwrap_or_default()));
        cells.insert(
            value.name.clone(),
            Cell {
                value: own(value.si),
                text: value.text.unwrap_or_default(),
                unit: value.unit.unwrap_or_default(),
                why: value.why,
                not_taken: value.quality == logbook::Quality::NotTaken,
                struck,
                seq: value.seq,
            },
        );
    }
    Round { at: from.at, actors: from.actors, cells }
}

/// Last change of the plant: on or shut down.
pub(crate) fn plant_state(
    reader: &Reader,
    until: Timestamp,
) -> Result<Option<(bool, Timestamp)>, DeskError> {
    let found = reader.latest_event("plant", until)?;
    Ok(found.map(|entry| (entry.details.get("plant").is_some_and(|w| w == "on"), entry.at)))
}

/// Tank on each duty.
pub(crate) fn duties(
    reader: &Reader,
    until: Timestamp,
) -> Result<Vec<(String, String)>, DeskError> {
    let mut out: Vec<(String, String)> = Vec::new();
    for entry in reader.events_with("duty", until, 12)? {
        if let (Some(tank), Some(duty)) = (entry.details.get("tank"), entry.details.get("duty"))
            && !out.iter().any(|(t, d)| t == tank || d == duty)
        {
            out.push((tank.clone(), duty.clone()));
        }
    }
    Ok(out)
}

/// The newest sounding of each tank.
pub(crate) fn soundings(
    reader: &Reader,
    ship: &Ship,
    until: Timestamp,
) -> Result<Vec<Sounded>, DeskError> {
    let mut out = Vec::new();
    for tank in &ship.tanks {
        let name = format!("{SOUNDING}{}", tank.key);
        if let Some(latest) = reader.latest(&name, Some(until))?
            && let Some(si) = latest.si
        {
            let (tank, cm) = (tank.key.clone(), own_unit(&name, si));
            out.push(Sounded { tank, cm, at: latest.at, seq: latest.seq });
        }
    }
    Ok(out)
}

/// What the record holds of one quantity over a span: rounds to be worked out one by one, or pieces where they are many.
pub(crate) enum Span {
    /// Oldest first.
    Rounds(Vec<Round>),
    /// Drawn as they are.
    Pieces(Pieces),
}

/// Spots of pieces of a span, and when the plant was not running.
pub(crate) struct Pieces {
    pub(crate) spots: Vec<Spot>,
    /// From and to, seconds since 1970.
    pub(crate) stopped: Vec<(f64, f64)>,
}

/// Reads one quantity over a span.
pub(crate) fn span(
    reader: &Reader,
    key: &str,
    (from, to): (Timestamp, Timestamp),
    (most_t_day, switches): (f64, &[Switch]),
) -> Result<Span, DeskError> {
    if !reader.more_moments_than(MOST_ROUNDS, from, to)? {
        let found = reader.rounds(Some(from), Some(to), MOST_ROUNDS)?;
        return Ok(Span::Rounds(found.into_iter().rev().map(round).collect()));
    }
    let mut spots = Vec::new();
    if key == OUTPUT {
        let counted = reader.series(METER, from, to, MOST_POINTS)?;
        let spot = |pair: &[Bucket]| counted_spot(&pair[0], &pair[1], most_t_day, switches);
        spots = counted.windows(2).filter_map(spot).collect();
    }
    if spots.is_empty() {
        spots = reader.series(key, from, to, MOST_POINTS)?.iter().map(|b| piece(key, b)).collect();
    }
    Ok(Span::Pieces(Pieces { spots, stopped: stopped(reader, from, to)? }))
}

/// Output, which a ship with a counter does not write down.
const OUTPUT: &str = "product_t_day";
/// Read whenever the plant runs.
const RUNNING: &str = "jacket_in_c";

fn piece(key: &str, bucket: &Bucket) -> Spot {
    let own = |si| own_unit(key, si);
    let (a, b) = (own(bucket.min), own(bucket.max));
    Spot {
        at_s: bucket.at.as_second() as f64,
        read: Some(own(bucket.mean)),
        struck: None,
        expected: None,
        envelope: Some((a.min(b), a.max(b))),
    }
}

/// What was made by the counter from the end of one piece to the end of the next, t/day; none where that cannot be.
fn counted_spot(
    before: &Bucket,
    piece: &Bucket,
    most_t_day: f64,
    switches: &[Switch],
) -> Option<Spot> {
    if switched::between(switches, before.at, piece.at).is_some() {
        return None;
    }
    let counted = own_unit(METER, piece.last) - own_unit(METER, before.last);
    let hours = logbook::elapsed_hours(before.at, piece.at);
    let made = counted_t_day(counted, hours, most_t_day)?;
    Some(Spot {
        at_s: piece.at.as_second() as f64,
        read: Some(made),
        struck: None,
        expected: None,
        envelope: None,
    })
}

/// Where pieces in which the plant ran lie apart and a round in between says why.
fn stopped(reader: &Reader, from: Timestamp, to: Timestamp) -> Result<Vec<(f64, f64)>, DeskError> {
    let ran = reader.series(RUNNING, from, to, MOST_POINTS)?;
    let apart = |pair: &[Bucket]| pair[1].at.as_second() - pair[0].at.as_second();
    let Some(width) = ran.windows(2).map(apart).min() else { return Ok(Vec::new()) };
    let mut spells = Vec::new();
    for pair in ran.windows(2).filter(|pair| apart(pair) > width) {
        let begins = pair[0].at.checked_add(width.seconds()).unwrap_or(pair[1].at);
        if reader.stands_within(WHOLE, begins, pair[1].at)? {
            spells.push((begins.as_second() as f64, pair[1].at.as_second() as f64));
        }
    }
    Ok(spells)
}
