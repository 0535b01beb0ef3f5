//! A step as it is shown: what it asks for, how that stands, and how it was done.

use jiff::{SignedDuration, Timestamp};
use procedure::{Condition, Run, Standing, Step, Times, Told, Towards, Unmet};

use crate::field::{self, Role};
use crate::typed::digits;

use super::foretold;
use super::texts::VACUUM;
use super::view::{CorrectedView, LookView, StandingView, StepView, ToRead, WantedView};
use super::words::{self, Teller};

pub(super) fn standing_view(standing: &Standing, told: &Told) -> StandingView {
    let (reason, held) = match standing {
        Standing::Done { .. } => (None, None),
        Standing::Passed { reason, .. } => (Some(reason.clone()), None),
        Standing::Overridden { reason, held, .. } => (Some(reason.clone()), Some(held.clone())),
    };
    let beside = told.beside.clone();
    let stands_out = told.stands_out();
    let looks = told.looks.iter().map(|look| LookView {
        at: look.at,
        by: look.by.clone(),
        unmet: look.beside.unmet.clone(),
        note: look.beside.note.clone(),
        second: look.beside.second.clone(),
    });
    StandingView {
        word: match standing {
            Standing::Passed { .. } => "passed over",
            Standing::Overridden { .. } => "done against its guard",
            Standing::Done { .. } if stands_out => "done, not as wanted",
            Standing::Done { .. } if !beside.unmet.is_empty() => {
                "done, not as wanted then; as wanted later"
            }
            Standing::Done { .. } => "done",
        },
        at: standing.at(),
        by: standing.by().to_owned(),
        reason,
        held,
        unmet: beside.unmet,
        remark: beside.remark,
        note: beside.note,
        second: beside.second,
        looks: looks.collect(),
        stands_out,
        corrected: Vec::new(),
    }
}

/// A step that was as wanted and is not any more, by a figure that was put right since.
pub(super) fn judge_again(standing: &mut StandingView, corrected: Vec<CorrectedView>) {
    if !corrected.is_empty() {
        standing.word = "done, not as wanted any more";
        standing.stands_out = true;
    }
    standing.corrected = corrected;
}

