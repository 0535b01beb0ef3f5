//! Another list that lay between two ticks of a run: the minutes are told with it and without.

use jiff::Timestamp;
use procedure::{Act, Nature, Procedure};

use super::begin;
use super::compare::minutes;
use super::runs::Gathered;
use super::texts::{self, never_held};
use super::view::Interrupted;

/// What was done of one list that lay across a run: when, and whether it was a tick.
pub(super) struct Break {
    acts: Vec<(Timestamp, bool)>,
    by: String,
}

/// Lists that may lie across a run of this one: a stop, an emergency, or one that excludes it.
pub(super) fn breaks(all: &[Gathered], procedure: &Procedure, id: u64) -> Vec<Break> {
    let urgent = |key: &str| texts::usual(key).is_some_and(|usual| never_held(&usual.procedure));
    let lies_across =
        |key: &str| begin::clash(procedure, key) || procedure.nature == Nature::Work && urgent(key);
    let others = all.iter().filter(|other| other.id != id && lies_across(&other.key));
    others.map(of).collect()
}

fn of(other: &Gathered) -> Break {
    let tick = |act: &Act| matches!(act, Act::Done { .. } | Act::Overrode { .. });
    let acts = other.acts.iter().map(|act| (act.at(), tick(act))).collect();
    let named = texts::usual(&other.key).map(|usual| usual.procedure.name.clone());
    Break { acts, by: named.unwrap_or_else(|| other.key.clone()) }
}

/// From the first to the last that was done of a list between two moments; none where nothing of it was ticked there.
fn span(one: &Break, from: Timestamp, to: Timestamp) -> Option<(Timestamp, Timestamp)> {
    let inside = || one.acts.iter().filter(|(at, _)| *at > from && *at <= to);
    let times = || inside().map(|(at, _)| *at);
    let (first, last) = (times().min()?, times().max()?);
    (inside().any(|(_, tick)| *tick) && last > first).then_some((first, last))
}

/// What of these lay between two moments; none where nothing did.
pub(super) fn within(breaks: &[Break], from: Timestamp, to: Timestamp) -> Option<Interrupted> {
    let between = breaks.iter().filter_map(|one| Some((span(one, from, to)?, &one.by)));
    let mut between: Vec<_> = between.collect();
    between.sort_by_key(|(span, _)| *span);
    let &(first, by) = between.first()?;
    let (mut away, mut reached) = (0.0, from);
    for ((begins, ends), _) in &between {
        let begins = (*begins).max(reached);
        if *ends > begins {
            away += minutes(begins, *ends);
            reached = *ends;
        }
    }
    let own_min = (minutes(from, to) - away).max(0.0);
    let (from, to, by, more) = (first.0, first.1, by.clone(), between.len() - 1);
    Some(Interrupted { from, to, by, more, own_min })
}
