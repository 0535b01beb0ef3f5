//! Now: are we making what we should?

mod ahead;
mod answer;
mod finding;
mod limits;
mod runs;
mod strips;
mod tanks;

use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::{get, post};
use desk::DeskError;
use desk::findings::{Lately, Since};
use desk::now::NowView;
use desk::passage::Outlook;
use desk::written::initials;
use jiff::Timestamp;
use logbook::ShipClock;
use maud::{Markup, html};

use crate::app::App;
use crate::form::FormState;
use crate::parts::{self, Row, Table};
use crate::paths::Page;
use crate::reader::Reader;
use crate::trouble::Trouble;

/// The address of the page.
pub(crate) fn routes() -> Router<App> {
    Router::new().route(Page::Now.path(), get(show)).route(tanks::DUTY, post(duty))
}

async fn show(State(app): State<App>, reader: Reader, form: FormState) -> Result<Markup, Trouble> {
    drawn(&app, &reader, &form).await
}

/// Writes that a tank is on another duty.
async fn duty(
    State(app): State<App>,
    reader: Reader,
    mut form: FormState,
) -> Result<Response, Trouble> {
    match initials(form.typed("by")) {
        Ok(by) => {
            let (by, now, desk) = (by.to_owned(), app.clock().now(), app.desk().clone());
            let (tank, duty) = (form.typed("tank").to_owned(), form.typed("duty").to_owned());
            match app.work().run(move |_| desk.tank_duty(&tank, &duty, &by, now)).await? {
                Ok(_) => return Ok(Redirect::to("/?duty#tanks").into_response()),
                // A doubted clock, a full disk: said beside the form, with its remedy.
                Err(other) => form.refuse_whole(other.to_string()),
            }
        }
        Err(refusal) => form.refuse("by", refusal.message),
    }
    let page = drawn(&app, &reader, &form).await?;
    Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response())
}

async fn drawn(app: &App, reader: &Reader, form: &FormState) -> Result<Markup, Trouble> {
    let now = app.clock().now();
    let desk = app.desk().clone();
    let found = app
        .work()
        .run(move |_| {
            // Nobody who looks in waits for a finding: what is not at hand is begun beside.
            let lately = desk.findings_lately(Since::Cleaned, now, std::time::Duration::ZERO)?;
            Ok::<_, DeskError>((desk.now(now)?, desk.clock()?, desk.ahead(now)?, lately))
        })
        .await?;
    let (view, clock, ahead, lately) = found?;
    let tanks = tanks::Asked { reader, form, ship: &app.desk().setup().ship };
    Ok(reader.page(Page::Now, body((&view, &lately), &clock, &ahead, now, &tanks)))
}

/// The page's entries.
fn body(
    (view, lately): (&NowView, &Lately),
    clock: &ShipClock,
    outlook: &Outlook,
    now: Timestamp,
    asked: &tanks::Asked<'_>,
) -> Markup {
    html! {
        (answer::entry(view, clock, now))
        (finding::entry(view, lately))
        (ahead::entry(outlook, tanks::aboard_t(view), answer::out_of_limit(view)))
        (strips::entry(view, clock, now))
        (limits::entry(view, clock))
        (tanks::entry(view, clock, now, asked))
        (computed(view))
    }
}

/// The conditions the expectation stands on, each with its source.
fn computed(view: &NowView) -> Markup {
    if view.computed.is_empty() {
        return html! {};
    }
    let rows = view.computed.iter().map(|line| {
        Row::new(
            html! { (line.label) },
            [parts::value(&line.value, &line.unit).into(), parts::Cell::from(line.source.as_str())],
        )
    });
    let table = Table::new("Conditions", "Condition").numbers("Value", "").words("From").rows(rows);
    let says = "What should be made is worked out from the ship’s own plant sheet at these conditions, \
        with the evaporator and condenser clean. The band holds nine in ten: it joins the doubts of the \
        sheet, of these conditions and of the instrument itself.";
    html! {
        section.entry { (parts::details("How this was computed", html! { p { (says) } (table) })) }
    }
}
