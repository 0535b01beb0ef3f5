//! What is sent from a run: begun, read, ticked, passed over, given up; or the page again as it was typed.

use axum::extract::State;
use axum::response::{IntoResponse, Redirect, Response};
use desk::procedures::{
    Afterwards, Doing, Meanwhile, More, Outcome, StepError, TypedReading, What,
};
use desk::{Desk, DeskError};
use jiff::Timestamp;

use crate::app::App;
use crate::form::FormState;
use crate::reader::Reader;
use crate::shiptime;
use crate::trouble::Trouble;

use super::done::again_prefix;
use super::step::{AGAIN_TYPED, DOUBT, KEPT, NOT_TAKEN, OFFER, READ};
use super::{HELD, Said, list_page, number, run_address, run_page};

/// What is said after something was written down, by the word in the address.
pub(super) const DONE: &[(&str, &str)] = &[
    ("begun", "Begun: it stands in the record."),
    ("done", "Written down."),
    ("read", "The readings are written down."),
    ("up", "Given up: it stands in the record."),
    ("named", "Named: it stands in the record."),
    ("again", "Written down: looked at again."),
    ("back", "Taken back: the run stands at that step again. Both stand in the record."),
    ("mended", "Mended: what stood before stays in the record."),
    ("so", "Written down: so it was."),
    ("over", "Handed over: it stands in the record."),
    (
        "told",
        "Written down. Not everything is as the list has it: what was not stands below, with its step.",
    ),
];

/// What stands in a box of which nothing was read.
const UNREAD: [&str; 6] = ["", "n/a", "N/A", "na", "-", "–"];

/// What is wrong with what was typed: a field (empty for the whole) and why.
pub(super) type Wrong = Vec<(String, String)>;

pub(super) fn wrong(field: &str, why: impl ToString) -> Wrong {
    vec![(field.to_owned(), why.to_string())]
}

/// Of a time of day that lies ahead, yesterday's is meant where that is no longer ago than this, hours: a watch that began
/// before midnight.
const YESTERDAY_H: i64 = 12;

