//! Values as they stand after corrections, and the round: what was read at one moment.

use std::collections::{BTreeMap, HashSet};

use jiff::Timestamp;

use crate::entry::{Entry, Value};
use crate::family;
use crate::standing::{Standing, value_standings};
use crate::words::Quality;
use crate::zone::Zone;

/// A value that stands.
#[derive(Clone, Debug, PartialEq)]
pub struct Reading {
    /// The quantity's name.
    pub name: String,
    /// When it was so.
    pub at: Timestamp,
    /// The entry that gives it: the reading, or its newest correction.
    pub seq: u64,
    /// In the coherent SI unit; none for words and values not taken.
    pub si: Option<f64>,
    /// As typed.
    pub text: Option<String>,
    /// The unit it was typed in.
    pub unit: Option<String>,
    /// How far it may be trusted.
    pub quality: Quality,
    /// Why it is doubtful or not taken.
    pub why: Option<String>,
    /// What it replaces, where it is a correction.
    pub corrected: Option<Corrected>,
}

/// The value a correction struck through.
#[derive(Clone, Debug, PartialEq)]
pub struct Corrected {
    /// The entry that gave it.
    pub seq: u64,
    /// In the coherent SI unit.
    pub si: Option<f64>,
    /// As typed.
    pub text: Option<String>,
    /// The unit it was typed in.
    pub unit: Option<String>,
    /// Why it was corrected.
    pub reason: Option<String>,
    /// Who corrected it.
    pub by: String,
}

/// What was read at one moment.
#[derive(Clone, Debug, PartialEq)]
pub struct Round {
    /// The moment.
    pub at: Timestamp,
    /// Ship's time then.
    pub zone: Zone,
    /// The reading entries of this moment with all that corrects or withdraws them, in order.
    pub entries: Vec<Entry>,
    /// The values that stand, each name once, in the order they were written.
    pub values: Vec<Reading>,
    /// Who read, each once, in the order they wrote.
    pub actors: Vec<String>,
}

impl Round {
    /// The standing value of this name.
    pub fn value(&self, name: &str) -> Option<&Reading> {
        self.values.iter().find(|value| value.name == name)
    }
}

/// The values of a family that stand, in the order of the first entry's names.
pub(crate) fn readings(family: &[Entry]) -> Vec<Reading> {
    let Some(root) = family.first() else { return Vec::new() };
    let relatives = family::relatives(family);
    let mut order: Vec<&str> = Vec::new();
    let mut standing: BTreeMap<&str, Reading> = BTreeMap::new();
    let mut replaced: BTreeMap<&str, u64> = BTreeMap::new();
    for (seq, name, state) in value_standings(&relatives) {
        if !order.contains(&name) {
            order.push(name);
        }
        let Some(entry) = family.iter().find(|entry| entry.seq == seq) else { continue };
        let Some(value) = entry.value(name) else { continue };
        match state {
            Standing::Stands => {
                let old = replaced.get(name).and_then(|&old| corrected(family, old, name, entry));
                standing.insert(name, reading(value, root.at, seq, old));
            }
            Standing::Corrected { .. } => {
                replaced.insert(name, seq);
            }
            Standing::Withdrawn { .. } => {}
        }
    }
    order.into_iter().filter_map(|name| standing.remove(name)).collect()
}

fn reading(value: &Value, at: Timestamp, seq: u64, corrected: Option<Corrected>) -> Reading {
    Reading {
        name: value.name.clone(),
        at,
        seq,
        si: value.si,
        text: value.text.clone(),
        unit: value.unit.clone(),
        quality: value.quality,
        why: value.why.clone(),
        corrected,
    }
}

fn corrected(family: &[Entry], old: u64, name: &str, newer: &Entry) -> Option<Corrected> {
    let value = family.iter().find(|entry| entry.seq == old)?.value(name)?;
    Some(Corrected {
        seq: old,
        si: value.si,
        text: value.text.clone(),
        unit: value.unit.clone(),
        reason: newer.reason.clone(),
        by: newer.author.actor.clone(),
    })
}

/// The round of all families of one moment; none if nothing of them stands. Where two entries give the same name, the
/// later entry's value is shown.
pub(crate) fn of_families(families: Vec<Vec<Entry>>) -> Option<Round> {
    let first = families.first()?.first()?;
    let (at, zone) = (first.at, first.zone);
    let mut values: Vec<Reading> = Vec::new();
    let mut actors: Vec<String> = Vec::new();
    for family in &families {
        let standing = readings(family);
        if let Some(root) = family.first()
            && !standing.is_empty()
            && !actors.contains(&root.author.actor)
        {
            actors.push(root.author.actor.clone());
        }
        let names: HashSet<&str> = standing.iter().map(|value| value.name.as_str()).collect();
        values.retain(|value| !names.contains(value.name.as_str()));
        values.extend(standing.iter().cloned());
    }
    if values.is_empty() {
        return None;
    }
    let mut entries: Vec<Entry> = families.into_iter().flatten().collect();
    entries.sort_by_key(|entry| entry.seq);
    Some(Round { at, zone, entries, values, actors })
}
