//! Correct one figure: the old one stays readable beside the new.

use axum::extract::State;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use desk::DeskError;
use desk::correct::Correction;
use desk::field::{self, Role};
use desk::round::SOUNDING;
use desk::ship::Ship;
use jiff::Timestamp;
use logbook::{Entry as Logged, ShipClock, Value};
use maud::{Markup, html};
use quantity::Unit as Symbol;

use crate::app::App;
use crate::form::FormState;
use crate::parts::{self, Field, Unit, fig};
use crate::paths::Page;
use crate::reader::Reader;
use crate::shiptime;
use crate::trouble::Trouble;

use super::{CORRECT, earlier};

/// What is to be corrected.
struct Old {
    entry: Logged,
    value: Value,
    what: What,
    clock: ShipClock,
    now: Timestamp,
}

/// A reading, or the sounding of a tank, as the form needs to know it.
struct What {
    key: String,
    label: String,
    place: &'static str,
    /// Its own unit first; none of a word.
    units: Vec<(&'static str, &'static str)>,
    words: &'static [&'static str],
}

impl What {
    fn of(ship: &Ship, key: &str) -> Option<What> {
        if let Some(tank) = key.strip_prefix(SOUNDING) {
            let label = format!("Sounding, {}", ship.tank(tank)?.name);
            let (place, units) = ("sounding tape", vec![("cm", "cm")]);
            return Some(What { key: key.to_owned(), label, place, units, words: &[] });
        }
        let reading = field::reading(key)?;
        let codes = std::iter::once(reading.unit).chain(reading.also.iter().copied());
        let units = codes
            .filter_map(|code| code.parse::<Symbol>().ok().map(|unit| (code, unit.symbol())))
            .collect();
        let words = match reading.role {
            Role::Word(words) => words,
            _ => &[],
        };
        let (label, place) = (reading.label.to_owned(), reading.place);
        Some(What { key: key.to_owned(), label, place, units, words })
    }
}

async fn find(app: &App, form: &FormState) -> Result<Old, Trouble> {
    let bad = |what: String| {
        Trouble::Bad {
        what,
        remedy: "Choose a figure from the earlier rounds. One that was left out is added by a round of the same time with that figure alone.".to_owned(),
    }
    };
    let (seq, key) = (form.typed("seq").to_owned(), form.typed("key").to_owned());
    let number: u64 =
        seq.parse().map_err(|_| bad(format!("“{seq}” is not the number of an entry")))?;
    let what = What::of(&app.desk().setup().ship, &key);
    let what = what.ok_or_else(|| bad(format!("“{key}” is not a reading")))?;
    let (now, desk) = (app.clock().now(), app.desk().clone());
    let found = app
        .work()
        .run(move |_| Ok::<_, DeskError>((earlier::entry(&desk, number)?, desk.clock()?)));
    let (entry, clock) = found.await??;
    let entry = entry.ok_or_else(|| bad(format!("there is no entry {number}")))?;
    let value = entry.value(&key).cloned();
    let value =
        value.ok_or_else(|| bad(format!("entry {number} has no reading “{}”", what.label)))?;
    Ok(Old { entry, value, what, clock, now })
}

/// The form.
pub(super) async fn show(
    State(app): State<App>,
    reader: Reader,
    form: FormState,
) -> Result<Markup, Trouble> {
    let old = find(&app, &form).await?;
    Ok(page(&reader, &old, &form, None))
}

/// Writes the correction.
pub(super) async fn write(
    State(app): State<App>,
    reader: Reader,
    mut form: FormState,
) -> Result<Response, Trouble> {
    let old = find(&app, &form).await?;
    for (name, why) in [
        ("text", "write the new figure"),
        ("reason", "say why it is corrected"),
        ("actor", "write your initials"),
    ] {
        if form.typed(name).trim().is_empty() {
            form.refuse(name, why);
        }
    }
    let mut doubt = None;
    if form.is_sound() {
        let (now, desk, sent) = (old.now, app.desk().clone(), form.clone());
        let (seq, key) = (old.entry.seq, old.what.key.clone());
        let done = app.work().run(move |_| {
            let of = |name| sent.typed(name);
            let to = Correction {
                seq,
                key: &key,
                text: of("text"),
                unit: of("unit"),
                reason: of("reason"),
                actor: of("actor"),
                // Said of this figure, not of one typed since.
                stands: !of("stands").is_empty() && of("stands") == of("text"),
            };
            desk.correct(to, now)
        });
        match done.await? {
            Ok(new) => {
                let to = format!("{}?corrected={new}", Page::Readings.path());
                return Ok(Redirect::to(&to).into_response());
            }
            Err(DeskError::Asked(why)) => form.refuse("text", why),
            Err(DeskError::Doubtful(why)) => doubt = Some(why),
            Err(other) => form.refuse_whole(other.to_string()),
        }
    }
    Ok((StatusCode::UNPROCESSABLE_ENTITY, page(&reader, &old, &form, doubt.as_deref()))
        .into_response())
}

fn page(reader: &Reader, old: &Old, form: &FormState, doubt: Option<&str>) -> Markup {
    let (entry, what) = (&old.entry, &old.what);
    let text = old.value.text.clone().unwrap_or_default();
    let unit = old.value.unit.as_deref().unwrap_or("").parse::<Symbol>().map_or("", Symbol::symbol);
    let when = shiptime::long(&old.clock, entry.at);
    let chosen = if form.was_sent("unit") {
        form.typed("unit")
    } else {
        let own = what.units.first().map_or("", |unit| unit.0);
        old.value.unit.as_deref().unwrap_or(own)
    };
    let figure = Field::new("text", &what.label).place(what.place).was(&when, &text);
    let figure = match what.units[..] {
        _ if !what.words.is_empty() => figure.one_of(what.words),
        [(_, only)] => figure.unit(Unit::Fixed(only)),
        _ => figure.unit(Unit::Choice { name: "unit", options: &what.units, chosen }),
    };
    let body = reader.form(CORRECT, &format!("correct-{}-{}", entry.seq, what.key), html! {
        input type="hidden" name="seq" value=(entry.seq);
        input type="hidden" name="key" value=(what.key);
        section.entry {
            h2 { "The right figure" }
            div.note { p { "The old figure stays readable, struck through, with your initials, the time and the reason." } }
            div.fields {
                (figure.from_form(form))
                (Field::new("reason", "Reason").place("why the old one is wrong").text().from_form(form))
                (Field::new("actor", "Initials").place("who corrects").text().from_form(form))
            }
            p.acts {
                button.first { "Write the correction" }
                @if doubt.is_some() { button name="stands" value=(form.typed("text")) { "Let " (form.typed("text")) " stand" } }
                a.act href=(Page::Readings.path()) { "Back" }
            }
        }
    });
    let then = html! {
        @for why in form.overall() { p.then { span.asks { "Not written:" } " " (why) } }
        @if let Some(why) = doubt { p.then { span.asks { "Does not fit:" } " " (why) " Mend the figure below, or let it stand." } }
        p.then { "Entry " (entry.seq) ", written by " (entry.author.actor) "." }
    };
    let says = html! { (what.label) " of " (when) " stands as " (fig(if text.is_empty() { "–" } else { &text }, unit)) "." };
    reader.page(
        Page::Readings,
        html! {
            (parts::answer("What should stand instead?", says, then, html! {}, html! {}))
            (body)
        },
    )
}
