//! What is aboard: the tanks cut open, and their soundings.

use chart::{Ids, Tank};
use desk::now::{NowView, TankView};
use desk::round::SOUNDING;
use desk::ship::Ship;
use desk::told::DUTIES;
use desk::typed::digits;
use jiff::Timestamp;
use logbook::ShipClock;
use maud::{Markup, html};

use crate::form::FormState;
use crate::pages::readings::CORRECT;
use crate::parts::{self, Cell, Field, Mark, Row, Table};
use crate::reader::Reader;
use crate::shiptime;

/// Fresh water aboard is counted as one tonne a cubic metre; common practice.
const T_M3: f64 = 1.0;

/// Where a tank's new duty is sent.
pub(super) const DUTY: &str = "/tanks/duty";

/// Who reads, and what was typed into the form.
pub(super) struct Asked<'a> {
    pub(super) reader: &'a Reader,
    pub(super) form: &'a FormState,
    pub(super) ship: &'a Ship,
}

/// What the pump can reach of all tanks sounded, t; none where none has been sounded.
pub(super) fn aboard_t(view: &NowView) -> Option<f64> {
    let known = view.tanks.iter().filter_map(|tank| tank.pumpable_m3);
    (!view.tanks.is_empty()).then(|| known.sum::<f64>() * T_M3)
}

/// Drawing and table, or why there is none.
pub(super) fn entry(
    view: &NowView,
    clock: &ShipClock,
    now: Timestamp,
    asked: &Asked<'_>,
) -> Markup {
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
    let aboard = aboard_t(view).unwrap_or_default();
    let drawn: Vec<Tank> = view.tanks.iter().map(tank).collect();
    let picture = chart::tanks(&mut Ids::new("tanks"), &drawn);
    let note = html! {
        p { "Soundings " b { (shiptime::short(clock, first.at, now)) } ". Tonnes to use are those the pump can reach; a tank’s content is all that is in it. Press a sounding to correct it." }
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
    let body = html! {
        (parts::beside(parts::picture(&picture, ""), html! { (table) }))
        (duty(asked))
    };
    parts::entry(&heading, note, body)
}

/// The valves were moved: which tank is filled, which serves.
fn duty(asked: &Asked<'_>) -> Markup {
    let Asked { reader, form, ship } = asked;
    let refused = form.error("by").is_some() || !form.overall().is_empty();
    html! {
        @if form.was_sent("duty") && form.is_sound() {
            p.then id="tanks" role="status" { (parts::state(Mark::Done, "Written down.")) }
        }
        (parts::details_shown("A tank was changed over", refused, html! {
            @for why in form.overall() { p { span.asks { "Not written." } " " (why) } }
            (reader.form(DUTY, "tank-duty", html! {
                div.fields {
                    div.field {
                        label for="tank" { "Tank" }
                        p.box { select.value.words id="tank" name="tank" {
                            @for tank in ship.tanks.iter() {
                                option value=(tank.key) selected[tank.key == form.typed("tank")] { (tank.name) }
                            }
                        } }
                    }
                    div.field {
                        label for="duty" { "Is now" small { "the one before stands" } }
                        p.box { select.value.words id="duty" name="duty" {
                            @for word in DUTIES { option value=(word) selected[*word == form.typed("duty")] { (word) } }
                        } }
                    }
                    (Field::new("by", "Initials").place("who moved the valves").text().from_form(form))
                }
                p.acts { button { "Write it down" } }
            }))
        }))
    }
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
        html! { a href={ (CORRECT) "?seq=" (view.seq) "&key=" (SOUNDING) (view.key) } { (digits(view.sounding_cm, 0)) } }.into(),
        content.into(),
        digits(view.capacity_m3 * T_M3, 0).into(),
        digits(view.unpumpable_m3 * T_M3, 0).into(),
    ];
    Row::new(html! { (view.name) }, cells)
}
