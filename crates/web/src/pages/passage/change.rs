//! Another speed or sea temperature for one leg, another length for one stop: a small form, and the legs it chooses from.

use axum::extract::State;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use desk::DeskError;
use desk::passage::{How, LegLine, Wanted};
use maud::{Markup, html};

use crate::app::App;
use crate::form::FormState;
use crate::parts::{self, Cell, Field, Row, Table, Unit};
use crate::paths::Page;
use crate::reader::Reader;
use crate::trouble::Trouble;

use super::answer::zoned;
use super::{LEG, Passage, Plan, page};

/// Legs listed; a route of hundreds of waypoints shows its next.
const MOST: usize = 40;

/// Keeps a change among the events and plans anew.
pub(super) async fn keep(
    State(app): State<App>,
    reader: Reader,
    mut form: FormState,
) -> Result<Response, Trouble> {
    if let Err(refusal) = desk::written::initials(form.typed("leg_actor")) {
        form.refuse("leg_actor", refusal.message);
    }
    // What stood in the boxes for the leg they were drawn for, and was not touched, is not meant for another.
    let another = form.was_sent("leg_drawn") && form.typed("leg_drawn") != form.typed("leg");
    let figure = |name: &str| {
        let untouched = form.typed(name) == form.typed(&format!("{name}_drawn"));
        if another && untouched { "" } else { form.typed(name) }
    };
    let [kn, sea_c, stop_h] = ["leg_kn", "leg_sea_c", "leg_stop_h"].map(figure);
    let leg = form.typed("leg");
    let wanted = Wanted::typed(leg, kn, sea_c, stop_h);
    let wanted = wanted.map_err(|wrong| {
        wrong.into_iter().for_each(|(field, why)| form.refuse(field, why));
    });
    let wanted = wanted.ok().filter(|_| form.is_sound());
    let (now, desk) = (app.clock().now(), app.desk().clone());
    let actor = form.typed("leg_actor").trim().to_owned();
    let done = app.work().run(move |_| {
        let wrong = match wanted {
            Some(wanted) => match desk.change_leg(&wanted, &actor, now) {
                Ok(()) => return Ok(None),
                Err(wrong) => Some(wrong),
            },
            None => None,
        };
        Ok::<_, DeskError>(Some((Passage::of(&desk, now, How::AtOnce)?, wrong)))
    });
    Ok(match done.await?? {
        None => Redirect::to(Page::Passage.path()).into_response(),
        Some((passage, wrong)) => {
            if let Some(wrong) = wrong {
                form.refuse("leg", wrong.to_string());
            }
            (StatusCode::UNPROCESSABLE_ENTITY, page(&reader, &passage, &form)).into_response()
        }
    })
}

/// The form over the legs that are still to be sailed.
pub(super) fn entry(reader: &Reader, plan: &Plan, form: &FormState) -> Markup {
    let Plan::Made(view) = plan else { return html! {} };
    let legs = &view.legs;
    let chosen = form.typed("leg").trim().parse::<usize>().ok();
    let chosen = legs.iter().find(|leg| Some(leg.to) == chosen).or(legs.first());
    let Some(chosen) = chosen else { return html! {} };
    let note = html! {
        p { "The plan follows at once; the route stays as it is written. Each change is an entry in the record." }
        p { "Engine load goes with the third power of speed. An empty box stands for what the route, or the climatology, has." }
    };
    parts::entry(
        "Another speed, sea or stop",
        note,
        html! {
            (fields(reader, legs, chosen, form))
            (parts::details_shown("The legs to come", form.was_sent("leg"), table(legs)))
        },
    )
}

