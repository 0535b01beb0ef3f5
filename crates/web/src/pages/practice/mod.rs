//! Practice: can I bring it up without upsetting the engine, and find the fault? A plant that cannot be damaged.

mod debrief;
mod list;
mod live;
mod run;
mod secret;
mod take;

use axum::Router;
use axum::extract::State;
use axum::response::{IntoResponse, Response};
use axum::routing::{get, post};
use maud::{Markup, html};

use crate::app::App;
use crate::assets::Asset;
use crate::form::FormState;
use crate::parts;
use crate::paths::Page;
use crate::reader::Reader;
use crate::trouble::Trouble;

/// One run.
const RUN: &str = "/practice/run";
/// What one run shows, several times a second.
const LIVE: &str = "/practice/live";
/// What one run came to.
const DEBRIEF: &str = "/practice/debrief";
/// Troubles for the one at the handles.
const SECRET: &str = "/practice/troubles";
/// Begins a run.
const BEGIN: &str = "/practice/begin";
/// Does something in a run.
const DO: &str = "/practice/do";
/// Sets a trouble.
const PLANT: &str = "/practice/plant";

/// The addresses of the page and those below it.
pub(crate) fn routes() -> Router<App> {
    Router::new()
        .route(Page::Practice.path(), get(show))
        .route(RUN, get(show_run))
        .route(LIVE, get(live::stream))
        .route(DEBRIEF, get(show_debrief))
        .route(SECRET, get(show_secret))
        .route(BEGIN, post(take::begin))
        .route(DO, post(take::act))
        .route(PLANT, post(take::plant))
}

async fn show(State(app): State<App>, reader: Reader) -> Result<Markup, Trouble> {
    list_page(&app, &reader, FormState::default()).await
}

async fn list_page(app: &App, reader: &Reader, form: FormState) -> Result<Markup, Trouble> {
    let (desk, now, steady) = (app.desk().clone(), app.clock().now(), app.clock().steady());
    let seed = app.draw::<3>()?;
    let seed = u32::from_str_radix(&seed, 16).unwrap_or(1);
    let found = app.work().run(move |_| desk.practice(now, steady)).await??;
    Ok(reader.page(Page::Practice, list::page(reader, &found, seed, &form)))
}

async fn show_run(
    State(app): State<App>,
    reader: Reader,
    asked: FormState,
) -> Result<Markup, Trouble> {
    run_page(&app, &reader, number(asked.typed("id"))?, None).await
}

async fn run_page(
    app: &App,
    reader: &Reader,
    id: u64,
    refused: Option<String>,
) -> Result<Markup, Trouble> {
    let (desk, steady, who) = (app.desk().clone(), app.clock().steady(), reader.token.clone());
    let view =
        app.work().run(move |_| desk.practice_view(id, &who, steady)).await?.map_err(gone)?;
    let reader = apart(reader);
    let body = run::page(&reader, &view, refused.as_deref());
    Ok(reader.page_with(Page::Practice, body, &[Asset::Practise]))
}

async fn show_debrief(
    State(app): State<App>,
    reader: Reader,
    asked: FormState,
) -> Result<Markup, Trouble> {
    let (desk, id) = (app.desk().clone(), number(asked.typed("id"))?);
    let view = app.work().run(move |_| desk.practice_debrief(id)).await?.map_err(gone)?;
    let reader = apart(&reader);
    Ok(reader.page(Page::Practice, debrief::page(&reader, &view)))
}

async fn show_secret(
    State(app): State<App>,
    reader: Reader,
    asked: FormState,
) -> Result<Response, Trouble> {
    secret_page(&app, &reader, number(asked.typed("id"))?, None).await
}

async fn secret_page(
    app: &App,
    reader: &Reader,
    id: u64,
    refused: Option<String>,
) -> Result<Response, Trouble> {
    let (desk, who) = (app.desk().clone(), reader.token.clone());
    let view = app.work().run(move |_| desk.practice_secret(id, &who)).await?.map_err(gone)?;
    let reader = apart(reader);
    let body = secret::page(&reader, id, &view, refused.as_deref());
    Ok(reader.page(Page::Practice, body).into_response())
}

/// The heading line says that this is not the ship's plant.
fn apart(reader: &Reader) -> Reader {
    let mut reader = reader.clone();
    reader.heading.doing = "Practice".to_owned();
    reader.heading.voyage = "not the ship’s plant".to_owned();
    reader
}

/// What the desk says of a run that is not there.
fn gone(e: desk::DeskError) -> Trouble {
    Trouble::Bad {
        what: e.to_string(),
        remedy: "Begin another on the page Practice, in the index above.".to_owned(),
    }
}

/// The number of a run as an address has it.
fn number(text: &str) -> Result<u64, Trouble> {
    text.trim().parse().map_err(|_| Trouble::Bad {
        what: format!("“{text}” is not the number of a run"),
        remedy: "Open it from the page Practice.".to_owned(),
    })
}

fn run_address(id: u64) -> String {
    format!("{RUN}?id={id}")
}

/// What was not taken, told where the reader looks first; empty where nothing was refused.
fn said(refused: Option<&str>) -> Markup {
    html! { div id="said" role="status" { @if let Some(why) = refused { (parts::fault("Not done", html! { (why) })) } } }
}
