//! What shuts the way to a tank or to heat for every list: emergencies of the record whose own way back is not done or whose
//! heat is not ticked off, and what the texts ask of salinometer and second instrument.

use std::path::Path;

use jiff::Timestamp;
use logbook::Reader;
use procedure::{Nature, Procedure, Run, Second, Shut, Standing, Towards};

use crate::desk::DeskError;
use crate::setup::Setup;

use super::order::first_words;
use super::runs::{self, Gathered};
use super::seen::Board;
use super::taken::first_moment;
use super::texts;
use super::words::{Teller, time};

/// Steps at which an emergency takes heat off, wholly or in part.
const HEAT_OFF: [&str; 2] = ["heat-off", "heat-back"];

/// The same run with what shuts the way to a tank or to heat outside of it. A list does not shut its own way back.
///
/// # Errors
/// The record or the folder cannot be read.
pub(super) fn of<'a>(
    run: Run<'a>,
    gathered: &Gathered,
    (folder, setup, reader): (&Path, &Setup, &Reader),
    now: Timestamp,
) -> Result<Run<'a>, DeskError> {
    let leads = |step: &procedure::Step| {
        matches!(step.towards, Towards::Tank | Towards::Heat) && run.procedure.holds(step)
    };
    if !run.procedure.steps.iter().any(leads) {
        return Ok(run);
    }
    let first = first_moment(&run, gathered.began());
    let mut shut = Vec::new();
    let mut lately = runs::lately(reader)?;
    lately.iter_mut().for_each(|other| other.acts.retain(|act| act.at() <= now));
    for other in &lately {
        if other.key == gathered.key || other.acts.is_empty() {
            continue;
        }
        let Ok((procedure, _)) = runs::followed(folder, reader, other) else { continue };
        let its = runs::fold(&procedure, other);
        shut.extend(heat(&its, other, first));
        // One that was given up shuts it until the same list was gone through to its way back.
        let again = || {
            let same = lately.iter().filter(|same| same.key == other.key && same.id != other.id);
            let opened = same.filter_map(|same| {
                let (procedure, _) = runs::followed(folder, reader, same).ok()?;
                runs::fold(&procedure, same).opened_again()
            });
            opened.filter(|at| *at >= other.began()).min()
        };
        let until = its.opened_again().or_else(|| its.abandoned.as_ref().and_then(|_| again()));
        if !procedure.shuts_tank() || until.is_some_and(|until| until <= first) {
            continue;
        }
        let from = first_moment(&its, other.began());
        let wants = match until {
            None => wants(&its, other, (setup, reader), now)?,
            Some(_) => String::new(),
        };
        let (way, list) = (Towards::Tank, procedure.name.clone());
        shut.push(Shut { way, run: other.id, list, from, until, wants });
    }
    Ok(run.shut_by(shut, second(folder)?))
}

/// An emergency that is open and whose heat is not ticked off yet: no list leads to heat meanwhile. Once it is, that undoes what another
/// list did.
fn heat(its: &Run<'_>, other: &Gathered, first: Timestamp) -> Option<Shut> {
    let procedure: &Procedure = its.procedure;
    let place = HEAT_OFF.iter().find_map(|key| procedure.place(key))?;
    let until = its.standing[place].as_ref().map(Standing::at).or(its.over());
    if procedure.nature != Nature::Emergency || until.is_some_and(|until| until <= first) {
        return None;
    }
    Some(Shut {
        way: Towards::Heat,
        run: other.id,
        list: procedure.name.clone(),
        from: first_moment(its, other.began()),
        until,
        wants: format!("its step {}, {}, is not ticked.", place + 1, first_words(procedure, place)),
    })
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
    if let Some((at, ..)) = &run.abandoned {
        let clock = reader.ship_clock()?;
        return Ok(format!(
            "it was given up at {} before its way back. Begin it again and go through it, or the chief goes on.",
            time(&clock, *at, now)
        ));
    }
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
