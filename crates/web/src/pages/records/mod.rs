//! Records: the log, newest first, with the head of its chain and its proofs.

mod export;
mod proof;
mod seals;
mod stopped;
mod words;

use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use axum::routing::{get, post};
use desk::{Desk, DeskError};
use jiff::Timestamp;
use logbook::{Broken, Entry, Hash, Sealed, ShipClock};
use maud::{Markup, html};

use crate::app::App;
use crate::form::FormState;
use crate::parts::{self, Cell, Row, Table, fig};
use crate::paths::Page;
use crate::reader::Reader;
use crate::shiptime;
use crate::trouble::Trouble;

/// Entries on one page.
const ON_A_PAGE: usize = 40;

/// The address of the page.
pub(crate) fn routes() -> Router<App> {
    Router::new()
        .route(Page::Records.path(), get(show))
        .route(export::CSV, get(export::csv))
        .route(export::LINES, get(export::lines))
        .route(proof::VERIFY, post(proof::walk))
        .route(proof::COMPARE, post(proof::compare))
        .route(proof::CLOCK, post(proof::vouch))
        .route(seals::SEAL, post(seals::seal))
        .route(stopped::EMERGENCY, post(stopped::emergency))
        .route(stopped::GO_ON, post(stopped::go_on))
}

struct Records {
    entries: Vec<Entry>,
    count: u64,
    head: Hash,
    clock: ShipClock,
    now: Timestamp,
    /// Whether the newest entries are shown.
    newest: bool,
    proof: proof::Proof,
    /// Newest first.
    seals: Vec<Sealed>,
    /// The entry of the seal made by the press before this page.
    just_sealed: Option<u64>,
    /// The newest entry, where it is out of order.
    broken: Option<Broken>,
    /// The entry of an emergency, or of going on, written before this page.
    written: Option<u64>,
}

async fn show(State(app): State<App>, reader: Reader, asked: FormState) -> Result<Markup, Trouble> {
    let before = match asked.typed("before") {
        "" => None,
        text => Some(text.parse::<u64>().map_err(|_| Trouble::Bad {
            what: format!("“{text}” is not the number of an entry"),
            remedy: "Open Records from the index and page from there.".to_owned(),
        })?),
    };
    let mut found = read(&app, before, |_| Ok(proof::Proof::None)).await?;
    found.just_sealed = asked.typed("sealed").parse().ok();
    found.written = asked.typed("written").parse().ok();
    Ok(page(&reader, &found, &FormState::default()))
}

/// Reads a page of the log after `prove` has had its say.
async fn read(
    app: &App,
    before: Option<u64>,
    prove: impl FnOnce(&Desk) -> Result<proof::Proof, DeskError> + Send + 'static,
) -> Result<Records, Trouble> {
    let (now, desk) = (app.clock().now(), app.desk().clone());
    let found = app.work().run(move |_| {
        let proof = prove(&desk)?;
        let (count, head) = desk.head()?;
        let entries = desk.entries(before, ON_A_PAGE)?;
        let (clock, newest) = (desk.clock()?, before.is_none());
        let seals = desk.seals(seals::MOST)?;
        let broken = desk.broken();
        let (just_sealed, written) = (None, None);
        let found = Records {
            entries,
            count,
            head,
            clock,
            now,
            newest,
            proof,
            seals,
            just_sealed,
            broken,
            written,
        };
        Ok::<_, DeskError>(found)
    });
    Ok(found.await??)
}

/// The page again, with what was typed and why it is not taken.
async fn refused(app: &App, reader: &Reader, form: &FormState) -> Result<Response, Trouble> {
    let found = read(app, None, |_| Ok(proof::Proof::None)).await?;
    Ok((StatusCode::UNPROCESSABLE_ENTITY, page(reader, &found, form)).into_response())
}

fn page(reader: &Reader, records: &Records, form: &FormState) -> Markup {
    let utc = records.now.strftime("%H:%M").to_string();
    let shown = format!("{} ship’s time, {utc} UTC", shiptime::long(&records.clock, records.now));
    reader.page(
        Page::Records,
        html! {
            (answer(records))
            (seals::entry(reader, form, &records.seals, &records.clock, records.just_sealed))
            (proof::forms(reader, form, &shown))
            (stopped::entry(reader, form, records.broken.as_ref(), records.written, records.count))
            (copies())
            (log(records))
        },
    )
}

fn answer(records: &Records) -> Markup {
    let says = html! { "The record holds " (fig(&records.count.to_string(), "entries")) "; nothing in it is ever changed or erased." };
    let head = records.head.to_string();
    let then = html! {
        (proof::told(&records.proof, &records.clock))
        p.then { "Head of the chain: " code { (head.get(..8).unwrap_or(&head)) } span.muted { (head.get(8..16).unwrap_or("")) "…" } ". Copied into the bound book, its first signs prove later that nothing before it was altered." }
    };
    let note = html! { p { "Each entry carries the hash of the one before it." } };
    parts::answer("Is the record complete and unaltered?", says, then, html! {}, note)
}

fn copies() -> Markup {
    let note = html! { p { "The figures can be taken in again on the page Readings and come back as they were; the entries are for proof." } };
    parts::entry(
        "Take a copy",
        note,
        html! {
            p { "A spreadsheet of every figure as it stands, or every entry to the letter with its hash, from which anybody can prove the chain." }
            p.acts {
                (parts::act(export::CSV, "Figures (CSV)", false))
                (parts::act(export::LINES, "Entries (JSON lines)", false))
            }
        },
    )
}

fn log(records: &Records) -> Markup {
    let Some(last) = records.entries.last() else {
        return parts::entry(
            "Entries",
            html! {},
            parts::quiet(
                "No entry here",
                html! { "The first signed round of readings will be the first entry." },
            ),
        );
    };
    let table = Table::new("", "Entry")
        .words("Ship’s time")
        .words("UTC")
        .words("Who")
        .words("What")
        .rows(records.entries.iter().map(|entry| row(records, entry)));
    let note = html! { p { "Newest first. A correction names the entry it corrects; both stay." } };
    parts::entry(
        "Entries",
        note,
        html! {
            (table)
            p.acts {
                @if last.seq > 1 { (parts::act(&format!("{}?before={}", Page::Records.path(), last.seq), "Older entries", false)) }
                @if !records.newest { (parts::act(Page::Records.path(), "Newest entries", false)) }
            }
        },
    )
}

/// A step written down so long after it was done is told as late, seconds.
const LATE_TICK_S: i64 = 900;

fn row(records: &Records, entry: &Entry) -> Row {
    let utc = entry.at.strftime("%-d %b %H:%M").to_string();
    let local = entry.local().strftime("%-d %b %H:%M").to_string();
    // A tick that was written a quarter of an hour afterwards was not ticked as it was done, nor what was read with it.
    let at_step = entry.kind == logbook::Kind::Step
        || entry.kind == logbook::Kind::Reading && entry.details.contains_key("step");
    let ticked = at_step && entry.logged.as_second() - entry.at.as_second() >= LATE_TICK_S;
    let late = entry.is_late() || ticked;
    let logged = shiptime::short(&records.clock, entry.logged, records.now);
    let time = html! { (local) " " small { (entry.zone.to_string()) } @if late { br; small { "late, written " (logged) } } };
    let cells: [Cell; 4] =
        [time.into(), utc.into(), entry.author.actor.as_str().into(), words::what(entry).into()];
    Row::new(html! { span id={ "entry-" (entry.seq) } { (entry.seq) } }, cells)
}
