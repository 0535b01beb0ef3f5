//! Steps that were done in another order than the list has: which before which, and what that may have done.

use procedure::{OutOfOrder, Procedure, Run, Standing};

use super::view::OrderView;
use super::words::Teller;

/// Steps named at most.
const NAMED: usize = 3;

/// Steps that were done out of their order, as few as tell every pair, each with the pair that names it: what the list
/// forbids first. A step that is only still open is none, unless the list forbids what was done behind it.
pub(super) fn moved(run: &Run<'_>) -> Vec<(usize, OutOfOrder)> {
    let mut pairs = run.out_of_order();
    pairs.retain(|pair| run.standing[pair.before].is_some() || pair.harm.is_some());
    let mut found = Vec::new();
    while !pairs.is_empty() {
        let of = |place: usize| {
            pairs.iter().filter(|pair| [pair.later, pair.before].contains(&place)).count()
        };
        // Of several that stand against as many others, the one that was done too early.
        let stand = (0..run.standing.len()).filter(|place| run.standing[*place].is_some());
        let Some(place) = stand.max_by_key(|place| (of(*place), *place)) else { break };
        if of(place) == 0 {
            break;
        }
        let (its, rest): (Vec<_>, Vec<_>) =
            pairs.into_iter().partition(|pair| [pair.later, pair.before].contains(&place));
        let named = its.iter().find(|pair| pair.harm.is_some()).or(its.first()).cloned();
        found.extend(named.map(|pair| (place, pair)));
        pairs = rest;
    }
    found.sort_by_key(|(place, _)| *place);
    found
}

/// A step in a word or two.
pub(super) fn short(run: &Run<'_>, place: usize) -> String {
    run.procedure.steps[place].key.replace('-', " ")
}

/// The first of those in words: "step 8 (overboard) before step 1 (heat off)".
pub(super) fn named(run: &Run<'_>, moved: &[(usize, OutOfOrder)]) -> Vec<String> {
    let step = |place: usize| format!("step {} ({})", place + 1, short(run, place));
    let words = |(place, pair): &(usize, OutOfOrder)| match *place == pair.later {
        true => format!("{} before {}", step(pair.later), step(pair.before)),
        false => format!("{} after {}", step(pair.before), step(pair.later)),
    };
    moved.iter().take(NAMED).map(words).collect()
}

/// The first words of what a step does.
pub(super) fn first_words(procedure: &Procedure, place: usize) -> &str {
    let what = procedure.steps.get(place).map_or("", |step| step.what.as_str());
    what.split(['.', ';', ':']).next().unwrap_or(what).trim()
}

/// Each pair as a sentence.
pub(super) fn sentences(
    run: &Run<'_>,
    pairs: &[OutOfOrder],
    teller: &Teller<'_>,
) -> Vec<OrderView> {
    let one = |pair: &OutOfOrder| {
        let step =
            |place: usize| format!("step {} ({})", place + 1, first_words(run.procedure, place));
        let at = |place: usize| run.standing[place].as_ref().map(|s| teller.time(Standing::at(s)));
        let later =
            format!("{} stands at {}", step(pair.later), at(pair.later).unwrap_or_default());
        let before = match at(pair.before) {
            Some(at) => format!("before {}, {at}", step(pair.before)),
            None => format!("and {} is still open", step(pair.before)),
        };
        let harm = match &pair.harm {
            Some(harm) => format!(" What that may have done: {harm}."),
            None => String::new(),
        };
        let sentence = format!("{later}, {before}.{harm}");
        let mut signs = sentence.chars();
        let first = signs.next().map(|c| c.to_uppercase().to_string()).unwrap_or_default();
        OrderView {
            says: format!("{first}{}", signs.as_str()),
            forbidden: pair.harm.is_some(),
            confirmed: pair.confirmed,
            asks: !pair.confirmed && run.standing[pair.before].is_some(),
        }
    };
    pairs.iter().map(one).collect()
}
