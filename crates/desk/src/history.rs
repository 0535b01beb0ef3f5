//! From the record to rounds, trends and the state of plant and tanks.

use std::collections::BTreeMap;

use jiff::Timestamp;
use logbook::{Author, Draft, Reader};
use plant::Banding;

use crate::desk::DeskError;
use crate::expected;
use crate::field;
use crate::now::with_last;
use crate::round::{Cell, Round, SOUNDING, made_t_day, own_unit};
use crate::setup::Setup;
use crate::ship::Ship;
use crate::view::{Series, Spot};

/// Rounds that are worked out one by one in a trend; beyond, buckets without expectation.
const MOST_ROUNDS: usize = 400;
/// Points a trend is drawn from at the most.
const MOST_POINTS: usize = 600;

/// Rounds up to an instant, oldest first, corrections applied.
pub(crate) fn rounds(
    reader: &Reader,
    until: Timestamp,
    count: usize,
) -> Result<Vec<Round>, DeskError> {
    let mut rounds: Vec<Round> =
        reader.rounds(None, Some(until), count)?.into_iter().map(round).collect();
    rounds.reverse();
    Ok(rounds)
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

/// The newest round that holds a sounding.
pub(crate) fn soundings(
    reader: &Reader,
    ship: &Ship,
    until: Timestamp,
) -> Result<Option<Round>, DeskError> {
    let Some(tank) = ship.tanks.first() else { return Ok(None) };
    let Some(latest) = reader.latest(&format!("{SOUNDING}{}", tank.key), Some(until))? else {
        return Ok(None);
    };
    Ok(reader.rounds(Some(latest.at), Some(latest.at), 1)?.into_iter().next().map(round))
}

/// One quantity over a span.
pub(crate) fn trend(
    reader: &Reader,
    setup: &Setup,
    banding: &Banding<'_>,
    key: &str,
    from: Timestamp,
    to: Timestamp,
) -> Result<Series, DeskError> {
    let Some(reading) = field::reading(key).filter(|r| !r.unit.is_empty()) else {
        let near = field::nearest(key).map_or(String::new(), |n| format!("; did you mean {n}?"));
        return Err(DeskError::Asked(format!("{key}: no such reading{near}")));
    };
    let mut series = Series {
        key: reading.key.into(),
        label: reading.label.into(),
        unit: crate::typed::unit_of(reading).symbol().into(),
        digits: reading.digits,
        spots: Vec::new(),
        gates: expected::gates(setup, key),
    };
    let mut rounds: Vec<Round> =
        reader.rounds(Some(from), Some(to), MOST_ROUNDS + 1)?.into_iter().map(round).collect();
    if rounds.len() <= MOST_ROUNDS {
        rounds.reverse();
        for (i, r) in rounds.iter().enumerate() {
            let window = &rounds[i.saturating_sub(8)..=i];
            let expectation = r
                .running()
                .then(|| expected::expect(setup, banding, &with_last(window, r)).ok())
                .flatten();
            let read = if key == "product_t_day" {
                made_t_day(i.checked_sub(1).map(|j| &rounds[j]), r)
            } else {
                r.value(key)
            };
            let struck = r.cells.get(key).and_then(|c| c.struck.as_ref()).and_then(|(v, _)| *v);
            let expected = expectation.and_then(|e| e.readings.get(key).copied());
            series.spots.push(Spot { at_s: r.at_s(), read, struck, expected, envelope: None });
        }
        return Ok(series);
    }
    for bucket in reader.series(key, from, to, MOST_POINTS)? {
        let own = |si| own_unit(key, si);
        let (a, b) = (own(bucket.min), own(bucket.max));
        series.spots.push(Spot {
            at_s: bucket.at.as_second() as f64,
            read: Some(own(bucket.mean)),
            struck: None,
            expected: None,
            envelope: Some((a.min(b), a.max(b))),
        });
    }
    Ok(series)
}

/// The entry of moved clocks.
#[must_use]
pub fn zone_change(from: Timestamp, hours_east: i8, author: Author, by_order_of: &str) -> Draft {
    Draft::zone_change(from, i32::from(hours_east) * 60, author, by_order_of)
}
