//! Readings at the steps of a run: those typed there, and those of the record that a step asks for in its time.

use jiff::{SignedDuration, Timestamp};
use procedure::{Run, Standing, Step};

use crate::field;
use crate::typed::shown;

use super::runs::Gathered;
use super::seen::Board;
use super::texts::VACUUM;
use super::view::ReadView;
use super::words::{label, with_unit};

/// Names of readings that a step asks for; a corrected vacuum is read by gauge and barometer.
pub(super) fn names(step: &Step) -> Vec<&str> {
    let mut names: Vec<&str> = Vec::new();
    for term in step.see.iter().flat_map(|condition| &condition.terms) {
        let own: &[&str] = match term.name.as_str() {
            VACUUM => &["shell_gauge_bar_g", "barometer_hpa"],
            name => &[name],
        };
        for name in own {
            if !names.contains(name) {
                names.push(name);
            }
        }
    }
    names
}

/// What was read for one step, oldest first.
pub(super) fn at_step(
    board: &Board<'_>,
    run: &Run<'_>,
    gathered: &Gathered,
    place: usize,
    now: Timestamp,
) -> Vec<ReadView> {
    let step = &run.procedure.steps[place];
    let names = names(step);
    let from = run.since(place).unwrap_or(gathered.began());
    // Of a step that is not done, only the one under way has been read for.
    let open = run.standing.iter().position(Option::is_none);
    let until = match &run.standing[place] {
        Some(standing) => Some(standing.at()),
        None if open == Some(place) => Some(run.abandoned.as_ref().map_or(now, |(at, ..)| *at)),
        None => None,
    };
    let mut found: Vec<ReadView> = board
        .cells()
        .filter(|(at, name, cell)| match gathered.typed.get(&cell.seq) {
            Some(typed) => *typed == step.key,
            None => names.contains(name) && *at > from && until.is_some_and(|until| *at <= until),
        })
        .filter(|(_, _, cell)| !cell.not_taken)
        .map(|(at, name, cell)| {
            let text = match (field::reading(name), cell.value) {
                (Some(reading), Some(value)) => shown(reading, value),
                _ => cell.text.clone(),
            };
            let (label, text) = (label(name), with_unit(name, &text));
            ReadView { label, text, at, doubt: cell.why.clone() }
        })
        .collect();
    found.sort_by_key(|read| read.at);
    found
}

/// The first moment of a run: its begin, or what was done before that and written afterwards.
pub(super) fn first_moment(run: &Run<'_>, began: Timestamp) -> Timestamp {
    let first = run.standing.iter().flatten().map(Standing::at).min();
    first.map_or(began, |first| first.min(began))
}

/// Moments looked through for the one at which a step was as wanted.
const MOMENTS: usize = 60;

/// Of a run that is entered afterwards, the moment whose record the step under way is asked by: the first at which all of
/// it was as wanted, else the one by which it is usually done.
pub(super) fn own_time(
    board: &Board<'_>,
    run: &Run<'_>,
    gathered: &Gathered,
    now: Timestamp,
) -> Option<Timestamp> {
    let open = run.abandoned.is_none() && gathered.late;
    let place = run.standing.iter().position(Option::is_none).filter(|_| open)?;
    let step = &run.procedure.steps[place];
    let since = run.since(place).unwrap_or(gathered.began());
    let after = |min: f64| {
        #[allow(clippy::cast_possible_truncation)] // some days of seconds
        let span = SignedDuration::from_secs((min * 60.0) as i64);
        since.checked_add(span).unwrap_or(now).min(now)
    };
    let earliest = after(step.wait_min);
    let names = names(step);
    let read = board.cells().filter(|(at, name, _)| *at >= earliest && names.contains(name));
    let mut moments: Vec<Timestamp> = read.map(|(at, ..)| at).collect();
    moments.push(earliest);
    moments.sort_unstable();
    moments.dedup();
    let good = |at: &Timestamp| run.unmet(place, &board.until(*at), *at, true).is_empty();
    let usual = after(step.takes_min.1.max(step.wait_min));
    Some(moments.into_iter().take(MOMENTS).find(good).unwrap_or(usual))
}
