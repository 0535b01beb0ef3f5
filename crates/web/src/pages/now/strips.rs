//! The last 24 hours as lanes, and the same numbers as a table.

use chart::{Ids, Lanes, Span};
use desk::now::NowView;
use desk::typed::digits;
use desk::view::{Series, Spot};
use jiff::Timestamp;
use logbook::ShipClock;
use maud::{Markup, html};

use crate::pages::drawn;
use crate::parts::{self, Cell, Row, Table};
use crate::shiptime;

const DAY_S: f64 = 86_400.0;

/// Lanes and folded table.
pub(super) fn entry(view: &NowView, clock: &ShipClock, now: Timestamp) -> Markup {
    if view.strips.iter().all(|series| series.spots.is_empty()) {
        return html! {};
    }
    let to_s = now.as_second() as f64;
    let span = Span { from_s: to_s - DAY_S, to_s };
    let lanes = Lanes {
        title: "The last 24 hours".to_owned(),
        says: "Made, vacuum and salinity: what was read over what should be.".to_owned(),
        span,
        now_s: Some(to_s),
        clock: shiptime::of_picture(clock, span),
        stopped: drawn::stopped(&view.stopped, span),
        lanes: view.strips.iter().enumerate().map(|(i, s)| drawn::lane(s, i == 0)).collect(),
    };
    let picture = chart::lanes(&mut Ids::new("day"), &lanes);
    let note = html! {
        p { "By ship’s time. The band holds nine in ten; a figure struck through was corrected; hatching: shut down. What was read of her then and lies off the scale stands at its edge with its figure. The figure at the right is the last one read." }
    };
    parts::entry(
        "The last 24 hours",
        note,
        html! {
            // Where there is room the numbers stand beside the picture, else folded under it.
            (parts::beside(
                parts::picture(&picture, ""),
                html! { div.when-broad { (table(view, clock, now, span)) } },
            ))
            div.unless-broad { (parts::details("As a table", table(view, clock, now, span))) }
        },
    )
}

fn table(view: &NowView, clock: &ShipClock, now: Timestamp, span: Span) -> Markup {
    let mut table = Table::new("Rounds of the last 24 hours", "Round");
    for series in &view.strips {
        table = table.numbers(&series.label, &series.unit).numbers("should be", &series.unit);
    }
    // Of what was read at steps of lists only where the counter was read tells of the output: the rest is folded into one line.
    let made = |at: Timestamp| {
        let spots = view.strips.first().map_or(&[][..], |made| &made.spots);
        spots.iter().any(|spot| spot.at_s as i64 == at.as_second() && spot.read.is_some())
    };
    let at_step = |at: Timestamp| view.at_steps.iter().any(|(then, _)| *then == at) && !made(at);
    let count = view.strips.first().map_or(0, |series| series.spots.len());
    let rows = (0..count).rev().filter_map(|i| {
        let at_s = view.strips.first()?.spots.get(i)?.at_s;
        let at = Timestamp::from_second(at_s as i64).ok().filter(|_| at_s >= span.from_s)?;
        if at_step(at) {
            return None;
        }
        let cells = view
            .strips
            .iter()
            .flat_map(|s| s.spots.get(i).map(|spot| cells(s, spot)).unwrap_or_default());
        Some(Row::new(html! { (shiptime::short(clock, at, now)) }, cells.collect::<Vec<_>>()))
    });
    let mut lists: Vec<(&str, usize)> = Vec::new();
    for (_, name) in view.at_steps.iter().filter(|(at, _)| at.as_second() as f64 >= span.from_s) {
        match lists.iter_mut().find(|(other, _)| other == name) {
            Some((_, n)) => *n += 1,
            None => lists.push((name, 1)),
        }
    }
    html! {
        (table.rows(rows.collect::<Vec<_>>()))
        @for (name, n) in lists { p.muted { (n) @if n == 1 { " reading" } @else { " readings" } " at steps of " (name) "." } }
    }
}

/// What was read, with the figure it replaced struck through, and what it should have been.
pub(crate) fn cells(series: &Series, spot: &Spot) -> Vec<Cell> {
    let text = |value: f64| digits(value, series.digits);
    let read = html! {
        @if let Some(old) = spot.struck { s { (text(old)) } " " }
        @if let Some(read) = spot.read { (text(read)) }
    };
    let should = spot.expected.map(|b| format!("{} to {}", text(b.low), text(b.high)));
    vec![read.into(), should.unwrap_or_default().into()]
}
