//! Any quantity over any span: expected over actual, as a picture and as the table it comes from.

use axum::extract::State;
use chart::{Ids, Span, Trend};
use desk::DeskError;
use desk::field::{self, Often, READINGS};
use desk::typed::digits;
use desk::view::Series;
use jiff::{SignedDuration, Timestamp};
use logbook::ShipClock;
use maud::{Markup, html};

use crate::app::App;
use crate::form::FormState;
use crate::pages::drawn;
use crate::parts::{self, Cell, Field, Row, Table, fig};
use crate::paths::Page;
use crate::reader::Reader;
use crate::shiptime;
use crate::trouble::Trouble;

use super::TREND;

/// Spans to choose without typing, hours.
const SPANS: [(&str, i64); 4] =
    [("24 h", 24), ("7 days", 168), ("30 days", 720), ("60 days", 1440)];
/// Rows of the table; a longer span shows its newest.
const MOST_ROWS: usize = 400;

/// What was asked for, as typed.
#[derive(Debug, Clone, Default)]
pub(super) struct Wanted {
    hours: Option<i64>,
    from: String,
    to: String,
    wrong: Option<String>,
}

/// The form that asks for a quantity and a span.
pub(super) fn ask(key: &str, wanted: &Wanted) -> Markup {
    let numbers = READINGS.iter().filter(|r| !r.unit.is_empty() && r.often != Often::File);
    html! {
        form method="get" action=(TREND) {
            div.fields {
                div.field {
                    label for="trend-key" { "Quantity" }
                    p.box { select.value.words id="trend-key" name="key" {
                        @for reading in numbers { option value=(reading.key) selected[reading.key == key] { (reading.label) } }
                    } }
                }
            }
            p.acts {
                @for (label, hours) in SPANS {
                    button name="hours" value=(hours) aria-pressed=[(wanted.hours == Some(hours)).then_some("true")] { "Last " (label) }
                }
            }
            @let own = !wanted.from.is_empty() || !wanted.to.is_empty();
            (parts::details_shown("A span of your own", own, html! { div {
                div.fields {
                    (Field::new("from", "From").place("ship’s time").typed(&wanted.from).text())
                    (Field::new("to", "To").place("empty: now").typed(&wanted.to).text())
                }
                p.acts { button { "From – to" } }
            } }))
        }
    }
}

/// The page.
pub(super) async fn show(
    State(app): State<App>,
    reader: Reader,
    form: FormState,
) -> Result<Markup, Trouble> {
    let (now, desk) = (app.clock().now(), app.desk().clone());
    let key = if form.was_sent("key") {
        form.typed("key").to_owned()
    } else {
        "product_t_day".to_owned()
    };
    let found = app.work().run(move |_| {
        let clock = desk.clock()?;
        let (wanted, span) = span(&clock, &form, now);
        let series = desk.trend(&key, span.0, span.1)?;
        Ok::<_, DeskError>((clock, wanted, span, series))
    });
    let (clock, wanted, span, series) = found.await??;
    let body = html! {
        (answer(&series, &wanted, &clock, span))
        (picture(&series, &clock, span, now))
        (parts::entry("Another span or quantity", html! {}, ask(&series.key, &wanted)))
    };
    Ok(reader.page(Page::Readings, body))
}

/// The span asked for; a day to now where nothing or nothing sensible was asked.
fn span(clock: &ShipClock, form: &FormState, now: Timestamp) -> (Wanted, (Timestamp, Timestamp)) {
    let mut wanted = Wanted {
        from: form.typed("from").to_owned(),
        to: form.typed("to").to_owned(),
        ..Wanted::default()
    };
    let back =
        |hours: i64| (now.checked_sub(SignedDuration::from_hours(hours)).unwrap_or(now), now);
    if let Some(hours) = form.typed("hours").parse().ok().filter(|h| (1..=200_000).contains(h)) {
        wanted.hours = Some(hours);
        return (wanted, back(hours));
    }
    if wanted.from.trim().is_empty() && wanted.to.trim().is_empty() {
        wanted.hours = Some(168);
        return (wanted, back(168));
    }
    let read = |text: &str, empty: Timestamp| match text.trim() {
        "" => Ok(empty),
        text => shiptime::instant(clock, text, now),
    };
    // Up to a date means to the end of that day.
    let whole_day = quantity::read_moment(&wanted.to).is_some_and(|moment| moment.time.is_none());
    let to =
        read(&wanted.to, now).map(|to| if whole_day { clock.day(to).end.min(now) } else { to });
    let from = read(&wanted.from, back(168).0);
    match (from, to) {
        (Ok(from), Ok(to)) if from < to => (wanted, (from, to)),
        (Ok(_), Ok(_)) => {
            wanted.wrong = Some("the span ends before it begins: change from and to".to_owned());
            (wanted, back(168))
        }
        (Err(why), _) | (_, Err(why)) => {
            wanted.wrong = Some(why);
            (wanted, back(168))
        }
    }
}