/// A step; of the one under way also what it asks for and how that stands.
pub(crate) fn step_view(
    teller: &Teller<'_>,
    place: usize,
    step: &Step,
    under_way: Option<(&Run<'_>, usize)>,
) -> StepView {
    let since = under_way.and_then(|(run, place)| run.since(place));
    // What has come is not late, only not seen for long enough.
    let mut waits = false;
    let wanted = |condition: &Condition| WantedView {
        words: teller.wanted(condition),
        unmet: under_way.and_then(|_| {
            let unmet = condition.met(teller.board, since, teller.now).err()?;
            waits |= !matches!(unmet, Unmet::TooShort { .. });
            Some(teller.unmet(&unmet))
        }),
        lasts: under_way
            .map_or_else(String::new, |(run, place)| lasts(teller, condition, run, place)),
    };
    let wanted: Vec<WantedView> = step.see.iter().map(wanted).collect();
    StepView {
        no: place + 1,
        key: step.key.clone(),
        what: step.what.clone(),
        why: step.why.clone(),
        otherwise: step.otherwise.clone(),
        caution: step.caution.clone(),
        look: step.look.clone(),
        wanted,
        reads: under_way.map_or_else(Vec::new, |(run, place)| {
            let also = run.also_asked(place, teller.board, teller.now);
            reads(teller, (step, &also), run.counted_from(place, teller.now))
        }),
        holds: teller.procedure.holds(step),
        towards: match step.towards {
            Towards::Heat => "more heat",
            Towards::Tank => "a tank or a tap",
            Towards::Chemicals => "work with chemicals",
            Towards::Nothing => "",
        },
        who: step.who.aboard(),
        overridden_by: step.overridden_by.aboard(),
        takes_min: step.takes_min,
        wait_min: step.wait_min,
        foretold: foretold::view(teller, step, under_way, waits),
        way_out: step.way_out.clone(),
        note: step.note.clone(),
        second: step.second.clone(),
        readings: Vec::new(),
        changes: Vec::new(),
        own: None,
        standing: None,
    }
}

/// Of what must last: by which readings it was shown to, or from when its time counts and till when at the earliest.
fn lasts(teller: &Teller<'_>, condition: &Condition, run: &Run<'_>, place: usize) -> String {
    let since = run.since(place);
    let shown = condition.shown_by(teller.board, since, teller.now);
    let times: Vec<String> = shown.iter().map(|at| teller.time(*at)).collect();
    match times.as_slice() {
        [] => {}
        [one] => return format!("read {one}"),
        [first, between @ .., last] if between.len() <= 3 => {
            let comma = between.iter().fold(first.clone(), |all, at| format!("{all}, {at}"));
            return format!("read {comma} and {last}");
        }
        [first, .., last] => return format!("read {} times from {first} to {last}", times.len()),
    }
    let least = condition.terms.iter().filter_map(|term| match term.times {
        Times::Lasting(min) => Some(min),
        Times::Once => None,
    });
    let (Some(min), Some(from)) = (least.reduce(f64::min), since) else { return String::new() };
    // One time, that of the guard: from the first reading that says so; after one that does not, from the next.
    match condition.met(teller.board, since, teller.now).err() {
        Some(Unmet::TooShort { since, until, .. }) => {
            return format!("counts from {}; till {}", teller.time(since), teller.time(until));
        }
        Some(Unmet::Out { .. }) => {
            return format!("counts {min:.0} min anew from the next reading that says so");
        }
        _ => {}
    }
    let since = from;
    #[allow(clippy::cast_possible_truncation)] // some days of seconds
    let span = SignedDuration::from_secs((min * 60.0).ceil() as i64);
    let Ok(till) = since.checked_add(span) else { return String::new() };
    let before = run.standing[..place]
        .iter()
        .rposition(|standing| standing.as_ref().is_some_and(|standing| standing.at() == since));
    let ticked = before.map_or_else(String::new, |at| format!(", when step {} was ticked", at + 1));
    format!(
        "counts from {}{ticked}; till {} at the earliest",
        teller.time(since),
        teller.time(till)
    )
}

/// The readings that a step's conditions ask for, each once; a corrected vacuum is read by gauge and barometer.
/// `also` is what is asked of the step from outside. What must last and was read last before `from` is said not to count.
pub(super) fn reads(
    teller: &Teller<'_>,
    (step, also): (&Step, &[&Condition]),
    from: Option<Timestamp>,
) -> Vec<ToRead> {
    let mut found: Vec<ToRead> = Vec::new();
    for condition in step.see.iter().chain(also.iter().copied()) {
        for term in &condition.terms {
            let names: &[&str] = match term.name.as_str() {
                VACUUM => &["shell_gauge_bar_g", "barometer_hpa"],
                name => &[name],
            };
            for name in names {
                let known = field::reading(name).filter(|r| found.iter().all(|f| f.key != r.key));
                let Some(reading) = known else { continue };
                let last = teller.board.newest(reading.key).map(|newest| {
                    let unit = words::symbol(reading.key);
                    let early = from.is_some_and(|from| newest.at < from);
                    let at = match term.times {
                        Times::Lasting(min) if early => format!(
                            "{}, before the {min:.0} min: does not count",
                            teller.time(newest.at)
                        ),
                        _ => teller.time(newest.at),
                    };
                    (format!("{} {unit}", newest.text).trim().to_owned(), at)
                });
                let numeric = !reading.unit.is_empty();
                found.push(ToRead {
                    key: reading.key,
                    label: reading.label,
                    place: reading.place,
                    unit: words::symbol(reading.key),
                    step: if numeric {
                        digits(reading.step, decimals(reading.step))
                    } else {
                        String::new()
                    },
                    words: match reading.role {
                        Role::Word(words) => words,
                        _ => &[],
                    },
                    wanted: match (term.name.as_str(), *name) {
                        (VACUUM, "barometer_hpa") => "corrects the gauge".to_owned(),
                        _ => teller.wanted_of(&term.name, condition),
                    },
                    last,
                });
            }
        }
    }
    found
}

fn decimals(step: f64) -> u8 {
    if step.fract() == 0.0 { 0 } else { 1 }
}
