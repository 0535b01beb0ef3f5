//! What an entry says, in words.

use logbook::{Entry, Kind, Source};
use maud::{Markup, html};

use crate::pages::figures::figures;

/// Figures told in the list; a long import row shows its first.
const MOST_FIGURES: usize = 8;

/// Longest text of a particular that is shown whole; a ship file is longer.
const LONGEST: usize = 160;

/// Kind, then figures, words, particulars and reason.
pub(super) fn what(entry: &Entry) -> Markup {
    let source = match entry.author.source {
        Source::Hand => None,
        other => Some(other.word()),
    };
    html! {
        b { (kind(entry)) }
        @if let Some(source) = source { " " small { "(" (source) ")" } }
        @if !entry.values.is_empty() { " " (figures(&entry.values, MOST_FIGURES)) }
        @if let Some(text) = &entry.text { " “" (shortened(text)) "”" }
        @for (key, value) in &entry.details { " " small { (key) ": " (shortened(value)) } }
        @if let Some(reason) = &entry.reason { br; small { "Because: " (reason) } }
        @if let Some(clock) = &entry.clock { br; small.red { "Computer’s clock: " (clock) } }
    }
}

fn kind(entry: &Entry) -> Markup {
    let mut signs = entry.kind.word().chars();
    let first = signs.next().map(|c| c.to_uppercase().to_string()).unwrap_or_default();
    html! {
        (first) (signs.as_str())
        @match (entry.kind, entry.corrects) {
            (Kind::Correction | Kind::Withdrawal, Some(seq)) => { " of entry " (seq) }
            _ => {}
        }
        @if let Some(seq) = entry.regards { " on entry " (seq) }
    }
}

fn shortened(text: &str) -> String {
    if text.chars().count() <= LONGEST {
        return text.to_owned();
    }
    let head: String = text.chars().take(LONGEST).collect();
    let lines = text.lines().count();
    format!("{head}… ({lines} lines)")
}
