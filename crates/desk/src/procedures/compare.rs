//! The last runs of one procedure side by side: minutes of each step, by the minute, so that they add up to the whole.

use jiff::Timestamp;
use procedure::{Run, Standing};

use crate::desk::{Desk, DeskError};

use super::taken::first_moment;
use super::view::{Compared, ComparedStep};
use super::{interrupted, order, run_line, runs, texts, undone};

/// Runs compared side by side.
const COMPARED: usize = 5;
/// Runs given up that are told beside them.
const GIVEN_UP: usize = 10;

impl Desk {
    /// The last runs of one procedure side by side.
    ///
    /// # Errors
    /// No such procedure, or the record cannot be read.
    pub fn compare_runs(&self, key: &str) -> Result<Compared, DeskError> {
        let today = texts::one(self.folder(), key)?.procedure;
        let reader = self.reader();
        let all = runs::lately(&reader)?;
        let gathered = all.iter().rev().filter(|run| run.key == key);
        let (mut lines, mut given_up) = (Vec::new(), Vec::new());
        let (mut whole_min, mut whole_between) = (Vec::new(), Vec::new());
        let mut steps: Vec<ComparedStep> = today
            .steps
            .iter()
            .map(|step| ComparedStep {
                what: step.what.clone(),
                takes_min: step.takes_min,
                took_min: Vec::new(),
                out_of_order: Vec::new(),
                between: Vec::new(),
            })
            .collect();
        for gathered in gathered {
            let Ok((procedure, _)) = runs::followed(self.folder(), &reader, gathered) else {
                continue;
            };
            let undone = undone::of(&reader, &all, &procedure, gathered, Timestamp::MAX)?;
            let run = runs::fold(&procedure, gathered).undone_by(undone);
            let mut line = run_line(&run, gathered);
            line.undone = undone::told(&reader, &run, gathered.newest())?;
            if line.given_up.is_some() {
                // Nothing of it can be held against a whole run.
                given_up.push(line);
                continue;
            }
            if lines.len() >= COMPARED {
                continue;
            }
            let first = first_moment(&run, gathered.began());
            // From the first tick to the last: how long a list lay open before is no time of it.
            let first_tick = run.standing.iter().flatten().map(Standing::at).min();
            let whole = line.ended.map(|end| (first_tick.unwrap_or(first), end));
            let breaks = interrupted::breaks(&all, &procedure, gathered.id);
            whole_min.push(whole.map(|(from, to)| minutes(from, to)));
            whole_between.push(whole.and_then(|(from, to)| interrupted::within(&breaks, from, to)));
            let moved = order::moved(&run);
            for (step, compared) in today.steps.iter().zip(&mut steps) {
                let place = run.procedure.place(&step.key);
                let swapped = moved.iter().any(|(step, _)| Some(*step) == place);
                let took = took(&run, &step.key, first).filter(|_| !swapped);
                compared.took_min.push(took.map(|(from, to)| minutes(from, to)));
                let between = took.and_then(|(from, to)| interrupted::within(&breaks, from, to));
                compared.between.push(between);
                compared.out_of_order.push(swapped);
            }
            lines.push(line);
        }
        given_up.truncate(GIVEN_UP);
        Ok(Compared { name: today.name, runs: lines, given_up, steps, whole_min, whole_between })
    }
}

/// From the step that was done before this one, in the order of time and then of the list, or from the first moment of the
/// run, to this one.
fn took(run: &Run<'_>, key: &str, first: Timestamp) -> Option<(Timestamp, Timestamp)> {
    let place = run.procedure.place(key)?;
    let at = run.standing[place].as_ref().map(Standing::at)?;
    let stood = run.standing.iter().enumerate();
    let before = stood
        .filter_map(|(other, standing)| Some((standing.as_ref()?.at(), other)))
        .filter(|other| *other < (at, place))
        .map(|(at, _)| at)
        .max();
    Some((before.unwrap_or(first).min(at), at))
}

/// Whole minutes by the clock.
pub(super) fn minutes(from: Timestamp, to: Timestamp) -> f64 {
    let minute = |at: Timestamp| at.as_second().div_euclid(60);
    #[allow(clippy::cast_precision_loss)] // minutes of a run
    let min = (minute(to) - minute(from)) as f64;
    min
}
