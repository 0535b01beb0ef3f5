//! What an entry says, in words.

use std::collections::HashMap;

use desk::procedures::{PROCEDURES_FOLDER, is_usual_file};
use logbook::{Entry, Kind, Source};
use maud::{Markup, html};

use crate::pages::figures::figures;

/// Figures told in the list; a long import row shows its first.
const MOST_FIGURES: usize = 8;

/// Lines of a changed file that are told; an import of a whole sheet shows its first.
const MOST_LINES: usize = 12;

/// Longest text of a particular that is shown whole; a ship file is longer.
const LONGEST: usize = 160;

/// Particular that names what a changed text of a procedure takes away.
const TAKEN: &str = "guards taken away";
/// Particular that names what of a text is done or said otherwise by the chief’s word.
const SAID: &str = "done or said otherwise";

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
            _ if is_list(entry) => { @if let Some(version) = entry.details.get("version") { " " small { "version: " (version) } } }
            (Some(old), Some(new)) if old.lines().count() > 1 => {
                @for (key, value) in entry.details.iter().filter(|(key, _)| !["old", "new"].contains(&key.as_str())) {
                    // What goes with a text is named whole.
                    " " small { (key) ": " @if key == TAKEN || key == SAID { (value) } @else { (shortened(value)) } }
                }
                (changed(old, new, entry.details.contains_key(TAKEN)))
            }
            _ => { @for (key, value) in &entry.details { " " small { (key) ": " (shortened(value)) } } }
        }
        @if let Some(reason) = &entry.reason { " " br; small { "Because: " (reason) } }
        @if let Some(clock) = &entry.clock { br; small.red { "Computer’s clock: " (clock) } }
    }
}

/// The lines of a file that went and those that came in their place, each with the step it stands in; where something was
/// taken away it is never said that nothing but remarks was changed.
fn changed(old: &str, new: &str, taken: bool) -> Markup {
    let (was, is) = (lines(old), lines(new));
    let (went, came) = (beyond(&was, &is), beyond(&is, &was));
    let list = |word: &str, lines: &[(String, String)]| {
        let more = lines.len().saturating_sub(MOST_LINES);
        html! {
            @if !lines.is_empty() {
                " " br; small { (word) " " @for (i, (step, line)) in lines.iter().take(MOST_LINES).enumerate() {
                    @if i > 0 { "; " }
                    @if !step.is_empty() { "step " (step) ": " }
                    code { @if guards(line) { (line) } @else { (shortened(line)) } }
                } @if more > 0 { " and " (more) " more" } }
            }
        }
    };
    html! {
        @if went.is_empty() && came.is_empty() && !taken { " " br; small { "Only remarks or the order of lines were changed." } }
        (list("was", &went))
        (list("is", &came))
    }
}

/// Lines that say something, each with the key of the step it stands in.
fn lines(text: &str) -> Vec<(String, String)> {
    let (mut step, mut found) = (String::new(), Vec::new());
    let mut opens = false;
    for line in text.lines().map(str::trim) {
        opens |= line == "[[step]]";
        if let Some(key) = line.strip_prefix("key = ").filter(|_| opens) {
            (step, opens) = (key.trim_matches('"').to_owned(), false);
        }
        if !line.is_empty() && !line.starts_with('#') && line != "[[step]]" {
            found.push((step.clone(), line.to_owned()));
        }
    }
    found
}

/// What stands in these more often than in those.
fn beyond(these: &[(String, String)], those: &[(String, String)]) -> Vec<(String, String)> {
    let mut left: HashMap<&(String, String), usize> = HashMap::new();
    for line in those {
        *left.entry(line).or_default() += 1;
    }
    let only = these.iter().filter(|line| match left.get_mut(line) {
        Some(n) if *n > 0 => {
            *n -= 1;
            false
        }
        _ => true,
    });
    only.cloned().collect()
}

/// Whether a line of a procedure is of a guard: such are told whole.
fn guards(line: &str) -> bool {
    let key = line.split_once(" =").map_or("", |(key, _)| key);
    ["see", "look", "after", "second", "overridden_by", "wait_min", "caution"].contains(&key)
}

/// Whether it is the text of a list that was kept because a run of it was begun: nothing was changed.
fn is_list(entry: &Entry) -> bool {
    let of_list = |key: &String| key.starts_with(PROCEDURES_FOLDER) && key.ends_with(".toml");
    // Such as were written before there were words with them.
    let of_usual = |key: &String| is_usual_file(key);
    entry.kind == Kind::Setting
        && !entry.details.contains_key("old")
        && entry.details.get("key").is_some_and(of_list)
        && (entry.text.is_some() || entry.details.get("key").is_some_and(of_usual))
}

fn kind(entry: &Entry) -> Markup {
    if is_list(entry) {
        return html! { "Text of a list, kept with its run" };
    }
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ident_a_guard_that_went_is_named_with_its_step_also_where_another_step_has_the_same_line() {
        let step = |key: &str, more: &str| format!("[[step]]\nkey = \"{key}\"\n{more}\n");
        let chief = "overridden_by = \"chief\"";
        let old = format!("{}{}", step("vacuum", chief), step("dump", chief));
        let new = format!("{}{}", step("vacuum", ""), step("dump", chief));
        let told = changed(&old, &new, false).into_string();
        assert!(told.contains("step vacuum: <code>overridden_by"), "{told}");
        assert!(!told.contains("Only remarks"), "{told}");
        let moved = format!("{}{}", step("dump", chief), step("vacuum", chief));
        assert!(changed(&old, &moved, false).into_string().contains("Only remarks or the order"));
        assert!(!changed(&old, &moved, true).into_string().contains("Only remarks"));
    }
}
