//! Readings looked at before they are explained: a stopped plant, figures that cannot stand together, figures that never move.

use plant::Sheet;

use crate::contradiction::{Odd, odd};
use crate::instrument::Instrument;
use crate::set::ReadingSet;
use crate::stuck::stuck;
use crate::tables::Tables;

/// A plant that makes less than this part of its rated output is starting, stopping or stopped.
const RUNNING: f64 = 0.10;
/// Without a meter: a shell above this gauge pressure is not under vacuum, bar.
const NO_VACUUM_BAR_G: f64 = -0.5;
/// Without either: jacket water that drops less than this passes no heat, K.
const NO_HEAT_K: f64 = 1.0;

/// What is left to explain, and what is to be said of the rest.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Screened {
    pub(crate) sets: Vec<ReadingSet>,
    pub(crate) notes: Vec<String>,
    /// Figures that cannot be, in sentences.
    pub(crate) odd: Vec<String>,
    /// Part of the sets in which figures contradict each other and nothing says which is wrong, 0 to 1; 1 where jacket or sea water in
    /// sticks.
    pub(crate) contradicting: f64,
    /// What has to be read again before anything can be relied on: it was left out, and there is little else, or it goes wrong as a rule.
    pub(crate) again: Vec<Instrument>,
}

/// Fewer sets stand and fall with the newest.
const FEW: usize = 6;

/// Looks readings over.
pub(crate) fn screen(sheet: &Sheet, tables: &Tables, sets: &[ReadingSet]) -> Screened {
    let mut notes = Vec::new();
    let mut read: Vec<ReadingSet> = sets.iter().filter(|s| s.count() > 0).cloned().collect();
    let odds: Vec<Vec<Odd>> = read.iter_mut().map(|set| odd(sheet, set)).collect();
    let of = read.len();
    let made = |odds: &[Odd]| odds.iter().any(|o| o.instruments().contains(&Instrument::Product));
    let as_read = sets.iter().filter(|s| s.count() > 0);
    let (mut kept, odds): (Vec<ReadingSet>, Vec<Vec<Odd>>) = read
        .into_iter()
        .zip(odds)
        .zip(as_read)
        .filter(|((_, odds), as_read)| runs(sheet, as_read) || made(odds))
        .map(|(set, _)| set)
        .unzip();
    let stopped = of - kept.len();
    if stopped > 0 {
        notes.push(if kept.is_empty() {
            "The plant was not making water; there is nothing to explain.".to_owned()
        } else {
            format!(
                "{stopped} of {of} sets are of a stopped or starting plant and were passed over."
            )
        });
    }
    let mut said = told(&odds);
    let open = odds.iter().filter(|odd| odd.iter().any(Odd::open)).count();
    let mut contradicting = if odds.is_empty() { 0.0 } else { open as f64 / odds.len() as f64 };
    let mut again: Vec<Instrument> = Vec::new();
    let gross = |odd: &&Vec<Odd>| odd.iter().any(|o| !o.left_out().is_empty());
    let often = 2 * odds.iter().filter(gross).count() > odds.len();
    let newest = odds.iter().rev().take(1).filter(|_| odds.len() < FEW);
    for odd in newest.chain(odds.iter().filter(|_| often)).flatten() {
        again.extend(odd.left_out().into_iter().filter(|i| !again.contains(i)).collect::<Vec<_>>());
    }
    let stuck = stuck(sheet, tables, &mut kept);
    if stuck.iter().any(|(i, _)| matches!(i, Instrument::JacketIn | Instrument::SeaTemp)) {
        // What goes in now is a guess.
        contradicting = 1.0;
        let inputs = stuck.iter().map(|(i, _)| *i);
        again.extend(inputs.filter(|i| matches!(i, Instrument::JacketIn | Instrument::SeaTemp)));
    }
    said.extend(stuck.into_iter().map(|(_, says)| says));
    kept.retain(|s| s.count() > 0);
    Screened { sets: kept, notes, odd: said, contradicting, again }
}

/// What is odd in sentences, each oddity once: its newest figures, and in how many sets it stands.
fn told(odds: &[Vec<Odd>]) -> Vec<String> {
    let mut each: Vec<(Odd, usize)> = Vec::new();
    for odd in odds.iter().flatten() {
        match each.iter_mut().find(|(known, _)| known.same(odd)) {
            Some((known, count)) => {
                *count += 1;
                if odd.explains() || !known.explains() {
                    *known = *odd;
                }
            }
            None => each.push((*odd, 1)),
        }
    }
    let times = |count: usize| match (count, odds.len()) {
        (_, 1) => String::new(),
        (count, of) => format!(", in {count} of {of} sets"),
    };
    each.iter().map(|(odd, count)| odd.says(&times(*count))).collect()
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
