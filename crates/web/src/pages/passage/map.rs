//! The track on the map: where water may be made, where it will be, the orders and the ship.

use chart::{GeoPoint, Ids, MapArea, MapName, MapNow, TrackFix, TrackMap, TrackWater};
use desk::foretold::StartAndStop;
use desk::passage::{PassageView, TankAhead, Water};
use jiff::Timestamp;
use maud::{Markup, html};

use crate::parts::{self, Cell, Row, Table};

use super::answer::{when, zoned};
use super::orders;

/// Samples between named sea temperatures: two days.
const SEA_EVERY: usize = 192;

pub(super) fn entry(view: &PassageView, foretold: Option<&StartAndStop>, now: Timestamp) -> Markup {
    let samples = &view.timeline.samples;
    let Some(first) = samples.first() else { return html! {} };
    let point = |k: usize| {
        let position = samples[k].moment.position;
        GeoPoint::new(position.lat_deg(), position.lon_deg())
    };
    let zone = |at: Timestamp| view.timeline.clock.zone(at);
    let water = |k: usize| match (&samples[k].rule, view.making_t_day.get(k)) {
        (_, Some(t_day)) if *t_day > 0.0 => TrackWater::Made,
        (None, _) => TrackWater::May,
        (Some(_), _) => TrackWater::Not,
    };
    let mark = |k: Option<usize>, word: &str| {
        let k = k.filter(|k| *k > 0 && *k < samples.len())?;
        let label = format!("{word}, {}", when(samples[k].at, zone(samples[k].at)));
        Some(MapName::new(point(k), &label).on_fix(k))
    };
    let orders = view.brief.policy.orders.iter();
    let orders = orders
        .flat_map(|order| [mark(order.first_water, "water"), mark(order.heat_off, "heat off")]);
    let area = |area: &desk::passage::Area| MapArea {
        name: match area.is_for_distilled() {
            true => format!("{}, distilled only", area.name()),
            false => area.name().to_owned(),
        },
        ring: area.corners().iter().map(|(lat, lon)| GeoPoint::new(*lat, *lon)).collect(),
    };
    let sea = (SEA_EVERY / 2..view.arrival).step_by(SEA_EVERY);
    let sea = sea.map(|k| MapName::new(point(k), &format!("sea {:.0} °C", samples[k].sea.temp_c)));
    let map = TrackMap {
        title: track(view),
        says: "Where water may be made and where it is planned to be made.".to_owned(),
        coast: view.shores.clone(),
        track: (0..samples.len()).map(|k| TrackFix { at: point(k), water: water(k) }).collect(),
        orders: orders.flatten().collect(),
        ports: view
            .ports
            .iter()
            .map(|(name, at)| MapName::new(GeoPoint::new(at.lat_deg(), at.lon_deg()), name))
            .collect(),
        sea: sea.collect(),
        areas: view.areas.iter().map(area).collect(),
        now: Some(MapNow {
            at: point(0),
            label: if view.from > now { "departure".to_owned() } else { "now".to_owned() },
            note: when(first.at.max(now), zone(first.at)),
        }),
        ..TrackMap::default()
    };
    let picture = parts::picture(&chart::track_map(&mut Ids::new("track"), &map), "");
    let note = html! {
        p { "Full line: water is made. Double: it may be. Plain: it may not. Where she comes back the way she went each way lies to its own starboard." }
        p { b { "Not for navigation." } " “Land” is the coastline; the legal baseline may lie further out." }
    };
    parts::entry(
        "Where it may be made, and when to do what",
        note,
        html! { div.beside.map-and-lists { (picture) (orders::list(view, foretold, now)) div.under-map { (tanks(view)) (stretches(view)) } } },
    )
}

/// "The track to Newcastle", where that is the next port; else by which port.
fn track(view: &PassageView) -> String {
    match view.ports.last().map(|(name, _)| name).filter(|name| **name != view.to) {
        Some(last) => format!("The track by {} to {last}", view.to),
        None => format!("The track to {}", view.to),
    }
}

/// What each tank will hold on arrival, with what it holds eight times in ten.
fn tanks(view: &PassageView) -> Markup {
    let ahead = view.tanks_ahead();
    if ahead.is_empty() {
        return html! {};
    }
    let table = Table::new("", "Tank")
        .numbers("Now", "t")
        .numbers("On arrival", "t")
        .words("Eight times in ten")
        .numbers("Full", "t");
    let rows = ahead.iter().map(|tank| {
        let (low, planned, high) = tank.on_arrival_t;
        let cells: [Cell; 4] = [
            format!("{:.1}", tank.now_t).into(),
            format!("{planned:.1}").into(),
            format!("{low:.0} to {high:.0}").into(),
            format!("{:.0}", tank.full_t).into(),
        ];
        Row::new(html! { (tank.name) }, cells)
    });
    let sum = |of: &dyn Fn(&TankAhead) -> f64| ahead.iter().map(of).sum::<f64>();
    let (low, _, high) = view.on_arrival_t();
    let together: [Cell; 4] = [
        format!("{:.1}", sum(&|tank| tank.now_t)).into(),
        format!("{:.1}", sum(&|tank| tank.on_arrival_t.1)).into(),
        format!("{low:.0} to {high:.0}").into(),
        format!("{:.0}", sum(&|tank| tank.full_t)).into(),
    ];
    let rows = rows.chain(std::iter::once(Row::new(html! { b { "Together" } }, together)));
    html! { div {
        h3 { "Tank by tank at " (view.to) }
        (table.rows(rows))
        p.muted { "What can be pumped, if the valves are moved by the orders. The ends of the spans do not add up: not every tank is low at once." }
    } }
}

/// Stretches listed; a coastal passage with many shows its first.
const MOST_STRETCHES: usize = 24;

/// Where water is made, may be and may not, as a list: what the map shows to who cannot see it, with the rules.
fn stretches(view: &PassageView) -> Markup {
    let stretches = view.stretches();
    if stretches.is_empty() {
        return html! {};
    }
    let more = stretches.len().saturating_sub(MOST_STRETCHES);
    let zone = |at: Timestamp| view.timeline.clock.zone(at);
    let time = |at: Timestamp| zoned(at, zone(at));
    // A stretch told by one zone says it once.
    let until = |from: Timestamp, to: Timestamp| match zone(from) == zone(to) {
        true => html! { span.nb { (when(to, zone(to))) } },
        false => time(to),
    };
    let rows = stretches.iter().take(MOST_STRETCHES).map(|stretch| {
        let water = match stretch.water {
            Water::Made => html! { b { (stretch.says) } },
            Water::May | Water::Not => html! { (stretch.says) },
        };
        let cells: [Cell; 2] = [until(stretch.from, stretch.to).into(), water.into()];
        Row::new(time(stretch.from), cells)
    });
    let table = Table::new("", "From, ship’s time").words("To").words("Water").rows(rows);
    html! { div.when-list {
        h3 { "Stretch by stretch" }
        p.muted { "The map in words: each stretch with the first rule that forbids water there." }
        (table)
        @if more > 0 { p.muted { "And " (more) " more." } }
    } }
}
