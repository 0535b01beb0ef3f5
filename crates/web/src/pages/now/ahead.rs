//! What the passage plan says, in three lines.

use desk::passage::{OrderLine, Outlook};
use maud::{Markup, html};

use crate::parts;
use crate::paths::Page;

/// `aboard_t` is what can be pumped, as last sounded; `out_of_limit` that what is made now is dumped.
pub(super) fn entry(outlook: &Outlook, aboard_t: Option<f64>, out_of_limit: bool) -> Markup {
    let acts = |label| html! { p.acts { (parts::act(Page::Passage.path(), label, false)) } };
    let ahead = match outlook {
        Outlook::NoRoute => return html! {},
        Outlook::NotPlanned => {
            let body = html! { p { "There is a route, and no plan of the last six hours." } (acts("Plan the passage")) };
            return parts::entry("The water ahead", html! {}, body);
        }
        Outlook::UnderWay => {
            let body = html! { p { "The passage is being planned; it takes a few seconds." } (acts("The passage")) };
            return parts::entry("The water ahead", html! {}, body);
        }
        Outlook::Refused(why) => {
            let first = why.lines().next().unwrap_or_default();
            let body =
                html! { p { span.asks { "There is no plan:" } " " (first) } (acts("The passage")) };
            return parts::entry("The water ahead", html! {}, body);
        }
        Outlook::Planned(ahead) => ahead,
    };
    let (low, middle, high) = ahead.on_arrival_t;
    let body = html! {
        @if let Some(t) = aboard_t { p { b.nb { (format!("{t:.0}")) " t" } " aboard to use, as last sounded." } }
        @if let Some((at, on)) = ahead.switched { p { span.asks { (if on { "Started" } else { "Stopped" }) " since:" } " the plan was made before that, and reckons with the plant as it was until " b.nb { (at.strftime("%-d %b %H:%M").to_string()) " UTC" } ". Open the passage, and it is planned as she is now." } }
        @if out_of_limit { p { span.asks { "Nothing comes in now:" } " the plan reckons with water in limit, and what is made is out of it." } }
        @if let Some(why) = &ahead.why { p {
            @match why.split_once(": ") {
                Some((lead, rest)) => { span.asks { (lead) ":" } " " (rest) }
                None => span.asks { (why) }
            }
        } }
        p {
            @if ahead.holds && ahead.just { "It just lasts to " } @else if ahead.holds { "It lasts to " } @else { "To " }
            (ahead.to) " with " b.nb { (format!("{middle:.0}")) " t" } ", eight times in ten " (format!("{low:.0}")) " to " (format!("{high:.0}")) " t"
            @if ahead.days_in_hand.is_finite() { "; " b.nb { (format!("{:.0}", ahead.days_in_hand)) " days’ use" } " in hand then" } "."
        }
        @if let Some(order) = &ahead.due { p {
            b { (order.what) } @if order.at <= ahead.planned { ", now." } @else { ", due since " b.nb { (when(order)) } " ship’s time." }
        } }
        @match &ahead.next {
            Some(order) => p { "Next order, " b.nb { (when(order)) } " ship’s time: " (order.what) "." },
            None => p { "No order is to come on this plan." },
        }
        @if let Some(asks) = &ahead.asks { p { span.asks { "Of the route:" } " " (asks) } }
        @if let Some(zones) = &ahead.zones { p { span.asks { "Two clocks." } " " (zones) } }
        (acts("The passage"))
    };
    let note = html! {
        p { "As planned " (ahead.planned.strftime("%-d %b %H:%M").to_string()) " UTC." }
        @if !ahead.share_says.is_empty() { p { (ahead.share_says) } }
    };
    parts::entry("The water ahead", note, body)
}

/// The order's moment by the ship's clock of then.
fn when(order: &OrderLine) -> String {
    order.zone.to_datetime(order.at).strftime("%-d %b %H:%M").to_string()
}
