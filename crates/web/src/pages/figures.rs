//! Values of the record in words: the reading's name, its figure as typed, what is said of it.

use desk::field;
use desk::round::SOUNDING;
use logbook::{Quality, Value};
use maud::{Markup, html};
use quantity::Unit;

/// The first `most` values in a row, and how many more there are.
pub(crate) fn figures(values: &[Value], most: usize) -> Markup {
    let more = values.len().saturating_sub(most);
    html! {
        @for (nth, value) in values.iter().take(most).enumerate() {
            @if nth > 0 { "; " }
            span.nb { (label(&value.name)) " " (figure(value)) }
        }
        @if more > 0 { "; and " (more) " more" }
    }
}

fn label(name: &str) -> String {
    match (field::reading(name), name.strip_prefix(SOUNDING)) {
        (Some(reading), _) => reading.label.to_owned(),
        (None, Some(tank)) => format!("Sounding {tank}"),
        (None, None) => name.to_owned(),
    }
}

fn figure(value: &Value) -> Markup {
    let unit =
        value.unit.as_deref().and_then(|code| code.parse::<Unit>().ok()).map_or("", Unit::symbol);
    let why = value.why.as_deref().unwrap_or("no reason");
    html! {
        @match (value.quality, &value.text) {
            (Quality::NotTaken, _) | (_, None) => { "not taken (" (why) ")" }
            (quality, Some(text)) => {
                (text) @if !unit.is_empty() { "\u{2009}" (unit) }
                @if quality != Quality::Ok { " (" (quality.word()) ": " (why) ")" }
            }
        }
    }
}
