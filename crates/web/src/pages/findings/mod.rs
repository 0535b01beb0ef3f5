//! Findings: why is she not making what she should, what do I look at next, and when do I clean?

mod answer;
mod causes;
mod checks;
mod clean;
mod closed;
mod evidence;
mod take;
mod weighed;

use std::time::Duration;

use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::http::header::REFRESH;
use axum::response::{IntoResponse, Response};
use axum::routing::{get, post};
use desk::DeskError;
use desk::findings::{FindingsView, Lately, Since, Stand, ToldOfPlant, tables_example};
use desk::now::NowView;
use jiff::Timestamp;
use logbook::ShipClock;
use maud::{Markup, html};

use crate::app::App;
use crate::form::FormState;
use crate::parts;
use crate::paths::Page;
use crate::reader::Reader;
use crate::trouble::Trouble;

/// Writes the result of a check down.
const CHECK: &str = "/findings/check";
/// Writes a leak-down test down, by its pressures.
const LEAK_DOWN: &str = "/findings/leak-down";
/// Closes a finding.
const CLOSE: &str = "/findings/close";
/// Writes that the plant was cleaned.
const CLEANED: &str = "/findings/cleaned";
/// Writes that an instrument was set right.
const SET_RIGHT: &str = "/findings/set-right";
/// Trusts an instrument less, or as its kind again.
const TRUST: &str = "/findings/trust";
/// Takes a check back.
const TAKE_BACK: &str = "/findings/take-back";
/// Takes back a closing, a cleaning or an instrument set right.
const UNTOLD: &str = "/findings/untold";
/// Keeps the settings file.
const TABLES: &str = "/findings/tables";

/// A page waits so long for findings that are nearly there.
const PATIENCE: Duration = Duration::from_millis(350);
/// Who has just written something down waits so long to see what it does.
const PATIENCE_WRITTEN: Duration = Duration::from_millis(2500);
/// A page that shows no findings yet comes again after so many seconds.
const AGAIN_S: &str = "3";

/// The addresses of the page and those below it.
pub(crate) fn routes() -> Router<App> {
    Router::new()
        .route(Page::Findings.path(), get(show))
        .route(CHECK, post(take::check))
        .route(LEAK_DOWN, post(take::leak_down))
        .route(CLOSE, post(take::close))
        .route(CLEANED, post(take::cleaned))
        .route(SET_RIGHT, post(take::set_right))
        .route(TRUST, post(take::trust))
        .route(TAKE_BACK, post(take::take_back))
        .route(UNTOLD, post(take::untold))
        .route(TABLES, post(take::tables))
}

/// Everything the page is drawn from.
struct Shown {
    lately: Lately,
    since: Since,
    clock: ShipClock,
    now: Timestamp,
    tables: String,
    /// Stops ahead on the kept route at which the plant can be cleaned.
    stands: Vec<Stand>,
    /// The shell's volume by the ship file, m³; nought where nobody told it.
    shell_m3: f64,
    form: FormState,
    /// What was told of the plant, whatever is found.
    told: ToldOfPlant,
    /// The findings since the last cleaning, where another span is looked at.
    cleaned: Option<Lately>,
    /// The last round beside the model, while the causes are being worked out.
    known: Option<Box<NowView>>,
    /// What was just written down.
    done: Option<&'static str>,
}

impl Shown {
    /// The findings that tell deposits: of the rounds since the last cleaning, where another span is looked at and they are at hand.
    fn deposits(&self) -> Option<&FindingsView> {
        match self.cleaned.as_ref()? {
            Lately::Found(view) | Lately::Before(view) => Some(view),
            _ => None,
        }
    }

    /// Carries the span that is shown through a form.
    fn span(&self) -> Markup {
        html! { @if let Since::Days(days) = self.since { input type="hidden" name="days" value=(days); } }
    }
}

async fn show(
    State(app): State<App>,
    reader: Reader,
    asked: FormState,
) -> Result<Response, Trouble> {
    let done = take::DONE.iter().find(|(key, _)| asked.was_sent(key)).map(|(_, says)| *says);
    let shown = of(&app, since(asked.typed("days")), FormState::default(), done).await?;
    Ok(drawn(&reader, &shown))
}

