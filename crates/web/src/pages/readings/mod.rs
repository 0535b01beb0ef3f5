//! Readings: can these readings be believed together? Entry, earlier rounds, corrections, trends, the blank sheet.

mod correct;
mod earlier;
mod form;
mod import;
mod line;
mod round;
mod sheet;
mod trend;
mod typed;

pub(crate) use line::REASONS;

use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::{get, post};
use desk::entry::CheckedRound;
use desk::{Desk, DeskError, SignError};
use jiff::Timestamp;
use logbook::ShipClock;
use maud::{Markup, html};

use crate::app::App;
use crate::assets::Asset;
use crate::form::FormState;
use crate::parts;
use crate::paths::Page;
use crate::reader::Reader;
use crate::shiptime;
use crate::trouble::Trouble;

use self::typed::Press;

/// Checks what is typed without writing anything; answers with the answer and the fields alone.
const CHECK: &str = "/readings/check";
/// Corrects one figure.
pub(crate) const CORRECT: &str = "/readings/correct";
/// All figures of one round.
const ROUND: &str = "/readings/round";
/// One quantity over a span.
const TREND: &str = "/readings/trend";
/// The blank watch sheet.
const SHEET: &str = "/readings/sheet";

/// The addresses of the page and those below it.
pub(crate) fn routes() -> Router<App> {
    Router::new()
        .route(Page::Readings.path(), get(show).post(press))
        .route(CHECK, post(check))
        .route(CORRECT, get(correct::show).post(correct::write))
        .route(ROUND, get(round::show).post(round::withdraw))
        .route(TREND, get(trend::show))
        .route(SHEET, get(sheet::show))
        .route(import::IMPORT, get(import::show).post(import::send))
        .route(import::TAKE, post(import::take))
}

/// A round typed in is not older than this, seconds: it would be of another year by a slip, and a time is not corrected.
const OLDEST_S: i64 = 366 * 24 * 3600;

/// What the form is drawn from.
struct Entry {
    form: FormState,
    checked: CheckedRound,
    clock: ShipClock,
    /// When the next round is due, and whether one has ever been read.
    due: Timestamp,
    first: bool,
    /// The round's time as typed, or as offered.
    at: Timestamp,
    now: Timestamp,
}

impl Entry {
    /// Checks a form as typed. A time that cannot be is refused in the form, and the time due stands in.
    fn of(desk: &Desk, mut form: FormState, now: Timestamp) -> Result<Entry, DeskError> {
        let clock = desk.clock()?;
        let due = desk.due(now)?;
        let (due, first) = (due.unwrap_or(now), due.is_none());
        let offered = offered(desk, due, now);
        let at = match form.typed("at") {
            "" => offered,
            text => match shiptime::instant(&clock, text, now) {
                Ok(at) if now.as_second() - at.as_second() <= OLDEST_S => at,
                found => {
                    let old = "is more than a year ago: look at the year; what is older comes from a file, below";
                    let why = found.map_or_else(
                        |why| why,
                        |at| format!("{} {old}", shiptime::dated(&clock, at)),
                    );
                    form.refuse("at", why);
                    offered
                }
            },
        };
        let checked = desk.check_round(&typed::round(&form), at)?;
        Ok(Entry { form, checked, clock, due, first, at, now })
    }
}

fn round_s(desk: &Desk) -> i64 {
    ((desk.setup().ship.round_hours * 3600.0) as i64).max(60)
}

/// The newest time at which a round was due and which is not ahead; now, to the minute, where there is none.
fn offered(desk: &Desk, due: Timestamp, now: Timestamp) -> Timestamp {
    let (due_s, now_s) = (due.as_second(), now.as_second());
    let minute = now_s - now_s.rem_euclid(60);
    let newest = if due_s <= now_s {
        due_s + (now_s - due_s) / round_s(desk) * round_s(desk)
    } else {
        minute
    };
    Timestamp::from_second(newest).unwrap_or(now)
}

async fn show(State(app): State<App>, reader: Reader, asked: FormState) -> Result<Markup, Trouble> {
    let (now, desk) = (app.clock().now(), app.desk().clone());
    let signed = asked.typed("signed").parse::<u64>().ok();
    let corrected = asked.typed("corrected").parse::<u64>().ok();
    let withdrawn = asked.was_sent("withdrawn");
    let count = asked.typed("rounds").parse().unwrap_or(earlier::FEW).clamp(1, earlier::MOST);
    let found = app.work().run(move |_| {
        let mut form = FormState::default();
        if asked.was_sent("at") {
            form.set("at", asked.typed("at"));
        }
        let entry = Entry::of(&desk, form, now)?;
        let told = signed.map(|seq| earlier::entry(&desk, seq)).transpose()?.flatten();
        Ok::<_, DeskError>((entry, told, earlier::of(&desk, now, count)?))
    });
    let (entry, told, earlier) = found.await??;
    let said = html! {
        @if let Some(entry_told) = &told { (form::signed(entry_told, &entry.clock, now)) }
        @if withdrawn {
            p.then role="status" { (parts::state(parts::Mark::Done, "Withdrawn")) ": the round counts no more and stays readable." }
        }
        @if let Some(seq) = corrected {
            p.then role="status" { "Corrected: entry " (seq) ". The old figure stays readable beside the new one." }
        }
    };
    Ok(page(&reader, &entry, said, earlier.entry()))
}

