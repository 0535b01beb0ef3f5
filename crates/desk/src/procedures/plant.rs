//! What runs of lists say of the plant since the last round: the heat was taken off, or a start is under way.

use std::path::Path;

use jiff::Timestamp;
use logbook::Reader;
use procedure::{Act, Run, Standing};

use crate::desk::DeskError;
use crate::round::Round;

use super::runs::{self, Gathered};

/// Steps of lists after whose tick there is no heat on the plant, whichever list they are of, and there is.
pub(super) const HEAT_OFF: &str = "heat-off";
pub(super) const HEAT_ON: &str = "crack-heat";
/// The list that brings the plant up.
const START: &str = "start";
/// Steps of it at which heat is on the plant.
const HEATED: [&str; 3] = [HEAT_ON, "by-pass", "boiling"];

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
    /// A start and a list that took the heat off are both under way, and each was ticked after the other began.
    Both {
        /// The newest tick of the two.
        at: Timestamp,
        /// What the list is called that took the heat off, and the start.
        names: [String; 2],
        /// Numbers of their first entries, in the same order.
        runs: [u64; 2],
    },
}

impl ByList {
    /// From when on nothing is expected of the plant.
    #[must_use]
    pub fn since(&self) -> Timestamp {
        match self {
            Self::Stopped { at, .. } | Self::Both { at, .. } => *at,
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
    let (mut off, mut heated, mut start) = (None::<Off>, None, None::<(Timestamp, ByList)>);
    for mut gathered in runs::newest(reader)? {
        gathered.acts.retain(|act| act.at() <= now);
        if !newer(gathered.newest()) {
            continue;
        }
        let Ok((procedure, _)) = runs::followed(folder, reader, &gathered) else { continue };
        let run = runs::fold(&procedure, &gathered);
        let done = |key: &str| done_at(&run, key).filter(|at| newer(*at));
        let stood = run.standing.iter().flatten().count();
        let open = run.abandoned.is_none() && stood > 0 && stood < run.standing.len();
        let newest = run.standing.iter().flatten().map(Standing::at).max();
        let (id, name) = (gathered.id, procedure.name.clone());
        if let Some(at) = done(HEAT_OFF).filter(|at| off.as_ref().is_none_or(|off| off.at < *at)) {
            off = Some(Off { at, name: name.clone(), run: id, open, newest: newest.unwrap_or(at) });
        }
        if procedure.key == START {
            heated =
                HEATED.iter().filter_map(|key| done(key)).fold(heated, |h, at| h.max(Some(at)));
            let ticked = newest.filter(|at| open && newer(*at));
            if let Some(ticked) = ticked.filter(|_| newer(gathered.began())) {
                let (since, steps) = (gathered.began(), procedure.steps.len());
                start =
                    Some((ticked, ByList::Starting { since, name, run: id, done: stood, steps }));
            }
        }
    }
    // The newest tick of any run counts: of a start under way any step, of one that is over those with heat on the plant.
    Ok(match (off, start) {
        (Some(off), Some((ticked, start))) if off.at < ticked => match start {
            ByList::Starting { name, run, .. } if off.open => Some(ByList::Both {
                at: ticked.max(off.newest),
                names: [off.name, name],
                runs: [off.run, run],
            }),
            start => Some(start),
        },
        (Some(off), _) if heated.is_none_or(|heated| heated < off.at) => {
            Some(ByList::Stopped { at: off.at, name: off.name })
        }
        (_, start) => start.map(|(_, start)| start),
    })
}

/// Heat taken off by a list.
struct Off {
    at: Timestamp,
    name: String,
    run: u64,
    /// The list is under way.
    open: bool,
    /// Its newest tick.
    newest: Timestamp,
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
            all.extend(ticked(&gathered, key).map(|at| (at, on)));
        }
    }
    Ok(all)
}

/// When a step of this key was ticked in a run, as it stands now: none where that was taken back.
pub(super) fn ticked(gathered: &Gathered, key: &str) -> Option<Timestamp> {
    let of_it = |act: &&Act| act.step() == Some(key);
    gathered.acts.iter().filter(of_it).fold(None, |at, act| match act {
        Act::Done { at: ticked, .. } | Act::Overrode { at: ticked, .. } => at.or(Some(*ticked)),
        Act::Mended { time, .. } => at.map(|_| *time),
        Act::TakenBack { .. } => None,
        _ => at,
    })
}
