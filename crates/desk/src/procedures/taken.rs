//! Readings at the steps of a run: those typed there, and those of the record that a step asks for in its time.

use jiff::Timestamp;
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
        for name in names_of(&term.name) {
            if !names.contains(&name) {
                names.push(name);
            }
        }
    }
    names
}

/// Names under which what a guard speaks of is read.
pub(super) fn names_of(name: &str) -> Vec<&str> {
    match name {
        VACUUM => vec!["shell_gauge_bar_g", "barometer_hpa"],
        name => vec![name],
    }
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
    let judged = gathered.ticked.get(&step.key).copied();
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
            None if board.is_of_another(cell.seq) => false,
            None => names.contains(name) && *at > from && until.is_some_and(|until| *at <= until),
        })
        .filter(|(_, _, cell)| !cell.not_taken || gathered.typed.contains_key(&cell.seq))
        .map(|(at, name, cell)| {
            let text = match (field::reading(name), cell.value) {
                (Some(reading), Some(value)) => with_unit(name, &shown(reading, value)),
                _ if cell.not_taken => "not taken".to_owned(),
                _ => cell.text.clone(),
            };
            let was =
                cell.struck.as_ref().map(|(value, typed)| match (field::reading(name), value) {
                    (Some(reading), Some(value)) => with_unit(name, &shown(reading, *value)),
                    _ => typed.clone(),
                });
            let label = label(name);
            let ticked = run.standing[place].as_ref().map(Standing::at).zip(judged);
            let ticked_by_old =
                was.is_some() && ticked.is_some_and(|(then, entry)| at <= then && cell.seq > entry);
            let (why, entry) = (cell.why.clone(), cell.seq);
            let (not_taken, doubt) = if cell.not_taken { (why, None) } else { (None, why) };
            ReadView { label, text, at, doubt, not_taken, was, ticked_by_old, entry }
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

/// The moment whose record the step under way is asked by, where it is not now: the time that was typed; else, of a run that is
/// entered afterwards, that of the last tick, or of what was read at the step since. Never that of a round behind it.
pub(super) fn own_time(
    board: &Board<'_>,
    run: &Run<'_>,
    gathered: &Gathered,
    typed: Option<Timestamp>,
    now: Timestamp,
) -> Option<Timestamp> {
    let open = run.abandoned.is_none();
    let place = run.standing.iter().position(Option::is_none).filter(|_| open)?;
    if let Some(typed) = typed {
        return Some(typed.min(now));
    }
    let key = &run.procedure.steps[place].key;
    let read = board.cells().filter(|(_, _, cell)| gathered.typed.get(&cell.seq) == Some(key));
    let since = run.since(place).unwrap_or(gathered.began());
    let last = read.map(|(at, ..)| at).fold(since, Timestamp::max);
    gathered.late.then_some(last.min(now))
}
