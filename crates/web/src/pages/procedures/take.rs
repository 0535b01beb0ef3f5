//! What is sent from a run: begun, read, ticked, passed over, given up; or the page again as it was typed.

use axum::extract::State;
use axum::response::{IntoResponse, Redirect, Response};
use desk::procedures::{Doing, Outcome, StepError, TypedReading, What};
use desk::{Desk, DeskError};
use jiff::Timestamp;

use crate::app::App;
use crate::form::FormState;
use crate::reader::Reader;
use crate::shiptime;
use crate::trouble::Trouble;

use super::step::READ;
use super::{HELD, list_page, number, run_address, run_page};

/// What is said after something was written down, by the word in the address.
pub(super) const DONE: &[(&str, &str)] = &[
    ("begun", "Begun: it stands in the record."),
    ("done", "Written down."),
    ("read", "The readings are written down."),
    (
        "warned",
        "Written down. Not everything was as it should be: nothing holds here, look at that step again.",
    ),
    ("up", "Given up: it stands in the record."),
    ("other", "The other run is given up."),
    ("named", "Named: it stands in the record."),
    (
        "order",
        "Written down. The times do not follow the list: a later step stands before an earlier one. Is it so?",
    ),
];

/// What is wrong with what was typed: a field (empty for the whole) and why.
type Wrong = Vec<(String, String)>;

fn wrong(field: &str, why: impl ToString) -> Wrong {
    vec![(field.to_owned(), why.to_string())]
}

/// A moment typed in ship's time; none where nothing was. A time of day alone is that of today, or of yesterday where it
/// would lie ahead.
fn moment(
    desk: &Desk,
    field: &str,
    text: &str,
    now: Timestamp,
) -> Result<Option<Timestamp>, Wrong> {
    let text = text.trim();
    if text.is_empty() {
        return Ok(None);
    }
    let clock = desk.clock().map_err(|e| wrong(field, e))?;
    let Some(time) = of_day(text) else {
        return shiptime::instant(&clock, text, now).map(Some).map_err(|why| wrong(field, why));
    };
    let today = clock.local(now).date();
    let days = [Some(today), today.yesterday().ok()];
    let found = days
        .into_iter()
        .flatten()
        .find_map(|day| clock.instant(day.to_datetime(time), now).filter(|at| *at <= now));
    found.map(Some).ok_or_else(|| wrong(field, format!("“{text}” lies ahead: give the true time")))
}

/// "04:12", "0412", "4.12".
fn of_day(text: &str) -> Option<jiff::civil::Time> {
    let (hours, minutes) = match text.split_once([':', '.']) {
        Some(parts) => parts,
        None if text.len() == 4 && text.is_ascii() => text.split_at(2),
        None => return None,
    };
    let short =
        |part: &str| (1..=2).contains(&part.len()) && part.bytes().all(|b| b.is_ascii_digit());
    if !short(hours) || !short(minutes) {
        return None;
    }
    jiff::civil::Time::new(hours.parse().ok()?, minutes.parse().ok()?, 0, 0).ok()
}

fn refuse(form: &mut FormState, faults: Wrong) {
    for (field, why) in faults {
        if field.is_empty() { form.refuse_whole(why) } else { form.refuse(field, why) }
    }
}

/// Initials are asked for beside their field, everything else is told of the whole.
fn of_desk(by: &str) -> impl Fn(DeskError) -> Wrong {
    move |e| {
        let told = e.to_string();
        match told.strip_prefix("Initials: ") {
            Some(why) => wrong(by, why),
            None => wrong("", told),
        }
    }
}

pub(super) async fn begin(
    State(app): State<App>,
    reader: Reader,
    mut form: FormState,
) -> Result<Response, Trouble> {
    let (desk, sent, now) = (app.desk().clone(), form.clone(), app.clock().now());
    let begun = app.work().run(move |_| {
        let at = moment(&desk, "at", sent.typed("at"), now)?;
        desk.begin_run(sent.typed("key"), sent.typed("by"), at, now).map_err(of_desk("by"))
    });
    match begun.await? {
        Ok(id) => Ok(Redirect::to(&format!("{}&begun", run_address(id))).into_response()),
        Err(faults) => {
            refuse(&mut form, faults);
            list_page(&app, &reader, form, None).await
        }
    }
}

pub(super) async fn step(
    State(app): State<App>,
    reader: Reader,
    mut form: FormState,
) -> Result<Response, Trouble> {
    let id = number(form.typed("run"))?;
    let (desk, sent, now) = (app.desk().clone(), form.clone(), app.clock().now());
    let done = app.work().run(move |_| one(&desk, id, &sent, now));
    match done.await? {
        Ok((Outcome::Written { warned }, read)) => {
            let word = match (warned.is_empty(), read) {
                (false, _) => "warned",
                (true, true) => "read",
                (true, false) => "done",
            };
            Ok(Redirect::to(&format!("{}&{word}", run_address(id))).into_response())
        }
        Ok((Outcome::Held { why, overridden_by }, _)) => {
            let names: Vec<String> = form.fields().map(|(name, _)| name.to_owned()).collect();
            // What was read is in the record now; the boxes are free for the next.
            for name in names.iter().filter(|name| name.starts_with(READ)) {
                form.set(name, "");
            }
            form.set(HELD, "yes");
            for why in why {
                form.refuse_whole(why);
            }
            form.refuse_whole(format!(
                "The step is held; readings typed are written down. Going on all the same is for the {overridden_by}."
            ));
            run_page(&app, &reader, id, form, None).await
        }
        Err(faults) => {
            refuse(&mut form, faults);
            run_page(&app, &reader, id, form, None).await
        }
    }
}

