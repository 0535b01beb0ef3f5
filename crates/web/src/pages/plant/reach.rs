//! "What would it take to make this much today?": each lever solved backwards, with what must never be moved.

use desk::whatif::{KNOBS, Reached, Wanted};
use maud::{Markup, html};

use super::View;
use crate::parts::{self, Cell, Field, Mark, Row, Table, Unit, Word};
use crate::paths::Page;
use crate::shiptime;

/// Caution, form and table; it stands under the map, beside the what-if.
pub(super) fn part(view: &View) -> Markup {
    let sheet = view.setup.plant.sheet();
    let suggested = format!("{}", sheet.rated_product_t_day);
    let typed = if view.form.typed("want").is_empty() {
        suggested.as_str()
    } else {
        view.form.typed("want")
    };
    let mut field = Field::new("want", "Output wanted")
        .place("from all levers, each by itself")
        .typed(typed)
        .unit(Unit::Fixed("t/day"))
        .step("0.5", typed);
    if let Some(Err(why)) = &view.wanted {
        field = field.word(Word::Refused { word: "not taken:", why, choices: html! {} });
    }
    let caution = parts::caution(
        "Never a lever.",
        html! {
            "The engine’s jacket set point is not moved to make water, whatever it would gain; nor is the dump valve forced, "
            "feed, cooling or ejector taken away while the heater is hot, or air pressure put on the shell. "
            "Move one valve at a time and let the shell settle; jacket pipes and heater are hot. "
            "The maker’s manual and the chief’s orders come first."
        },
    );
    html! { div.reach {
        h2 { "What would it take to make this much today?" }
        (caution)
        p.muted { "One lever moved at a time, everything else as asked here, run to limits." }
        form method="get" action={ (Page::Plant.path()) "#wanted" } id="wanted" novalidate {
            @for key in KNOBS.iter().filter(|key| view.form.was_sent(key)) {
                input type="hidden" name=(key) value=(view.form.typed(key));
            }
            @if view.form.was_sent("map") { input type="hidden" name="map" value=(view.form.typed("map")); }
            div.fields { (field) }
            p.acts { button { "Work it out backwards" } }
        }
        @if let Some(Ok(wanted)) = &view.wanted { (as_she_is(view, wanted)) (levers(wanted)) }
    } }
}

/// What she makes of a clean plant's output, and whether there is anything to move.
fn as_she_is(view: &View, wanted: &Wanted) -> Markup {
    let percent = format!("{:.0} %", 100.0 * wanted.share);
    let at = view.latest.as_ref().map(|latest| shiptime::long(&view.clock, latest.at));
    html! {
        @if let (Some(at), true) = (&at, (wanted.share - 1.0).abs() >= 0.005) {
            p { "By the readings of " (at) " she makes " (percent) " of what a clean plant would: so much is counted in every line." }
        }
        @if let Some(stands) = wanted.stands_t_day {
            p {
                @if wanted.levers.is_empty() { "She makes that as she stands: nothing to move." }
                @else { "As she stands: " (chart::number(stands, 1)) " t/day." }
            }
        }
    }
}

fn levers(wanted: &Wanted) -> Markup {
    if wanted.levers.is_empty() {
        return html! {};
    }
    let table =
        Table::new(&format!("To make {} t/day", chart::number(wanted.wanted_t_day, 1)), "Lever")
            .numbers("Now", "")
            .numbers("Then", "")
            .numbers("Makes", "t/day")
            .numbers("Takes", "kW")
            .words("Word")
            .rows(wanted.levers.iter().map(row));
    html! {
        @if let Some(over) = &wanted.over_maximum { (parts::fault("Over the maker’s maximum", html! { (over) })) }
        (table)
    }
}

fn row(lever: &Reached) -> Row {
    let mark = if lever.gets_there { Mark::Done } else { Mark::Shut };
    let dash = || "—".to_owned();
    let cells: Vec<Cell> = vec![
        parts::value(&lever.now, lever.unit).into(),
        lever.then.clone().unwrap_or_else(dash).into(),
        lever.makes_t_day.map_or_else(dash, |x| chart::number(x, 1)).into(),
        lever.takes_kw.map_or_else(dash, |x| chart::number(x, 0)).into(),
        html! { span { (mark) " " (lever.word) } }.into(),
    ];
    let mut label = lever.label.to_owned();
    if let Some(first) = label.get(..1).map(str::to_uppercase) {
        label.replace_range(..1, &first);
    }
    Row::new(html! { (label) }, cells)
}
