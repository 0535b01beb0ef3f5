//! Steps that were done in another order than the list has: which before which, and what that may have done.

use procedure::{OutOfOrder, Run, Standing};

use super::view::OrderView;
use super::words::Teller;

/// Pairs of steps that were done in another order than the list has; those of which one is only still open are none.
pub(super) fn count(run: &Run<'_>) -> usize {
    let pairs = run.out_of_order();
    let both = |pair: &&OutOfOrder| run.standing[pair.before].is_some() || pair.harm.is_some();
    pairs.iter().filter(both).count()
}

/// Each pair as a sentence.
pub(super) fn sentences(
    run: &Run<'_>,
    pairs: &[OutOfOrder],
    teller: &Teller<'_>,
) -> Vec<OrderView> {
    let one = |pair: &OutOfOrder| {
        let step = |place: usize| {
            let what = &run.procedure.steps[place].what;
            let first = what.split(['.', ';', ':']).next().unwrap_or(what).trim();
            format!("step {} ({first})", place + 1)
        };
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
