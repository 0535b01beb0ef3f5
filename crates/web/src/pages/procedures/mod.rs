//! Procedures: which step next, and is it safe to go on?

mod amend;
mod done;
mod list;
mod past;
mod run;
mod step;
mod take;
mod text;

use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use axum::routing::{get, post};
use desk::DeskError;
use desk::procedures::{ListLine, ProcedureView, Procedures, RunView, Sort};
use jiff::Timestamp;
use logbook::ShipClock;
use maud::{Markup, html};

use crate::app::App;
use crate::assets::Asset;
use crate::form::FormState;
use crate::paths::Page;
use crate::reader::Reader;
use crate::shiptime;
use crate::trouble::Trouble;

/// One procedure whole, blank.
const LIST: &str = "/procedures/list";
/// One run.
const RUN: &str = "/procedures/run";
/// Runs of one procedure side by side.
const PAST: &str = "/procedures/past";
/// The text of one procedure.
const TEXT: &str = "/procedures/text";
/// Begins a run.
const BEGIN: &str = "/procedures/begin";
/// Does something at a step.
const STEP: &str = "/procedures/step";
/// Ticks steps of a stop or an emergency afterwards.
const AFTERWARDS: &str = "/procedures/afterwards";
/// Names whoever did what stands without initials.
const NAME: &str = "/procedures/name";
/// Looks at a step again that stands.
const AGAIN: &str = "/procedures/again";
/// Takes a tick back, or mends its time or initials.
const MEND: &str = "/procedures/mend";
/// Says that times against the list are true.
const SO_IT_WAS: &str = "/procedures/so-it-was";
/// Hands a run over.
const HAND_OVER: &str = "/procedures/hand-over";
/// Gives a run up.
const GIVE_UP: &str = "/procedures/give-up";

/// The addresses of the page and those below it.
pub(crate) fn routes() -> Router<App> {
    Router::new()
        .route(Page::Procedures.path(), get(show))
        .route(LIST, get(show_list))
        .route(RUN, get(show_run))
        .route(PAST, get(past::show))
        .route(TEXT, get(text::show).post(text::take))
        .route(BEGIN, post(take::begin))
        .route(STEP, post(take::step))
        .route(AFTERWARDS, post(take::afterwards))
        .route(NAME, post(take::name))
        .route(AGAIN, post(take::again))
        .route(MEND, post(amend::mend))
        .route(SO_IT_WAS, post(amend::so_it_was))
        .route(HAND_OVER, post(amend::hand_over))
        .route(GIVE_UP, post(take::give_up))
}

/// What every page of procedures shows beside its own.
struct Around {
    lists: Procedures,
    clock: ShipClock,
    now: Timestamp,
}

/// Reads what stands around, and something of a page's own.
async fn read<T: Send + 'static>(
    app: &App,
    own: impl FnOnce(&desk::Desk, Timestamp) -> Result<T, DeskError> + Send + 'static,
) -> Result<(Around, T), Trouble> {
    let (now, desk) = (app.clock().now(), app.desk().clone());
    let found = app.work().run(move |_| {
        let own = own(&desk, now)?;
        Ok::<_, DeskError>((Around { lists: desk.procedures()?, clock: desk.clock()?, now }, own))
    });
    Ok(found.await??)
}

async fn show(State(app): State<App>, reader: Reader) -> Result<Markup, Trouble> {
    let (around, ()) = read(&app, |_, _| Ok(())).await?;
    Ok(reader.page(Page::Procedures, html! { (list::all(&around)) }))
}

async fn show_list(
    State(app): State<App>,
    reader: Reader,
    asked: FormState,
) -> Result<Response, Trouble> {
    let mut form = FormState::default();
    let told =
        asked.was_sent("kept").then_some("The text is kept, and the change stands in the record.");
    form.set("key", asked.typed("key"));
    list_page(&app, &reader, form, told).await
}

/// The page of one procedure, with what was typed and refused.
async fn list_page(
    app: &App,
    reader: &Reader,
    form: FormState,
    told: Option<&'static str>,
) -> Result<Response, Trouble> {
    let key = form.typed("key").to_owned();
    let (around, view): (Around, ProcedureView) =
        read(app, move |desk, now| desk.procedure(&key, now)).await?;
    let page = reader.page(Page::Procedures, list::one(reader, &around, &view, &form, told));
    Ok(answered(&form, page))
}

async fn show_run(
    State(app): State<App>,
    reader: Reader,
    asked: FormState,
) -> Result<Response, Trouble> {
    let told = take::DONE.iter().find(|(word, _)| asked.was_sent(word)).map(|(_, says)| *says);
    let told = match (asked.typed("warned"), told) {
        _ if !asked.typed("other").is_empty() => Said::Other(number(asked.typed("other"))?),
        ("", told) => told.map_or(Said::Nothing, Said::Words),
        (step, _) => Said::Step(step.to_owned()),
    };
    run_page(&app, &reader, number(asked.typed("id"))?, FormState::default(), told).await
}

