//! The sentence, what binds, what could be done, how it was computed.

use desk::passage::{Against, AtSpeed, Heat, How, PassageView};
use jiff::Timestamp;
use jiff::tz::Offset;
use maud::{Markup, html};

use crate::parts::{self, Cell, Row, Table, fig};
use crate::paths::Page;

/// "22 Nov 11:15", by the ship's clock of that moment.
pub(super) fn when(at: Timestamp, zone: Offset) -> String {
    zone.to_datetime(at).strftime("%-d %b %H:%M").to_string()
}

/// The same with its zone: a list may go over a change of the clocks, or the date line.
pub(super) fn zoned(at: Timestamp, zone: Offset) -> Markup {
    html! { span.nb { (when(at, zone)) " " small { "UTC" (offset(zone)) } } }
}

/// "+10" or "+9:30".
fn offset(zone: Offset) -> String {
    let minutes = zone.seconds() / 60;
    let (sign, minutes) = (if minutes < 0 { '−' } else { '+' }, minutes.abs());
    if minutes % 60 == 0 {
        format!("{sign}{}", minutes / 60)
    } else {
        format!("{sign}{}:{:02}", minutes / 60, minutes % 60)
    }
}

/// `edited`: whether it is told what the last change made of the plan; one that was refused has made nothing of it.
pub(super) fn entry(
    view: &PassageView,
    now: Timestamp,
    against: Option<&Against>,
    edited: bool,
) -> Markup {
    let (low, middle, high) = view.on_arrival_t();
    let zone = |at: Timestamp| view.timeline.clock.zone(at);
    let (days, lasts) = (view.days_in_hand(), view.lasts());
    let cannot = view.cannot().is_some();
    let clock = |at: Timestamp| html! { b.nb { (when(at, zone(at))) } };
    let says = html! {
        @if !view.on_land.is_empty() { "The route leads over land: mend it before you go by this. " }
        @else if view.cautions.iter().any(|line| line.over_land.is_some()) { "The track crosses land; no water is planned there. " }
        @if !lasts { (view.says) " " } @else if view.just.is_some() { "It just lasts. " } @else if view.stale.is_some() { "By old soundings it lasts. " } @else if view.unsounded.is_empty() { "It lasts. " } @else { "It lasts if the tanks not sounded may be empty. " }
        @if cannot { "By these tanks " (fig(&tonnes(middle), "t")) " would be left to use at " (view.to) }
        @else if view.runs_out() { "At " (view.to) " there would be " (fig(&tonnes(middle), "t")) " aboard all the same" }
        @else {
            "You reach " (view.to) " with " (fig(&tonnes(middle), "t"))
            @if days.is_finite() { ", " (format!("{days:.0}")) " days’ use" }
        }
        @let start = view.next_start(now);
        @match (view.heat(now), start) {
            (Heat::OffNow, Some(start)) => { "; take the heat off now, next start " (clock(start.at)) "." }
            (Heat::OffNow, None) => { "; take the heat off now." }
            (Heat::OffBy(off), Some(start)) if start.at < off.at => { "; next start " (clock(start.at)) ", heat off by " (clock(off.at)) "." }
            (Heat::OffBy(off), Some(start)) => { "; take the heat off by " (clock(off.at)) ", next start " (clock(start.at)) "." }
            (Heat::OffBy(off), None) => { "; take the heat off by " (clock(off.at)) "." }
            (Heat::StaysOn, Some(start)) => { "; next start " (clock(start.at)) ", then the heat stays on." }
            (Heat::StaysOn, None) => { "; the heat stays on." }
            (Heat::None, _) => { "; no water is to be made before then." }
        }
    };
    let then = html! {
        @for says in &view.on_land { p.then { span.asks { "On land." } " " (says) " " a href="#route" { "To the route" } } }
        @if let Some(edited) = view.edited.as_ref().filter(|_| edited) { p.then { span.asks { "Changed since the last plan," } " " (edited) } }
        @if view.aboard.tanks.is_empty() { p.then {
            span.asks { "No tank is known." } " Fill them in on the page Ship: until then every tonne is missing."
        } }
        @if !view.unsounded.is_empty() { p.then {
            span.asks { "Not sounded: " (view.unsounded.join(", ")) "." } " Counted as empty: sound them with the readings before you go by this plan."
        } }
        @if let Some(stale) = &view.stale { p.then { span.asks { "Old soundings:" } " " (stale) } }
        @if let Some(just) = &view.just { p.then { (just) } }
        @if !view.brief.policy.supply.is_empty() && !cannot { p.then { "It takes " b { (view.brief.policy.supply.iter().map(|(name, t)| format!("{name}: {t:.0} t")).collect::<Vec<_>>().join(", ")) } ". The orders say when." } }
        @if !cannot { p.then { "Eight times in ten you arrive with between " (tonnes(low)) " and " (tonnes(high)) " t."
            // Where it does not last the place is told with the reason above.
            @if let Some((sample, t)) = view.lowest().filter(|_| lasts) { @if view.lowest_beyond() { " The lowest point comes only after " (view.to) ", on " } @else { " The lowest point is on " }
                (when(sample.at, zone(sample.at))) ": one time in ten under " (tonnes(t)) " t."
                @if sample.at > view.route_ends { " That is past the route’s end, as far as the plan looks." } }
        } }
        @if lasts { p.then { (view.says) } }
        @if let Some(why) = &view.why_off { p.then { (why) } }
        @for doubt in view.doubts.iter().take(MOST_DOUBTS) { p.then { span.asks { "Worth a look:" } " " (doubt) } }
        @if view.doubts.len() > MOST_DOUBTS { p.then.muted { "And " (view.doubts.len() - MOST_DOUBTS) " more of the kind." } }
        @if !view.in_port.is_empty() { p.then {
            span.asks { "Dated while she is not on sea passage:" } " " (view.in_port.join("; ")) ". " a href="#events" { "Move them below" } " if they are meant for the sea."
        } }
        @if !view.outside.is_empty() { p.then {
            span.asks { "Of another voyage?" } " Dated outside this route’s time: " (view.outside.join("; ")) ". " a href="#events" { "Mend or drop them below." }
        } }
        @if !view.earlier.is_empty() { p.then {
            span.asks { "Of an earlier route, not reckoned:" } " " (view.earlier.join(". Also ")) ". " a href="#events" { "Drop them below," } " or take away the line " code { "route =" } " of those that hold for this one."
        } }
        @for line in view.cautions.iter().filter(|line| line.over_land.is_some()) { p.then {
            span.asks { "A leg over land." } " " (line.says)
        } }
        @if let Some(says) = &view.zones { p.then {
            span.asks { "Two clocks." } " " (says) " Mend the route’s " code { "zone:" } " and " code { "clock:" } " lines below, or "
            a href="/ship#ships-time" { "move the clocks" } "."
        } }
        @if let Some(against) = against { p.then { (against.ahead()) } }
        @for note in view.brief.notes.iter().filter(|note| Some(*note) != view.stale.as_ref()) { p.then { (note) } }
        @if view.share_fell { p.then { (view.share_says) " " a href=(Page::Findings.path()) { "What Findings says of it" } } }
        @if !view.reckoned.is_empty() || !view.share_says.is_empty() { (parts::details("How it is reckoned", html! {
            @for line in &view.reckoned { p { (line) } }
            @if !view.share_fell && !view.share_says.is_empty() { p { (view.share_says) } }
        })) }
    };
    let note = html! {
        p { "Planned from " (when(view.from, zone(view.from))) ", " (format!("{:.0}", view.to_go_nmi)) " nmi to " (view.to) "." }
        p { "Advice to the master, never an order." }
    };
    parts::answer("Will the water last, and when do we stop?", says, then, html! {}, note)
}

