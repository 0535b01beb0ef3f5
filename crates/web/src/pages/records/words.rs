//! What an entry says, in words.

use std::collections::HashSet;

use logbook::{Entry, Kind, Source};
use maud::{Markup, html};

use crate::pages::figures::figures;

/// Figures told in the list; a long import row shows its first.
const MOST_FIGURES: usize = 8;

/// Lines of a changed file that are told; an import of a whole sheet shows its first.
const MOST_LINES: usize = 12;

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
        @match (entry.details.get("old"), entry.details.get("new")) {
            (Some(old), Some(new)) if old.lines().count() > 1 => {
                @for (key, value) in entry.details.iter().filter(|(key, _)| !["old", "new"].contains(&key.as_str())) {
                    " " small { (key) ": " (shortened(value)) }
                }
                (changed(old, new))
            }
            _ => { @for (key, value) in &entry.details { " " small { (key) ": " (shortened(value)) } } }
        }
        @if let Some(reason) = &entry.reason { " " br; small { "Because: " (reason) } }
        @if let Some(clock) = &entry.clock { br; small.red { "Computer’s clock: " (clock) } }
    }
}

/// The lines of a file that went and those that came in their place.
fn changed(old: &str, new: &str) -> Markup {
    let told = |text: &str| !text.trim().is_empty() && !text.trim_start().starts_with('#');
    let only = |these: &str, those: &str| -> Vec<String> {
        let others: HashSet<&str> = those.lines().map(str::trim).collect();
        let lines = these.lines().map(str::trim);
        lines.filter(|line| told(line) && !others.contains(line)).map(str::to_owned).collect()
    };
    let (went, came) = (only(old, new), only(new, old));
    let list = |word: &str, lines: &[String]| {
        let more = lines.len().saturating_sub(MOST_LINES);
        html! {
            @if !lines.is_empty() {
                " " br; small { (word) " " @for (i, line) in lines.iter().take(MOST_LINES).enumerate() { @if i > 0 { "; " } code { (shortened(line)) } } @if more > 0 { " and " (more) " more" } }
            }
        }
    };
    html! {
        @if went.is_empty() && came.is_empty() { " " br; small { "Only remarks or the order of lines were changed." } }
        (list("was", &went))
        (list("is", &came))
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
    match text.lines().count() {
        0 | 1 => format!("{head}…"),
        lines => format!("{head}… ({lines} lines)"),
    }
}