/// A moment typed in ship's time; none where nothing was. A time of day alone is that of today. Where it would lie ahead, it
/// is yesterday's if that was in the last hours, else it is asked about.
pub(super) fn moment(
    desk: &Desk,
    field: &str,
    text: &str,
    now: Timestamp,
) -> Result<Option<Timestamp>, Wrong> {
    let text = text.trim();
    if text.is_empty() {
        return Ok(None);
    }
    if text.eq_ignore_ascii_case("now") {
        return Ok(Some(now));
    }
    let clock = desk.clock().map_err(|e| wrong(field, e))?;
    let Some(time) = of_day(text) else {
        return shiptime::instant(&clock, text, now).map(Some).map_err(|why| wrong(field, why));
    };
    let today = clock.local(now).date();
    let of = |day: Option<jiff::civil::Date>| {
        clock.instant(day?.to_datetime(time), now).filter(|at| *at <= now)
    };
    if let Some(at) = of(Some(today)) {
        return Ok(Some(at));
    }
    let yesterday = of(today.yesterday().ok());
    match yesterday {
        Some(at) if now.duration_since(at).as_hours() < YESTERDAY_H => Ok(Some(at)),
        Some(at) => Err(wrong(
            field,
            format!(
                "“{text}” lies ahead: it is {}. Is yesterday meant? Then write {}; else give the true time",
                shiptime::short(&clock, now, now),
                shiptime::typed(&clock, at).replace('T', " ")
            ),
        )),
        None => Err(wrong(field, format!("“{text}” lies ahead: give the true time"))),
    }
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

pub(super) fn refuse(form: &mut FormState, faults: Wrong) {
    for (field, why) in faults {
        if field.is_empty() { form.refuse_whole(why) } else { form.refuse(field, why) }
    }
}

/// Initials are asked for beside their field, everything else is told of the whole.
pub(super) fn of_desk(by: &str) -> impl Fn(DeskError) -> Wrong {
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
        let meanwhile = match sent.typed("meanwhile") {
            "give-up" => Meanwhile::GiveUp,
            "both" => Meanwhile::GoOn,
            _ => Meanwhile::Ask,
        };
        let (key, by) = (sent.typed("key"), sent.typed("by"));
        desk.begin_run_beside(key, by, at, meanwhile, now).map_err(of_desk("by"))
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
    if take_offer(&mut form, "") {
        return run_page(&app, &reader, id, form, Said::Nothing).await;
    }
    let (desk, sent, now) = (app.desk().clone(), form.clone(), app.clock().now());
    let done = app.work().run(move |_| one(&desk, id, &sent, "", now));
    match done.await? {
        Ok((Outcome::Written { warned }, read)) => {
            let word = match (warned.is_empty(), read) {
                (_, true) => "read".to_owned(),
                (false, false) => format!("warned={}", form.typed("step")),
                (true, false) => "done".to_owned(),
            };
            Ok(Redirect::to(&format!("{}&{word}", run_address(id))).into_response())
        }
        Ok((Outcome::Held { why, overridden_by }, _)) => {
            let names: Vec<String> = form.fields().map(|(name, _)| name.to_owned()).collect();
            // What was read is in the record now; the boxes are free for the next.
            for name in names.iter().filter(|n| n.starts_with(READ) || n.starts_with(NOT_TAKEN)) {
                form.set(name, "");
            }
            form.set(HELD, "yes");
            for why in why {
                form.refuse_whole(why);
            }
            form.refuse_whole(format!(
                "The step is held; readings typed are written down. Going on all the same is for the {overridden_by}."
            ));
            run_page(&app, &reader, id, form, Said::Nothing).await
        }
        Err(faults) => {
            told(&mut form, "", faults);
            run_page(&app, &reader, id, form, Said::Nothing).await
        }
    }
}

/// A step that stands is looked at again.
pub(super) async fn again(
    State(app): State<App>,
    reader: Reader,
    mut form: FormState,
) -> Result<Response, Trouble> {
    let id = number(form.typed("run"))?;
    let prefix = again_prefix(form.typed("no").trim().parse().unwrap_or_default());
    if take_offer(&mut form, &prefix) {
        return run_page(&app, &reader, id, form, Said::Nothing).await;
    }
    let (desk, sent, now) = (app.desk().clone(), form.clone(), app.clock().now());
    let of = prefix.clone();
    let done = app.work().run(move |_| one(&desk, id, &sent, &of, now));
    match done.await? {
        Ok(_) => Ok(Redirect::to(&format!("{}&again", run_address(id))).into_response()),
        Err(faults) => {
            told(&mut form, &prefix, faults);
            run_page(&app, &reader, id, form, Said::Nothing).await
        }
    }
}

/// Puts the figure that was offered in place of the doubtful one; whether that was pressed.
fn take_offer(form: &mut FormState, prefix: &str) -> bool {
    let pressed = form.typed("do").strip_prefix("offer:").and_then(|rest| rest.split_once(':'));
    let Some((key, text)) = pressed.map(|(key, text)| (key.to_owned(), text.to_owned())) else {
        return false;
    };
    form.set(&format!("{prefix}{READ}{key}"), text);
    true
}

/// Why a step was not written.
enum Fault {
    Wrong(Wrong),
    Doubtful(Vec<desk::procedures::Doubt>),
}

impl From<Wrong> for Fault {
    fn from(wrong: Wrong) -> Self {
        Self::Wrong(wrong)
    }
}

fn told(form: &mut FormState, prefix: &str, fault: Fault) {
    match fault {
        Fault::Wrong(faults) => refuse(form, faults),
        Fault::Doubtful(doubts) => {
            let again = doubts.iter().all(|doubt| doubt.again);
            for doubt in doubts {
                form.set(&format!("{prefix}{DOUBT}{}", doubt.key), doubt.says);
                if doubt.again {
                    form.set(&format!("{prefix}{AGAIN_TYPED}{}", doubt.key), "yes");
                }
                if let Some((_, text)) = doubt.offers.into_iter().next() {
                    form.set(&format!("{prefix}{OFFER}{}", doubt.key), text);
                }
            }
            form.refuse_whole(if again {
                "A reading was typed already for this minute: say beside it why it is typed again."
            } else {
                "A reading does not fit: read it again, or say beside it why it stands."
            });
        }
    }
}

/// Does what was sent; whether only readings were meant. The fields of a later look have a prefix of their own.
fn one(
    desk: &Desk,
    id: u64,
    form: &FormState,
    prefix: &str,
    now: Timestamp,
) -> Result<(Outcome, bool), Fault> {
    let own = |name: &str| format!("{prefix}{name}");
    let typed = |name: &str| form.typed(&own(name));
    let at = moment(desk, &own("at"), typed("at"), now)?;
    let sent = |kind: &str| -> Vec<(String, String)> {
        let of = own(kind);
        let fields = form.fields();
        fields
            .filter_map(|(name, text)| Some((name.strip_prefix(&of)?.to_owned(), text.to_owned())))
            .collect()
    };
    let mut readings: Vec<TypedReading> =
        sent(READ).into_iter().map(|(key, text)| (key, text, String::new())).collect();
    let not_taken = sent(NOT_TAKEN);
    for (key, text, _) in &mut readings {
        let why = not_taken.iter().find(|(name, why)| name == key && !why.trim().is_empty());
        if let Some((_, why)) = why.filter(|_| UNREAD.contains(&text.trim())) {
            *text = format!("not taken: {why}");
        }
    }
    let kept = sent(KEPT);
    let (reason, looked) = (typed("reason"), typed("looked") == "yes");
    let what = match form.typed("do") {
        _ if !prefix.is_empty() => What::Again { looked },
        "read" => What::Read,
        "pass" => What::Pass { reason },
        "override" => What::Override { who: typed("who"), chief: typed("chief"), reason, looked },
        _ => What::Tick { looked },
    };
    let doing = Doing {
        run: id,
        step: form.typed("step"),
        by: typed("by"),
        at,
        readings: &readings,
        what,
        more: More { note: typed("note"), second: typed("second"), kept: &kept },
        token: form.once(),
    };
    match desk.do_step(&doing, now) {
        Ok(outcome) => Ok((outcome, what == What::Read)),
        Err(StepError::Typed(faults)) => {
            let faults = faults.into_iter().map(|(key, why)| (own(&format!("{READ}{key}")), why));
            Err(Fault::Wrong(faults.collect()))
        }
        Err(StepError::Doubtful(doubts)) => Err(Fault::Doubtful(doubts)),
        Err(StepError::Desk(e)) => {
            let told = e.to_string();
            let field = if told.starts_with("Second person") || told.starts_with("The second") {
                own("second")
            } else {
                return Err(of_desk(&own("by"))(e).into());
            };
            Err(wrong(&field, told).into())
        }
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
            steps.push(Afterwards {
                step: key.clone(),
                at: at.unwrap_or(now),
                note: sent.typed(&format!("n~{key}")).to_owned(),
                second: sent.typed(&format!("s~{key}")).to_owned(),
            });
        }
        let by = sent.typed("after_by");
        desk.do_afterwards(id, by, &steps, now).map_err(of_desk("after_by"))
    });
    match done.await? {
        Ok(told) => {
            let word = if told.is_empty() { "done" } else { "told" };
            Ok(Redirect::to(&format!("{}&{word}", run_address(id))).into_response())
        }
        Err(faults) => {
            refuse(&mut form, faults);
            run_page(&app, &reader, id, form, Said::Nothing).await
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
            run_page(&app, &reader, id, form, Said::Nothing).await
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
    // Given up from the page of another run, its fields carry its number.
    let back = form.typed("back").parse::<u64>().ok();
    let own = back.map_or_else(String::new, |_| format!("~{id}"));
    let (by_field, why_field) = (format!("give_by{own}"), format!("give_reason{own}"));
    let done = app.work().run(move |_| {
        let (by, reason) = (sent.typed(&by_field), sent.typed(&why_field));
        let what = What::GiveUp { reason };
        let more = More::default();
        let doing = Doing {
            run: id,
            step: "",
            by,
            at: None,
            readings: &[],
            what,
            more,
            token: sent.once(),
        };
        match desk.do_step(&doing, now) {
            Ok(_) => Ok(()),
            Err(StepError::Desk(e)) => Err(of_desk(&by_field)(e)),
            // No reading is sent with it: should one be refused all the same, it is told.
            Err(StepError::Typed(faults)) => {
                Err(faults.into_iter().map(|(_, why)| (why_field.clone(), why)).collect())
            }
            Err(StepError::Doubtful(_)) => Err(wrong(&why_field, "no reading belongs here")),
        }
    });
    match done.await? {
        Ok(()) => {
            let to = match back {
                Some(back) => format!("{}&other={id}", run_address(back)),
                None => format!("{}&up", run_address(id)),
            };
            Ok(Redirect::to(&to).into_response())
        }
        Err(faults) => {
            refuse(&mut form, faults);
            run_page(&app, &reader, back.unwrap_or(id), form, Said::Nothing).await
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
