//! The what-if form: a number and a slider for every condition that can be asked about; complete without script.

use desk::whatif::{self, Knob};
use maud::{Markup, html};

use super::View;
use crate::parts::{self, Field, Unit, Word};
use crate::paths::Page;

/// Conditions that are seldom asked about, folded away.
const SELDOM: [&str; 3] = ["back_pressure_bar_g", "barometer_hpa", "sea_salinity_g_kg"];

/// The form; sent by GET, so that a what-if has an address.
pub(super) fn form(view: &View) -> Markup {
    let knobs = whatif::knobs(&view.setup.plant);
    html! {
        form.whatif method="get" action=(Page::Plant.path()) id="whatif" data-figures=(super::FIGURES) novalidate {
            h3 { "What if" }
            @if !view.asked.refused.is_empty() {
                (parts::fault("Not everything typed was taken", html! { "The fields marked below keep the value they started from." }))
            }
            div.fields { @for knob in knobs.iter().filter(|k| !SELDOM.contains(&k.key.key)) { (field(view, knob)) } }
            details open[SELDOM.iter().any(|key| turned(view, key))] {
                summary { "More conditions" }
                div.fields { @for knob in knobs.iter().filter(|k| SELDOM.contains(&k.key.key)) { (field(view, knob)) } }
            }
            p.toggle {
                label for="map" { "Map over sea temperature and " }
                select id="map" name="map" {
                    @for (word, shown) in [("jacket", "jacket water in"), ("load", "engine load")] {
                        option value=(word) selected[view.over.word() == word] { (shown) }
                    }
                }
            }
            @if view.form.was_sent("want") { input type="hidden" name="want" value=(view.form.typed("want")); }
            p.acts { button.first { "Work it out" } (parts::act(Page::Plant.path(), "Back to the readings", false)) }
        }
    }
}

/// Whether a condition was changed or refused, so that its fold stands open.
fn turned(view: &View, key: &str) -> bool {
    view.asked.changed.contains(&key) || view.asked.refused.iter().any(|r| r.key == key)
}

/// Labels are short beside a slider; the key's own meaning stands under them.
fn field(view: &View, knob: &Knob) -> Markup {
    let key = knob.key;
    let text = view.asked.texts.get(key.key).map_or("", String::as_str);
    let step = knob.text(knob.step);
    let unit = knob.unit();
    let now = view.base.now.get(key.key).map(|x| knob.text(*x));
    let usual = format!("usual {} to {}", knob.text(key.typical.0), knob.text(key.typical.1));
    let place = match key.key {
        "engine_load" => "empty: no limit from the engine",
        "jacket_flow_kg_s" => "through the heater, by-pass shut",
        "condenser_flow_kg_s" => "throttle full open",
        _ => "",
    };
    let slider = html! {
        input type="range" hidden tabindex="-1" data-of=(key.key) min=(knob.text(knob.ends.0)) max=(knob.text(knob.ends.1))
            step=(step) value=(text.replace(',', ".")) aria-label={ (key.label) ", slider" };
    };
    let refused = view.asked.refused.iter().find(|r| r.key == key.key);
    let mut field = Field::new(key.key, key.label)
        .place(place)
        .typed(text)
        .expected(&usual)
        .unit(if unit.symbol().is_empty() { Unit::None } else { Unit::Fixed(unit.symbol()) })
        .step(&step, text)
        .strip(slider);
    if let Some(now) = &now {
        field = field.was("now", now);
    }
    if let Some(refused) = refused {
        field =
            field.word(Word::Refused { word: "not taken:", why: &refused.why, choices: html! {} });
    }
    html! { (field) }
}
