//! Runs as the page Now tells them: those under way, and what one that was given up left as its ticks had it.

use std::path::Path;

use jiff::Timestamp;
use logbook::Reader;
use procedure::{Nature, Run, Standing};

use crate::desk::DeskError;
use crate::round::Round;

use super::plant::{HEAT_OFF, HEAT_ON};
use super::runs::{self, Gathered};
use super::view::Sort;
use super::{begin, order, taken};

/// Open steps named at most.
const NAMED: usize = 3;

/// A run under way.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct UnderWay {
    /// What its list is called.
    pub name: String,
    /// Key of the list.
    pub key: String,
    /// What kind of list it is.
    pub sort: Sort,
    /// Number of its first entry.
    pub run: u64,
    /// When it was begun.
    pub since: Timestamp,
    /// Who leads it.
    pub led_by: String,
    /// Its newest tick; none while nothing is ticked.
    pub ticked: Option<Timestamp>,
    /// The first open step in few words: "step 3 of 8 (cool)".
    pub step: String,
    /// Steps done or passed over.
    pub done: usize,
    /// Steps of the list.
    pub steps: usize,
}

/// A run of a list that brings the plant up or down, given up before its end and settled by nothing since.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LeftOpen {
    /// What its list is called.
    pub name: String,
    /// Number of its first entry.
    pub run: u64,
    /// When it was given up.
    pub at: Timestamp,
    /// By whom.
    pub by: String,
    /// Its newest tick.
    pub ticked: Timestamp,
    /// Steps done or passed over.
    pub done: usize,
    /// Steps of the list.
    pub steps: usize,
    /// The heat was taken off by it (`false`) or put on (`true`), and when; none where it did neither.
    pub heat: Option<(bool, Timestamp)>,
    /// The first open steps in few words.
    pub open: Vec<String>,
    /// How many more are open.
    pub more: usize,
    /// The safe way out from where it was left.
    pub way_out: String,
}

/// Both, as they stand at a moment.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(crate) struct Runs {
    /// Emergencies first, then the one ticked last.
    pub(crate) under_way: Vec<UnderWay>,
    /// The newest first.
    pub(crate) left: Vec<LeftOpen>,
}

/// What Now tells of runs: `rounds` are those of late, `plant` what was last written of it.
///
/// # Errors
/// The record cannot be read.
pub(crate) fn told(
    folder: &Path,
    reader: &Reader,
    rounds: &[Round],
    plant: Option<(bool, Timestamp)>,
    now: Timestamp,
) -> Result<Runs, DeskError> {
    let (mut found, mut moved) = (Runs::default(), Vec::new());
    for mut gathered in runs::newest(reader)? {
        gathered.acts.retain(|act| act.at() <= now);
        if gathered.acts.is_empty() {
            continue;
        }
        let Ok((procedure, _)) = runs::followed(folder, reader, &gathered) else { continue };
        let run = runs::fold(&procedure, &gathered);
        let of_plant = begin::of_plant(&gathered.key)
            || [HEAT_OFF, HEAT_ON].iter().any(|key| procedure.place(key).is_some());
        let ticked = run.standing.iter().flatten().map(Standing::at).max();
        moved.extend(ticked.filter(|_| of_plant).map(|at| (gathered.id, at)));
        if run.abandoned.is_some() {
            found.left.extend(of_plant.then(|| left_open(&run, &gathered)).flatten());
        } else if run.standing.iter().any(Option::is_none) {
            found.under_way.push(under_way(&run, &gathered, ticked));
        }
    }
    // A list of the plant ticked behind its last tick, a whole round or a word written of her since tells how she stands now.
    let round = rounds.iter().rev().find(|round| round.is_whole()).map(|round| round.at);
    let told = round.max(plant.map(|(_, at)| at));
    found.left.retain(|left| {
        // In the same second a run begun later was ticked later.
        let later = |(run, at): &(u64, Timestamp)| (*at, *run) > (left.ticked, left.run);
        told.is_none_or(|told| told <= left.at) && !moved.iter().any(later)
    });
    found.left.sort_by_key(|left| std::cmp::Reverse(left.at));
    found.under_way.sort_by_key(|one| {
        let newest = one.ticked.unwrap_or(one.since);
        (one.sort != Sort::Emergency, std::cmp::Reverse((newest, one.run)))
    });
    Ok(found)
}

fn under_way(run: &Run<'_>, gathered: &Gathered, ticked: Option<Timestamp>) -> UnderWay {
    let steps = run.standing.len();
    let place = run.standing.iter().position(Option::is_none).unwrap_or(0);
    UnderWay {
        name: run.procedure.name.clone(),
        key: gathered.key.clone(),
        sort: Sort::of(run.procedure.nature),
        run: gathered.id,
        since: taken::first_moment(run, gathered.began()),
        led_by: run.led_by().unwrap_or_default().to_owned(),
        ticked,
        step: format!("step {} of {steps} ({})", place + 1, order::short(run, place)),
        done: run.standing.iter().flatten().count(),
        steps,
    }
}

/// What a run left open; none where nothing of it was done, for then nothing was moved by it.
fn left_open(run: &Run<'_>, gathered: &Gathered) -> Option<LeftOpen> {
    let (at, by, _) = run.abandoned.clone()?;
    let ticked = run.standing.iter().flatten().map(Standing::at).max()?;
    let open: Vec<usize> = (0..run.standing.len()).filter(|i| run.standing[*i].is_none()).collect();
    let heat = |key: &str, on: bool| {
        let standing = run.standing[run.procedure.place(key)?].as_ref()?;
        standing.is_done().then(|| (standing.at(), on))
    };
    let heat = heat(HEAT_ON, true).max(heat(HEAT_OFF, false)).map(|(at, on)| (on, at));
    // Of a stop begun behind its first step nothing leads out but that step.
    let first = match run.procedure.nature {
        Nature::Work => "",
        _ => run.procedure.steps.first().map_or("", |step| step.what.as_str()),
    };
    let named = open.iter().take(NAMED);
    Some(LeftOpen {
        name: run.procedure.name.clone(),
        run: gathered.id,
        at,
        by,
        ticked,
        done: run.standing.len() - open.len(),
        steps: run.standing.len(),
        heat,
        open: named.map(|i| format!("step {} ({})", i + 1, order::short(run, *i))).collect(),
        more: open.len().saturating_sub(NAMED),
        way_out: run.way_out().unwrap_or(first).to_owned(),
    })
}
