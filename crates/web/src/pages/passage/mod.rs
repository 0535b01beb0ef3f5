//! Passage: will the water last, and when do we stop?

mod answer;
mod change;
mod map;
mod orders;
mod route;
mod strip;

use std::sync::Arc;

use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::{get, post};
use desk::foretold::StartAndStop;
use desk::passage::{Against, How, PassageView};
use desk::{Desk, DeskError};
use jiff::Timestamp;
use maud::{Markup, html};

use crate::app::App;
use crate::form::FormState;
use crate::parts;
use crate::paths::Page;
use crate::reader::Reader;
use crate::trouble::Trouble;

/// Keeps the route.
const ROUTE: &str = "/passage/route";
/// Keeps the dated events.
const EVENTS: &str = "/passage/events";
/// Keeps another speed, sea or stop.
const LEG: &str = "/passage/leg";
/// Reads a route file into the form.
const FILE: &str = "/passage/file";

/// The route as a file for the chart system.
const RTZ: &str = "/passage/route.rtz";

/// The addresses of the page and those below it.
pub(crate) fn routes() -> Router<App> {
    Router::new()
        .route(Page::Passage.path(), get(show))
        .route(ROUTE, post(keep_route))
        .route(EVENTS, post(keep_events))
        .route(LEG, post(change::keep))
        .route(FILE, post(route::send))
        .route(RTZ, get(route::download))
}

/// The plan, or why there is none.
enum Plan {
    None,
    Refused(String),
    Made(Arc<PassageView>),
}

struct Passage {
    plan: Plan,
    /// What came of the plan at departure, where that is at hand or asked for.
    against: Option<Against>,
    /// What the model foretells of a start and a stop, beside what the plan reckons.
    foretold: Option<StartAndStop>,
    route: String,
    events: String,
    now: Timestamp,
}

impl Passage {
    fn of(desk: &Desk, now: Timestamp, how: How) -> Result<Passage, DeskError> {
        let plan = match desk.passage(now, how) {
            Ok(None) => Plan::None,
            Ok(Some(view)) => Plan::Made(view),
            Err(DeskError::Asked(why)) => Plan::Refused(why),
            Err(other) => return Err(other),
        };
        let route = desk.route_text()?.unwrap_or_default();
        let events = desk.events_text()?.unwrap_or_else(|| desk::passage::EXAMPLE.to_owned());
        // A plan that was reckoned later is shown to who asks for it only.
        let against = desk.against_at_hand(now)?.filter(|against| against.plan.at_once());
        let foretold = desk.start_and_stop(now)?;
        Ok(Passage { plan, against, foretold, route, events, now })
    }
}

async fn show(State(app): State<App>, reader: Reader, asked: FormState) -> Result<Markup, Trouble> {
    let how = if asked.typed("show") == "all" { How::Whole } else { How::AtOnce };
    let (now, desk) = (app.clock().now(), app.desk().clone());
    let against = asked.typed("show") == "actual";
    let found = app.work().run(move |_| {
        let mut passage = Passage::of(&desk, now, how)?;
        if against {
            passage.against = desk.against(now)?;
        }
        Ok::<_, DeskError>(passage)
    });
    let passage = found.await??;
    let mut form = FormState::default();
    if asked.was_sent("leg") {
        form.set("leg", asked.typed("leg"));
    }
    Ok(page(&reader, &passage, &form))
}

async fn keep_route(
    State(app): State<App>,
    reader: Reader,
    form: FormState,
) -> Result<Response, Trouble> {
    keep(app, reader, form, "route", |desk, text, actor, now| desk.save_route(text, actor, now))
        .await
}

async fn keep_events(
    State(app): State<App>,
    reader: Reader,
    form: FormState,
) -> Result<Response, Trouble> {
    let drop = form.typed("outside") == "drop";
    let save = move |desk: &Desk, text: &str, actor: &str, now| {
        let text = if drop { desk.events_inside(text)? } else { text.to_owned() };
        desk.save_events(&text, actor, now)
    };
    keep(app, reader, form, "events", save).await
}