/// Assumptions of the route's text that are told; of more the count.
const MOST_DOUBTS: usize = 3;

/// Whole tonnes, or whole units of money; a little less than nothing is nothing.
fn tonnes(t: f64) -> String {
    format!("{:.0}", t.round() + 0.0)
}

/// What was sounded and made beside the plan at departure in words, or the way to it; the strip above has it as a line.
pub(super) fn against(against: Option<&Against>) -> Markup {
    let body = match against {
        None => html! {
            p { "No plan was kept at departure, so nothing is compared: it is kept as a passage begins while this program runs. One can be reckoned now from the soundings of departure." }
            p.acts { (parts::act(&format!("{}?show=actual", Page::Passage.path()), "Reckon one and lay the soundings over it", false)) }
        },
        Some(against) => {
            html! {
                p { (against.says()) " The line over the band on the strip above." }
                p { (against.plan.says()) }
                @if !against.plan.orders.is_empty() {
                    (parts::details("Orders as they stood in that plan", html! {
                        @for order in against.plan.orders.iter().filter(|order| order.plant) {
                            p { b { (zoned(order.at, order.zone)) } " " (order.what) }
                        }
                    }))
                }
            }
        }
    };
    let note = "What was sounded and made, beside what was to be foreseen at departure.";
    parts::entry("Plan against actual", html! { p { (note) } }, body)
}

