//! The answer sentence, the two solutions side by side, and what holds the plant.

use desk::whatif::{holds, side};
use maud::{Markup, html};
use plant::Infeasible;

use super::View;
use crate::parts::{self, Mark, Row, Table};
use crate::shiptime;

/// The first entry: the sentence, what limits it, and whose figures they are.
pub(super) fn entry(view: &View) -> Markup {
    let point = &view.answer.point;
    let conditions =
        format!("In {:.1} °C sea with {:.1} °C jacket water", point.sea_temp_c, point.jacket_in_c);
    let dirty = point.scale_m2k_w > 0.0 || point.condenser_fouling_m2k_w > 0.0;
    let kind = if dirty { "the plant, fouled as said, can make" } else { "a clean plant can make" };
    let says = match &view.answer.made {
        Ok(made) => {
            let half = made.product_t_day.half();
            // Held at a limit the output has no band of its own.
            let held = half < 0.05;
            let band = if held { "t/day".to_owned() } else { format!("± {half:.1} t/day") };
            html! {
                (conditions) " " (kind) " " (parts::fig(&format!("{:.1}", made.product_t_day.middle), &band))
                @if held { ", no more" }
                ", and takes " span.nb { (format!("{:.0} kW", made.heat_kw.middle)) } " from the engine to do it."
            }
        }
        Err(_) => html! { (conditions) " it makes " (parts::fig("nothing", "")) "." },
    };
    let then = html! {
        @if !view.asked.refused.is_empty() {
            p.then { span.asks { "Not all of it:" } " what is refused below is left out, and the figure before it stands." }
        }
        @match &view.answer.made {
            Ok(made) => {
                p.then { (holds::sentence(&view.setup.ship, &view.setup.plant, &view.answer)) }
                @if let Some(beyond) = point.engine_load.and_then(|load| desk::expected::beyond_table(&view.setup, load)) {
                    p.then { (beyond) }
                }
                @if !made.solution.flags.is_empty() {
                    ul.then { @for flag in &made.solution.flags { li { (parts::state(Mark::High, flag.sentence())) } } }
                }
            }
            Err(why) => p.then { (remedy(why)) }
        }
    };
    let sheet = view.setup.plant.sheet();
    let note = html! {
        p { "Plant sheet: " (sheet.rated_product_t_day) " t/day at " (sheet.rated_sea_temp_c) " °C sea and " (sheet.rated_jacket_in_c) " °C jacket water." }
        @if view.base.is_read() {
            p { "Starts from the readings of " (read_at(view)) " ship’s time, by-pass shut and throttle open." }
        } @else {
            p { "No readings yet: starts from the rated point." }
        }
    };
    parts::answer("What can it make here?", says, then, html! {}, note)
}

fn read_at(view: &View) -> String {
    let at = view.latest.as_ref().map(|l| shiptime::long(&view.clock, l.at));
    at.unwrap_or_else(|| "the log".to_owned())
}

/// Why it cannot run, as a sentence with its remedy.
fn remedy(why: &Infeasible) -> String {
    let mut text = why.to_string();
    if let Some(first) = text.get(..1).map(str::to_uppercase) {
        text.replace_range(..1, &first);
    }
    if !text.ends_with('.') {
        text.push('.');
    }
    text
}

/// Run to its limits beside left to itself, and what holds it.
pub(super) fn sides(view: &View) -> Markup {
    let note = html! {
        p { "Run to limits: by-pass and throttle moved as is done aboard, never past the maker’s maximum." }
        p { "Left to itself: every flow as given, no limit looked at." }
    };
    let body = html! {
        div.pictures {
            div { (side(view)) }
            div { (holds(view)) }
        }
        (computed(view))
    };
    parts::entry("Run to its limits, and left to itself", note, body)
}

fn side(view: &View) -> Markup {
    let table = Table::new("At these conditions", "")
        .numbers("Run to limits", "")
        .numbers("Left to itself", "")
        .numbers("Difference", "")
        .rows(side::rows(&view.answer).into_iter().map(|row| {
            Row::new(
                html! { (row.label) " " small.muted { (row.unit.symbol()) } },
                [row.text(row.trimmed), row.text(row.free), row.difference()],
            )
        }));
    html! {
        @if let Err(why) = &view.answer.free {
            (parts::quiet("Left to itself it does not run", html! { (remedy(why)) }))
        }
        (table)
    }
}

/// What holds it, nearest first.
fn holds(view: &View) -> Markup {
    let Ok(made) = &view.answer.made else {
        let why = view.answer.made.as_ref().err().map(remedy).unwrap_or_default();
        return parts::quiet("There is nothing to measure the limits against", html! { (why) });
    };
    let table = Table::new("What holds it, the nearest limit first", "Limit")
        .numbers("Here", "")
        .numbers("Limit", "")
        .numbers("Room", "")
        .words("Word")
        .rows(holds::limits(&made.solution).into_iter().map(|row| {
            let mark = match (row.limit.is_some(), row.acts, row.word) {
                (false, ..) => Mark::Missing,
                (true, true, "past it") => Mark::Past,
                (true, true, _) => Mark::Shut,
                (true, false, _) => Mark::Fits,
            };
            let dash = || html! { "—" };
            Row::new(
                html! { (row.label) },
                [
                    parts::value(&row.here, row.unit),
                    row.limit.as_ref().map_or_else(dash, |x| html! { (x) }),
                    row.room.as_ref().map_or_else(dash, |x| html! { (x) }),
                    parts::state(mark, row.word),
                ],
            )
        }));
    html! { (table) }
}

fn computed(view: &View) -> Markup {
    let residual = view.answer.made.as_ref().ok().map(|m| m.solution.residuals);
    parts::details(
        "How this was computed",
        html! {
            p {
                "Steam and fresh water by IAPWS-IF97, sea water by the correlations of Sharqawy and others (2010) and Nayar and others (2016). "
                "Evaporator and condenser each by one energy balance and one rate equation, solved together for shell pressure and vapour made. "
                "The constants come from the plant sheet’s rated point, so the rated point is met exactly."
            }
            p {
                "The band holds nine in ten: the doubts of the sheet, of the settings and of the thermometers, carried through by exact derivatives. "
                "The capacity map is the same solution at every crossing of a grid; its table stands under it."
            }
            @if let Some(r) = residual {
                p { "What is left over in this solution, as a share: water " (share(r.mass)) ", salt " (share(r.salt)) ", heat " (share(r.energy)) "." }
            }
        },
    )
}

/// A residual in words: below what rounding leaves it is nothing.
fn share(residual: f64) -> String {
    if residual.abs() < 1.0e-12 { "nothing".to_owned() } else { format!("{:.0e}", residual.abs()) }
}
