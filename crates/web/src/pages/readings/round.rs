//! One round whole: every figure of it as it stands, with the way to correct each.

use axum::extract::State;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use desk::DeskError;
use desk::field::{self, Group};
use desk::round::{Round, SOUNDING};
use desk::ship::Ship;
use desk::typed::unit_of;
use jiff::Timestamp;
use logbook::ShipClock;
use maud::{Markup, html};

use crate::app::App;
use crate::form::FormState;
use crate::parts::{self, Cell, Field, Row, Table};
use crate::paths::Page;
use crate::reader::Reader;
use crate::shiptime;
use crate::trouble::Trouble;

use super::{ROUND, earlier};

/// Where the round of this moment is shown.
pub(super) fn path(at: Timestamp) -> String {
    format!("{ROUND}?at={at}")
}

/// The page.
pub(super) async fn show(
    State(app): State<App>,
    reader: Reader,
    asked: FormState,
) -> Result<Markup, Trouble> {
    page_of(&app, &reader, &asked).await
}

/// Withdraws the round.
pub(super) async fn withdraw(
    State(app): State<App>,
    reader: Reader,
    mut form: FormState,
) -> Result<Response, Trouble> {
    let (now, desk, sent) = (app.clock().now(), app.desk().clone(), form.clone());
    let done = app.work().run(move |_| {
        let of = |name| sent.typed(name);
        let at: Timestamp = of("at")
            .parse()
            .map_err(|_| DeskError::Asked(format!("“{}” is not a round’s time", of("at"))))?;
        desk.withdraw_round(at, of("reason"), of("actor"), now)
    });
    match done.await? {
        Ok(()) => {
            let to = format!("{}?withdrawn", Page::Readings.path());
            Ok(Redirect::to(&to).into_response())
        }
        Err(why) => {
            form.refuse_whole(why.to_string());
            let page = page_of(&app, &reader, &form).await?;
            Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response())
        }
    }
}

async fn page_of(app: &App, reader: &Reader, form: &FormState) -> Result<Markup, Trouble> {
    let bad = |what: String| Trouble::Bad {
        what,
        remedy: "Choose a round from the earlier rounds on the page Readings.".to_owned(),
    };
    let text = form.typed("at").to_owned();
    let at: Timestamp = text.parse().map_err(|_| bad(format!("“{text}” is not a round’s time")))?;
    let desk = app.desk().clone();
    let found = app.work().run(move |_| {
        let rounds = desk.rounds(at, 1)?;
        let round = rounds.into_iter().next_back().filter(|round| round.at == at);
        let told = round.as_ref().map(|r| earlier::corrections(&desk, std::slice::from_ref(r)));
        Ok::<_, DeskError>((round, told.transpose()?.unwrap_or_default(), desk.clock()?))
    });
    let (round, corrections, clock) = found.await??;
    let round = round.ok_or_else(|| bad(format!("nothing was read at {text}")))?;
    let now = app.clock().now();
    let told = earlier::told(&round, &corrections, &clock, now);
    Ok(page(reader, form, &round, &told, &clock, &app.desk().setup().ship))
}

fn page(
    reader: &Reader,
    form: &FormState,
    round: &Round,
    told: &[String],
    clock: &ShipClock,
    ship: &Ship,
) -> Markup {
    let says = html! { "The round of " (shiptime::long(clock, round.at)) ", signed " (round.actors.join(", ")) "." };
    let then = html! {
        @for why in form.overall() { p.then { span.asks { "Not withdrawn:" } " " (why) } }
        p.then { "Press a figure to correct it; the old one stays readable beside the new." }
        @for line in told { p.then { (line) "." } }
    };
    let acts = parts::acts(html! {
        (parts::act(&format!("{}?at={}", Page::Readings.path(), shiptime::typed(clock, round.at)), "Add what was left out", false))
        (parts::act(Page::Readings.path(), "Back", false))
    });
    let groups = Group::ALL.iter().map(|group| {
        let of_group = field::READINGS.iter().filter(|r| r.group == *group);
        let rows = of_group.filter_map(|r| {
            let cell = round.cells.get(r.key)?;
            let place = html! { (r.label) small.muted { " " (r.place) } };
            let figure = earlier::cell(r.key, Some(r), cell);
            let unit = html! { span.nb { (unit_of(r).symbol()) } };
            Some(Row::new(place, [Cell::from(figure), unit.into()]))
        });
        (group.title(), rows.collect::<Vec<_>>())
    });
    let soundings = round.cells.iter().filter_map(|(key, cell)| {
        let tank = key.strip_prefix(SOUNDING)?;
        let name = ship.tank(tank).map_or(tank, |tank| tank.name.as_str());
        let figure = earlier::cell(key, None, cell);
        Some(Row::new(
            html! { (name) small.muted { " sounding" } },
            [Cell::from(figure), "cm".into()],
        ))
    });
    let groups = groups.chain([("Tanks", soundings.collect())]);
    let tables = groups.filter(|(_, rows)| !rows.is_empty()).map(|(title, rows)| {
        Table::new("", title).numbers("Stands as", "").words("Unit").rows(rows)
    });
    reader.page(
        Page::Readings,
        html! {
            (parts::answer("What does this round say?", says, then, acts, html! {}))
            section.entry { div.halves { @for table in tables { (table) } } }
            (parts::entry("Written by mistake", html! { p { "It stays readable among the entries, and counts no more." } }, withdrawal(reader, form, round)))
        },
    )
}

/// The form that takes the whole round out.
fn withdrawal(reader: &Reader, form: &FormState, round: &Round) -> Markup {
    let body = reader.form(ROUND, &format!("withdraw-{}", round.at), html! {
        input type="hidden" name="at" value=(round.at);
        div.fields {
            (Field::new("reason", "Reason").place("as: written for the wrong hour").text().from_form(form))
            (Field::new("actor", "Initials").place("who withdraws it").text().from_form(form))
        }
        p.acts { button { "Withdraw the round" } }
    });
    parts::details_shown("Withdraw the whole round", form.was_sent("reason"), body)
}