fn answer(
    series: &Series,
    wanted: &Wanted,
    clock: &ShipClock,
    span: (Timestamp, Timestamp),
) -> Markup {
    let between =
        format!("{} to {}", shiptime::dated(clock, span.0), shiptime::dated(clock, span.1));
    let read: Vec<f64> = series.spots.iter().filter_map(|spot| spot.read).collect();
    let says = match read.last() {
        None => html! { (series.label) " was not read from " (between) "." },
        Some(last) => {
            let (low, high) = read
                .iter()
                .fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), x| (l.min(*x), h.max(*x)));
            html! {
                (series.label) " was last " (fig(&digits(*last, series.digits), &series.unit)) ", between "
                (digits(low, series.digits)) " and " (digits(high, series.digits)) "."
            }
        }
    };
    let outside = series
        .spots
        .iter()
        .filter(|s| s.read.zip(s.expected).is_some_and(|(x, band)| !band.holds(x)))
        .count();
    let compared = series.spots.iter().filter(|s| s.read.is_some() && s.expected.is_some()).count();
    let then = html! {
        @if let Some(wrong) = &wanted.wrong { p.then { span.asks { "Shown instead: the last 7 days." } " What was typed: " (wrong) "." } }
        @if compared > 0 { p.then { (outside_in_words(outside, compared)) } }
        p.then { (between) ", ship’s time." }
    };
    parts::answer(
        "How has it run?",
        says,
        then,
        html! {},
        html! { p { "Pencil: expected." br; "Ink: read." br; "Struck: corrected." } },
    )
}

fn picture(
    series: &Series,
    clock: &ShipClock,
    span: (Timestamp, Timestamp),
    now: Timestamp,
) -> Markup {
    let drawn_span = Span { from_s: span.0.as_second() as f64, to_s: span.1.as_second() as f64 };
    let trend = Trend {
        says: format!("{} over time, what was read over what should be.", series.label),
        span: drawn_span,
        now_s: Some(now.as_second() as f64),
        clock: shiptime::of_picture(clock, drawn_span),
        stopped: drawn::stopped(&series.stopped, drawn_span),
        lane: drawn::lane(series, true),
    };
    let svg = chart::trend(&mut Ids::new("trend"), &trend);
    let enveloped = series.spots.iter().any(|spot| spot.envelope.is_some());
    let caption = match (series.thinned, enveloped) {
        (false, _) => "",
        (true, true) => {
            "Too many rounds to work each out: the shaded band is least and most of what was read in each piece."
        }
        (true, false) => {
            "Too many rounds to work each out: what the counter made in each piece, hours not running counted in."
        }
    };
    let help = field::reading(&series.key).map_or("", |r| r.help);
    parts::entry(
        &series.label,
        html! { p { (help) } },
        html! {
            (parts::picture(&svg, caption))
            (parts::details("As a table", table(series, clock)))
        },
    )
}

fn table(series: &Series, clock: &ShipClock) -> Markup {
    let text = |value: f64| digits(value, series.digits);
    let rows = series.spots.iter().rev().take(MOST_ROWS).filter_map(|spot| {
        let at = Timestamp::from_second(spot.at_s as i64).ok()?;
        let read = html! {
            @if let Some(old) = spot.struck { s { (text(old)) } " " }
            @if let Some(read) = spot.read { (text(read)) }
        };
        let beside = match (spot.expected, spot.envelope) {
            (Some(band), _) => format!("{} to {}", text(band.low), text(band.high)),
            (None, Some((low, high))) => format!("{} to {}", text(low), text(high)),
            (None, None) => String::new(),
        };
        let cells: [Cell; 2] = [read.into(), beside.into()];
        Some(Row::new(html! { (shiptime::long(clock, at)) }, cells))
    });
    let second = if series.spots.iter().any(|s| s.envelope.is_some()) {
        "least to most"
    } else {
        "should be"
    };
    let table = Table::new("", "Round").numbers("Read", &series.unit).numbers(second, &series.unit);
    html! {
        (table.rows(rows.collect::<Vec<_>>()))
        @if series.spots.len() > MOST_ROWS { p.muted { "The newest " (MOST_ROWS) " of " (series.spots.len()) " rows." } }
    }
}

/// How often the readings missed the band, and what that says: one in ten is chance.
fn outside_in_words(outside: usize, compared: usize) -> String {
    let counted = match outside {
        0 => format!("All {compared} readings lie inside the band"),
        1 => format!("1 of {compared} readings lies outside the band"),
        _ => format!("{outside} of {compared} readings lie outside the band"),
    };
    let means = if outside * 4 > compared && outside > 2 {
        "the plant, an instrument or the sheet is not what the calculation takes it for"
    } else {
        "no more than chance gives"
    };
    format!("{counted}, which should hold nine in ten: {means}.")
}
