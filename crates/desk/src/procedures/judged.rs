//! What the record says of a step: at its tick, at a time that was mended, and after a figure that its guard stood on was put
//! right.

use jiff::Timestamp;
use procedure::{Act, Beside, Change, OutOfOrder, Run, Standing, Unmet};

use crate::field;
use crate::typed::shown;

use super::order::sentences;
use super::runs::Gathered;
use super::seen::Board;
use super::taken::{names, names_of};
use super::view::CorrectedView;
use super::words::{Teller, label, with_unit};

/// Pairs kept with one tick at most.
const MOST_KEPT: usize = 3;

/// Writes into a tick or a look what is not as it should be now; what of it stands for itself.
pub(super) fn beside(act: &mut Act, run: &Run<'_>, teller: &Teller<'_>) -> Option<String> {
    let (step, at, looked, told, is_tick) = match act {
        Act::Done { step, at, looked, beside, .. } => (step, *at, *looked, beside, true),
        Act::Looked { step, at, looked, beside, .. } => (step, *at, *looked, beside, false),
        _ => return None,
    };
    let place = run.procedure.place(step)?;
    let signed = run.told[place].beside.second.as_str();
    let second = if is_tick || signed.is_empty() { told.second.as_str() } else { signed };
    let found = run.found(place, teller.board, at, (looked, second));
    told.unmet = found.iter().map(|unmet| teller.unmet(unmet)).collect::<Vec<_>>().join(" ");
    if !is_tick {
        return None;
    }
    let quick = quick(run, place, at);
    // In the record and on paper; nothing is asked for it.
    told.remark = quick.clone().or_else(|| in_minute_with(run, place, at)).unwrap_or_default();
    quick
}

/// What is to be said of a step that takes its time and was ticked in the same minute as the one before it.
fn in_minute_with(run: &Run<'_>, place: usize, at: Timestamp) -> Option<String> {
    let minute = |at: Timestamp| at.as_second().div_euclid(60);
    let stands = run.standing[..place].iter().enumerate();
    let before = stands.filter_map(|(before, standing)| Some((standing.as_ref()?.at(), before)));
    let (since, before) = before.max()?;
    let takes = run.procedure.steps[place].takes().0 > 0.0;
    (takes && minute(since) == minute(at))
        .then(|| format!("Ticked in the same minute as step {}.", before + 1))
}

/// What is to be said of a step that took less than it usually does at least.
fn quick(run: &Run<'_>, place: usize, at: Timestamp) -> Option<String> {
    let of = &run.procedure.steps[place];
    let since = run.since(place).filter(|since| !of.quick.is_empty() && *since < at)?;
    let took_min = at.duration_since(since).as_secs_f64() / 60.0;
    let (least, most) = of.takes_min;
    (took_min < least).then(|| {
        format!("Done in {took_min:.0} min, usually {least:.0} to {most:.0}: {}.", of.quick)
    })
}

/// Asks the guard of a step anew whose time is mended: by the record of its true time, with what was ticked as seen then.
pub(super) fn anew(act: &mut Act, run: &Run<'_>, board: &Board<'_>, teller: &Teller<'_>) {
    let Act::Mended { step, time, anew, .. } = act else { return };
    let Some(place) = run.procedure.place(step) else { return };
    let Some(Standing::Done { at, .. }) = &run.standing[place] else { return };
    if at == time {
        return;
    }
    let seen = board.until(*time);
    let teller = Teller { board: &seen, ..*teller };
    let told = &run.told[place];
    let found = run.found(place, &seen, *time, (told.looked, told.beside.second.as_str()));
    let unmet = found.iter().map(|unmet| teller.unmet(unmet)).collect::<Vec<_>>().join(" ");
    let remark = quick(run, place, *time).or_else(|| in_minute_with(run, place, *time));
    let remark = remark.unwrap_or_default();
    *anew = Some(Beside { unmet, remark, ..Beside::default() });
}

/// What of the order of steps was as the list has it before, and is not now.
pub(super) fn newly_out_of_order(
    before: &Run<'_>,
    after: &Run<'_>,
    teller: &Teller<'_>,
) -> Vec<String> {
    // That a step is still open stands below; it is said at once where the list forbids it.
    let said = |pair: &OutOfOrder| pair.harm.is_some() || after.standing[pair.before].is_some();
    let pairs: Vec<OutOfOrder> = new_pairs(before, after).into_iter().filter(said).collect();
    sentences(after, &pairs, teller).into_iter().map(|view| view.says).collect()
}