/// The rounds asked for in the address.
fn since(days: &str) -> Since {
    match days.parse::<u32>() {
        Ok(days) if (1..=366).contains(&days) => Since::Days(days),
        _ => Since::Cleaned,
    }
}

async fn of(
    app: &App,
    since: Since,
    form: FormState,
    done: Option<&'static str>,
) -> Result<Shown, Trouble> {
    let (now, desk) = (app.clock().now(), app.desk().clone());
    let patience = if done.is_some() { PATIENCE_WRITTEN } else { PATIENCE };
    let found = app.work().run(move |_| {
        let lately = desk.findings_lately(since, now, patience)?;
        let cleaned = match since {
            Since::Cleaned => None,
            _ => Some(desk.findings_lately(Since::Cleaned, now, patience)?),
        };
        let setup = desk.setup();
        let tables = desk.tables_text()?.unwrap_or_else(|| tables_example(&setup));
        let shell_m3 = setup.ship.checks.shell_volume_m3;
        let (stands, told) = (desk.stands(now)?, desk.told_of_plant(now)?);
        let known = match lately {
            Lately::UnderWay => Some(Box::new(desk.now(now)?)),
            _ => None,
        };
        let clock = desk.clock()?;
        Ok::<_, DeskError>(Shown {
            lately,
            cleaned,
            since,
            clock,
            now,
            tables,
            stands,
            shell_m3,
            form,
            told,
            known,
            done,
        })
    });
    found.await?.map_err(Trouble::from)
}

/// The page; while the first findings are being worked out it comes again by itself.
fn drawn(reader: &Reader, shown: &Shown) -> Response {
    let page = reader.page(Page::Findings, body(reader, shown));
    if !shown.form.is_sound() {
        return (StatusCode::UNPROCESSABLE_ENTITY, page).into_response();
    }
    match shown.lately {
        Lately::UnderWay => ([(REFRESH, AGAIN_S)], page).into_response(),
        _ => page.into_response(),
    }
}

fn body(reader: &Reader, shown: &Shown) -> Markup {
    html! {
        (refused(&shown.form))
        @match &shown.lately {
            Lately::Found(view) => { (told(reader, shown, view, false)) }
            Lately::Before(view) => { (told(reader, shown, view, true)) }
            // What was typed and refused stands, and the page does not come again by itself.
            Lately::UnderWay if !shown.form.is_sound() => { (rest(reader, shown, None)) }
            // Nothing to type in while the page comes again by itself.
            Lately::UnderWay => { (answer::waiting(shown)) (closed::listed(shown)) }
            Lately::None(why) => {
                (answer::none(shown, why))
                (rest(reader, shown, None))
            }
        }
    }
}

fn told(reader: &Reader, shown: &Shown, view: &FindingsView, before: bool) -> Markup {
    html! {
        (answer::entry(shown, view, before))
        (causes::entry(view))
        (checks::entry(reader, shown, Some(view)))
        (evidence::entry(reader, shown, view))
        (clean::entry(shown, view))
        (closed::entry(reader, shown, Some(view)))
        (weighed::entry(reader, shown, Some(view)))
    }
}

/// What can be written down while there is no finding.
fn rest(reader: &Reader, shown: &Shown, view: Option<&FindingsView>) -> Markup {
    html! {
        (checks::entry(reader, shown, view))
        (closed::entry(reader, shown, view))
        (weighed::entry(reader, shown, view))
    }
}

/// What was refused, told where the reader looks first, with the way to the field.
fn refused(form: &FormState) -> Markup {
    html! {
        @for (field, why) in form.errors() {
            section.entry { p.then {
                span.asks { (closed::lead(why)) } " " (why.lines().next().unwrap_or_default())
                " " a href={ "#" (field) } { "To what was typed" }
            } }
        }
        @for why in form.overall() { (parts::fault("Not written down", html! { (why) })) }
    }
}

fn capital(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or_else(String::new, |c| c.to_uppercase().chain(chars).collect())
}
