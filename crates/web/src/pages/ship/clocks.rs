//! Ship's time: what her clocks are on, the moves written down, and the form for the next one.

use axum::extract::State;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use desk::told::{self, Clocks, ClocksRefused};
use desk::written::initials;
use jiff::Timestamp;
use logbook::ShipClock;
use maud::{Markup, html};

use super::View;
use crate::app::App;
use crate::form::FormState;
use crate::parts::{self, Field, Mark, Row, Table};
use crate::reader::Reader;
use crate::shiptime;
use crate::trouble::Trouble;

/// Where a move of the clocks is sent.
pub(super) const CLOCKS: &str = "/ship/clocks";

/// Where it is sent that a move is taken back.
pub(super) const BACK: &str = "/ship/clocks/back";

/// Moves shown; a voyage has fewer.
const SHOWN: usize = 12;

pub(super) async fn take(
    State(app): State<App>,
    reader: Reader,
    mut form: FormState,
) -> Result<Response, Trouble> {
    let now = app.clock().now();
    let desk = app.desk().clone();
    if let Some((told, by)) = read(&desk.clock()?, &mut form, now) {
        let done = app.work().run(move |_| desk.move_clocks(&told, &by, now)).await?;
        match done {
            Ok(_) => return Ok(Redirect::to("/ship?clocks#ships-time").into_response()),
            // A doubted clock, a full disk: said beside the form, with its remedy.
            Err(other) => form.refuse_whole(other.to_string()),
        }
    }
    let view = View { clocks: form, ..View::of(&app)? };
    Ok((StatusCode::UNPROCESSABLE_ENTITY, super::page(&reader, &view)).into_response())
}

pub(super) async fn take_back(
    State(app): State<App>,
    reader: Reader,
    mut form: FormState,
) -> Result<Response, Trouble> {
    let (now, desk, sent) = (app.clock().now(), app.desk().clone(), form.clone());
    let done = app.work().run(move |_| {
        let of = |name| sent.typed(name);
        desk.take_back_move(of("seq").parse().unwrap_or(0), of("why"), of("signed"), now)
    });
    match done.await? {
        Ok(_) => Ok(Redirect::to("/ship?clocks#ships-time").into_response()),
        Err(other) => {
            form.refuse_whole(other.to_string());
            let view = View { clocks: form, ..View::of(&app)? };
            Ok((StatusCode::UNPROCESSABLE_ENTITY, super::page(&reader, &view)).into_response())
        }
    }
}

/// What was typed, or every fault beside its field.
fn read(clock: &ShipClock, form: &mut FormState, now: Timestamp) -> Option<(Clocks, String)> {
    let zone = told::zone(form.typed("zone"));
    let from = match form.typed("from").trim() {
        "" => Ok(now),
        text => shiptime::instant(clock, text, now),
    };
    let by = initials(form.typed("by")).map(str::to_owned);
    let order = form.typed("order").trim().to_owned();
    // Said of this date, not of one typed since.
    let stands = form.was_sent("stands") && form.typed("stands") == form.typed("from");
    if let Err(why) = &zone {
        form.refuse("zone", why.clone());
    }
    if let Err(why) = &from {
        form.refuse("from", why.clone());
    }
    if let Err(why) = &by {
        form.refuse("by", why.message.clone());
    }
    let (Ok(zone), Ok(from), Ok(by)) = (zone, from, by) else { return None };
    let told = Clocks { from, zone, order, stands };
    match told::check_clocks(clock, &told, now) {
        Ok(()) => Some((told, by)),
        Err(why) => {
            let field = match why {
                ClocksRefused::Order => "order",
                ClocksRefused::Unchanged(_) => "zone",
                ClocksRefused::Far { .. } => "stands",
            };
            form.refuse(field, why.to_string());
            None
        }
    }
}

/// The entry of the page.
pub(super) fn entry(reader: &Reader, view: &View) -> Markup {
    let (clock, form, now) = (&view.clock, &view.clocks, view.now);
    let set = told::clocks_set(clock, now);
    let note = html! {
        p { "East of Greenwich is ahead, +. Times are shown by the clocks of then: a move dated back shows what was read since by the new clocks. The entries themselves stay as they were written." }
        p { "The passage’s clock changes stand in its route; what the ship did stands here." }
    };
    let body = html! {
        @if view.clocks_kept { p.then role="status" { (parts::state(Mark::Done, "It stands in the record.")) } }
        @for why in form.overall() { p { span.asks { "Not moved." } " " (why) } }
        p id="ships-time" {
            "Her clocks are on " b.nb { (clock.zone(now).to_string()) } ": " (clock.local(now).strftime("%-d %b %H:%M").to_string()) " by this computer."
            @if !set { " " span.asks { "Nobody has said so yet" } ": until then ship’s time is taken as UTC." }
        }
        (reader.form(CLOCKS, "clocks", html! {
            div.fields {
                (Field::new("zone", "New ship’s time").place("hours from UTC, as +10:00").text().from_form(form))
                (Field::new("from", "From").place("by the old clocks, 2026-11-16 02:00; empty: from now").text().from_form(form))
                (Field::new("order", "By whose order").place("as master").text().from_form(form))
                (Field::new("by", "Initials").place("who writes it down").text().from_form(form))
            }
            @if let Some(far) = form.error("stands") { p { span.asks { "A second look." } " " (far) } }
            p.acts {
                button { "Move the clocks" }
                @if form.error("stands").is_some() { button name="stands" value=(form.typed("from")) { "Let it stand" } }
            }
        }))
        (moves(clock))
        @if !clock.changes().is_empty() { (back(reader, view)) }
    };
    parts::entry("Ship’s time", note, body)
}

/// The form that takes a mistaken move back.
fn back(reader: &Reader, view: &View) -> Markup {
    let form = &view.clocks;
    let moves: Vec<_> = view.clock.changes().iter().rev().take(SHOWN).collect();
    let body = reader.form(BACK, "clocks-back", html! {
        div.fields {
            div.field {
                label for="move-back" { "Move written by mistake" }
                p.box { select.value.words id="move-back" name="seq" {
                    @for change in moves { option value=(change.seq) { "entry " (change.seq) ": to " (change.zone.to_string()) ", by order of " (change.by) } }
                } }
            }
            (Field::new("why", "Reason").place("what was wrong with it").text().from_form(form))
            (Field::new("signed", "Initials").place("who takes it back").text().from_form(form))
        }
        p.acts { button { "Take it back" } }
    });
    parts::details_shown("Take a move back", form.was_sent("why"), body)
}

fn moves(clock: &ShipClock) -> Markup {
    let rows = clock.changes().iter().rev().take(SHOWN).map(|change| {
        let before = clock.zone(change.from - jiff::SignedDuration::from_secs(1));
        let from = before.local(change.from).strftime("%-d %b %Y %H:%M").to_string();
        let cells = [change.zone.to_string(), change.by.clone(), change.seq.to_string()];
        Row::new(html! { (from) }, cells)
    });
    let table = Table::new("Moves of the clocks", "From, by the old clocks")
        .words("To")
        .words("By order of")
        .words("Entry")
        .rows(rows);
    html! { @if !clock.changes().is_empty() { (table) } }
}
