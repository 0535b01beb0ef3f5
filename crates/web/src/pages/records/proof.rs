//! The proofs: walk the whole chain, hold a seal's code against the record, vouch for this computer's clock.

use axum::extract::State;
use desk::written::initials;
use desk::{Desk, DeskError};
use jiff::civil::Date;
use logbook::{SealCheck, ShipClock, Verdict};
use maud::{Markup, html};

use crate::app::App;
use crate::form::FormState;
use crate::parts::{self, Field, Mark, fault};
use crate::reader::Reader;
use crate::shiptime;
use crate::trouble::Trouble;

/// Walks the chain.
pub(super) const VERIFY: &str = "/records/verify";
/// Compares a code.
pub(super) const COMPARE: &str = "/records/seal";

/// Says by name that the computer's clock is right.
pub(super) const CLOCK: &str = "/records/clock";

/// What a proof came to.
pub(super) enum Proof {
    None,
    Walked(Verdict),
    Compared { day: Date, check: SealCheck },
    Vouched { by: String, seq: u64 },
}

pub(super) async fn walk(State(app): State<App>, reader: Reader) -> Result<Markup, Trouble> {
    let found = super::read(&app, None, |desk| Ok(Proof::Walked(desk.verify()?))).await?;
    Ok(super::page(&reader, &found, &FormState::default()))
}

pub(super) async fn compare(
    State(app): State<App>,
    reader: Reader,
    mut form: FormState,
) -> Result<Markup, Trouble> {
    let day = match quantity::read_day(form.typed("day")) {
        Ok(day) => Some(day),
        Err(why) => {
            form.refuse("day", why.to_string());
            None
        }
    };
    let code = form.typed("code").trim().to_owned();
    if code.is_empty() {
        form.refuse("code", "Write the thirteen signs from the bound book, as 7381-FKRX-XVV7-7.");
    }
    let sound = form.is_sound();
    let found = super::read(&app, None, move |desk: &Desk| match day.filter(|_| sound) {
        Some(day) => {
            Ok::<_, DeskError>(Proof::Compared { day, check: desk.compare_seal(day, &code)? })
        }
        None => Ok(Proof::None),
    });
    Ok(super::page(&reader, &found.await?, &form))
}

/// After a jump of the computer's clock nothing but emergencies is written until somebody vouches for it.
pub(super) async fn vouch(
    State(app): State<App>,
    reader: Reader,
    mut form: FormState,
) -> Result<Markup, Trouble> {
    let by = match initials(form.typed("by")) {
        Ok(by) => Some(by.to_owned()),
        Err(refusal) => {
            form.refuse("by", refusal.message);
            None
        }
    };
    let now = app.clock().now();
    let found = super::read(&app, None, move |desk: &Desk| match by {
        Some(by) => {
            let seq = desk.confirm_clock(&by, now)?;
            Ok::<_, DeskError>(Proof::Vouched { by, seq })
        }
        None => Ok(Proof::None),
    });
    Ok(super::page(&reader, &found.await?, &form))
}

/// The result in words.
pub(super) fn told(proof: &Proof, clock: &ShipClock) -> Markup {
    let good = |words: String| html! { p.then role="status" { (parts::state(Mark::Done, "Whole.")) " " (words) } };
    match proof {
        Proof::None => html! {},
        Proof::Vouched { by, seq } => html! {
            p.then role="status" { (parts::state(Mark::Done, "Confirmed.")) " Entry " (seq) ": " (by) " vouches for this computer’s clock; readings are taken again." }
        },
        Proof::Walked(verdict) => match &verdict.broken {
            None => good(format!(
                "All {} entries follow each other unbroken, and every figure shown is the one written.",
                verdict.entries
            )),
            Some(broken) => fault(
                "The record is not as it was written",
                html! { (broken) ". The " (verdict.entries) " entries before that are in order. Keep this file as it is, and compare with the last copy." },
            ),
        },
        Proof::Compared { day, check } => match check {
            SealCheck::Matches { sealed, since } => good(format!(
                "The seal of {day} ({}, by {}) is the record’s own: entries {} to {} are as they were sealed; {since} were written since.",
                shiptime::long(clock, sealed.at),
                sealed.by,
                sealed.seal.first,
                sealed.seal.last
            )),
            SealCheck::Mistyped(why) => {
                fault("That is no seal", html! { (why) ". Read it from the bound book again." })
            }
            SealCheck::Altered { record, broken } => fault(
                "The code is not this record’s",
                html! {
                    "For " (day) " the record has " code { (record) } ". Either the code belongs to another day, or the record was altered after it was written down."
                    @if let Some(broken) = broken { " " (broken) "." }
                },
            ),
            SealCheck::NoSeal => fault(
                "No seal for that day",
                html! { "The record holds no seal made for " (day) "." },
            ),
        },
    }
}

/// The forms.
pub(super) fn forms(reader: &Reader, form: &FormState, now: &str) -> Markup {
    let note = html! { p { "A seal’s code in the bound book proves that nothing before it was altered since, by anybody." } };
    parts::entry(
        "Prove it",
        note,
        html! {
            (reader.press(VERIFY, html! { p { "Walk the whole chain, entry by entry, and every figure drawn from it." } p.acts { button.first { "Walk the chain" } } }))
            (reader.press(COMPARE, html! {
                div.fields {
                    (Field::new("day", "Day of the seal").place("ship’s date, 2026-11-16").text().from_form(form))
                    (Field::new("code", "Code in the bound book").place("thirteen signs").text().from_form(form))
                }
                p.acts { button { "Compare" } }
            }))
            (parts::details_shown("If entries are refused because the clock jumped", form.error("by").is_some(), html! {
                p { "After more than a day without an entry, or when the computer’s clock was moved, entries are refused, emergencies excepted, until somebody has compared this computer with the bridge. It shows " b { (now) } "." }
                (reader.press(CLOCK, html! {
                    div.fields { (Field::new("by", "Initials").place("who has compared it").text().from_form(form)) }
                    p.acts { button { "The clock is right" } }
                }))
            }))
        },
    )
}
