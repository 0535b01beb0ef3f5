//! What was done at a step, and why it could not be, in sentences.

use jiff::Timestamp;
use procedure::{Act, Beside, Procedure, Run, Wrong};

use crate::desk::{Desk, DeskError};

use super::words::{Teller, time};

impl Desk {
    /// Why something cannot be done, with labels and ship's time.
    pub(super) fn wrong(
        &self,
        wrong: &Wrong,
        run: Option<(&Run<'_>, &str)>,
        now: Timestamp,
    ) -> Result<String, DeskError> {
        let clock = self.clock()?;
        let time = |at| time(&clock, at, now);
        Ok(match wrong {
            Wrong::Stands { step } => {
                let place = run.and_then(|(run, _)| Some((run, run.procedure.place(step)?)));
                match place.and_then(|(run, place)| Some((place, run.standing[place].as_ref()?))) {
                    Some((place, standing)) => {
                        let (at, by) = (time(standing.at()), standing.by());
                        format!("Step {} was written down by {by} at {at}: that stands.", place + 1)
                    }
                    None => wrong.to_string(),
                }
            }
            Wrong::Ahead { at, .. } => {
                format!("{} lies ahead: it is {}. Give the true time.", time(*at), time(now))
            }
            Wrong::TooEarly { at, after } => {
                let began = run.is_some_and(|(run, step)| {
                    let place = run.procedure.place(step);
                    place.is_some_and(|place| {
                        run.standing[place].is_none() && run.since(place).is_none()
                    })
                });
                let (at, after) = (time(*at), time(*after));
                if began {
                    format!(
                        "{at} lies before the beginning of this run, {after}: tick it at that time or later. A reading taken before it is written with its own time by “Write readings only”, or on the page Readings; it counts too."
                    )
                } else {
                    format!(
                        "{at} lies before what was done before it, {after}: give the true time."
                    )
                }
            }
            Wrong::Ended
                if let Some((at, by, reason)) = run.and_then(|(run, _)| run.abandoned.as_ref()) =>
            {
                format!(
                    "This run is over: it was given up at {} by {by}, “{reason}”. Nothing more is ticked in it, and what was typed is not written down.",
                    time(*at)
                )
            }
            Wrong::NotDone { step } => match run.and_then(|(run, _)| run.procedure.place(step)) {
                Some(place) => format!("Step {} is not done.", place + 1),
                None => wrong.to_string(),
            },
            other => {
                let words = other.to_string();
                let mut signs = words.chars();
                let first = signs.next().map(|c| c.to_uppercase().to_string()).unwrap_or_default();
                format!("{first}{}.", signs.as_str())
            }
        })
    }
}

/// What was done, for who reads the log.
pub(super) fn sentence(procedure: &Procedure, act: &Act, teller: &Teller<'_>) -> String {
    let step = act.step().and_then(|key| Some((key, procedure.place(key)?)));
    let of_step =
        step.map(|(_, place)| format!("step {}, {}", place + 1, procedure.steps[place].what));
    let of_step = of_step.unwrap_or_default();
    let name = &procedure.name;
    let also = |beside: &Beside| {
        let mut also = String::new();
        for (word, text) in
            [("Not as wanted: ", &beside.unmet), ("", &beside.remark), ("Written: ", &beside.note)]
        {
            if !text.is_empty() {
                also = format!("{also} {word}{text}");
            }
        }
        if !beside.second.is_empty() {
            also = format!("{also} Second person: {}", beside.second);
        }
        also
    };
    match act {
        Act::Began { .. } => format!("{name}: begun"),
        Act::Done { beside, .. } => format!("{name}: {of_step}{}", also(beside)),
        Act::Looked { beside, .. } if beside.unmet.is_empty() => {
            format!("{name}: looked at again, now as wanted: {of_step}{}", also(beside))
        }
        Act::Looked { beside, .. } => format!("{name}: looked at again: {of_step}{}", also(beside)),
        Act::TakenBack { .. } => format!("{name}: taken back {of_step}"),
        Act::Mended { time, hand, anew, .. } => {
            let anew = anew.as_ref().map(&also).unwrap_or_default();
            format!("{name}: mended, done at {} by {hand}: {of_step}{anew}", teller.time(*time))
        }
        Act::SoItWas { by, .. } => {
            format!("{name}: the times do not follow the list, and so it was, says {by}")
        }
        Act::HandedOver { by, to, .. } if by.eq_ignore_ascii_case(to) => {
            format!("{name}: taken over by {to}")
        }
        Act::HandedOver { by, to, .. } => format!("{name}: handed over to {to} by {by}"),
        Act::Passed { .. } => format!("{name}: passed over {of_step}"),
        Act::Overrode { .. } => format!("{name}: against the guard {of_step}"),
        Act::Named { by, .. } => format!("{name}: what was done without initials was done by {by}"),
        Act::Abandoned { .. } => format!("{name}: given up"),
    }
}
