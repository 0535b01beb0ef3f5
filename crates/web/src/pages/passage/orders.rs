//! What to do and when, by ship's time and UTC; fit to be printed.

use desk::foretold::StartAndStop;
use desk::passage::{OrderLine, PassageView};
use jiff::Timestamp;
use maud::{Markup, html};

use crate::parts::{self, Cell, Row, Table};

use super::answer::zoned;

/// Orders shown; a long passage with many tank changes shows its first.
const MOST: usize = 60;

/// The list, under a heading of its own: it stands beside the map.
pub(super) fn list(view: &PassageView, foretold: Option<&StartAndStop>, now: Timestamp) -> Markup {
    if view.orders.is_empty() {
        let why = html! { "No water is to be made on this plan; what is aboard is used." };
        return html! { div { h3 id="orders" { "Orders" } (parts::quiet("Nothing to do", why)) } };
    }
    let table = Table::new("", "Ship’s time").words("UTC").words("What");
    let shown = view.orders.get(..MOST).unwrap_or(&view.orders);
    let more = view.orders.len() - shown.len();
    html! { div.when-list {
        h3 id="orders" { "Orders" }
        @if view.cannot().is_some() { p { span.asks { "Not to be gone by yet:" } " the tanks cannot carry this plan. Put them right on the page Ship first." } }
        (table.rows(shown.chunk_by(|a, b| a.at == b.at).map(|orders| row(orders, now))))
        @if more > 0 { p.muted { "And " (more) " more." } }
        @if let Some(foretold) = foretold {
            @if let Some(asks) = &foretold.asks { p { span.asks { "A start takes longer:" } " " (asks) } }
            @for says in &foretold.says { p.muted { (says) } }
        }
        p.muted { "No order stands before shutting heat: heat may always be taken off." }
    } }
}

/// What is to be done at one moment, in the order of the plan.
fn row(orders: &[OrderLine], now: Timestamp) -> Row {
    let Some(first) = orders.first() else { return Row::new(html! {}, [Cell::from("")]) };
    let what = html! {
        @for order in orders {
            p { @if order.plant { b { (order.what) } } @else { (order.what) } }
        }
    };
    let utc = html! { span.nb { (first.at.strftime("%-d %b %H:%M").to_string()) } };
    let due = first.at <= now;
    let time = html! {
        @if due { b { "now" } ", since " }
        (zoned(first.at, first.zone))
    };
    Row::new(time, [Cell::from(utc), what.into()])
}
