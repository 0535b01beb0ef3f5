//! The capacity map with the what-if form beside it and what a wanted output would take under it, and the map's figures as a table.

use chart::Ids;
use desk::whatif::MapOver;
use maud::{Markup, html};
use plant::ColdTrim;

use super::{View, ask, reach};
use crate::parts::{self, Row, Table};

/// The entry: map, what-if, and the question put the other way round.
pub(super) fn entry(view: &View) -> Markup {
    let note = html! {
        p { "Each contour is one output. Hatched: a limit holds it there." }
        p { "The red point is what is asked: change a figure and it moves." }
    };
    parts::entry(
        "The capacity map, and what if",
        note,
        html! { div.beside.bench { (figure(view)) (ask::form(view)) (reach::part(view)) } },
    )
}

/// The picture with its table: what follows the sliders.
pub(super) fn figure(view: &View) -> Markup {
    let svg = chart::capacity_map(&mut Ids::new("map"), &view.map.map);
    html! {
        div id="plant-map" data-live {
            (parts::picture(&svg, &caption(view)))
            (parts::details("The map as a table", html! { (table(view)) }))
        }
    }
}

fn caption(view: &View) -> String {
    let point = &view.answer.point;
    let feed = point.feed_ratio.unwrap_or(view.setup.plant.sheet().rated_feed_ratio);
    let trim = match view.setup.plant.sheet().cold_trim {
        ColdTrim::Throttle => "throttle as the shell asks",
        ColdTrim::Bleed => "air bled as the shell asks",
        ColdTrim::None => "nothing keeps the shell warm",
    };
    let other = match view.over {
        MapOver::JacketIn => match point.engine_load {
            Some(load) => format!("engine load {load:.0} %"),
            None => "engine load not looked at".to_owned(),
        },
        MapOver::EngineLoad => format!("jacket water in at {:.1} °C", point.jacket_in_c),
    };
    format!(
        "Run to limits: {trim}; jacket flow {:.1} kg/s and condenser flow {:.1} kg/s at most, feed {feed:.1} times rated output, air {:.1} kg/h, {other}.",
        point.jacket_flow_kg_s, point.condenser_flow_kg_s, point.air_leak_kg_h
    )
}

fn table(view: &View) -> Table {
    let (first, digits) = match view.over {
        MapOver::JacketIn => ("Jacket water in, °C", 1),
        MapOver::EngineLoad => ("Engine load, %", 0),
    };
    let columns = &view.map.columns;
    let table = columns
        .iter()
        .fold(Table::new("Output in t/day, by sea temperature", first), |table, sea| {
            table.numbers(&format!("{} °C", chart::number(*sea, 0)), "")
        });
    table.rows(view.map.rows.iter().map(|(y, outputs)| {
        let cells =
            outputs.iter().map(|o| o.map_or_else(|| "—".to_owned(), |x| chart::number(x, 1)));
        Row::new(html! { (chart::number(*y, digits)) }, cells.collect::<Vec<_>>())
    }))
}
