//! Readings looked at before they are explained: a stopped plant, figures that cannot stand together, figures that never move.

use plant::Sheet;

use crate::instrument::Instrument;
use crate::set::ReadingSet;

/// A plant that makes less than this part of its rated output is starting, stopping or stopped.
const RUNNING: f64 = 0.10;
/// Without a meter: a shell above this gauge pressure is not under vacuum, bar.
const NO_VACUUM_BAR_G: f64 = -0.5;
/// Without either: jacket water that drops less than this passes no heat, K.
const NO_HEAT_K: f64 = 1.0;
/// An outlet on the wrong side of its inlet by more than this is no scatter, K.
const WRONG_SIDE_K: f64 = 1.0;
/// So many readings of one figure and it is stuck.
const STUCK: usize = 8;

/// What is left to explain, and what is to be said of the rest.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Screened {
    pub(crate) sets: Vec<ReadingSet>,
    pub(crate) notes: Vec<String>,
}

/// Looks readings over.
pub(crate) fn screen(sheet: &Sheet, sets: &[ReadingSet]) -> Screened {
    let mut notes = Vec::new();
    let mut kept: Vec<ReadingSet> =
        sets.iter().filter(|s| s.count() > 0 && runs(sheet, s)).cloned().collect();
    let read = sets.iter().filter(|s| s.count() > 0).count();
    let stopped = read - kept.len();
    if stopped > 0 {
        notes.push(if kept.is_empty() {
            "The plant was not making water; there is nothing to explain.".to_owned()
        } else {
            format!(
                "{stopped} of {read} sets are of a stopped or starting plant and were passed over."
            )
        });
    }
    for (hot, cold) in
        [(Instrument::JacketIn, Instrument::JacketOut), (Instrument::SeaOut, Instrument::SeaTemp)]
    {
        notes.extend(wrong_side(&mut kept, hot, cold));
    }
    for instrument in Instrument::ALL {
        notes.extend(stuck(&mut kept, *instrument));
    }
    kept.retain(|s| s.count() > 0);
    Screened { sets: kept, notes }
}

fn runs(sheet: &Sheet, set: &ReadingSet) -> bool {
    if let Some(product) = set.get(Instrument::Product) {
        return product >= RUNNING * sheet.rated_product_t_day;
    }
    if let Some(gauge) = set.get(Instrument::ShellGauge) {
        return gauge < NO_VACUUM_BAR_G;
    }
    match (set.get(Instrument::JacketIn), set.get(Instrument::JacketOut)) {
        (Some(warm), Some(cold)) => (warm - cold).abs() > NO_HEAT_K,
        _ => true,
    }
}

/// Takes out two figures of which the hot one is colder.
fn wrong_side(sets: &mut [ReadingSet], hot: Instrument, cold: Instrument) -> Option<String> {
    let mut example = None;
    let mut count = 0;
    for set in sets.iter_mut() {
        if let (Some(h), Some(c)) = (set.get(hot), set.get(cold))
            && h < c - WRONG_SIDE_K
        {
            count += 1;
            example = Some((h, c));
            set.put(hot, None);
            set.put(cold, None);
        }
    }
    let (h, c) = example?;
    let times = if sets.len() > 1 { format!(", {count} times") } else { String::new() };
    Some(format!(
        "{} ({h} °C) reads colder than {} ({c} °C){times}: swapped, or one of them is wrong; both were left out.",
        capital(hot.words()),
        cold.words()
    ))
}

/// Takes out an instrument that shows one figure for ever while the others move.
fn stuck(sets: &mut [ReadingSet], instrument: Instrument) -> Option<String> {
    let figures: Vec<f64> = sets.iter().filter_map(|s| s.get(instrument)).collect();
    let first = *figures.first()?;
    if figures.len() < STUCK || figures.iter().any(|x| *x != first) {
        return None;
    }
    let others = Instrument::ALL.iter().filter(|i| **i != instrument);
    let moving = others.filter(|i| {
        let mut seen = sets.iter().filter_map(|s| s.get(**i));
        seen.next().is_some_and(|x| seen.any(|y| y != x))
    });
    if moving.count() < 3 {
        return None;
    }
    for set in sets.iter_mut() {
        set.put(instrument, None);
    }
    let count = figures.len();
    Some(format!(
        "{} showed {first} in all of {count} readings: stuck or copied; it was left out.",
        capital(instrument.words())
    ))
}

fn capital(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or_else(String::new, |c| c.to_uppercase().chain(chars).collect())
}
