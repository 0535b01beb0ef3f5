//! What runs of lists say of the plant since the last round: the heat was taken off, or a start is under way.

use std::path::Path;

use jiff::Timestamp;
use logbook::Reader;
use procedure::{Act, Run};

use crate::desk::DeskError;
use crate::round::Round;

use super::runs;

/// Steps of lists after whose tick there is no heat on the plant, whichever list they are of, and there is.
const HEAT_OFF: &str = "heat-off";
const HEAT_ON: &str = "crack-heat";
/// The list that brings the plant up.
const START: &str = "start";

/// How the plant stands by a list that was followed since the last round.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum ByList {
    /// The heat was taken off.
    Stopped {
        /// When.
        at: Timestamp,
        /// What the list is called.
        name: String,
    },
    /// A start is under way.
    Starting {
        /// When it was begun.
        since: Timestamp,
        /// What the list is called.
        name: String,
        /// Number of its first entry.
        run: u64,
        /// Steps done or passed over.
        done: usize,
        /// Steps of the list.
        steps: usize,
    },
}

impl ByList {
    /// From when on nothing is expected of the plant.
    #[must_use]
    pub fn since(&self) -> Timestamp {
        match self {
            Self::Stopped { at, .. } => *at,
            Self::Starting { since, .. } => *since,
        }
    }
}

/// How the plant stands by the lists followed since the last whole round of a running plant, and since it was last said to be
/// on; none where they say nothing.
///
/// # Errors
/// The record cannot be read.
pub(crate) fn by_lists(
    folder: &Path,
    reader: &Reader,
    rounds: &[Round],
    plant: Option<(bool, Timestamp)>,
    now: Timestamp,
) -> Result<Option<ByList>, DeskError> {
    let ran = rounds.iter().rev().find(|round| round.is_whole() && round.running());
    let on = plant.filter(|(on, _)| *on).map(|(_, at)| at);
    let told = ran.map(|round| round.at).max(on);
    let newer = |at: Timestamp| at <= now && told.is_none_or(|told| at > told);
    let (mut off, mut heated, mut start) = (None::<(Timestamp, String)>, None, None);
    for mut gathered in runs::newest(reader)? {
        gathered.acts.retain(|act| act.at() <= now);
        if !newer(gathered.newest()) {
            continue;
        }
        let Ok((procedure, _)) = runs::followed(folder, reader, &gathered) else { continue };
        let run = runs::fold(&procedure, &gathered);
        let done = |key: &str| done_at(&run, key).filter(|at| newer(*at));
        if let Some(at) = done(HEAT_OFF).filter(|at| off.as_ref().is_none_or(|(o, _)| o < at)) {
            off = Some((at, procedure.name.clone()));
        }
        heated = heated.max(done(HEAT_ON));
        let stood = run.standing.iter().flatten().count();
        let open = run.abandoned.is_none() && stood > 0 && stood < run.standing.len();
        if procedure.key == START && open && newer(gathered.began()) {
            let (since, name) = (gathered.began(), procedure.name.clone());
            let (run, steps) = (gathered.id, procedure.steps.len());
            start = Some(ByList::Starting { since, name, run, done: stood, steps });
        }
    }
    // What came last counts: a start begun after the heat was off, or heat off in the midst of one.
    let after = |at: &Timestamp| heated.is_none_or(|heated| heated < *at);
    let off = off.filter(|(at, _)| after(at));
    Ok(match (off, start) {
        (Some((at, name)), start) if start.as_ref().is_none_or(|start| start.since() < at) => {
            Some(ByList::Stopped { at, name })
        }
        (_, start) => start,
    })
}

/// When a step of this key was done.
fn done_at(run: &Run<'_>, key: &str) -> Option<Timestamp> {
    let standing = run.standing[run.procedure.place(key)?].as_ref()?;
    standing.is_done().then(|| standing.at())
}

/// When heat went on (`true`) and off by lists, as it stands now: what was taken back is none, what was mended has its true
/// time. Of no order.
///
/// # Errors
/// The record cannot be read.
pub(crate) fn switches(reader: &Reader) -> Result<Vec<(Timestamp, bool)>, DeskError> {
    let mut all = Vec::new();
    for gathered in runs::lately(reader)? {
        for (key, on) in [(HEAT_ON, true), (HEAT_OFF, false)] {
            let of_it = |act: &&Act| act.step() == Some(key);
            let at = gathered.acts.iter().filter(of_it).fold(None, |at, act| match act {
                Act::Done { at: ticked, .. } | Act::Overrode { at: ticked, .. } => {
                    at.or(Some(*ticked))
                }
                Act::Mended { time, .. } => at.map(|_| *time),
                Act::TakenBack { .. } => None,
                _ => at,
            });
            all.extend(at.map(|at| (at, on)));
        }
    }
    Ok(all)
}