fn fields(reader: &Reader, legs: &[LegLine], chosen: &LegLine, form: &FormState) -> Markup {
    let hundredths = |x: f64| (100.0 * x).round() / 100.0;
    let typed = |told: Option<f64>| told.map_or_else(String::new, |x| hundredths(x).to_string());
    let (kn, sea, stop) = chosen.told;
    let (kn, sea, stop) = (typed(kn), typed(sea), typed(stop));
    let as_planned = [
        format!("{:.1}", chosen.kn),
        chosen.sea_temp_c.map_or_else(String::new, |c| format!("{c:.1}")),
        format!("{:.0}", chosen.stop_h),
    ];
    reader.form(LEG, "passage-leg", html! {
        input type="hidden" name="leg_drawn" value=(chosen.to);
        input type="hidden" name="leg_kn_drawn" value=(kn);
        input type="hidden" name="leg_sea_c_drawn" value=(sea);
        input type="hidden" name="leg_stop_h_drawn" value=(stop);
        div.fields {
            div.field {
                label for="leg" { "Leg" small { "to waypoint" } }
                p.box { select.value.words id="leg" name="leg" {
                    @for leg in legs.iter().take(MOST) {
                        option value=(leg.to) selected[leg.to == chosen.to] { (leg.to) ": " (name(leg)) }
                    }
                } }
                @if let Some(why) = form.error("leg") {
                    div.word id="leg-word" { @for line in why.lines() { p { span.asks { "Not kept:" } " " (line) } } }
                }
            }
            (Field::new("leg_kn", "Speed").was("planned", &as_planned[0]).typed(&kn).unit(Unit::Fixed("kn")).from_form(form))
            (Field::new("leg_sea_c", "Sea").place("as measured").was("planned", &as_planned[1]).typed(&sea).unit(Unit::Fixed("°C")).from_form(form))
            (Field::new("leg_stop_h", "Stop at its end").place("all the time there").was("planned", &as_planned[2]).typed(&stop).unit(Unit::Fixed("h")).from_form(form))
            (Field::new("leg_actor", "Initials").place("who changes it").text().from_form(form))
        }
        p.acts { button { "Keep this and plan" } }
    })
}

fn table(legs: &[LegLine]) -> Markup {
    let table = Table::new("", "To waypoint")
        .numbers("Way", "nmi")
        .numbers("Speed", "kn")
        .numbers("Load", "%")
        .numbers("Sea", "°C")
        .words("Arrives, ship’s time")
        .words("Leaves")
        .numbers("Stop", "h")
        .words("");
    let rows = legs.iter().take(MOST).map(|leg| {
        let (kn, sea, stop) = leg.told;
        let told = |text: String, told: bool| html! { @if told { b { (text) } } @else { (text) } };
        let figure = |value: Option<f64>, decimals: usize| {
            value.map_or_else(|| "–".to_owned(), |x| format!("{x:.decimals$}"))
        };
        let cells: [Cell; 8] = [
            format!("{:.0}", leg.nmi).into(),
            told(format!("{:.1}", leg.kn), kn.is_some()).into(),
            figure(leg.load_percent, 0).into(),
            told(figure(leg.sea_temp_c, 1), sea.is_some()).into(),
            zoned(leg.arrives, leg.zone).into(),
            match leg.stop_h > 0.0 {
                true => zoned(leg.leaves, leg.leaves_zone).into(),
                false => "".into(),
            },
            told(format!("{:.0}", leg.stop_h), stop.is_some()).into(),
            html! { a href={ (Page::Passage.path()) "?leg=" (leg.to) "#leg" } { "change" } }.into(),
        ];
        Row::new(html! { (leg.to) ": " (name(leg)) }, cells)
    });
    let more = legs.len().saturating_sub(MOST);
    html! {
        (table.rows(rows))
        @if more > 0 { p.muted { "And " (more) " more." } }
        p.muted { "Bold: told here in place of the route’s speed or stop, or of the climatology." }
    }
}

/// The waypoint's name, or its position where it has none.
fn name(leg: &LegLine) -> String {
    if leg.name.is_empty() { leg.position.to_string() } else { leg.name.clone() }
}