/// Cautions shown; a long passage with many shows its first.
const MOST_CAUTIONS: usize = 12;

pub(super) fn cautions(view: &PassageView) -> Markup {
    // A leg over land is told first of all, with the answer.
    let lines: Vec<_> = view.cautions.iter().filter(|line| line.over_land.is_none()).collect();
    if lines.is_empty() {
        return html! {};
    }
    let zone = |at: Timestamp| view.timeline.clock.zone(at);
    let more = lines.len().saturating_sub(MOST_CAUTIONS);
    let body = html! {
        @for line in lines.iter().take(MOST_CAUTIONS) {
            p { b { (zoned(line.from, zone(line.from))) " to " (zoned(line.to, zone(line.to))) } ", from " (line.position.to_string()) ": " (line.says) }
        }
        @if more > 0 { p.muted { "And " (more) " more." } }
    };
    parts::entry(
        "Worth knowing on the way",
        html! { p { "None of these forbids making water." } },
        body,
    )
}

pub(super) fn remedies(view: &PassageView) -> Markup {
    if view.how != How::Whole {
        let ask = html! {
            p { "What binds, what an hour, five miles or ten tonnes more would be worth, and each remedy planned anew: a dozen plans, some seconds." }
            p.acts { (parts::act(&format!("{}?show=all", Page::Passage.path()), "Plan the remedies", false)) }
        };
        return parts::entry("If it should fall short", html! {}, ask);
    }
    let table = Table::new("", "Plan")
        .numbers("Cost", &view.currency)
        .numbers("Fuel", &view.currency)
        .words("Arrives")
        .words("On arrival, t")
        .numbers("Lowest", "t")
        .numbers("Under", "%")
        .numbers("Bought or cut", "t");
    let last = view.timeline.samples.get(view.arrival).map(|sample| sample.at);
    let arrives = last.map_or_else(String::new, |at| when(at, view.timeline.clock.zone(at)));
    let (lasts, any_taken) = (view.lasts(), view.remedies.iter().any(|remedy| remedy.take));
    let rows = view.remedies.iter().enumerate().map(|(i, remedy)| {
        let arriving = view.arriving_t(remedy);
        let cells: [Cell; 7] = [
            format!("{:.0}", remedy.expected_cost).into(),
            "".into(),
            html! { span.nb { (arrives) } }.into(),
            spread(arriving).into(),
            tonnes(remedy.lowest_p10_t).into(),
            format!("{:.0}", remedy.worst_chance * 100.0).into(),
            format!("{:.0}", remedy.bought_t).into(),
        ];
        let name = html! {
            @if remedy.take { b { "Take this: " } }
            (remedy.what)
            @if remedy.lasts && !remedy.take && !lasts { ": it lasts" }
        };
        let row = Row::new(name, cells);
        // The plan to go by: as ordered where it lasts or nothing does, else the remedy to take.
        if remedy.take || (i == 0 && !any_taken) { row.on() } else { row }
    });
    let note = html! {
        p { "Each planned anew with that one thing changed; costs from the prices on the page Ship. What would change nothing is left out." }
        p { "Small: eight times in ten between. Lowest: one time in ten under it before the last day. Under: the reserve, times in a hundred at the worst place. Cut: holds not rinsed." }
        p { "Another speed moves the load by its third power, and the fuel by what stands under Fuel; dated draws stay at their dates. The cost of water has no fuel in it." }
    };
    let rows = rows.chain(view.speeds.iter().map(at_speed));
    parts::entry(
        "If it should fall short",
        note,
        html! {
            @if let Some(says) = &view.way_out { p { (says) } }
            div.plans { (table.rows(rows)) }
            @if let Some(says) = &view.worth { p { (says) } }
            @if view.speeds.iter().any(|speed| speed.plan.as_ref().is_ok_and(|plan| plan.fuel_more.is_none())) {
                p.muted { "What the main engine burns in a day and what that costs is not told on the page " a href="/ship" { "Ship" } ": fuel is left out." }
            }
        },
    )
}