/// Does what was sent; whether only readings were meant.
fn one(desk: &Desk, id: u64, form: &FormState, now: Timestamp) -> Result<(Outcome, bool), Wrong> {
    let at = moment(desk, "at", form.typed("at"), now)?;
    let readings: Vec<TypedReading> = form
        .fields()
        .filter_map(|(name, text)| {
            Some((name.strip_prefix(READ)?.to_owned(), text.to_owned(), String::new()))
        })
        .collect();
    let reason = form.typed("reason");
    let what = match form.typed("do") {
        "read" => What::Read,
        "pass" => What::Pass { reason },
        "override" => What::Override { who: form.typed("who"), reason },
        _ => What::Tick { looked: form.typed("looked") == "yes" },
    };
    let doing = Doing {
        run: id,
        step: form.typed("step"),
        by: form.typed("by"),
        at,
        readings: &readings,
        what,
        token: form.once(),
    };
    match desk.do_step(&doing, now) {
        Ok(outcome) => Ok((outcome, what == What::Read)),
        Err(StepError::Typed(faults)) => {
            Err(faults.into_iter().map(|(key, why)| (format!("{READ}{key}"), why)).collect())
        }
        Err(StepError::Desk(e)) => Err(of_desk("by")(e)),
    }
}

pub(super) async fn afterwards(
    State(app): State<App>,
    reader: Reader,
    mut form: FormState,
) -> Result<Response, Trouble> {
    let id = number(form.typed("run"))?;
    let (desk, sent, now) = (app.desk().clone(), form.clone(), app.clock().now());
    let done = app.work().run(move |_| {
        let mut steps = Vec::new();
        for key in sent.all("did") {
            let at = moment(&desk, "", sent.typed(&format!("t~{key}")), now)?;
            steps.push((key.clone(), at.unwrap_or(now)));
        }
        let by = sent.typed("after_by");
        desk.do_afterwards(id, by, &steps, now).map_err(of_desk("after_by"))
    });
    match done.await? {
        Ok(in_order) => {
            let word = if in_order { "done" } else { "order" };
            Ok(Redirect::to(&format!("{}&{word}", run_address(id))).into_response())
        }
        Err(faults) => {
            refuse(&mut form, faults);
            run_page(&app, &reader, id, form, None).await
        }
    }
}

pub(super) async fn name(
    State(app): State<App>,
    reader: Reader,
    mut form: FormState,
) -> Result<Response, Trouble> {
    let id = number(form.typed("run"))?;
    let (desk, by, now) = (app.desk().clone(), form.typed("named").to_owned(), app.clock().now());
    let done = app.work().run(move |_| desk.name_run(id, &by, now).map_err(of_desk("named")));
    match done.await? {
        Ok(()) => Ok(Redirect::to(&format!("{}&named", run_address(id))).into_response()),
        Err(faults) => {
            refuse(&mut form, faults);
            run_page(&app, &reader, id, form, None).await
        }
    }
}

pub(super) async fn give_up(
    State(app): State<App>,
    reader: Reader,
    mut form: FormState,
) -> Result<Response, Trouble> {
    let id = number(form.typed("run"))?;
    let (desk, sent, now) = (app.desk().clone(), form.clone(), app.clock().now());
    let done = app.work().run(move |_| {
        let (by, reason) = (sent.typed("give_by"), sent.typed("give_reason"));
        let what = What::GiveUp { reason };
        let doing =
            Doing { run: id, step: "", by, at: None, readings: &[], what, token: sent.once() };
        match desk.do_step(&doing, now) {
            Ok(_) => Ok(()),
            Err(StepError::Desk(e)) => Err(of_desk("give_by")(e)),
            // No reading is sent with it: should one be refused all the same, it is told.
            Err(StepError::Typed(faults)) => {
                Err(faults.into_iter().map(|(_, why)| ("give_reason".to_owned(), why)).collect())
            }
        }
    });
    match done.await? {
        Ok(()) => {
            let to = match form.typed("back").parse::<u64>() {
                Ok(back) => format!("{}&other", run_address(back)),
                Err(_) => format!("{}&up", run_address(id)),
            };
            Ok(Redirect::to(&to).into_response())
        }
        Err(faults) => {
            refuse(&mut form, faults);
            run_page(&app, &reader, id, form, None).await
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ident_a_time_of_day_is_read_as_it_is_spoken() {
        let at = |h, m| jiff::civil::Time::new(h, m, 0, 0).ok();
        for (text, time) in [("04:12", at(4, 12)), ("4.12", at(4, 12)), ("2359", at(23, 59))] {
            assert_eq!(of_day(text), time, "{text}");
        }
        for text in ["24:00", "4:5:6", "soon", "16.11.2026", "412", "04:60"] {
            assert_eq!(of_day(text), None, "{text}");
        }
    }
}
