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
                (pointed(text)) @if !unit.is_empty() { "\u{2009}" (unit) }
                @if quality != Quality::Ok { " (" (quality.word()) ": " (why) ")" }
            }
        }
    }
}

/// A figure typed with a decimal comma, shown like its neighbours with a point; what was typed stays in the record.
fn pointed(text: &str) -> String {
    let plain = |part: &str| !part.is_empty() && part.bytes().all(|b| b.is_ascii_digit());
    match text.split_once(',') {
        Some((whole, part))
            if plain(whole.trim_start_matches(['-', '−', '+']))
                && plain(part)
                && part.len() != 3 =>
        {
            format!("{whole}.{part}")
        }
        _ => text.to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ident_a_decimal_comma_is_shown_as_a_point_and_nothing_else_is_changed() {
        for (text, shown) in [
            ("45,5", "45.5"),
            ("−0,85", "−0.85"),
            ("2.6", "2.6"),
            ("47,720", "47,720"),
            ("1,2,3", "1,2,3"),
            ("steady, low", "steady, low"),
        ] {
            assert_eq!(pointed(text), shown);
        }
    }
}
