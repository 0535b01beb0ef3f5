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
    let more = view.orders.len().saturating_sub(MOST);
    html! { div.when-list {
        h3 id="orders" { "Orders" }
        (table.rows(view.orders.iter().take(MOST).map(|order| row(order, now))))
        @if more > 0 { p.muted { "And " (more) " more." } }
        @if let Some(foretold) = foretold {
            @if let Some(asks) = &foretold.asks { p { span.asks { "A start takes longer:" } " " (asks) } }
            @for says in &foretold.says { p.muted { (says) } }
        }
        p.muted { "No order stands before shutting heat: heat may always be taken off." }
    } }
}

fn row(order: &OrderLine, now: Timestamp) -> Row {
    let what: Cell =
        if order.plant { html! { b { (order.what) } }.into() } else { order.what.as_str().into() };
    let utc: Cell = html! { span.nb { (order.at.strftime("%-d %b %H:%M").to_string()) } }.into();
    let due = order.at <= now;
    let time = html! {
        @if due { b { "now" } ", since " }
        (zoned(order.at, order.zone))
    };
    Row::new(time, [utc, what])
}