/// The form was sent: check, one of the choices, or sign.
async fn press(
    State(app): State<App>,
    reader: Reader,
    mut form: FormState,
) -> Result<Response, Trouble> {
    let (now, desk) = (app.clock().now(), app.desk().clone());
    let press = typed::press(&form);
    let done = app.work().run(move |_| {
        typed::settle(&mut form);
        let mut entry = Entry::of(&desk, form, now)?;
        if let Press::Offer { key, nth } = &press
            && typed::take_offer(&mut entry.form, &entry.checked, key, *nth)
        {
            entry = Entry::of(&desk, entry.form, now)?;
        }
        if press == Press::Sign {
            typed::remark_wanted(&mut entry.form);
            if entry.form.is_sound() {
                match desk.sign_round(&typed::round(&entry.form), entry.at, now) {
                    Ok(signed) => return Ok(Err(signed.seq)),
                    Err(SignError::Refused(checked)) => entry.checked = *checked,
                    // A full disk or a doubted clock takes nothing away from what was typed.
                    Err(SignError::Desk(error)) => {
                        entry.form.refuse_whole(format!("Not written down: {}", told(&error)));
                    }
                }
            }
            let open = entry.checked.counts().2;
            if open > 0 {
                let lines = if open == 1 { "One line asks" } else { &format!("{open} lines ask") };
                entry.form.refuse_whole(format!(
                    "{lines} for a second look; everything typed stands below."
                ));
            }
            let overall = entry.checked.overall.clone();
            overall.into_iter().for_each(|why| entry.form.refuse_whole(why));
        }
        let earlier = earlier::of(&desk, now, earlier::FEW)?;
        Ok::<_, DeskError>(Ok((entry, press, earlier)))
    });
    Ok(match done.await?? {
        Err(seq) => {
            Redirect::to(&format!("{}?signed={seq}", Page::Readings.path())).into_response()
        }
        Ok((entry, press, earlier)) => {
            let status = if press == Press::Sign {
                StatusCode::UNPROCESSABLE_ENTITY
            } else {
                StatusCode::OK
            };
            (status, page(&reader, &entry, html! {}, earlier.entry())).into_response()
        }
    })
}

/// For the module: answer and fields as they would stand now, without the frame.
async fn check(State(app): State<App>, mut form: FormState) -> Result<Markup, Trouble> {
    let (now, desk) = (app.clock().now(), app.desk().clone());
    let entry = app.work().run(move |_| {
        let press = typed::press(&form);
        typed::settle(&mut form);
        let entry = Entry::of(&desk, form, now)?;
        match press {
            Press::Offer { key, nth } => {
                let mut form = entry.form.clone();
                if typed::take_offer(&mut form, &entry.checked, &key, nth) {
                    return Entry::of(&desk, form, now);
                }
                Ok(entry)
            }
            _ => Ok(entry),
        }
    });
    let entry = entry.await??;
    Ok(html! { (form::answer(&entry, html! {})) (form::lines(&entry)) (form::acts(&entry)) })
}

fn page(reader: &Reader, entry: &Entry, said: Markup, earlier: Markup) -> Markup {
    let body = html! {
        (form::answer(entry, said))
        (form::form(reader, entry))
        (earlier)
        (parts::entry("From a file", html! {}, html! { p { "Readings kept elsewhere, as a CSV file: looked at row by row before anything is taken." } p.acts { (parts::act(import::IMPORT, "Look at a file", false)) } }))
        (parts::entry("A quantity over time", html! {}, trend::ask("product_t_day", &trend::Wanted::default())))
    };
    reader.page_with(Page::Readings, body, &[Asset::Readings])
}

/// Why the record took nothing, and where to go on.
fn told(error: &DeskError) -> String {
    let doubted = |e: &logbook::Error| {
        matches!(e, logbook::Error::ClockForward { .. } | logbook::Error::ClockPast { .. })
    };
    match error {
        DeskError::Record(e) if doubted(e) => {
            format!(
                "{e} It is done on the page Records, under “If entries are refused because the clock jumped”; what you typed stands here meanwhile."
            )
        }
        other => other.to_string(),
    }
}