/// "190, 187 to 195".
fn spread((low, middle, high): (f64, f64, f64)) -> Markup {
    html! { span.nb { (tonnes(middle)) " " small { (tonnes(low)) " to " (tonnes(high)) } } }
}

/// The passage at another speed as a row among the remedies.
fn at_speed(speed: &AtSpeed) -> Row {
    let lasts = speed.plan.as_ref().is_ok_and(|plan| plan.lasts);
    let name = html! { (speed.what) @if lasts { ": it lasts" } };
    let plan = match &speed.plan {
        Ok(plan) => plan,
        Err(why) => return Row::new(name, [Cell::over(7, html! { "no: " (why) })]),
    };
    let cells: [Cell; 7] = [
        format!("{:.0}", plan.expected_cost).into(),
        plan.fuel_more.map_or_else(|| "–".to_owned(), |more| tonnes(more).replace('-', "−")).into(),
        html! { span.nb { (when(plan.arrives, plan.zone)) } }.into(),
        spread(plan.on_arrival_t).into(),
        tonnes(plan.lowest_p10_t).into(),
        format!("{:.0}", plan.worst_chance * 100.0).into(),
        format!("{:.0}", plan.bought_t).into(),
    ];
    Row::new(name, cells)
}

pub(super) fn computed(view: &PassageView) -> Markup {
    let policy = &view.brief.policy;
    let body = html! {
        p { "Every quarter of an hour of the route is allowed, or the first rule that forbids it is named. Output is the plant’s own, run to limits, at that sea and load, times " (format!("{:.2}", view.share)) ". " (view.share_says) " The plan is the cheapest over all starts, stops and trims, on steps of a tenth of a tonne; the reserve is kept in nine passages of ten. The band comes from 2000 passages drawn with the scatter of use, output, sea and speed." }
        p { "Expected cost " (format!("{:.0}", policy.expected_cost)) " " (view.currency) "; simulated " (format!("{:.0} ± {:.0}", policy.simulated_cost, policy.simulated_error)) "; chance of being under the reserve at the worst place " (format!("{:.0}", policy.worst_chance * 100.0)) " %." }
        p { "Distance is to the coastline of a chart at 1:1 000 000, not to the baseline of the law; depth and sea are climatology. Not for navigation; verify on the chart." }
    };
    html! { section.entry { (parts::details("How this was computed", body)) } }
}
