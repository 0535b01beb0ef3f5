//! What shuts the way to a tank for every list: emergencies of the record whose own way back is not done, and what their texts
//! ask of a second instrument there.

use std::path::Path;

use jiff::Timestamp;
use logbook::Reader;
use procedure::{Procedure, Run, Second, Shut, Towards};

use crate::desk::DeskError;
use crate::setup::Setup;

use super::order::first_words;
use super::runs::{self, Gathered};
use super::seen::Board;
use super::taken::first_moment;
use super::texts;
use super::words::Teller;

/// The same run with what shuts the way to a tank outside of it. A list does not shut its own way back.
///
/// # Errors
/// The record or the folder cannot be read.
pub(super) fn of<'a>(
    run: Run<'a>,
    gathered: &Gathered,
    (folder, setup, reader): (&Path, &Setup, &Reader),
    now: Timestamp,
) -> Result<Run<'a>, DeskError> {
    let leads = |step: &procedure::Step| step.towards == Towards::Tank && run.procedure.holds(step);
    if !run.procedure.steps.iter().any(leads) {
        return Ok(run);
    }
    let first = first_moment(&run, gathered.began());
    let mut shut = Vec::new();
    for mut other in runs::lately(reader)? {
        other.acts.retain(|act| act.at() <= now);
        if other.key == gathered.key || other.acts.is_empty() {
            continue;
        }
        let Ok((procedure, _)) = runs::followed(folder, reader, &other) else { continue };
        let its = runs::fold(&procedure, &other);
        let until = its.opened_again();
        if !procedure.shuts_tank() || until.is_some_and(|until| until <= first) {
            continue;
        }
        let from = first_moment(&its, other.began());
        let wants = match until {
            None => wants(&its, &other, (setup, reader), now)?,
            Some(_) => String::new(),
        };
        shut.push(Shut { run: other.id, list: procedure.name.clone(), from, until, wants });
    }
    Ok(run.shut_by(shut, second(folder)?))
}

/// What lists for emergencies aboard ask of a second instrument on their way back, each once.
fn second(folder: &Path) -> Result<Vec<Second>, DeskError> {
    let (kept, _) = texts::all(folder)?;
    let mut found: Vec<Second> = Vec::new();
    for second in kept.iter().flat_map(|kept| kept.procedure.second()) {
        if !found.contains(&second) {
            found.push(second);
        }
    }
    Ok(found)
}

/// What an emergency still wants before the way to a tank is open again.
fn wants(
    run: &Run<'_>,
    gathered: &Gathered,
    (setup, reader): (&Setup, &Reader),
    now: Timestamp,
) -> Result<String, DeskError> {
    let procedure: &Procedure = run.procedure;
    let open = run.standing.iter().position(Option::is_none).unwrap_or_default();
    let named = |place: usize| format!("step {}, {}", place + 1, first_words(procedure, place));
    let Some(place) = procedure.way_back() else {
        return Ok(format!("its {}, is next, and it is open until its last.", named(open)));
    };
    let board = Board::of(setup, reader, first_moment(run, gathered.began()), now)?;
    let board = board.of_its_own(reader, procedure, gathered)?;
    let clock = reader.ship_clock()?;
    let teller = Teller { board: &board, clock: &clock, now, procedure, foretold: None };
    let why = run.unmet(place, &board, now, true);
    let why: Vec<String> = why.iter().map(|unmet| teller.unmet(unmet)).collect();
    Ok(match why.as_slice() {
        [] => format!("its way back is {}, which may be ticked there.", named(place)),
        why => format!("its way back is {}. {}", named(place), why.join(" ")),
    })
}