fn new_pairs(before: &Run<'_>, after: &Run<'_>) -> Vec<OutOfOrder> {
    let was = before.out_of_order();
    let mut pairs = after.out_of_order();
    pairs.retain(|pair| !pair.confirmed && !was.contains(pair));
    pairs
}

/// Keeps with a tick that it is out of order: a later tick of a step that was open does not unsay it.
pub(super) fn keep_order(act: &mut Act, before: &Run<'_>, after: &Run<'_>, teller: &Teller<'_>) {
    let Act::Done { step, beside, .. } = act else { return };
    let own = after.procedure.place(step);
    let mut pairs = new_pairs(before, after);
    pairs.retain(|pair| {
        let stands = after.standing[pair.before].is_some();
        let own_later = Some(pair.later) == own && (stands || pair.harm.is_some());
        own_later || (Some(pair.before) == own && stands)
    });
    // What the list forbids first; of many no more than a line holds.
    pairs.sort_by_key(|pair| pair.harm.is_none());
    pairs.truncate(MOST_KEPT);
    for view in sentences(after, &pairs, teller) {
        beside.remark = format!("{} {}", beside.remark, view.says).trim().to_owned();
    }
}

/// Figures put right after a step was ticked, by which its guard would not have let it go; none where it was said then that
/// it was not as wanted.
pub(super) fn corrected(
    board: &Board<'_>,
    run: &Run<'_>,
    gathered: &Gathered,
    place: usize,
    teller: &Teller<'_>,
) -> Vec<CorrectedView> {
    let (step, told) = (&run.procedure.steps[place], &run.told[place]);
    let (Some(Standing::Done { at, .. }), false, Some(written)) =
        (&run.standing[place], told.stands_out(), gathered.ticked.get(&step.key))
    else {
        return Vec::new();
    };
    let at = told.looks.last().map_or(*at, |look| look.at);
    let asked = names(step);
    let later: Vec<_> = board
        .cells()
        .filter(|(read, name, cell)| {
            *read <= at && asked.contains(name) && cell.struck.is_some() && cell.seq > *written
        })
        .collect();
    if later.is_empty() {
        return Vec::new();
    }
    let seen = board.until(at);
    let teller = Teller { board: &seen, ..*teller };
    let unmet = run.found(place, &seen, at, (true, "seen"));
    let mut found = Vec::new();
    for (read, name, cell) in later {
        let of_it = |unmet: &&Unmet| match unmet {
            Unmet::Out { name: other, .. }
            | Unmet::TooShort { name: other, .. }
            | Unmet::NotRead { name: other, .. } => names_of(other).contains(&name),
            _ => false,
        };
        let why: Vec<String> = unmet.iter().filter(of_it).map(|why| teller.unmet(why)).collect();
        if why.is_empty() {
            continue;
        }
        let text = |value: Option<f64>, typed: &str| match (field::reading(name), value) {
            (Some(reading), Some(value)) => with_unit(name, &shown(reading, value)),
            _ => typed.to_owned(),
        };
        let was = cell.struck.as_ref().map(|(value, typed)| text(*value, typed));
        let says = format!(
            "{} of {} was corrected from {} to {}. {}",
            label(name),
            teller.time(read),
            was.unwrap_or_default(),
            text(cell.value, &cell.text),
            why.join(" ")
        );
        found.push(CorrectedView { says, entry: cell.seq });
    }
    found
}

/// What was taken back or mended, as a sentence.
pub(super) fn changed(change: &Change, teller: &Teller<'_>) -> String {
    let (at, by, why) = (teller.time(change.at), &change.by, &change.reason);
    let (was_at, was_by) = (teller.time(change.was.at()), change.was.by());
    let what = match (&change.was, change.back) {
        (Standing::Passed { .. }, true) => "passed over",
        (_, true) => "done",
        (_, false) => {
            return format!("Mended {at} by {by}, “{why}”: it stood at {was_at} by {was_by}.");
        }
    };
    format!("Taken back {at} by {by}, “{why}”: it stood as {what} at {was_at} by {was_by}.")
}