/// What is said over a run's page after something was written down.
enum Said {
    /// Nothing.
    Nothing,
    /// A sentence.
    Words(&'static str),
    /// What was not as it should be at the step of this key.
    Step(String),
    /// Another run was given up from here: its way out.
    Other(u64),
}

/// The page of one run, with what was typed and refused.
async fn run_page(
    app: &App,
    reader: &Reader,
    id: u64,
    form: FormState,
    told: Said,
) -> Result<Response, Trouble> {
    let typed = form.typed("at").to_owned();
    let other = if let Said::Other(other) = &told { Some(*other) } else { None };
    let (around, (view, other)): (Around, (RunView, Option<RunView>)) =
        read(app, move |desk, now| {
            // A time that cannot be read is told beside its field.
            let at = take::moment(desk, "at", &typed, now).ok().flatten();
            let other = other.map(|other| desk.run_view(other, now)).transpose()?;
            Ok((desk.run_view_by(id, at, now)?, other))
        })
        .await?;
    let told = match told {
        Said::Nothing => None,
        Said::Words(words) => Some(html! { (words) }),
        Said::Step(key) => done::warned(&view, &key),
        Said::Other(_) => other.as_ref().map(run::given_up_beside),
    };
    let body = run::page(reader, &around, &view, &form, told.as_ref());
    Ok(answered(&form, reader.page_with(Page::Procedures, body, &[Asset::Count])))
}

fn answered(form: &FormState, page: Markup) -> Response {
    if form.is_sound() {
        page.into_response()
    } else {
        (StatusCode::UNPROCESSABLE_ENTITY, page).into_response()
    }
}

/// The number of a run as an address has it.
fn number(text: &str) -> Result<u64, Trouble> {
    text.trim().parse().map_err(|_| Trouble::Bad {
        what: format!("“{text}” is not the number of a run"),
        remedy: "Open it from the page Procedures.".to_owned(),
    })
}

/// Emergencies, in one press from wherever the page is scrolled to; below them those that are open, but for the one whose own
/// page this is.
fn emergencies(around: &Around, own: Option<u64>) -> Markup {
    let urgent = around.lists.lists.iter().filter(|line| line.sort == Sort::Emergency);
    html! {
        nav.urgent aria-label="Emergencies" {
            ul { @for line in urgent { li { a href=(address(&line.key)) title=(line.name) { (short(line)) } } } }
        }
        @let open = around.lists.open.iter().filter(|run| run.sort == Sort::Emergency && Some(run.id) != own);
        // In the column of the page, behind its margin rule.
        @for run in open { section.entry.not-on-paper { (crate::parts::caution("Open emergency.", html! {
            b { (run.name) } ", since " (time(around, run.began)) " by " (run.by) "; next is step " (run.next) " of " (run.steps) ": " (run.next_what) ". "
            a href=(run_address(run.id)) { "To it" }
        })) } }
    }
}

/// A name that fits a key of the emergency row.
fn short(line: &ListLine) -> &str {
    match line.key.as_str() {
        "blackout" => "Blackout",
        "ejector-trip" => "Pump trips",
        "engine-slow-down" => "Engine trips",
        "salinity-alarm" => "Salt alarm",
        "flooding" => "Flooding",
        "oil" => "Oil, smell",
        "fire" => "Fire",
        _ => &line.name,
    }
}

fn address(key: &str) -> String {
    format!("{LIST}?key={key}")
}

fn run_address(id: u64) -> String {
    format!("{RUN}?id={id}")
}

/// Minutes in words: "2 min", "1 h 30 min", "3 days".
fn minutes(min: f64) -> String {
    shiptime::lasting((min * 60.0).round() as i64)
}

/// Least and most in words: "5 to 10 min".
fn takes(span: (f64, f64)) -> String {
    let (least, most) = span;
    match (least, most) {
        (least, most) if least == most => minutes(least),
        (least, most) if most < 60.0 => format!("{least:.0} to {most:.0} min"),
        (least, most) => format!("{} to {}", minutes(least), minutes(most)),
    }
}

/// A moment, short.
fn time(around: &Around, at: Timestamp) -> String {
    shiptime::short(&around.clock, at, around.now)
}

/// Set where a guard held and the readings stand.
const HELD: &str = "was-held";

/// What was refused, told where the reader looks first.
fn refused(form: &FormState) -> Markup {
    html! {
        @let heading = if form.was_sent(HELD) { "Held" } else { "Not written down" };
        @for why in form.overall() { (crate::parts::fault(heading, html! { (why) })) }
        @for (_, why) in form.errors() { p.then { span.asks { "Not written down:" } " " (why) } }
    }
}
