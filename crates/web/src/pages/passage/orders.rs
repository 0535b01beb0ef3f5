//! What to do and when, by ship's time and UTC; fit to be printed.

use desk::passage::{OrderLine, PassageView};
use maud::{Markup, html};

use crate::parts::{self, Cell, Row, Table};

use super::answer::when;

/// Orders shown; a long passage with many tank changes shows its first.
const MOST: usize = 60;

pub(super) fn entry(view: &PassageView) -> Markup {
    let note = html! { p { "Ship’s time of that moment, then UTC." } p { "No order stands before shutting heat: heat may always be taken off." } };
    if view.orders.is_empty() {
        let why = html! { "No water is to be made on this plan; what is aboard is used." };
        return parts::entry("Orders", note, parts::quiet("Nothing to do", why));
    }
    let table = Table::new("", "Ship’s time").words("UTC").words("What");
    let more = view.orders.len().saturating_sub(MOST);
    parts::entry(
        "Orders",
        note,
        html! {
            (table.rows(view.orders.iter().take(MOST).map(row)))
            @if more > 0 { p.muted { "And " (more) " more." } }
        },
    )
}

fn row(order: &OrderLine) -> Row {
    let what: Cell =
        if order.plant { html! { b { (order.what) } }.into() } else { order.what.as_str().into() };
    let utc: Cell = order.at.strftime("%-d %b %H:%M").to_string().into();
    Row::new(html! { (when(order.at, order.zone)) " " small { "UTC" (zone(order)) } }, [utc, what])
}

/// "+10" or "+9:30".
fn zone(order: &OrderLine) -> String {
    let minutes = order.zone.seconds() / 60;
    let (sign, minutes) = (if minutes < 0 { '−' } else { '+' }, minutes.abs());
    if minutes % 60 == 0 {
        format!("{sign}{}", minutes / 60)
    } else {
        format!("{sign}{}:{:02}", minutes / 60, minutes % 60)
    }
}