/// Keeps a text, or shows it again as typed with what is wrong with it.
async fn keep(
    app: App,
    reader: Reader,
    mut form: FormState,
    field: &'static str,
    save: impl Fn(&Desk, &str, &str, Timestamp) -> Result<(), DeskError> + Send + 'static,
) -> Result<Response, Trouble> {
    let (now, desk) = (app.clock().now(), app.desk().clone());
    let by = format!("{field}_actor");
    if let Err(refusal) = desk::written::initials(form.typed(&by)) {
        form.refuse(&by, refusal.message);
    }
    let sound = form.is_sound();
    let text = form.typed(field).replace("\r\n", "\n");
    let actor = form.typed(&by).trim().to_owned();
    let done = app.work().run(move |_| {
        let wrong = if sound { save(&desk, &text, &actor, now).err() } else { None };
        match wrong {
            None if sound => Ok(None),
            wrong => Ok::<_, DeskError>(Some((Passage::of(&desk, now, How::AtOnce)?, wrong))),
        }
    });
    Ok(match done.await?? {
        None => Redirect::to(Page::Passage.path()).into_response(),
        Some((passage, wrong)) => {
            if let Some(wrong) = wrong {
                form.refuse(field, wrong.to_string());
            }
            (StatusCode::UNPROCESSABLE_ENTITY, page(&reader, &passage, &form)).into_response()
        }
    })
}

/// What was refused, told where the reader looks first, with the way to the field.
fn not_kept(form: &FormState) -> Markup {
    let fields = [
        ("route", "The route"),
        ("route_actor", "The route"),
        ("events", "The dated events"),
        ("events_actor", "The dated events"),
        ("leg", "The change of a leg"),
        ("leg_actor", "The change of a leg"),
    ];
    let refused =
        fields.into_iter().filter_map(|(name, what)| Some((name, what, form.error(name)?)));
    html! {
        @if form.was_sent(route::LOOKED_AT) {
            section.entry { p.then {
                span.asks { "The route file: looked at, not yet kept." }
                @match form.error("route").map_or(0, |why| why.lines().count()) { 0 => {} 1 => { " One thing in it has to be mended first." } more => { " " (more) " things in it have to be mended first." } }
                " The plan below is still of the route that was kept. "
                a href="#route" { "To what was read" }
            } }
        }
        @for (name, what, why) in refused.filter(|(name, ..)| *name != "route" || !form.was_sent(route::LOOKED_AT)) {
            section.entry { p.then {
                span.asks { (what) ": not kept." } " " @if name.ends_with("_actor") { "Initials: " } (why.lines().next().unwrap_or_default())
                @match why.lines().count() { 0 | 1 => {} more => { " And " (more - 1) " more." } }
                " The plan below is the last that was kept. " a href={ "#" (name) } { "To what was typed" }
            } }
        }
    }
}

fn page(reader: &Reader, passage: &Passage, form: &FormState) -> Markup {
    let body = html! {
        (not_kept(form))
        @match &passage.plan {
            Plan::None => {
                (parts::answer("Will the water last, and when do we stop?", html! { "No route has been given yet." }, html! { p.then { "Type or paste the passage’s waypoints below, or look at a route file; the plan follows at once." } }, html! {}, html! {}))
            }
            Plan::Refused(why) => {
                (parts::answer("Will the water last, and when do we stop?", html! { "There is no plan: the route cannot be sailed as written." }, html! { @for line in why.lines().take(20) { p.then { (line) } } }, html! {}, html! {}))
            }
            Plan::Made(view) => {
                (answer::entry(view, passage.now, passage.against.as_ref(), form.is_sound()))
                (map::entry(view, passage.foretold.as_ref(), passage.now))
                (strip::entry(view, passage.now, passage.against.as_ref()))
                (answer::against(passage.against.as_ref()))
                (answer::cautions(view))
                (answer::remedies(view))
                (answer::computed(view))
            }
        }
        (change::entry(reader, &passage.plan, form))
        (route::forms(reader, passage, form))
    };
    reader.page(Page::Passage, body)
}
