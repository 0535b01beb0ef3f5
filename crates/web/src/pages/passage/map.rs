//! The track on the map: where water may be made, where it will be, the orders and the ship.

use chart::{GeoPoint, Ids, MapArea, MapName, MapNow, TrackFix, TrackMap, TrackWater};
use desk::passage::{PassageView, Rule};
use jiff::Timestamp;
use maud::{Markup, html};

use crate::parts::{self, Cell, Row, Table};

use super::answer::when;

/// Samples between named sea temperatures: two days.
const SEA_EVERY: usize = 192;

pub(super) fn entry(view: &PassageView, now: Timestamp) -> Markup {
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
        Some(MapName::new(point(k), &label))
    };
    let orders = view.brief.policy.orders.iter();
    let orders = orders
        .flat_map(|order| [mark(order.first_water, "water"), mark(order.heat_off, "heat off")]);
    let area = |area: &desk::passage::Area| MapArea {
        name: area.name().to_owned(),
        ring: area.corners().iter().map(|(lat, lon)| GeoPoint::new(*lat, *lon)).collect(),
    };
    let sea = (SEA_EVERY / 2..view.arrival).step_by(SEA_EVERY);
    let sea = sea.map(|k| MapName::new(point(k), &format!("sea {:.0} °C", samples[k].sea.temp_c)));
    let map = TrackMap {
        title: format!("The track to {}", view.to),
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
            label: "now".to_owned(),
            note: when(first.at.max(now), zone(first.at)),
        }),
        ..TrackMap::default()
    };
    let picture = parts::picture(&chart::track_map(&mut Ids::new("track"), &map), "");
    let note = html! {
        p { "Full line: water is made. Double: it may be. Plain: it may not." }
        p { b { "Not for navigation." } " “Land” is the coastline; the legal baseline may lie further out." }
    };
    parts::entry("Where it may be made", note, parts::beside(picture, stretches(view)))
}

/// Stretches listed; a coastal passage with many shows its first.
const MOST_STRETCHES: usize = 14;

/// Where water is made, may be and may not, as a list: what the map shows to who cannot see it, with the rules.
fn stretches(view: &PassageView) -> Markup {
    let samples = &view.timeline.samples;
    let made = |k: usize| view.making_t_day.get(k).is_some_and(|t_day| *t_day > 0.0);
    let kind = |k: usize| (made(k), samples[k].rule.as_ref().map(Rule::word));
    let numbers: Vec<usize> = (0..samples.len()).collect();
    let runs: Vec<&[usize]> = numbers.chunk_by(|a, b| kind(*a) == kind(*b)).collect();
    let more = runs.len().saturating_sub(MOST_STRETCHES);
    let time = |k: usize| when(samples[k].at, view.timeline.clock.zone(samples[k].at));
    let rows = runs.iter().take(MOST_STRETCHES).filter_map(|run| {
        let (first, last) = (*run.first()?, *run.last()?);
        let water = match &samples[first].rule {
            _ if made(first) => html! { b { "made" } },
            None => html! { "may be made" },
            Some(Rule::Phase(_)) => html! { "no: not on sea passage" },
            Some(rule) => html! { "no: " (rule) },
        };
        let until = time((last + 1).min(samples.len() - 1));
        let cells: [Cell; 2] = [html! { span.nb { (until) } }.into(), water.into()];
        Some(Row::new(html! { span.nb { (time(first)) } }, cells))
    });
    let table = Table::new("", "From, ship’s time").words("To").words("Water").rows(rows);
    html! { div { (table) @if more > 0 { p.muted { "And " (more) " more." } } } }
}
