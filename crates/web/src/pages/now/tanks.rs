//! What is aboard: the tanks cut open, and their soundings.

use chart::{Ids, Tank};
use desk::now::{NowView, TankView};
use desk::typed::digits;
use jiff::Timestamp;
use logbook::ShipClock;
use maud::{Markup, html};

use crate::parts::{self, Cell, Row, Table};
use crate::shiptime;

/// Fresh water aboard is counted as one tonne a cubic metre; common practice.
const T_M3: f64 = 1.0;

/// Drawing and table, or why there is none.
pub(super) fn entry(view: &NowView, clock: &ShipClock, now: Timestamp) -> Markup {
    let Some(first) = view.tanks.first() else {
        return parts::entry(
            "Water aboard",
            html! {},
            parts::quiet(
                "No tank has been sounded yet",
                html! { "Sound the tanks with the readings, or enter them on the page Ship: without them nothing can be said of how long the water lasts." },
            ),
        );
    };
    let aboard: f64 = view.tanks.iter().filter_map(TankView::pumpable_m3).sum::<f64>() * T_M3;
    let drawn: Vec<Tank> = view.tanks.iter().map(tank).collect();
    let picture = chart::tanks(&mut Ids::new("tanks"), &drawn);
    let note = html! {
        p { "Soundings " b { (shiptime::short(clock, first.at, now)) } ". Tonnes to use are those the pump can reach; a tank’s content is all that is in it." }
    };
    let rows = view.tanks.iter().map(row);
    let table = Table::new("", "Tank")
        .words("Duty")
        .numbers("Sounding", "cm")
        .numbers("Content", "t")
        .numbers("Full", "t")
        .numbers("Out of reach", "t")
        .rows(rows);
    let heading = format!("{} tonnes to use", digits(aboard, 0));
    parts::entry(&heading, note, parts::beside(parts::picture(&picture, ""), html! { (table) }))
}

fn tank(view: &TankView) -> Tank {
    Tank {
        name: view.name.clone(),
        duty: view.duty.clone(),
        content_t: view.content_m3.map(|m3| m3 * T_M3),
        capacity_t: view.capacity_m3 * T_M3,
    }
}

fn row(view: &TankView) -> Row {
    let content = match view.content_m3 {
        Some(m3) => html! { (digits(m3 * T_M3, 0)) },
        None => html! { span.asks { "outside the table" } },
    };
    let cells: [Cell; 5] = [
        view.duty.as_str().into(),
        digits(view.sounding_cm, 0).into(),
        content.into(),
        digits(view.capacity_m3 * T_M3, 0).into(),
        digits(view.unpumpable_m3 * T_M3, 0).into(),
    ];
    Row::new(html! { (view.name) }, cells)
}
