//! Ship: "Is the sheet right?": the ship file as a form and as the text it is; either edits the other.

mod answer;
mod clocks;
mod form;
mod text;

use std::sync::Arc;

use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::{get, post};
use desk::DeskError;
use desk::Setup;
use desk::ship::{Problem, Ship};
use desk::ship_page::{self, Changed, Effect};
use jiff::Timestamp;
use logbook::ShipClock;
use maud::{Markup, html};
use sha2::{Digest, Sha256};

use crate::app::{App, hex};
use crate::form::FormState;
use crate::paths::Page;
use crate::reader::Reader;
use crate::trouble::Trouble;

/// Where the ship file is sent as text.
const TEXT: &str = "/ship/text";

/// The addresses of the page.
pub(super) fn routes() -> Router<App> {
    Router::new()
        .route(Page::Ship.path(), get(show).post(take_form))
        .route(TEXT, post(take_text))
        .route(clocks::CLOCKS, post(clocks::take))
        .route(clocks::BACK, post(clocks::take_back))
}

/// Everything the page shows.
struct View {
    setup: Arc<Setup>,
    /// What was typed into the fields, and what is wrong with it.
    form: FormState,
    /// The text as typed; the file's own where none was.
    text: String,
    /// What is wrong with the text.
    problems: Vec<Problem>,
    /// What would change; none before it was asked for.
    preview: Option<Preview>,
    /// Said at the head: kept, refused.
    told: Option<String>,
    /// The clocks by the record.
    clock: ShipClock,
    now: Timestamp,
    /// What was typed of a move of the clocks.
    clocks: FormState,
    clocks_kept: bool,
}

/// What a change would do.
struct Preview {
    /// The ship as typed.
    ship: Ship,
    changed: Vec<Changed>,
    effects: Vec<Effect>,
    doubts: Vec<String>,
}

impl Preview {
    fn of(old: &Setup, new: &Setup) -> Preview {
        Preview {
            ship: new.ship.clone(),
            changed: ship_page::changed(&old.ship, &new.ship),
            effects: ship_page::effects(old, new),
            doubts: ship_page::doubts(&new.ship)
                .into_iter()
                .chain(ship_page::still_marked(&old.ship, &new.ship))
                .collect(),
        }
    }
}

impl View {
    fn of(app: &App) -> Result<View, Trouble> {
        let setup = app.desk().setup();
        Ok(View {
            text: setup.text.clone(),
            setup,
            form: FormState::default(),
            problems: Vec::new(),
            preview: None,
            told: None,
            clock: app.desk().clock()?,
            now: app.clock().now(),
            clocks: FormState::default(),
            clocks_kept: false,
        })
    }

    /// Marks this state of the ship file, so that two who edit at once do not undo each other.
    fn base(&self) -> String {
        base_of(&self.setup.text)
    }
}

fn base_of(text: &str) -> String {
    hex(&Sha256::digest(text.as_bytes())[..8])
}

fn page(reader: &Reader, view: &View) -> Markup {
    let body = html! {
        (answer::entry(view))
        @if let Some(preview) = &view.preview { (answer::preview(preview)) }
        (clocks::entry(reader, view))
        (form::entry(reader, view))
        (text::entry(reader, view))
        (answer::calibration(view))
    };
    reader.page(Page::Ship, body)
}

async fn show(State(app): State<App>, reader: Reader, form: FormState) -> Result<Markup, Trouble> {
    let mut view = View::of(&app)?;
    view.clocks_kept = form.was_sent("clocks");
    if form.was_sent("kept") {
        view.told = Some("The ship file is kept, and the change stands in the record.".to_owned());
    }
    Ok(page(&reader, &view))
}

async fn take_form(
    State(app): State<App>,
    reader: Reader,
    form: FormState,
) -> Result<Response, Trouble> {
    let mut view = View::of(&app)?;
    view.form = form;
    let typed = view.form.clone();
    let old = Arc::clone(&view.setup);
    let taken = app
        .work()
        .run(move |_| {
            let get = |name: &str| typed.was_sent(name).then(|| typed.typed(name));
            ship_page::take(&old.ship, &get)
        })
        .await?;
    match taken {
        Ok(ship) => {
            let text = desk::ship::write(&ship);
            decide(app, reader, view, text).await
        }
        Err(faults) => {
            for fault in faults {
                if fault.field.is_empty() {
                    view.form.refuse_whole(fault.message);
                } else {
                    view.form.refuse(fault.field, fault.message);
                }
            }
            Ok(refused(&reader, &view))
        }
    }
}

async fn take_text(
    State(app): State<App>,
    reader: Reader,
    form: FormState,
) -> Result<Response, Trouble> {
    let mut view = View::of(&app)?;
    // Browsers send line ends as CR LF; the file has LF.
    view.text = form.typed("text").replace("\r\n", "\n");
    // The other form's fields keep showing the file: only what belongs to both is taken over.
    view.form = FormState::from_pairs(
        ["actor", "base", "do"].map(|name| (name, form.typed(name).to_owned())),
    );
    let text = view.text.clone();
    decide(app, reader, view, text).await
}

/// Shows what `text` would change, or keeps it.
async fn decide(
    app: App,
    reader: Reader,
    mut view: View,
    text: String,
) -> Result<Response, Trouble> {
    let keep = view.form.typed("do") == "keep";
    if view.form.typed("base") != view.base() {
        view.form.refuse_whole(
            "The ship file was changed by somebody else since this page was drawn. What you typed stands below; look at what changes before you keep it.",
        );
        return Ok(refused(&reader, &view));
    }
    let actor = view.form.typed("actor").trim().to_owned();
    if keep
        && (actor.is_empty() || actor.chars().count() > 12 || actor.chars().any(char::is_control))
    {
        view.form.refuse(
            "actor",
            "Write your initials, 1 to 12 signs: a change of the sheet stands in the record.",
        );
        return Ok(refused(&reader, &view));
    }
    let (desk, now) = (Arc::clone(app.desk()), app.clock().now());
    let old = Arc::clone(&view.setup);
    let done = app
        .work()
        .run(move |_| {
            if keep {
                desk.save_ship(&text, &actor, now).map(|()| None)
            } else {
                desk.ship_from(&text).map(|new| Some(Preview::of(&old, &new)))
            }
        })
        .await?;
    match done {
        Ok(None) => Ok(Redirect::to("/ship?kept").into_response()),
        Ok(preview) => {
            view.preview = preview;
            Ok(page(&reader, &view).into_response())
        }
        Err(DeskError::Ship(problems)) => {
            view.problems = problems;
            Ok(refused(&reader, &view))
        }
        Err(DeskError::Asked(what)) => {
            view.form.refuse_whole(what);
            Ok(refused(&reader, &view))
        }
        Err(other) => Err(Trouble::Internal { cause: other.to_string() }),
    }
}

fn refused(reader: &Reader, view: &View) -> Response {
    (StatusCode::UNPROCESSABLE_ENTITY, page(reader, view)).into_response()
}
